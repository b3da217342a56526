"""Teaching a car and taking it back: what is in the car is never replaced unread, unkept, or in another car."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

import pytest

from books import NOON
from cars import CARD, HOUSEHOLD_WINTER, broken_off, on_a_bus, suited_household
from wheelside.car.card import Holds, IdList, PortCard, Value
from wheelside.car.permit import NotPermitted, Permit, check
from wheelside.car.talk import Talk
from wheelside.car.teach import Outcome, Taught
from wheelside.demo.practice import Habits, PracticeCar, practice_car
from wheelside.demo.practice.told import SUMMER, VIN, WINTER
from wheelside.demo.practice.uds import Reply
from wheelside.demo.practice.wheels import EMPTY, Ids, bytes_of
from wheelside.errors import BadRequest, Meanwhile, Outside
from wheelside.jobs.car import lined, read_and_keep, talking
from wheelside.jobs.carbook import LastTeaching, Visit, last_teaching, last_teachings, records, teaching_to_settle
from wheelside.jobs.carteach import drafted, finish_teaching, teach, undo, wanted_ids
from wheelside.jobs.desk import Desk, new_desk
from wheelside.jobs.files import take_in_text

LIST_1, LIST_2 = CARD.lists
OTHERS: Ids = (0x11111111, 0x22222222, 0x33333333, 0x44444444)


@pytest.fixture
def home(tmp_path: Path) -> Iterator[Desk]:
    desk = new_desk(str(tmp_path / "household.book"), tmp_path / "photos")
    desk.clock = lambda: NOON
    take_in_text(desk, suited_household(), "household.toml")
    yield desk
    desk.close()


@pytest.fixture
def car() -> PracticeCar:
    return practice_car()


@contextmanager
def teaching(car: PracticeCar, card: PortCard = CARD, tape: Path | None = None) -> Iterator[Talk]:
    with on_a_bus(car) as link, talking(card, link, permit=Permit.TEACH, tape=tape) as talk:
        yield talk


def taught(home: Desk, car: PracticeCar, row: IdList = LIST_1, tape: Path | None = None) -> Taught:
    garage = home.loaded().garage
    wanted = wanted_ids(garage, garage.sets["winter"], NOON.day, row)
    with teaching(car, tape=tape) as talk:
        return teach(Visit(home, "estate"), talk, CARD, drafted(talk, row, wanted))


def last(home: Desk, name: str | None = None) -> LastTeaching:
    found = last_teaching(records(home, "estate"), name)
    assert found is not None
    return found


def undone(home: Desk, car: PracticeCar, card: PortCard = CARD, name: str | None = None) -> Taught:
    with teaching(car, card) as talk:
        return undo(Visit(home, "estate"), talk, card, last(home, name))


def kept_lists(home: Desk) -> set[str]:
    """Every list, as bytes, that is anywhere in the book."""
    return {str(r.body[key]) for r in records(home, "estate") for key in ("data", "old", "new") if r.body.get(key)}


def test_a_list_that_somebody_else_changed_is_kept_and_left_as_it_is(home: Desk, car: PracticeCar) -> None:
    assert taught(home, car).outcome is Outcome.DONE
    car.unit.teaching.lists[1] = OTHERS
    with pytest.raises(Meanwhile, match="changed by somebody else since"):
        undone(home, car)
    assert car.unit.teaching.lists[1] == OTHERS
    assert bytes_of(OTHERS).hex() in kept_lists(home)
    with pytest.raises(Meanwhile, match="changed by somebody else since"):
        undone(home, car)
    assert last(home).settled
    assert taught(home, car).outcome is Outcome.DONE
    assert last(home).old == bytes_of(OTHERS)


def test_after_a_broken_teaching_whatever_is_in_the_car_is_kept_before_it_is_replaced(
    home: Desk, car: PracticeCar
) -> None:
    broken_off(home, bytes_of(SUMMER), bytes_of(WINTER), ("begun", "written"))
    car.unit.teaching.lists[1] = OTHERS
    assert undone(home, car).outcome is Outcome.AS_BEFORE
    assert car.unit.teaching.lists[1] == SUMMER
    assert bytes_of(OTHERS).hex() in kept_lists(home)


def test_another_car_of_the_same_kind_is_not_touched(home: Desk, car: PracticeCar) -> None:
    taught(home, car)
    other = practice_car()
    other.unit.serial = "TM7K999999"
    other.unit.teaching.lists[1] = OTHERS
    with pytest.raises(BadRequest, match="another control unit"):
        undone(home, other)
    assert other.unit.teaching.lists[1] == OTHERS
    assert undone(home, car).outcome is Outcome.AS_BEFORE


@pytest.mark.parametrize(
    "change",
    [{"identifier": 0x2111}, {"writable": False}, {"begin": bytes.fromhex("3101031002")}, {"finish": None}],
    ids=["identifier", "writable", "begin", "finish"],
)
def test_a_card_that_says_something_else_of_the_list_is_refused(
    home: Desk, car: PracticeCar, change: dict[str, object]
) -> None:
    taught(home, car)
    card = replace(CARD, lists=(replace(LIST_1, **change), LIST_2))  # type: ignore[arg-type]
    before = dict(car.unit.teaching.lists)
    with pytest.raises(BadRequest, match="use that card again"):
        undone(home, car, card)
    assert car.unit.teaching.lists == before


def test_a_card_with_another_id_that_says_the_same_of_the_list_will_do(home: Desk, car: PracticeCar) -> None:
    taught(home, car)
    assert undone(home, car, replace(CARD, id="renamed", label="Renamed")).outcome is Outcome.AS_BEFORE


def test_what_never_touched_the_car_is_not_undone_and_what_has_ended_is_not_finished(
    home: Desk, car: PracticeCar
) -> None:
    broken_off(home, bytes_of(SUMMER), bytes_of(WINTER), ("old list kept", "extended session"))
    with pytest.raises(BadRequest, match="nothing to undo"):
        undone(home, car)
    home.clock = lambda: replace(NOON, us=NOON.us + 120_000_000)
    taught(home, car)
    with teaching(car) as talk, pytest.raises(BadRequest, match="nothing to finish"):
        finish_teaching(Visit(home, "estate"), talk, CARD, last(home))
    assert car.unit.teaching.lists[1] == HOUSEHOLD_WINTER


def test_each_list_has_its_own_way_back(home: Desk, car: PracticeCar) -> None:
    car.unit.teaching.lists[2] = OTHERS
    taught(home, car, LIST_2)
    taught(home, car, LIST_1)
    assert undone(home, car, name="set 2").outcome is Outcome.AS_BEFORE
    assert car.unit.teaching.lists == {1: HOUSEHOLD_WINTER, 2: OTHERS}
    assert undone(home, car, name="set 1").outcome is Outcome.AS_BEFORE
    assert car.unit.teaching.lists[1] == SUMMER


def test_that_the_car_goes_by_another_set_afterwards_is_said_and_kept(home: Desk, car: PracticeCar) -> None:
    done = taught(home, car, LIST_2)
    assert done.outcome is Outcome.DONE
    assert done.trouble == ("the car goes by set 2 now, and went by set 1 before: choose the fitted one in its menu",)
    assert last(home).told == (done.statement, *done.trouble)


def test_one_that_was_refused_before_it_began_is_over(home: Desk, car: PracticeCar) -> None:
    garage = home.loaded().garage
    wanted = wanted_ids(garage, garage.sets["winter"], NOON.day, LIST_1)
    with teaching(car) as talk:
        shown = drafted(talk, LIST_1, wanted)
        car.unit.teaching.lists[1] = OTHERS
        with pytest.raises(BadRequest, match="has changed since it was read"):
            teach(Visit(home, "estate"), talk, CARD, shown)
    assert car.unit.teaching.lists[1] == OTHERS
    assert (last(home).ended, last(home).touched, last(home).settled) == ("nothing was written", False, True)
    assert taught(home, car).outcome is Outcome.DONE


def test_a_list_that_is_not_settled_is_not_forgotten_for_another(home: Desk, car: PracticeCar) -> None:
    broken_off(home, bytes_of(SUMMER), bytes_of(WINTER), ("begun",))
    broken_off(home, bytes_of(OTHERS), bytes_of(WINTER), ("begun", "ended: " + Outcome.DONE.value), LIST_2)
    with pytest.raises(Meanwhile, match=r"'set 1'.* neither finished nor undone"):
        taught(home, car)
    rows = records(home, "estate")
    assert [one.list for one in last_teachings(rows)] == ["set 1", "set 2"]
    to_settle = teaching_to_settle(rows)
    assert to_settle is not None
    assert to_settle.list == "set 1"


def test_a_unit_that_tells_no_serial_number_any_more_is_vouched_for_or_left_alone(home: Desk, car: PracticeCar) -> None:
    taught(home, car)
    answering(car, lambda request: request[1:3] == b"\xf1\x8c", 0x31)
    with pytest.raises(BadRequest, match="does not tell its serial number now"):
        undone(home, car)
    assert car.unit.teaching.lists[1] == HOUSEHOLD_WINTER
    with teaching(car) as talk:
        done = undo(Visit(home, "estate"), talk, CARD, last(home), owner_says=True)
    assert done.outcome is Outcome.AS_BEFORE
    assert car.unit.teaching.lists[1] == SUMMER


def answering(car: PracticeCar, refused: Callable[[bytes], bool], code: int, sent: list[bytes] | None = None) -> None:
    """Has the car refuse some requests with a code, and notes all that are sent."""
    plain = car.unit.answer

    def answer(request: bytes, now_s: float, functional: bool = False) -> tuple[Reply, ...]:
        if sent is not None:
            sent.append(request)
        if refused(request):
            return (Reply(0.005, bytes((0x7F, request[0], code))),)
        return plain(request, now_s, functional)

    car.unit.answer = answer  # type: ignore[method-assign]


@pytest.mark.parametrize("code", [0x22, 0x7E, 0x7F, 0x24])
def test_a_unit_that_refuses_to_begin_is_left_alone(home: Desk, car: PracticeCar, code: int) -> None:
    sent: list[bytes] = []
    answering(car, lambda request: request[:1] == b"\x31", code, sent)
    done = taught(home, car)
    assert (done.outcome, done.holds, done.touched) == (Outcome.AS_BEFORE, bytes_of(SUMMER), False)
    assert [r.hex() for r in sent if r[0] in (0x2E, 0x31)] == ["3101031001"]
    assert last(home).settled


def test_a_unit_that_failed_while_it_began_gets_its_old_list_back(home: Desk, car: PracticeCar) -> None:
    begun: list[bytes] = []

    def fails(request: bytes) -> bool:
        if request[:2] != b"\x31\x01" or begun:
            return False
        begun.append(request)
        car.unit.teaching.lists[1] = (EMPTY,) * 4
        return True

    answering(car, fails, 0x72)
    done = taught(home, car)
    assert (done.outcome, done.touched) == (Outcome.AS_BEFORE, True)
    assert car.unit.teaching.lists[1] == SUMMER


@pytest.mark.parametrize(
    "habits",
    [Habits(begins_once=0x24), Habits(begins_once=0x22), Habits(begins_once=0x24, keeps_begun=True)],
    ids=["24", "22", "24 and leaving the session does not end it"],
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


def test_a_unit_that_refuses_to_be_undone_still_holds_the_new_list(home: Desk, car: PracticeCar) -> None:
    taught(home, car)
    answering(car, lambda request: request[:2] == b"\x10\x03", 0x22)
    done = undone(home, car)
    assert (done.outcome, done.holds) == (Outcome.DONE, bytes_of(HOUSEHOLD_WINTER))
    assert any("refused 10" in line for line in done.trouble)
    assert (last(home).settled, last(home).ended) == (True, Outcome.DONE.value)


def test_an_old_list_that_never_counted_again_is_not_called_back(home: Desk, car: PracticeCar) -> None:
    """It was written, and the end of teaching never came; then the unit takes nothing more."""
    broken_off(home, bytes_of(SUMMER), bytes_of(HOUSEHOLD_WINTER), ("begun", "written", "undoing"))
    car.unit.teaching.result = 1
    car.unit.teaching.counting.discard(1)
    answering(car, lambda request: request[:2] == b"\x10\x03", 0x22)
    with teaching(car) as talk:
        done = finish_teaching(Visit(home, "estate"), talk, CARD, last(home))
    assert done.outcome is Outcome.NOT_CONFIRMED
    assert not last(home).settled


def test_what_a_unit_holds_that_acted_on_nothing_and_tells_nothing_is_not_known(home: Desk, car: PracticeCar) -> None:
    sent: list[bytes] = []
    told = []

    def refuses(request: bytes) -> bool:
        if request[:1] == b"\x31":
            told.append(request)
        return request[:1] == b"\x31" or (bool(told) and request[:1] == b"\x22")

    answering(car, refuses, 0x22, sent)
    done = taught(home, car)
    assert (done.outcome, done.touched) == (Outcome.NOT_KNOWN, False)
    assert done.statement.endswith("Nothing was written into it.")
    assert [r[0] for r in sent if r[0] in (0x2E, 0x31)] == [0x31]


def test_two_teachings_do_not_meet(home: Desk, car: PracticeCar) -> None:
    broken_off(home, bytes_of(SUMMER), bytes_of(WINTER), ("old list kept",))
    with pytest.raises(Meanwhile, match="has not ended: wait a minute"):
        taught(home, car)
    assert car.unit.teaching.lists[1] == SUMMER


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


def test_an_emptied_list_is_put_back_by_undo(home: Desk, car: PracticeCar) -> None:
    broken_off(home, bytes_of(SUMMER), bytes_of(WINTER), ("begun",))
    car.unit.teaching.lists[1] = (EMPTY,) * 4
    assert undone(home, car).outcome is Outcome.AS_BEFORE
    assert car.unit.teaching.lists[1] == SUMMER
