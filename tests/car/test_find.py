"""Units to leave alone: who calls itself brake, airbag or steering is not talked to, and nobody is asked at the address of all."""

from __future__ import annotations

from pathlib import Path

import pytest

from cars import on_a_bus
from stepped import Clock
from wheelside.car.address import FUNCTIONAL_11, FUNCTIONAL_29, UnitAddress
from wheelside.car.card import PortCard, read_request
from wheelside.car.find import WHO, RangeKind, addresses, find
from wheelside.car.frames import Frame, LinkLost
from wheelside.car.permit import NotPermitted, Permit
from wheelside.car.portcard import read_port_card
from wheelside.car.reads import read_all, read_codes
from wheelside.car.tape import read_tape
from wheelside.demo import dbc, port_card
from wheelside.demo.practice import PracticeCar, practice_car
from wheelside.demo.practice.told import VIN
from wheelside.demo.practice.uds import Reply
from wheelside.errors import BadRequest
from wheelside.jobs.car.port import talking

BRAKE = """
port = 1
id = "brake"

[unit]
request = "760"
answer = "768"
read_only = {read_only}

[[value]]
identifier = "F190"
holds = "VIN"
"""
NAMES = [
    "BRAKE CONTROL",
    "Brake",
    "ABS",
    "abs/esc 3",
    "ESP 9",
    "AIRBAG",
    "Occupant restraint",
    "SRS 2",
    "Steering",
    "EPS",
    "POWER STEER",
]


def brake_card(*, read_only: bool = False) -> PortCard:
    return read_port_card(BRAKE.format(read_only=str(read_only).lower()).encode(), "brake.toml")


class Asked:
    """The practising car, whose brake unit has a name, and what that unit was asked. It does not hear the first `deaf` requests."""

    def __init__(self, name: str, deaf: int = 0) -> None:
        self.car: PracticeCar = practice_car()
        self.car.brake._held[b"\xf1\x97"] = name.encode("ascii")
        self.requests: list[bytes] = []
        self.deaf = deaf
        self._answer = self.car.brake.answer
        self.car.brake.answer = self.answer  # type: ignore[method-assign]

    def answer(self, request: bytes, now_s: float, functional: bool = False) -> tuple[Reply, ...]:
        self.requests.append(request)
        return () if len(self.requests) <= self.deaf else self._answer(request, now_s, functional)


@pytest.mark.parametrize("permit", list(Permit))
@pytest.mark.parametrize("name", NAMES)
def test_a_unit_that_calls_itself_so_is_left_alone(name: str, permit: Permit) -> None:
    asked = Asked(name)
    with (
        on_a_bus(asked.car) as link,
        pytest.raises(BadRequest, match=rf"^the unit at 760/768 calls itself '{name}': it is left alone\.") as caught,
        talking(brake_card(), link, permit=permit),
    ):
        pytest.fail("a conversation was begun")
    assert (caught.value.found, caught.value.expected) == (name, "a unit that watches tyres")
    assert "read_only = true" in str(caught.value)
    assert asked.requests == [WHO]


@pytest.mark.parametrize("permit", list(Permit))
def test_a_name_that_is_lost_once_is_asked_for_again(permit: Permit) -> None:
    asked = Asked("BRAKE CONTROL", deaf=1)
    with (
        on_a_bus(asked.car) as link,
        pytest.raises(BadRequest, match="it is left alone"),
        talking(brake_card(), link, permit=permit),
    ):
        pytest.fail("a conversation was begun")
    assert set(asked.requests) == {WHO}


@pytest.mark.parametrize("name", ["TYRE MONITOR", "TPMS", "BODY", "TYRE PRESSURE RESPONDER", "TYRE LABS", ""])
def test_another_unit_is_talked_to(name: str) -> None:
    asked = Asked(name)
    with on_a_bus(asked.car) as link, talking(brake_card(), link) as talk:
        assert talk.once(read_request(0xF190))[3:] == VIN.encode()
    assert asked.requests == [WHO, read_request(0xF190)]


def test_a_unit_that_refuses_to_say_its_name_is_talked_to() -> None:
    asked = Asked("")
    del asked.car.brake._held[b"\xf1\x97"]
    with on_a_bus(asked.car) as link, talking(brake_card(), link) as talk:
        assert talk.once(read_request(0xF190))[3:] == VIN.encode()


def test_the_brake_unit_of_the_practising_car_is_left_alone_and_its_monitor_is_not() -> None:
    monitor = read_port_card(port_card(), "practice.toml", dbc().decode())
    with on_a_bus(practice_car()) as link:
        with pytest.raises(BadRequest, match="it is left alone"), talking(brake_card(), link):
            pytest.fail("a conversation was begun")
        with talking(monitor, link, permit=Permit.TEACH) as talk:
            assert talk.once(read_request(0xF190))[3:] == VIN.encode()


