"""What a car sends by itself: decoding held against the DBC library's own encoder, and listening on every kind of link."""

from __future__ import annotations

import contextlib
import random
import struct
import time
from collections import deque
from collections.abc import Iterator
from pathlib import Path
from threading import Event

import can
import cantools
import pytest
from cantools.database.can import Database
from hypothesis import given
from hypothesis import strategies as st

from stepped import Clock
from wheelside.car.address import UnitAddress
from wheelside.car.at import AtFrames
from wheelside.car.broadcast import Ear, HeardBroadcasts, decode_text, described, listen
from wheelside.car.card import Broadcast, Holds, PortCard
from wheelside.car.frames import Frame
from wheelside.car.link import CanFrames
from wheelside.car.portcard import dbc_named, read_port_card
from wheelside.car.tape import Replay
from wheelside.demo import dbc, port_card
from wheelside.demo.practice import PracticeCar, practice_car, run_on, serve_tcp
from wheelside.demo.practice.car import Sent
from wheelside.errors import BadFile, BadRequest
from wheelside.jobs.car.port import OpenLine, known_of, lined, load_port_card
from wheelside.jobs.source import RUNNING

TEXT = """VERSION ""
NS_ :
BS_:
BU_: Body
BO_ 801 Plain: 8 Body
 SG_ Intel : 4|12@1+ (0.5,10) [0|3000] "kPa" Body
 SG_ Motorola : 23|12@0+ (0.1,-40) [-40|400] "kPa" Body
 SG_ Signed : 32|10@1- (0.25,0) [-128|127.75] "degC" Body
 SG_ Named : 48|8@1+ (2.5,0) [0|637.5] "kPa" Body
 SG_ Ranged : 56|8@1+ (1,0) [0|100] "V" Body
BO_ 2566844672 Wide: 4 Body
 SG_ WideAir : 7|16@0+ (0.1,0) [0|6553.5] "kPa" Body
BO_ 802 Mixed: 4 Body
 SG_ Which M : 0|4@1+ (1,0) [0|15] "" Body
 SG_ Front m0 : 8|16@1+ (0.1,0) [0|6553.5] "kPa" Body
 SG_ Rear m1 : 15|16@0+ (0.1,0) [0|6553.5] "kPa" Body
BO_ 803 Floating: 8 Body
 SG_ Real : 0|32@1- (1,0) [0|0] "kPa" Body
BO_ 804 Long: 12 Body
 SG_ Late : 80|8@1+ (1,0) [0|0] "" Body
CM_ SG_ 801 Intel "air, lowest byte first";
VAL_ 801 Named 255 "no sensor" 254 "fault" ;
SIG_VALTYPE_ 803 Real : 1;
"""
FILE = 'port = 1\nid = "x"\ndbc = "body.dbc"\n[unit]\nrequest = "6A3"\nanswer = "6AB"\n'
UNIT = UnitAddress(0x6A3, 0x6AB)


def card(*rows: Broadcast) -> PortCard:
    return PortCard("x", "x", UNIT, broadcasts=rows, dbc=TEXT)


def air(message: str, signal: str, place: str = "", holds: Holds = Holds.PRESSURE) -> Broadcast:
    return Broadcast(message, signal, holds, place)


def library() -> Database:
    loaded = cantools.database.load_string(TEXT, "dbc")
    assert isinstance(loaded, Database)
    return loaded


def said(ear: Ear, *frames: Frame) -> HeardBroadcasts:
    for one in frames:
        assert ear.take(one)
    return ear.told(2)


PLAIN = card(
    air("Plain", "Intel", "front left"),
    air("Plain", "Motorola", "front right"),
    air("Plain", "Signed", holds=Holds.TEMPERATURE),
    air("Plain", "Named", "rear left"),
)


