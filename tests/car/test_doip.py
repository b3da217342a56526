"""Diagnostics over IP: names of links, and a gateway by hand that can be cut anywhere, teaching included.

The layout of ISO 13400-2 (version 02, its inverse FD, kind, length) is from memory; another library builds the same bytes (`test_doip_foreign`).
"""

from __future__ import annotations

import contextlib
import random
import socket
import struct
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from threading import Thread

import pytest

from wheelside.car.address import UnitAddress
from wheelside.car.card import read_request
from wheelside.car.doip import IpLink
from wheelside.car.draft import draft
from wheelside.car.drive import carry_out
from wheelside.car.find import RangeKind, addresses
from wheelside.car.frames import LinkLost, NoAnswer
from wheelside.car.link import open_link
from wheelside.car.permit import Permit
from wheelside.car.portcard import read_port_card
from wheelside.car.reads import read_list
from wheelside.car.talk import Talk
from wheelside.car.taught import Outcome, Stage, Taught
from wheelside.car.teaching import Goal, Intent
from wheelside.demo import dbc, port_card
from wheelside.demo.practice import Habits, PracticeCar, practice_car
from wheelside.demo.practice.told import SUMMER, WINTER
from wheelside.demo.practice.wheels import bytes_of
from wheelside.errors import BadRequest, BadText
from wheelside.jobs.source import RUNNING
from wheelside.sensor.ident import SensorId

WAIT_S, P2_S, SLACK_S = 15.0, 0.15, 1.0
VIN_ANSWER = b"\x62\xf1\x90" + b"1HGCM82633A004352"
ACTIVATED = bytes.fromhex("02FD 0006 00000009 0E00 1000 10 00000000")


MONITOR = UnitAddress(0, 0, logical=0x1001)


def test_a_range_of_logical_addresses_is_all_of_them() -> None:
    few = addresses(0x07DE, 0x07E0, RangeKind.LOGICAL)
    assert [(u.logical, u.on_can, u.text) for u in few] == [
        (0x07DE, False, "07DE"),
        (0x07DF, False, "07DF"),
        (0x07E0, False, "07E0"),
    ]
    assert addresses(0xFFFF, 0xFFFF, RangeKind.LOGICAL)[0].text == "FFFF"
    with pytest.raises(BadRequest, match="can't be searched"):
        addresses(0xFFFF, 0x10000, RangeKind.LOGICAL)


@pytest.mark.parametrize("said", ["doip", "doip ", "doip\t"])
def test_a_link_without_a_host_is_refused(said: str) -> None:
    with pytest.raises(BadText, match="names no link"):
        open_link(said, RUNNING)


@pytest.mark.parametrize("address", [":13400", "127.0.0.1:", "127.0.0.1:x", "127.0.0.1:-1", "127.0.0.1:1.5", ":"])
def test_what_is_no_address_is_refused_with_an_example(address: str) -> None:
    with pytest.raises(BadText, match=r"is not an address: write HOST or HOST:PORT, as in '192\.0\.2\.10'") as caught:
        open_link(f"doip {address}", RUNNING)
    assert caught.value.found == address


@pytest.mark.parametrize("address", ["127.0.0.1:1", "127.0.0.1:0", "127.0.0..1:13400"])
def test_a_gateway_that_is_not_there_says_where_to_look(address: str) -> None:
    with pytest.raises(LinkLost, match=r"can't be reached: .+; look at plug, network and ignition"):
        open_link(f"doip {address}", RUNNING)


def test_a_port_above_the_last_one_does_not_lead_to_another() -> None:
    with socket.create_server(("127.0.0.1", 0)) as listening:
        listening.settimeout(0.05)
        with pytest.raises((BadText, LinkLost)):
            open_link(f"doip 127.0.0.1:{listening.getsockname()[1] + 0x10000}", RUNNING)
        came = 0
        with contextlib.suppress(TimeoutError), listening.accept()[0]:
            came += 1
    assert came == 0