def test_a_card_that_says_read_only_has_it_read() -> None:
    asked, card = Asked("ABS"), brake_card(read_only=True)
    with on_a_bus(asked.car) as link, talking(card, link) as talk:
        assert [one.text for one in read_all(talk, card).values] == ["read, not kept"]
        assert read_codes(talk, card).codes == ()
        for request in ("14 FF FF FF", "10 03", "2E 21 10 00", "31 01 03 10 01"):
            with pytest.raises(NotPermitted):
                talk.once(bytes.fromhex(request))
    assert {request[0] for request in asked.requests} == {0x19, 0x22}


@pytest.mark.parametrize("permit", [Permit.CLEAR, Permit.TEACH])
def test_a_card_that_says_read_only_is_refused_for_more_before_anything_is_opened(permit: Permit) -> None:
    asked = Asked("ABS")
    with (
        on_a_bus(asked.car) as link,
        pytest.raises(BadRequest, match="this unit is read only: nothing is cleared or written in it"),
        talking(brake_card(read_only=True), link, permit=permit),
    ):
        pytest.fail("a conversation was begun")
    assert asked.requests == []
    with (
        pytest.raises(BadRequest, match="this unit is read only"),
        talking(brake_card(read_only=True), "at /dev/there-is-none", permit=permit),
    ):
        pytest.fail("a conversation was begun")


def test_the_refusal_is_on_the_recording_and_the_recording_is_whole(tmp_path: Path) -> None:
    tape = tmp_path / "brake.log"
    with (
        on_a_bus(Asked("ABS").car) as link,
        pytest.raises(BadRequest, match="it is left alone"),
        talking(brake_card(), link, tape=tape),
    ):
        pytest.fail("a conversation was begun")
    assert [(f.can_id, f.data[: 1 + f.data[0]].hex()) for f in read_tape(tape)] == [
        (0x760, "0322f197"),
        (0x768, "0662f197414253"),
    ]


class Silent:
    """A link on which nobody answers."""

    def __init__(self) -> None:
        self.sent: list[Frame] = []
        self.clock = Clock()
        self.time = self.clock.time

    def send(self, frame: Frame) -> None:
        self.sent.append(frame)

    def receive(self, timeout_s: float) -> Frame | None:
        self.clock.wait(timeout_s)
        return None

    def listen_to(self, answer: int, *, wide: bool) -> None:
        pass

    def supply_v(self) -> float | None:
        return None

    def close(self) -> None:
        pass


def test_nobody_is_asked_at_the_address_of_all() -> None:
    """ISO 15765-4: 7DF, and 18DB33F1 where identifiers have 29 bits."""
    link = Silent()
    narrow, wide = addresses(0x7DC, 0x7E2, RangeKind.NARROW), addresses(0x32, 0x34, RangeKind.WIDE)
    assert find(link, (*narrow, *wide)) == ()
    sent = [frame.can_id for frame in link.sent]
    assert sent == [0x7DC, 0x7DD, 0x7DE, 0x7E0, 0x7E1, 0x7E2, 0x18DA32F1, 0x18DA33F1, 0x18DA34F1]
    assert {frame.data for frame in link.sent} == {bytes.fromhex("0322F197CCCCCCCC")}
    assert FUNCTIONAL_11 not in sent
    assert FUNCTIONAL_29 not in sent


@pytest.mark.parametrize(("first", "last"), [(0, 0x1FF), (0x5FF, 0x600), (0x2A0, 0x2AF)])
def test_identifiers_on_which_the_car_is_driven_are_not_asked(first: int, last: int) -> None:
    with pytest.raises(BadRequest, match="none of them is asked"):
        addresses(first, last, RangeKind.NARROW)
    assert addresses(first & 0xFF, 0xFF, RangeKind.WIDE)


@pytest.mark.parametrize("offset", [1, 8, 0x20])
def test_no_range_holds_the_address_of_all(offset: int) -> None:
    for first in range(0x600, 0x7FF - offset, 0x100):
        last = min(first + 0xFF, 0x7FF - offset)
        units = addresses(first, last, RangeKind.NARROW, offset)
        assert [unit.request for unit in units] == [n for n in range(first, last + 1) if n != 0x7DF]
    assert addresses(FUNCTIONAL_11, FUNCTIONAL_11, RangeKind.NARROW, offset) == ()


def test_a_link_that_is_not_there_is_told_before_a_name_is_asked_for() -> None:
    with pytest.raises(LinkLost, match="can't be opened"), talking(brake_card(), "at /dev/there-is-none"):
        pytest.fail("a conversation was begun")
    assert brake_card().unit == UnitAddress(0x760, 0x768, padding=None)