@pytest.mark.published  # the DBC library's encoder
@pytest.mark.parametrize("seed", range(30))
def test_intel_and_motorola_signed_and_scaled_signals_come_back_as_they_were_encoded(seed: int) -> None:
    pick = random.Random(seed)
    physical = {
        "Intel": pick.randrange(4096) * 0.5 + 10,
        "Motorola": round(pick.randrange(4096) * 0.1 - 40, 6),
        "Signed": pick.randrange(-512, 512) * 0.25,
        "Named": pick.randrange(254) * 2.5,
        "Ranged": pick.randrange(101),
    }
    frame = Frame(801, library().encode_message("Plain", physical))
    told = said(Ear(PLAIN), frame)
    figures = {(value.holds, place): figure for value in told.values for place, figure, _ in value.figures}
    assert figures == {
        (Holds.PRESSURE, "front left"): pytest.approx(physical["Intel"]),
        (Holds.PRESSURE, "front right"): pytest.approx(physical["Motorola"]),
        (Holds.TEMPERATURE, ""): pytest.approx(physical["Signed"]),
        (Holds.PRESSURE, "rear left"): pytest.approx(physical["Named"]),
    }
    assert [value.unit for value in told.values] == ["kPa", "degC"]
    assert all(value.broadcast for value in told.values)
    assert told.missing == ()


@pytest.mark.published  # bits counted by hand, as the DBC format draws them
def test_bits_lie_as_the_format_draws_them() -> None:
    data = bytes.fromhex("50 12 AB C0 FF 03 02 05")
    told = said(Ear(PLAIN), Frame(801, data))
    figures = [figure for value in told.values for _, figure, _ in value.figures]
    assert figures == [0x125 * 0.5 + 10, pytest.approx(0xABC * 0.1 - 40), 5.0, -0.25]


@pytest.mark.published  # the DBC library's encoder
def test_a_29_bit_identifier_is_told_from_an_11_bit_one() -> None:
    ear = Ear(card(air("Wide", "WideAir", "spare")))
    assert [wide for _, wide in ear.wanted] == [True]
    can_id = ear.wanted[0][0]
    assert not ear.take(Frame(can_id & 0x7FF, b"\x01\x02\x03\x04"))
    data = library().encode_message("Wide", {"WideAir": 241.3})
    assert said(ear, Frame(can_id, data, wide=True)).values[0].figures == (("spare", 241.3, ""),)


@pytest.mark.published  # the DBC library's encoder
def test_multiplexed_signals_count_from_the_frame_that_carries_them() -> None:
    ear = Ear(card(air("Mixed", "Front", "front left"), air("Mixed", "Rear", "rear left")))
    frames = library()
    first = said(ear, Frame(802, frames.encode_message("Mixed", {"Which": 0, "Front": 230.1})))
    assert first.values[0].figures == (("front left", 230.1, ""),)
    assert first.missing == (("pressure, rear left", "Mixed.Rear was not heard within 2 s"),)
    both = said(ear, Frame(802, frames.encode_message("Mixed", {"Which": 1, "Rear": 250.7})))
    assert both.values[0].figures == (("front left", 230.1, ""), ("rear left", 250.7, ""))
    assert both.missing == ()
    assert said(ear, Frame(802, b"\x07\x00\x00\x00")).malformed == 1


def test_the_newest_frame_counts_and_a_short_one_is_counted_and_told() -> None:
    ear = Ear(card(air("Plain", "Intel")))
    told = said(ear, Frame(801, bytes(8)), Frame(801, b"\xf0" + bytes(7)), Frame(801, b"\x10\x00\x00"))
    assert told.values[0].figures == (("", 17.5, ""),)
    assert told.malformed == 1
    assert told.missing[0][0] == "Plain"
    assert told.missing[0][1].startswith("1 of its frames")


def test_a_number_with_a_word_is_no_pressure() -> None:
    ear = Ear(card(air("Plain", "Named", "front left"), air("Plain", "Named", holds=Holds.LAMP)))
    told = said(ear, Frame(801, bytes(6) + b"\xff\x00"))
    assert told.values[0].figures == (("front left", None, "no sensor"),)
    assert told.values[1].figures == (("", 637.5, "no sensor"),)