@pytest.mark.parametrize(
    "settings",
    ["tester=", "tester=E80", "tester=0E8G", "tester=00E80", "tester", "0E80", "TESTER=0E80", "bitrate=500000",
     "tester=0E80 tester=0E81", "tester=0x0E"],
)  # fmt: skip
def test_a_setting_that_is_no_tester_is_refused_before_anything_is_sent(settings: str) -> None:
    with socket.create_server(("127.0.0.1", 0)) as listening:
        listening.settimeout(0.05)
        with pytest.raises(BadText, match="only tester=0E80 and the like may stand") as caught:
            open_link(f"doip 127.0.0.1:{listening.getsockname()[1]} {settings}", RUNNING)
        assert (caught.value.found, caught.value.expected) == (settings, "tester=0E80")
        with pytest.raises(TimeoutError):
            listening.accept()


class ByHand:
    """A gateway by hand for one connection: what each message is answered with. `None` ends the connection."""

    def __init__(self, react: Callable[[int, bytes], bytes | None]) -> None:
        self.react = react
        self.heard: list[tuple[int, bytes]] = []
        self.listening = socket.create_server(("127.0.0.1", 0))
        self.listening.settimeout(WAIT_S)
        self.thread = Thread(target=self._serve, daemon=True)
        self.thread.start()

    def _serve(self) -> None:
        with contextlib.suppress(OSError), self.listening, self.listening.accept()[0] as connection:
            connection.settimeout(WAIT_S)
            rest = b""
            while data := connection.recv(4096):
                rest += data
                while len(rest) >= 8 and len(rest) >= (end := 8 + int.from_bytes(rest[4:8], "big")):
                    kind, payload, rest = int.from_bytes(rest[2:4], "big"), rest[8:end], rest[end:]
                    self.heard.append((kind, payload))
                    out = ACTIVATED if kind == 0x0005 else self.react(kind, payload)
                    if out is None:
                        return
                    connection.sendall(out)


@contextmanager
def by_hand(react: Callable[[int, bytes], bytes | None]) -> Iterator[tuple[IpLink, ByHand]]:
    gateway = ByHand(react)
    link: IpLink | None = None
    try:
        link = IpLink(f"127.0.0.1:{gateway.listening.getsockname()[1]}", RUNNING)
        yield link, gateway
    finally:
        if link is not None:
            link.close()
        gateway.thread.join(WAIT_S)
        assert not gateway.thread.is_alive()


def message(source: int, data: bytes, target: int = 0x0E00) -> bytes:
    return struct.pack("!HHLHH", 0x02FD, 0x8001, 4 + len(data), source, target) + data


def test_needs_more_time_without_end_is_given_up() -> None:
    pending = message(0x1001, b"\x7f\x22\x78")
    with by_hand(lambda _kind, _payload: pending * 17) as (link, gateway):
        start = time.monotonic()
        with Talk(link, MONITOR, p2_s=0.2, p2_star_s=0.5) as talk, pytest.raises(NoAnswer):
            talk.once(read_request(0xF190))
        assert time.monotonic() - start < 2.0
        assert [kind for kind, _ in gateway.heard] == [0x0005, 0x8001]


def test_an_answer_that_came_before_the_request_is_none() -> None:
    """The first answer comes twice, the second time changed; the next question has its own."""
    late = message(0x1001, b"\x62\x21\x40\x01") + message(0x1001, b"\x62\x21\x40\x02")
    count: list[int] = []

    def react(_kind: int, _payload: bytes) -> bytes:
        count.append(1)
        return late if len(count) == 1 else message(0x1001, b"\x62\x21\x40\x03")

    with by_hand(react) as (link, _), Talk(link, MONITOR) as talk:
        assert [talk.once(read_request(0x2140))[3] for _ in range(2)] == [1, 3]


