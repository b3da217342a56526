"""Segments of ISO 15765-2 byte for byte, and conversations over them: what is sent, and what is taken for an answer."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from threading import Event

import can
import pytest

from stepped import Stepped, to_car
from wheelside.car.address import FUNCTIONAL_11, UnitAddress, normal_fixed
from wheelside.car.card import read_request
from wheelside.car.frames import Frame, Frames, LinkLost, NoAnswer
from wheelside.car.link import CanFrames, open_bus, open_link
from wheelside.car.negative import Refused
from wheelside.car.permit import Permit
from wheelside.car.talk import P2_STAR_S, Exchange, Talk
from wheelside.demo.practice import Habits, practice_car, run_on
from wheelside.demo.practice.told import SUMMER, VIN, WINTER
from wheelside.demo.practice.wheels import bytes_of
from wheelside.errors import BadText
from wheelside.jobs.source import RUNNING

ENGINE = UnitAddress(0x7E0, 0x7E8)
MONITOR = UnitAddress(0x6A3, 0x6AB)
PAD = "CC"
VIN_1M8 = ("10 14 49 02 01 31 4D 38", "21 47 44 4D 39 41 58 4B", "22 50 30 34 32 37 38 38")
VIN_1HG = ("10 14 49 02 01 31 48 47", "21 43 4D 38 32 36 33 33", "22 41 30 30 34 33 35 32")
FLOW = "30 00 00"

Answer = tuple[float, Frame]


def wire_to(other_end: Callable[[Frame], list[Answer]]) -> Stepped:
    """A link whose other end is a function: from a frame that was sent to frames, each after a while."""
    return Stepped(lambda frame, _now_s: other_end(frame))


def from_unit(unit: UnitAddress, text: str) -> Frame:
    data = bytes.fromhex(text)
    return Frame(unit.answer, data + bytes([0xCC]) * (8 - len(data)), unit.wide)


def by_hand(unit: UnitAddress, script: dict[str, list[tuple[float, str]]]) -> Stepped:
    """Answers by what a sent frame begins with."""

    def other_end(frame: Frame) -> list[Answer]:
        text = frame.data.hex(" ").upper()
        for begin, answers in script.items():
            if text.startswith(begin):
                return [(after, from_unit(unit, answer)) for after, answer in answers]
        return []

    return wire_to(other_end)


@contextmanager
def talking(frames: Frames, unit: UnitAddress, permit: Permit = Permit.READ, p2_s: float = 1.0) -> Iterator[Talk]:
    named = (
        (frozenset({0x0310}), frozenset({0x2110})) if permit is Permit.TEACH else (frozenset[int](), frozenset[int]())
    )
    with Talk(frames, unit, permit, *named, p2_s=p2_s) as talk:
        yield talk


def first_then_rest(parts: tuple[str, ...], request: str = "02 09 02") -> dict[str, list[tuple[float, str]]]:
    return {request: [(0.0, parts[0])], FLOW: [(n / 1000, part) for n, part in enumerate(parts[1:])]}


@pytest.mark.published
@pytest.mark.parametrize(("parts", "vin"), [(VIN_1M8, b"1M8GDM9AXKP042788"), (VIN_1HG, b"1HGCM82633A004352")])
def test_the_published_reading_of_a_vin_byte_for_byte(parts: tuple[str, ...], vin: bytes) -> None:
    """ISO 15765-2 and SAE J1979, printed examples: 02 09 02, a first frame of 14 hex bytes, 30 00 00, two more; CC fills up."""
    wire = by_hand(ENGINE, first_then_rest(parts))
    heard: list[tuple[int, str, bool]] = []
    with Talk(wire, ENGINE, heard=lambda f, sent: heard.append((f.can_id, f.data.hex(" ").upper(), sent))) as talk:
        assert talk.ask(b"\x09\x02") == b"\x49\x02\x01" + vin
    assert wire.hex == [f"02 09 02 {PAD} {PAD} {PAD} {PAD} {PAD}", f"{FLOW} {PAD} {PAD} {PAD} {PAD} {PAD}"]
    assert {(f.can_id, f.wide) for _, f in wire.sent} == {(0x7E0, False)}
    assert wire.listened == [(0x7E8, False)]
    ours, theirs = wire.hex, list(parts)
    assert heard == [
        (0x7E0, ours[0], True), (0x7E8, theirs[0], False), (0x7E0, ours[1], True), (0x7E8, theirs[1], False), (0x7E8, theirs[2], False),
    ]  # fmt: skip


@pytest.mark.published
def test_the_published_refusal() -> None:
    """ISO 14229-1, printed example on 7E8: 03 7F 22 31, requestOutOfRange."""
    wire = by_hand(ENGINE, {"03 22": [(0.0, "03 7F 22 31")]})
    with talking(wire, ENGINE) as talk, pytest.raises(Refused, match="does not know this identifier") as caught:
        talk.ask(read_request(0xF190))
    assert (caught.value.service, caught.value.code) == (0x22, 0x31)
    assert len(wire.sent) == 1


@pytest.mark.published
def test_a_wide_address_and_its_printed_answer() -> None:
    """ISO 15765-4, printed example: 18DAF110 05 41 0C 41 C2; the request goes to 18DA10F1 with 29 bits."""
    unit = normal_fixed(0x10)
    wire = by_hand(unit, {"02 01 0C": [(0.0, "04 41 0C 41 C2")]})
    with talking(wire, unit) as talk:
        assert talk.ask(b"\x01\x0c") == bytes.fromhex("41 0C 41 C2")
    assert [(f.can_id, f.wide) for _, f in wire.sent] == [(0x18DA10F1, True)]
    assert wire.listened == [(0x18DAF110, True)]


def test_a_frame_of_the_same_number_and_another_width_is_no_answer() -> None:
    narrow = UnitAddress(0x6A3, 0x6AB)
    wire = wire_to(lambda _f: [(0.0, Frame(0x6AB, bytes.fromhex("0462F1900155AAAA"), wide=True))])
    with talking(wire, narrow, p2_s=0.2) as talk, pytest.raises(NoAnswer):
        talk.once(read_request(0xF190))


@pytest.mark.parametrize("padding", [None, 0x00, 0x55, 0xAA, 0xCC])
def test_short_frames_are_filled_as_the_unit_wants(padding: int | None) -> None:
    unit = UnitAddress(0x6A3, 0x6AB, padding=padding)
    wire = to_car(practice_car(Habits(padding=padding)))
    with talking(wire, unit) as talk:
        assert talk.ask(read_request(0xF190))[3:] == VIN.encode()
    fill = b"" if padding is None else bytes([padding]) * 8
    assert [f.data for _, f in wire.sent] == [
        (b"\x03\x22\xf1\x90" + fill)[: 4 if padding is None else 8],
        (b"\x30\x00\x00" + fill)[: 3 if padding is None else 8],
    ]


@pytest.mark.published
@pytest.mark.parametrize(
    ("said", "gap_s"),
    [(0x00, 0.0), (0x20, 0.032), (0x7F, 0.127), (0xF1, 0.0001), (0xF5, 0.0005), (0xF9, 0.0009)],
)
def test_the_gap_that_a_unit_asks_for_is_kept(said: int, gap_s: float) -> None:
    """ISO 15765-2: 00 to 7F milliseconds, F1 to F9 hundreds of microseconds."""
    wire, unit = _written(Habits(st_min=said))
    times = [at for at, frame in wire.sent if frame.data[0] >> 4 == 2]
    assert len(times) == 2
    assert times[1] - times[0] >= gap_s * 0.95
    assert times[1] - times[0] < gap_s + 0.8
    assert unit == bytes_of(WINTER)


@pytest.mark.parametrize("block", [0, 1, 2])
def test_blocks_are_kept(block: int) -> None:
    _, unit = _written(Habits(block_size=block, waits=1))
    assert unit == bytes_of(WINTER)


def _written(habits: Habits) -> tuple[Stepped, bytes]:
    """A list of four IDs is written to a unit with these habits: what was sent, and what it holds then."""
    car = practice_car(habits)
    wire = to_car(car)
    with talking(wire, MONITOR, Permit.TEACH, p2_s=2.0) as talk:
        talk.once(b"\x10\x03")
        talk.once(bytes.fromhex("31 01 03 10 01"))
        assert talk.once(bytes.fromhex("2E 21 10") + bytes_of(WINTER)) == bytes.fromhex("6E 21 10")
    written = [f.data.hex(" ").upper() for _, f in wire.sent if f.data[0] >> 4 in (1, 2)]
    data = bytes.fromhex("2E 21 10") + bytes_of(WINTER)
    rows = [b"\x10\x13" + data[:6], b"\x21" + data[6:13], b"\x22" + data[13:] + b"\xcc"]
    assert written == [row.hex(" ").upper() for row in rows]
    return wire, bytes_of(car.unit.teaching.lists[1])


@pytest.mark.parametrize("pending", [1, 3, 12])
def test_needs_more_time_is_waited_out(pending: int) -> None:
    car = practice_car(Habits(pending=pending, pending_s=0.05, answer_s=0.3))
    with talking(to_car(car), MONITOR, p2_s=0.6) as talk:
        assert talk.once(read_request(0x2110))[3:] == bytes_of(SUMMER)


def test_needs_more_time_without_end_is_given_up() -> None:
    wire = by_hand(MONITOR, {"03 22": [(n / 100, "03 7F 22 78") for n in range(40)]})
    start = wire.clock.now_s
    with talking(wire, MONITOR, p2_s=0.3) as talk, pytest.raises(NoAnswer):
        talk.once(read_request(0x2110))
    assert wire.clock.now_s - start < 0.4 + P2_STAR_S + 0.1
    assert len(wire.sent) == 1


def test_a_busy_unit_is_asked_again_and_no_more_than_three_times() -> None:
    wire = by_hand(MONITOR, {"03 22": [(0.0, "03 7F 22 21")]})
    with talking(wire, MONITOR) as talk:
        with pytest.raises(Refused, match="is busy"):
            talk.ask(read_request(0x2110))
        assert len(wire.sent) == 3
        with pytest.raises(Refused, match="is busy"):
            talk.once(read_request(0x2110))
        assert len(wire.sent) == 4


@pytest.mark.parametrize(
    "stale",
    [
        "04 62 21 12 02",
        "03 59 02 FF",
        "04 62 21 41 01",
        "03 7F 19 31",
        "02 50 03",
        "04 71 01 03 10",
        "01 62",
        "02 62 21",
        "01 7F",
    ],
)
def test_answers_to_other_requests_are_passed_over(stale: str) -> None:
    right = "04 62 21 40 02"
    wire = by_hand(MONITOR, {"03 22 21 40": [(0.0, stale), (0.02, stale), (0.04, right)]})
    with talking(wire, MONITOR) as talk:
        assert talk.once(read_request(0x2140)) == bytes.fromhex("62 21 40 02")


def test_an_answer_that_came_before_the_request_is_none() -> None:
    wire = by_hand(MONITOR, {"03 22 21 40": [(0.05, "04 62 21 40 02")]})
    wire.put(0.0, from_unit(MONITOR, "04 62 21 40 01"))
    with talking(wire, MONITOR) as talk:
        wire.clock.wait(0.2)
        assert talk.once(read_request(0x2140)) == bytes.fromhex("62 21 40 02")


def test_answers_that_come_twice_do_no_harm() -> None:
    car = practice_car(Habits(answer_twice=True))
    with talking(to_car(car), MONITOR) as talk:
        for identifier, data in ((0x2112, b"\x01"), (0x2140, b"\x00"), (0x2160, b"\x01")) * 3:
            assert talk.ask(read_request(identifier))[3:] == data


def test_frames_of_other_units_are_ignored() -> None:
    def other_end(frame: Frame) -> list[Answer]:
        wrong = [Frame(can_id, bytes.fromhex("04622140FFCCCCCC")) for can_id in (0x6AA, 0x6AC, 0x7E8, 0x6A3, 0x000)]
        return [*((0.0, one) for one in wrong), (0.03, from_unit(MONITOR, "04 62 21 40 02"))]

    heard: list[int] = []
    with Talk(wire_to(other_end), MONITOR, heard=lambda f, _sent: heard.append(f.can_id)) as talk:
        assert talk.once(read_request(0x2140))[3:] == b"\x02"
    assert heard == [0x6A3, 0x6AB]


def test_segments_of_another_unit_do_not_mix_in() -> None:
    def other_end(frame: Frame) -> list[Answer]:
        if frame.data[0] == 2:
            return [(0.0, Frame(0x7E9, bytes.fromhex(VIN_1HG[0]))), (0.001, Frame(0x7E8, bytes.fromhex(VIN_1M8[0])))]
        rows = [(0x7E9, VIN_1HG[1]), (0x7E8, VIN_1M8[1]), (0x7E9, VIN_1HG[2]), (0x7E8, VIN_1M8[2])]
        return [(n / 1000, Frame(can_id, bytes.fromhex(row))) for n, (can_id, row) in enumerate(rows)]

    with talking(wire_to(other_end), ENGINE) as talk:
        assert talk.once(b"\x09\x02")[3:] == b"1M8GDM9AXKP042788"


@pytest.mark.parametrize("at", [2, 3, 4])
@pytest.mark.parametrize("fault", ["drop_frame", "repeat_frame", "corrupt_frame"])
def test_a_marred_frame_gives_no_wrong_answer(fault: str, at: int) -> None:
    """Frame 1 is the answer to the first question; 2 to 4 are the three of the VIN."""
    car = practice_car(Habits(drop_frame=at if fault == "drop_frame" else 0, repeat_frame=at if fault == "repeat_frame" else 0,
                              corrupt_frame=at if fault == "corrupt_frame" else 0))  # fmt: skip
    with talking(to_car(car), MONITOR, p2_s=0.4) as talk:
        assert talk.ask(read_request(0x2112))[3:] == b"\x01"
        assert talk.ask(read_request(0xF190))[3:] == VIN.encode()


@pytest.mark.parametrize("tries", [1, 3])
def test_silence_ends_within_the_stated_time(tries: int) -> None:
    told: list[Exchange] = []
    wire = wire_to(lambda _f: [])
    start = wire.clock.now_s
    with Talk(wire, MONITOR, told=told.append, p2_s=0.2, p2_star_s=0.2) as talk:
        with pytest.raises(NoAnswer, match=r"no answer to 22 21 10 from 6A3/6AB within 0\.2 s; ignition on"):
            (talk.once if tries == 1 else talk.ask)(read_request(0x2110))
        assert wire.clock.now_s - start == pytest.approx(tries * 0.2, abs=0.01)
    assert [(e.request, e.answer) for e in told] == [(read_request(0x2110), None)] * tries
    assert all(e.took_s == pytest.approx(0.2) for e in told)
    assert len(wire.sent) == tries


def test_without_ignition_no_unit_answers() -> None:
    car = practice_car()
    car.around.ignition = 0
    with talking(to_car(car), ENGINE, p2_s=0.15) as talk, pytest.raises(NoAnswer):
        talk.ask(b"\x09\x02")


@pytest.mark.published
def test_a_request_to_all_that_nobody_knows_is_answered_by_silence() -> None:
    """ISO 14229-1: no reply at all to a functional request whose service or parameter is not supported."""
    wire = to_car(practice_car())
    with talking(wire, UnitAddress(FUNCTIONAL_11, 0x6AB), p2_s=0.15) as talk:
        assert talk.once(read_request(0x2112)) == bytes.fromhex("62 21 12 01")
        for request in ("22 99 99", "19 42 FF", "03"):
            with pytest.raises(NoAnswer):
                talk.once(bytes.fromhex(request))
    with talking(wire, MONITOR, p2_s=0.15) as talk:
        for request in ("22 99 99", "19 42 FF", "03"):
            with pytest.raises(Refused):
                talk.once(bytes.fromhex(request))


def test_a_link_that_goes_is_told_at_once() -> None:
    wire = wire_to(lambda _f: [])
    start = wire.clock.now_s
    with talking(wire, MONITOR, p2_s=5.0) as talk:
        wire.gone = True
        with pytest.raises(LinkLost, match="unplugged"):
            talk.ask(read_request(0x2110))
    assert wire.clock.now_s == start


@pytest.mark.parametrize("said", ["", "  ", "at", "socketcan", "nonsense"])
def test_half_a_link_is_refused_with_examples(said: str) -> None:
    with pytest.raises(BadText, match="names no link: write the interface and its channel, as in 'socketcan can0'"):
        open_link(said, RUNNING)


def test_an_unknown_interface_is_refused_with_those_there_are() -> None:
    with pytest.raises(
        BadText, match=r"is not an interface: write 'at PORT' .*'doip HOST', or one of python-can's: .*slcan.*socketcan"
    ):
        open_link("nonsense can0", RUNNING)


def test_a_setting_without_its_value_is_refused() -> None:
    with pytest.raises(BadText, match="write settings as key=value, as in bitrate=250000") as caught:
        open_link("virtual there fast", RUNNING)
    assert caught.value.found == "fast"


@pytest.mark.parametrize(
    "said", ["slcan /dev/there-is-none", "at /dev/there-is-none", "at socket://127.0.0.1:1", "slcan socket://127.0.0.1:1", "at nonsense://x"]
)  # fmt: skip
def test_a_link_that_can_not_be_opened_says_where_to_look(said: str) -> None:
    with pytest.raises(LinkLost, match=r"can't be opened: .+; look at .*permissions"):
        open_link(said, RUNNING)


def test_a_bus_carries_a_conversation() -> None:
    theirs, stop = open_bus("virtual links-1"), Event()
    thread = run_on(
        theirs, practice_car(), stop, lambda i, d: can.Message(arbitration_id=i, data=d, is_extended_id=False)
    )
    ours = open_link("virtual links-1 bitrate=250000", RUNNING)
    try:
        assert isinstance(ours, CanFrames)
        assert ours.supply_v() is None
        with talking(ours, MONITOR) as talk:
            assert talk.ask(read_request(0xF190))[3:] == VIN.encode()
    finally:
        stop.set()
        thread.join(2.0)
        ours.close()
        ours.close()
        theirs.shutdown()
    with pytest.raises(LinkLost, match="look at cable and adapter"):
        ours.send(Frame(0x6A3, b"\x00"))


def test_error_and_remote_frames_are_passed_over() -> None:
    theirs = open_bus("virtual links-2")
    ours = CanFrames(open_bus("virtual links-2"), RUNNING)
    try:
        theirs.send(can.Message(arbitration_id=0x6AB, is_error_frame=True))
        theirs.send(can.Message(arbitration_id=0x6AB, is_remote_frame=True, is_extended_id=False))
        theirs.send(can.Message(arbitration_id=0x6AB, data=b"\x01\x02", is_extended_id=False))
        got = [ours.receive(0.2) for _ in range(3)]
        assert got[:2] == [None, None]
        assert got[2] is not None
        assert (got[2].can_id, got[2].data, got[2].wide) == (0x6AB, b"\x01\x02", False)
    finally:
        ours.close()
        theirs.shutdown()