def test_a_number_outside_the_files_range_is_told_as_that() -> None:
    ear = Ear(card(air("Plain", "Ranged", holds=Holds.SUPPLY)))
    assert said(ear, Frame(801, bytes(7) + b"\x64")).values[0].figures == (("", 100.0, ""),)
    assert said(ear, Frame(801, bytes(7) + b"\x65")).values[0].figures == (
        ("", None, "101 V, outside the range of the DBC file"),
    )


def test_a_floating_number_that_is_none_is_told_as_none() -> None:
    ear = Ear(card(air("Floating", "Real")))
    assert said(ear, Frame(803, struct.pack("<f", 230.5) + bytes(4))).values[0].figures == (("", 230.5, ""),)
    assert said(ear, Frame(803, struct.pack("<f", float("nan")) + bytes(4))).values[0].figures == (
        ("", None, "no number"),
    )


def test_the_cards_unit_goes_before_the_files() -> None:
    ear = Ear(card(Broadcast("Plain", "Intel", Holds.PRESSURE, "", "kPa absolute"), air("Plain", "Motorola")))
    told = said(ear, Frame(801, bytes(8)))
    assert [value.unit for value in told.values] == ["kPa absolute", "kPa"]


ALL = card(
    *(air(one.message, one.signal, holds=holds) for one in described(TEXT) for holds in (Holds.PRESSURE, Holds.LAMP))
)
IDS = Ear(ALL).wanted


@given(st.lists(st.tuples(st.sampled_from(IDS), st.binary(max_size=64)), max_size=6))
def test_no_bytes_stop_it(frames: list[tuple[tuple[int, bool], bytes]]) -> None:
    ear = Ear(ALL)
    told = said(ear, *(Frame(can_id, data, wide) for (can_id, wide), data in frames))
    assert told.malformed <= len(frames)


def _refused(text: str) -> None:
    """Reads it, or refuses it in words; anything else is a fault."""
    with contextlib.suppress(BadRequest):
        described(text)