def test_an_answer_that_came_before_the_request_is_none_behind_an_alive_check_either() -> None:
    alive = bytes.fromhex("02FD 0007 00000000")
    late = message(0x1001, b"\x62\x21\x40\x01") + alive + message(0x1001, b"\x62\x21\x40\x02")
    count: list[int] = []

    def react(kind: int, _payload: bytes) -> bytes:
        count.extend([1] if kind == 0x8001 else [])
        if kind == 0x0008:
            return b""
        return late if len(count) == 1 else message(0x1001, b"\x62\x21\x40\x03")

    with by_hand(react) as (link, _), Talk(link, MONITOR) as talk:
        assert [talk.once(read_request(0x2140))[3] for _ in range(2)] == [1, 3]


def test_another_unit_that_is_not_reached_does_not_hide_this_one() -> None:
    other = struct.pack("!HHLHHB", 0x02FD, 0x8003, 5, 0x1000, 0x0E00, 0x03)
    with by_hand(lambda _kind, _payload: other + message(0x1001, b"\x62\x21\x40\x03")) as (link, _):
        assert lamp(link) == b"\x62\x21\x40\x03"


def lamp(link: IpLink) -> bytes:
    with Talk(link, MONITOR) as talk:
        return talk.once(read_request(0x2140))


@pytest.mark.parametrize(
    "spoilt",
    ["02FD 0006 00000000", "02FD 8001 00000000", "02FD 8001 00000003 100100", "02FD 8003 00000000", "02FD 8003 00000004 1001 0E00",
     "02FD 0000 00000000", "02FD 8002 00000000", "02FD 0008 00000001 00", "02FD 0004 00000005 0000000000", "02FD 4002 00000001 00",
     "02FD 4004 00000000", "02FD 0005 00000002 0000", "02FD 0003 00000000"],
)  # fmt: skip
def test_a_message_that_is_too_short_for_its_kind_is_told(spoilt: str) -> None:
    with (
        by_hand(lambda _kind, _payload: bytes.fromhex(spoilt)) as (link, _),
        pytest.raises(LinkLost, match="does not have"),
    ):
        lamp(link)


def test_a_whole_message_without_a_request_in_it_is_no_answer() -> None:
    with (
        by_hand(lambda _kind, _payload: message(0x1001, b"")) as (link, _),
        Talk(link, MONITOR, p2_s=P2_S) as talk,
        pytest.raises(NoAnswer),
    ):
        talk.once(read_request(0x2140))


@pytest.mark.parametrize("seed", range(40))
def test_spoilt_messages_come_to_the_answer_or_to_a_clear_error(seed: int) -> None:
    """Bits of an acknowledge, an alive check and an answer are turned; what the library can't tell from an answer is left out."""
    rng = random.Random(13400 + seed)
    right = b"\x62\x21\x40\x03"
    whole = bytearray(bytes.fromhex("02FD 8002 00000005 1001 0E00 00") + bytes.fromhex("02FD 0007 00000000"))
    for _ in range(1 + seed % 4):
        whole[rng.randrange(len(whole))] ^= 1 << rng.randrange(8)
    out = bytes(whole) + message(0x1001, right)
    start = time.monotonic()
    with (
        by_hand(lambda kind, _payload: out if kind == 0x8001 else b"") as (link, _),
        Talk(link, MONITOR, p2_s=P2_S) as talk,
        contextlib.suppress(NoAnswer, LinkLost),
    ):
        assert talk.once(read_request(0x2140)) == right
    assert time.monotonic() - start < P2_S + SLACK_S


def test_a_link_that_was_closed_says_so_and_can_be_closed_again() -> None:
    with by_hand(lambda _kind, _payload: b"") as (link, _):
        link.close()
        link.close()
        with pytest.raises(LinkLost, match="look at plug and network"):
            lamp(link)


