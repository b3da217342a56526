"""Teaching a car and taking it back: what is in the car is never replaced unread, unkept, or in another car."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from books import NOON
from cars import (
    CARD,
    HOUSEHOLD_WINTER,
    answering,
    broken_off,
    last,
    on_a_bus,
    suited_home,
    taught,
    teaching,
)
from wheelside.car.card import Holds, Value
from wheelside.car.draft import draft
from wheelside.car.permit import NotPermitted, Permit, check
from wheelside.car.reads import list_from
from wheelside.car.taught import Outcome
from wheelside.demo.practice import Habits, PracticeCar, practice_car
from wheelside.demo.practice.told import SUMMER, VIN, WINTER
from wheelside.demo.practice.uds import Reply
from wheelside.demo.practice.wheels import EMPTY, Ids, bytes_of
from wheelside.errors import BadRequest, Outside
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.car.port import lined, read_and_keep
from wheelside.jobs.car.teach import drafted, teach, wanted_ids
from wheelside.jobs.car.visit import Visit, last_teaching, records
from wheelside.sensor.ident import SensorId

LIST_1, LIST_2 = CARD.lists
OTHERS: Ids = (0x11111111, 0x22222222, 0x33333333, 0x44444444)


@pytest.fixture(autouse=True)
def short_pauses(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("wheelside.car.teach.RESULT_PAUSE_S", 0.01)


@pytest.fixture
def home(tmp_path: Path) -> Iterator[Desk]:
    yield from suited_home(tmp_path)


@pytest.fixture
def car() -> PracticeCar:
    return practice_car()


def test_that_the_car_goes_by_another_set_afterwards_is_said_and_kept(home: Desk, car: PracticeCar) -> None:
    done = taught(home, car, LIST_2)
    assert done.outcome is Outcome.DONE
    assert done.said[1:] == ("the car goes by set 2 now, and went by set 1 before: choose the fitted one in its menu",)
    assert last(home).told == done.said


def test_one_that_was_refused_before_it_began_is_over(home: Desk, car: PracticeCar) -> None:
    garage = home.loaded().garage
    wanted = wanted_ids(garage, garage.sets["winter"], NOON.day, LIST_1)
    with teaching(car) as talk:
        shown = drafted(talk, LIST_1, wanted)
        car.unit.teaching.lists[1] = OTHERS
        with pytest.raises(BadRequest, match="has changed since it was read"):
            teach(Visit(home, "estate"), talk, CARD, shown)
    assert car.unit.teaching.lists[1] == OTHERS
    assert (last(home).ended, last(home).touched, last(home).settled) == ("nothing-written", False, True)
    assert taught(home, car).outcome is Outcome.DONE


@pytest.mark.parametrize("code", [0x22, 0x7E, 0x7F, 0x24])
def test_a_unit_that_refuses_to_begin_is_left_alone(home: Desk, car: PracticeCar, code: int) -> None:
    sent: list[bytes] = []
    answering(car, lambda request: request[:1] == b"\x31", code, sent)
    done = taught(home, car)
    assert (done.outcome, done.holds) == (Outcome.AS_BEFORE, bytes_of(SUMMER))
    assert [r.hex() for r in sent if r[0] in (0x2E, 0x31)] == ["3101031001"]
    assert last(home).settled


@pytest.mark.parametrize("code", [0x10, 0x22, 0x25, 0x26, 0x72, 0x93])
def test_a_unit_that_failed_while_it_began_gets_its_old_list_back(home: Desk, car: PracticeCar, code: int) -> None:
    begun: list[bytes] = []

    def fails(request: bytes) -> bool:
        if request[:2] != b"\x31\x01" or begun:
            return False
        begun.append(request)
        car.unit.teaching.lists[1] = (EMPTY,) * 4
        return True

    answering(car, fails, code)
    done = taught(home, car)
    assert (done.outcome, done.touched) == (Outcome.AS_BEFORE, True)
    assert car.unit.teaching.lists[1] == SUMMER


@pytest.mark.parametrize(
    "habits",
    [
        Habits(begins_once=0x24),
        Habits(begins_once=0x22),
        Habits(begins_once=0x24, keeps_begun=True),
        Habits(begins_once=0x22, keeps_begun=True),
    ],
    ids=["24", "22", "24, kept", "22, kept"],
)
def test_the_old_list_comes_back_where_a_unit_has_begun_and_begins_no_second_time(home: Desk, habits: Habits) -> None:
    """It emptied the list, and its answer that it had begun was lost."""
    car = practice_car(habits)
    plain, lost = car.unit.answer, list[bytes]()

    def answer(request: bytes, now_s: float, functional: bool = False) -> tuple[Reply, ...]:
        replies = plain(request, now_s, functional)
        if request[:2] == b"\x31\x01" and not lost:
            lost.append(request)
            return ()
        return replies

    car.unit.answer = answer  # type: ignore[method-assign]
    done = taught(home, car)
    assert lost
    assert (done.outcome, done.holds) == (Outcome.AS_BEFORE, bytes_of(SUMMER))
    assert car.unit.teaching.lists[1] == SUMMER
    assert 1 in car.unit.teaching.counting


def test_what_a_unit_holds_that_acted_on_nothing_and_tells_nothing_is_not_known(home: Desk, car: PracticeCar) -> None:
    sent: list[bytes] = []
    told = []

    def refuses(request: bytes) -> bool:
        if request[:1] == b"\x31":
            told.append(request)
        return request[:1] == b"\x31" or (bool(told) and request[:1] == b"\x22")

    answering(car, refuses, 0x22, sent)
    done = taught(home, car)
    assert (done.outcome, done.touched) == (Outcome.NOT_KNOWN, True)
    assert not done.statement.endswith("Nothing was written into it.")
    assert not last(home).settled
    assert [r[0] for r in sent if r[0] in (0x2E, 0x31)] == [0x31]


def test_one_that_was_cut_off_before_the_car_was_touched_is_over(home: Desk, car: PracticeCar) -> None:
    broken_off(home, bytes_of(SUMMER), bytes_of(WINTER), ("saved",))
    assert taught(home, car).outcome is Outcome.DONE


def test_one_id_in_all_places_is_asked_about_before_it_is_kept_as_the_old_list(home: Desk, car: PracticeCar) -> None:
    car.unit.teaching.lists[1] = (SUMMER[0],) * 4
    garage = home.loaded().garage
    wanted = wanted_ids(garage, garage.sets["winter"], NOON.day, LIST_1)
    with teaching(car) as talk:
        shown = drafted(talk, LIST_1, wanted)
        with pytest.raises(BadRequest, match=f"all 4 places of the list 'set 1' hold one ID, {SUMMER[0]:08X}"):
            teach(Visit(home, "estate"), talk, CARD, shown)
        assert last_teaching(records(home, "estate")) is None
        assert car.unit.teaching.lists[1] == (SUMMER[0],) * 4
        assert teach(Visit(home, "estate"), talk, CARD, shown, old_is_so=True).outcome is Outcome.DONE


@pytest.mark.parametrize(
    "held", [(SUMMER[0], SUMMER[0], SUMMER[0], SUMMER[1]), (None,) * 4, (SUMMER[0], None, SUMMER[0], SUMMER[0])]
)
def test_other_lists_are_not_asked_about(held: tuple[int | None, ...]) -> None:
    places = LIST_1.layout.places
    old = list_from(LIST_1, LIST_1.layout.data(held))
    wanted: dict[str, SensorId | None] = {p: SensorId("", 32, n) for p, n in zip(places, WINTER, strict=True)}
    assert draft(LIST_1, old, wanted).one_id is None


def test_stages_of_another_teaching_do_not_count(home: Desk) -> None:
    visit = Visit(home, "estate")
    broken_off(home, bytes_of(SUMMER), bytes_of(WINTER), ("begun",))
    first = last(home)
    broken_off(home, bytes_of(SUMMER), bytes_of(WINTER), ("begun", "written"))
    visit.keep("stage", of=first.num, stage="ended", data=Outcome.DONE.value)
    assert (last(home).ended, last(home).settled, last(home).stages) == ("", False, ("begun", "written"))


def test_a_recording_that_takes_no_more_stops_nothing_but_itself(
    home: Desk, car: PracticeCar, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    written = []

    def full(*_: object) -> None:
        written.append(1)
        if len(written) > 20:
            raise OSError(28, "No space left on device")

    monkeypatch.setattr("can.io.canutils.CanutilsLogWriter.on_message_received", full)
    with pytest.raises(Outside, match="the recording is not whole"):
        taught(home, car, tape=tmp_path / "visit.log")
    assert car.unit.teaching.lists[1] == HOUSEHOLD_WINTER
    assert last(home).ended == Outcome.DONE.value


def test_a_new_list_that_does_not_count_is_not_called_neither(home: Desk, car: PracticeCar) -> None:
    """The unit takes the list, refuses to end the teaching, and takes nothing more after it."""
    plain, refused = car.unit.answer, []

    def answer(request: bytes, now_s: float, functional: bool = False) -> tuple[Reply, ...]:
        if request[:2] == b"\x31\x02":
            refused.append(request)
        if request[:1] in (b"\x10", b"\x31", b"\x2e") and refused:
            return (Reply(0.005, bytes((0x7F, request[0], 0x22))),)
        return plain(request, now_s, functional)

    car.unit.answer = answer  # type: ignore[method-assign]
    done = taught(home, car)
    assert done.outcome is Outcome.NEW_NOT_CONFIRMED
    assert done.holds == bytes_of(HOUSEHOLD_WINTER)
    assert not last(home).settled


def test_a_list_with_a_place_for_which_the_set_has_no_wheel_is_refused(home: Desk) -> None:
    garage = home.loaded().garage
    half = replace(garage.sets["winter"], wheels=garage.sets["winter"].wheels[:2])
    with pytest.raises(BadRequest, match="has no wheel for rear"):
        wanted_ids(garage, half, NOON.day, LIST_1)
    with pytest.raises(BadRequest, match="has 32 bits, and the list 'set 1' takes 24"):
        wanted_ids(garage, garage.sets["summer"], NOON.day, replace(LIST_1, layout=replace(LIST_1.layout, each=3)))


@pytest.mark.parametrize("holds", [Holds.SERIAL, Holds.VIN])
def test_a_vin_is_known_by_its_identifier_and_by_its_form_and_is_nowhere(
    home: Desk, car: PracticeCar, holds: Holds, tmp_path: Path
) -> None:
    values = (Value(0xF190, holds, None), Value(0xF18C, Holds.SERIAL, None))
    car.unit.vin = (
        f"{VIN[:16]}-" if holds is Holds.SERIAL else VIN
    )  # one that no VIN looks like, where F190 should have one
    car.unit.serial = "1M8GDM9AXKP042788"  # a unit that tells the VIN where its serial number should be
    card = replace(CARD, values=values, broadcasts=())
    with on_a_bus(car) as link, lined(card, link) as line:
        known = read_and_keep(Visit(home, "estate"), line, card)
    assert [v.text for v in known.values] == ["read, not kept", "read, not kept"]
    for file in tmp_path.iterdir():
        if file.is_file():
            assert VIN[:16].encode() not in file.read_bytes()
            assert b"1M8GDM9AXKP042788" not in file.read_bytes()


@pytest.mark.parametrize("request_", ["2EF190313233", "2EF40D00", "3101FF0001", "3101E20001", "3101E000"])
def test_identifiers_and_routines_of_the_standard_are_never_written_or_started(request_: str) -> None:
    request = bytes.fromhex(request_)
    number = int.from_bytes(request[1:3] if request[0] == 0x2E else request[2:4], "big")
    with pytest.raises(NotPermitted):
        check(request, Permit.TEACH, frozenset((number,)), frozenset((number,)))