def test_a_dbc_file_cut_anywhere_is_read_or_refused_in_words() -> None:
    data = TEXT.encode()
    for cut in range(0, len(data), max(1, len(data) // 200)):
        _refused(decode_text(data[:cut]))
    with pytest.raises(BadRequest, match="the DBC file can't be read"):
        described(TEXT[:40] + " SG_")


def test_a_dbc_file_with_other_bytes_anywhere_is_read_or_refused_in_words() -> None:
    pick = random.Random(5)
    for _ in range(200):
        data = bytearray(TEXT.encode())
        for _ in range(pick.randrange(1, 4)):
            data[pick.randrange(len(data))] = pick.randrange(256)
        _refused(decode_text(bytes(data)))


@given(st.binary(max_size=300))
def test_random_bytes_are_no_dbc_file(data: bytes) -> None:
    _refused(decode_text(data))


@pytest.mark.parametrize(
    ("this", "that"),
    [
        ("(0.5,10)", "(1e999999999,10)"), ("Plain: 8", "Plain: 999999999"), ("4|12@", "999999999|12@"), ("4|12@", "4 | 999999999 @"),
    ],
)  # fmt: skip
def test_numbers_that_take_for_ever_or_all_memory_are_refused(this: str, that: str) -> None:
    with pytest.raises(BadRequest, match="too large a number"):
        described(TEXT.replace(this, that))


def test_each_name_that_the_dbc_file_does_not_have_is_told_with_its_line() -> None:
    rows = "".join(
        f'[[broadcast]]\nmessage = "{m}"\nsignal = "{s}"\nholds = "{h}"\n'
        for h, (m, s) in zip(
            ("pressure", "temperature", "speed", "supply"),
            (("Plain", "Intel"), ("Plane", "Intel"), ("Plain", "Intl"), ("Long", "Late")),
            strict=True,
        )
    )
    with pytest.raises(BadFile) as caught:
        read_port_card((FILE + rows).encode(), "x.toml", TEXT)
    told = {(one.key, one.line): (one.found, one.expected) for one in caught.value.problems}
    assert told[("broadcast[2].message", 12)] == ("'Plane'", "one of Floating, Long, Mixed, Plain, Wide")
    assert told[("broadcast[3].signal", 17)] == ("'Intl'", "one of Intel, Motorola, Named, Ranged, Signed")
    assert told[("broadcast[4].message", 20)] == ("12 bytes", "a message of at most 8 bytes")
    assert len(told) == 3


@pytest.mark.parametrize(
    ("change", "text", "key"),
    [
        ("", "", "dbc"),
        ('dbc = "body.dbc"', TEXT, "dbc"),
        ("", "BO_ nonsense", "dbc"),
        ('"body.dbc"', TEXT, "dbc"),
        ("body", TEXT, "dbc"),
    ],
)
def test_broadcasts_want_a_dbc_file(change: str, text: str, key: str) -> None:
    row = '[[broadcast]]\nmessage = "Plain"\nsignal = "Intel"\nholds = "pressure"\n'
    instead = {'"body.dbc"': '"../body.dbc"', "body": "folder/body"}.get(change, "")
    file = FILE.replace(change, instead) if change else FILE
    with pytest.raises(BadFile) as caught:
        read_port_card((file + row).encode(), "x.toml", text)
    assert [one.key for one in caught.value.problems] == [key]


def test_the_dbc_file_lies_beside_the_card(tmp_path: Path) -> None:
    file = tmp_path / "x.toml"
    file.write_text(FILE + '[[broadcast]]\nmessage = "Plain"\nsignal = "Intel"\nholds = "pressure"\n', encoding="utf-8")
    with pytest.raises(BadRequest, match=r"'dbc'.*there is no file .*body\.dbc"):
        load_port_card(file)
    (tmp_path / "body.dbc").write_text(TEXT, encoding="utf-8")
    assert load_port_card(file).broadcasts == (Broadcast("Plain", "Intel", Holds.PRESSURE),)
    (tmp_path / "body.dbc").write_bytes(b" " * 1_000_001)
    with pytest.raises(BadRequest, match=r"body\.dbc is larger than 1 MB"):
        load_port_card(file)
    assert dbc_named(b"\xff") is None
    assert dbc_named(b"dbc = 1") is None


class Quiet:
    """A link that hands out frames, and fails a test that sends."""

    def __init__(self, *frames: Frame) -> None:
        self.frames = deque(frames)
        self.clock = Clock()
        self.time = self.clock.time

    def send(self, frame: Frame) -> None:
        raise AssertionError(f"sent {frame}")

    def receive(self, timeout_s: float) -> Frame | None:
        if self.frames:
            return self.frames.popleft()
        self.clock.wait(timeout_s)
        return None

    def listen_to(self, answer: int, *, wide: bool) -> None: ...
    def supply_v(self) -> float | None: ...
    def close(self) -> None: ...


def test_only_wanted_frames_are_told_on_and_nothing_is_sent() -> None:
    wanted, stranger = Frame(801, bytes(8)), Frame(0x123, b"\x01")
    told: list[tuple[Frame, bool]] = []
    heard = listen(
        Quiet(stranger, wanted), card(air("Plain", "Intel")), 0.05, lambda one, sent: told.append((one, sent))
    )
    assert heard.values[0].figures == (("", 10.0, ""),)
    assert told == [(wanted, False)]


def test_a_recording_gives_each_broadcast_once() -> None:
    ask, answer = Frame(0x6A3, b"\x03\x22\x21\x12"), Frame(0x6AB, b"\x04\x62\x21\x12\x01")
    frames = Replay((Frame(801, bytes(8)), ask, Frame(0x321, b"\xf0" + bytes(7)), answer), 0x6A3, 0x6AB)
    assert frames.receive(0) is None
    frames.send(ask)
    assert frames.receive(0) == answer
    asked = card(air("Plain", "Intel"))
    assert listen(frames, asked, 5).values[0].figures == (("", 17.5, ""),)
    assert listen(frames, asked, 5).values == ()


PRACTICE = read_port_card(port_card(), "practice.toml", dbc().decode())


@contextlib.contextmanager
def on_a_bus(car: PracticeCar) -> Iterator[CanFrames]:
    ours = CanFrames(can.Bus(interface="virtual", channel="broadcasts"), RUNNING)
    theirs, stop = can.Bus(interface="virtual", channel="broadcasts"), Event()
    thread = run_on(
        theirs, car, stop, lambda can_id, data: can.Message(arbitration_id=can_id, data=data, is_extended_id=False)
    )
    try:
        yield ours
    finally:
        stop.set()
        thread.join(2)
        ours.close()
        theirs.shutdown()


def shown(told: HeardBroadcasts) -> dict[str, float | str | None]:
    return {f"{v.holds.value} {place}": word or figure for v in told.values for place, figure, word in v.figures}


NOTHING_YET = {
    **{f"pressure {corner}": "not heard yet" for corner in ("front left", "front right", "rear right", "rear left")},
    "lamp ": "off",
}


def test_the_practising_car_is_heard_on_a_bus_while_its_ignition_is_on() -> None:
    car = practice_car()
    with on_a_bus(car) as frames:
        assert shown(listen(frames, PRACTICE, 0.5)) == NOTHING_YET
        car.unit.heard = car.unit.fitted
        assert shown(listen(frames, PRACTICE, 0.5))["pressure front left"] == 341.2
        car.around.ignition = 0
        listen(frames, PRACTICE, 0.3)
        told = listen(frames, PRACTICE, 0.3)
    assert told.values == ()
    assert len(told.missing) == 5


def test_the_practising_car_is_heard_behind_an_adapter() -> None:
    car = practice_car()
    car.unit.heard = car.unit.fitted
    with serve_tcp(car, lasting_s=60) as (host, port):
        frames = AtFrames(f"socket://{host}:{port}", RUNNING)
        try:
            first = shown(listen(frames, PRACTICE, 0.6))
            car.unit.heard = (None, *car.unit.fitted[1:])
            second = shown(listen(frames, PRACTICE, 0.6))
            assert frames.supply_v() == 12.6
        finally:
            frames.close()
    assert first["pressure rear left"] == pytest.approx(331.3, abs=0.11)
    assert second["pressure front left"] == "not heard yet"
    assert second["pressure rear left"] == first["pressure rear left"]


class Asked:
    """A practising car that notes every frame which is sent to it."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.car, self.sent = practice_car(), list[tuple[int, bytes]]()
        answers = self.car.frames

        def noted(can_id: int, data: bytes, now_s: float) -> tuple[Sent, ...]:
            self.sent.append((can_id, data))
            return answers(can_id, data, now_s)

        monkeypatch.setattr(self.car, "frames", noted)


ONLY_HEARD = PortCard("x", "x", UNIT, broadcasts=PRACTICE.broadcasts, dbc=PRACTICE.dbc)


def test_a_card_with_broadcasts_alone_sends_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = Asked(monkeypatch)
    with serve_tcp(asked.car, lasting_s=60) as (host, port), lined(ONLY_HEARD, f"at socket://{host}:{port}") as line:
        assert len(known_of(line, ONLY_HEARD, 0.5).values) == 2
    with on_a_bus(asked.car) as frames:
        assert len(known_of(OpenLine(frames, None), ONLY_HEARD, 0.5).values) == 2
    assert asked.sent == []


def test_beginning_to_listen_does_not_repeat_the_request_before(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = Asked(monkeypatch)
    with serve_tcp(asked.car, lasting_s=60) as (host, port):
        frames = AtFrames(f"socket://{host}:{port}", RUNNING)
        try:
            frames.listen_to(0x6AB, wide=False)
            frames.send(Frame(0x6A3, b"\x03\x22\x21\x12\xcc\xcc\xcc\xcc"))
            time.sleep(1.2)  # longer than the adapter waits: its prompt has come, and nobody has read it
            assert len(listen(frames, PRACTICE, 0.5).values) == 2
        finally:
            frames.close()
    assert len(asked.sent) == 1