def test_no_log_repeats_what_came(caplog: pytest.LogCaptureFixture) -> None:
    with (
        caplog.at_level(0),
        by_hand(lambda _kind, _payload: message(0x1001, VIN_ANSWER)) as (link, _),
        Talk(link, MONITOR) as talk,
    ):
        assert talk.once(read_request(0xF190)) == VIN_ANSWER
    assert caplog.text == ""


def test_a_card_that_names_no_logical_address_is_refused_over_ip() -> None:
    with by_hand(lambda _kind, _payload: b"") as (link, gateway):
        with pytest.raises(BadRequest, match="names no logical address: diagnostics over IP needs 'logical'"):
            Talk(link, UnitAddress(0x6A3, 0x6AB))
        assert [kind for kind, _ in gateway.heard] == [0x0005]


def test_a_card_that_names_a_logical_address_alone_is_refused_on_a_bus() -> None:
    link = open_link("virtual doip-1", RUNNING)
    try:
        with pytest.raises(BadRequest, match="names no CAN identifiers: this link needs 'request' and 'answer'"):
            Talk(link, read_port_card(b'port = 1\nid = "ip"\n[unit]\nlogical = "1001"\n', "ip.toml").unit)
    finally:
        link.close()


@pytest.fixture(autouse=True)
def short_pauses(monkeypatch: pytest.MonkeyPatch) -> None:
    """The result of teaching is asked for again after a hundredth of a second."""
    monkeypatch.setattr("wheelside.car.teach.RESULT_PAUSE_S", 0.01)


PRACTICE = read_port_card(
    port_card().replace(b'request = "6A3"\nanswer = "6AB"', b'logical = "1001"'), "practice.toml", dbc().decode(),
)  # fmt: skip
ROW = PRACTICE.lists[0]
OLD, NEW = bytes_of(SUMMER), bytes_of(WINTER)
WANTED: dict[str, SensorId | None] = {
    place: SensorId("", 32, number) for place, number in zip(ROW.layout.places, WINTER, strict=True)
}


class Cut:
    """The practising car behind a gateway by hand, whose connection ends at one message: before the car hears it, after, or within the answer."""

    def __init__(self, car: PracticeCar, at: int = 0, within: int | None = None, *, unheard: bool = False) -> None:
        self.car, self.at, self.within, self.unheard = car, at, within, unheard
        self.count = 0
        self.requests: list[bytes] = []

    def __call__(self, kind: int, payload: bytes) -> bytes | None:
        assert (kind, payload[:4]) == (0x8001, bytes.fromhex("0E00 1001"))
        self.count += 1
        if self.count == self.at and self.unheard:
            return None
        self.requests.append(payload[4:])
        replies = self.car.unit.answer(payload[4:], time.monotonic())
        return None if self.count == self.at else b"".join(message(0x1001, data) for _, data in replies)


def to_teach(link: IpLink) -> Talk:
    return Talk(link, PRACTICE.unit, Permit.TEACH, PRACTICE.routines, PRACTICE.written, p2_s=0.3)


def teach(cut: Cut) -> tuple[Taught | None, list[Stage]]:
    """One teaching; None where the link went before anything was begun."""
    stages: list[Stage] = []
    with by_hand(cut) as (link, _), to_teach(link) as talk:
        try:
            plan = draft(ROW, read_list(talk, ROW), WANTED)
            return carry_out(
                talk, lambda stage, _data: stages.append(stage), Goal(Intent.NEW, ROW, plan.old.raw, plan.new)
            ), stages
        except LinkLost:
            return None, stages


def holds(car: PracticeCar) -> bytes:
    return bytes_of(car.unit.teaching.lists[1])


def test_a_list_is_taught_over_ip() -> None:
    car = practice_car()
    cut = Cut(car)
    taught, stages = teach(cut)
    assert taught is not None
    assert (taught.outcome, taught.holds, taught.trouble) == (Outcome.DONE, NEW, ())
    assert holds(car) == NEW
    assert stages == [
        Stage.SAVED, Stage.SESSION, Stage.BEGUN, Stage.WRITTEN, Stage.FINISHED, Stage.READ_BACK, Stage.ENDED,
    ]  # fmt: skip
    assert [request[0] for request in cut.requests] == [0x22, 0x22, 0x10, 0x31, 0x2E, 0x31, 0x31, 0x22, 0x10]
    assert cut.requests[4] == b"\x2e\x21\x10" + NEW


REQUESTS = 9
"""So many are sent in a teaching without trouble."""


@pytest.mark.parametrize("unheard", [True, False], ids=["request lost", "answer lost"])
@pytest.mark.parametrize("at", range(1, REQUESTS + 1))
def test_what_is_said_is_true_wherever_the_connection_is_cut(at: int, unheard: bool) -> None:
    car = practice_car()
    start = time.monotonic()
    taught, stages = teach(Cut(car, at, unheard=unheard))
    assert time.monotonic() - start < 5.0
    if at <= 2:
        assert taught is None
        assert holds(car) == OLD
        assert Stage.SESSION not in stages
        return
    assert taught is not None
    assert taught.outcome is (Outcome.DONE if at == REQUESTS else Outcome.NOT_KNOWN)
    assert taught.holds == (NEW if at == REQUESTS else None)
    assert stages[-1] is Stage.ENDED
    if taught.holds is None:
        assert taught.last is not None
        known = f"what the car holds is not known: it could not be read after the step '{taught.last.words}'."
        assert taught.statement == known + (" Nothing was written into it." if at == 3 else "")
        assert any("the car's gateway" in one for one in taught.said[1:])
    else:
        assert holds(car) == taught.holds


@pytest.mark.parametrize("at", range(3, REQUESTS))
def test_the_old_list_is_put_back_over_a_new_connection(at: int) -> None:
    car = practice_car()
    teach(Cut(car, at))
    car.unit.end_session()
    with by_hand(Cut(car)) as (link, _), to_teach(link) as talk:
        back = carry_out(talk, lambda _stage, _data: None, Goal(Intent.PUT_BACK, ROW, OLD, NEW, end_answered=True))
    assert (back.outcome, back.holds, holds(car)) == (Outcome.AS_BEFORE, OLD, OLD)


@pytest.mark.parametrize(
    "habits", [Habits(write_wrong=True), Habits(refuse_write=True), Habits(break_off_at=4), Habits(pending=2)]
)
def test_what_is_said_is_true_of_a_unit_that_does_wrong(habits: Habits) -> None:
    car = practice_car(habits)
    taught, _ = teach(Cut(car))
    assert taught is not None
    assert taught.holds == holds(car)
    assert (taught.outcome is Outcome.DONE) == (holds(car) == NEW)
    assert (taught.outcome in (Outcome.AS_BEFORE, Outcome.NOT_CONFIRMED)) == (holds(car) == OLD)


@pytest.mark.parametrize("service", [0x10, 0x31, 0x2E])
def test_a_unit_that_is_not_reached_once_has_one_of_both_lists_in_the_end(service: int) -> None:
    """The gateway says once that the transport to the unit failed (08), and goes on passing on: the way is open, and gone to its end."""
    car = practice_car()
    taught, _ = teach(Missed(car, service))
    assert taught is not None
    assert (taught.outcome, taught.holds) in ((Outcome.AS_BEFORE, OLD), (Outcome.DONE, NEW))
    assert holds(car) == taught.holds


class Missed(Cut):
    """Once, a request of one service does not get through to the car."""

    def __init__(self, car: PracticeCar, service: int) -> None:
        super().__init__(car)
        self.service = service

    def __call__(self, kind: int, payload: bytes) -> bytes | None:
        if payload[4] != self.service:
            return super().__call__(kind, payload)
        self.service = 0
        return struct.pack("!HHLHHB", 0x02FD, 0x8003, 5, 0x1001, 0x0E00, 0x08)
