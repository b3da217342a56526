"""Ways out of a teaching after the fact: never over a list that is unread or unkept, never in another car, and none that leads nowhere."""

from __future__ import annotations

from collections.abc import Callable, Iterator
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
    suited_home,
    taught,
    teaching,
    undone,
)
from wheelside.car.card import PortCard
from wheelside.car.taught import Outcome, Taught
from wheelside.demo.practice import PracticeCar, practice_car
from wheelside.demo.practice.told import SUMMER, WINTER
from wheelside.demo.practice.uds import Reply
from wheelside.demo.practice.wheels import EMPTY, Ids, bytes_of
from wheelside.errors import BadRequest, Meanwhile, Outside
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.car.teach import drafted, teach, wanted_ids
from wheelside.jobs.car.visit import Visit, last_teachings, records, way_back
from wheelside.jobs.car.ways_back import Settles, accept, finish_teaching, undo

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
    broken_off(home, bytes_of(SUMMER), bytes_of(WINTER), ("saved", "session"))
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


def test_a_list_that_is_not_settled_is_not_forgotten_for_another(home: Desk, car: PracticeCar) -> None:
    broken_off(home, bytes_of(SUMMER), bytes_of(WINTER), ("begun",))
    broken_off(home, bytes_of(OTHERS), bytes_of(WINTER), ("begun", "ended: " + Outcome.DONE.value), LIST_2)
    with pytest.raises(Meanwhile, match=r"'set 1'.* neither finished nor undone"):
        taught(home, car)
    rows = records(home, "estate")
    assert [one.list for one in last_teachings(rows)] == ["set 1", "set 2"]
    to_settle = way_back(rows)
    assert to_settle is not None
    assert to_settle.list == "set 1"


def test_a_unit_that_tells_no_serial_number_any_more_is_vouched_for_or_left_alone(home: Desk, car: PracticeCar) -> None:
    taught(home, car)
    answering(car, lambda request: request[1:3] == b"\xf1\x8c", 0x31)
    with pytest.raises(BadRequest, match="does not tell by its serial number"):
        undone(home, car)
    assert car.unit.teaching.lists[1] == HOUSEHOLD_WINTER
    with teaching(car) as talk:
        done = undo(Visit(home, "estate"), talk, CARD, last(home), owner_says=True)
    assert done.outcome is Outcome.AS_BEFORE
    assert car.unit.teaching.lists[1] == SUMMER


def test_a_unit_that_refuses_to_be_undone_still_holds_the_new_list(home: Desk, car: PracticeCar) -> None:
    taught(home, car)
    answering(car, lambda request: request[:2] == b"\x10\x03", 0x22)
    done = undone(home, car)
    assert (done.outcome, done.holds) == (Outcome.DONE, bytes_of(HOUSEHOLD_WINTER))
    assert any("refused 10" in line for line in done.said)
    assert (last(home).settled, last(home).ended) == (True, Outcome.DONE.value)


def test_an_old_list_that_never_counted_again_is_not_called_back(home: Desk, car: PracticeCar) -> None:
    """It was written, and the end of teaching never came; then the unit takes nothing more."""
    broken_off(home, bytes_of(SUMMER), bytes_of(HOUSEHOLD_WINTER), ("begun", "written", "undo"))
    car.unit.teaching.result = 1
    car.unit.teaching.counting.discard(1)
    answering(car, lambda request: request[:2] == b"\x10\x03", 0x22)
    with teaching(car) as talk:
        done = finish_teaching(Visit(home, "estate"), talk, CARD, last(home))
    assert done.outcome is Outcome.NOT_CONFIRMED
    assert not last(home).settled


def test_an_emptied_list_is_put_back_by_undo(home: Desk, car: PracticeCar) -> None:
    broken_off(home, bytes_of(SUMMER), bytes_of(WINTER), ("begun",))
    car.unit.teaching.lists[1] = (EMPTY,) * 4
    assert undone(home, car).outcome is Outcome.AS_BEFORE
    assert car.unit.teaching.lists[1] == SUMMER


def once(code: bytes, times: int = 1) -> Callable[[bytes], bool]:
    """Whether a request of this beginning is among the first so many."""
    met: list[bytes] = []

    def refused(request: bytes) -> bool:
        if not request.startswith(code) or len(met) >= times:
            return False
        met.append(request)
        return True

    return refused


def finished(home: Desk, car: PracticeCar, card: PortCard = CARD) -> Taught:
    with teaching(car, card) as talk:
        return finish_teaching(Visit(home, "estate"), talk, card, last(home))


@pytest.mark.parametrize("code", [0x22, 0x24, 0x72, 0x7E, 0x93])
def test_finishing_brings_a_list_back_that_an_earlier_teaching_emptied(home: Desk, car: PracticeCar, code: int) -> None:
    """Beginning anew is refused once; the list is empty already."""
    broken_off(home, bytes_of(SUMMER), bytes_of(WINTER), ("begun",))
    car.unit.teaching.lists[1] = (EMPTY,) * 4
    answering(car, once(b"\x31\x01"), code)
    done = finished(home, car)
    assert (done.outcome, done.touched) == (Outcome.AS_BEFORE, True)
    assert car.unit.teaching.lists[1] == SUMMER


@pytest.mark.parametrize(
    "refused", [b"\x10\x03", b"\x31\x01", b"\x2e", b"\x31\x02"], ids=["03", "begin", "write", "finish"]
)
def test_what_is_refused_twice_is_done_the_third_time(home: Desk, car: PracticeCar, refused: bytes) -> None:
    taught(home, car)
    answering(car, once(refused, 2), 0x22)
    assert undone(home, car).outcome is Outcome.AS_BEFORE
    assert car.unit.teaching.lists[1] == SUMMER


def test_a_unit_that_does_not_leave_its_session_is_tried_again_all_the_same(home: Desk, car: PracticeCar) -> None:
    taught(home, car)
    first = once(b"\x31\x01")
    answering(car, lambda request: request == b"\x10\x01" or first(request), 0x22)
    assert undone(home, car).outcome is Outcome.AS_BEFORE


def test_a_unit_that_was_taught_without_a_serial_number_is_vouched_for(home: Desk, car: PracticeCar) -> None:
    broken_off(home, bytes_of(SUMMER), bytes_of(WINTER), ("begun",), mark="")
    with pytest.raises(BadRequest, match="make sure that it is that car"):
        undone(home, car)
    with teaching(car) as talk:
        assert undo(Visit(home, "estate"), talk, CARD, last(home), owner_says=True).outcome is Outcome.AS_BEFORE


@pytest.mark.parametrize("way", [undo, finish_teaching])
def test_nothing_is_written_anew_while_the_book_can_not_keep_it(
    home: Desk, car: PracticeCar, way: Settles, monkeypatch: pytest.MonkeyPatch
) -> None:
    broken_off(home, bytes_of(SUMMER), bytes_of(WINTER), ("begun", "written"))
    car.unit.teaching.lists[1] = WINTER
    sent: list[bytes] = []
    answering(car, lambda _: False, 0, sent)
    plain = Visit.keep

    def keep(self: Visit, what: str, **body: object) -> int:
        if what == "stage":
            raise Outside("no room")
        return plain(self, what, **body)

    monkeypatch.setattr(Visit, "keep", keep)
    with teaching(car) as talk, pytest.raises(Outside, match="no room"):
        way(Visit(home, "estate"), talk, CARD, last(home))
    assert {request[0] for request in sent} <= {0x22, 0x31}
    assert {request[:2] for request in sent if request[0] == 0x31} <= {b"\x31\x03"}


def test_a_serial_number_that_is_filled_up_is_the_same(home: Desk, car: PracticeCar) -> None:
    taught(home, car)
    car.unit.serial += "  "
    assert undone(home, car).outcome is Outcome.AS_BEFORE


@pytest.mark.parametrize("stages", [("begun", "written"), ("begun", "written", "undo", "session", "begun", "written")])
def test_a_list_whose_end_was_never_sent_does_not_count(home: Desk, car: PracticeCar, stages: tuple[str, ...]) -> None:
    """The unit says 'done' of an earlier teaching, or is not asked at all."""
    for card in (CARD, replace(CARD, lists=(replace(LIST_1, result=None, done=None), LIST_2))):
        broken_off(home, bytes_of(SUMMER), bytes_of(HOUSEHOLD_WINTER), stages, card.lists[0])
        car.unit.teaching.lists[1], car.unit.teaching.result = HOUSEHOLD_WINTER, 2
        car.unit.teaching.counting.discard(1)
        assert finished(home, car, card).outcome is Outcome.DONE
        assert 1 in car.unit.teaching.counting


def test_a_unit_that_refuses_the_end_and_says_done_of_an_earlier_teaching_is_not_believed(
    home: Desk, car: PracticeCar
) -> None:
    plain = car.unit.answer

    def answer(request: bytes, now_s: float, functional: bool = False) -> tuple[Reply, ...]:
        if request[:2] == b"\x31\x02":
            return (Reply(0.005, b"\x7f\x31\x22"),)
        if request[:2] == b"\x31\x03":
            return (Reply(0.005, b"\x71\x03\x03\x10\x02"),)
        return plain(request, now_s, functional)

    car.unit.answer = answer  # type: ignore[method-assign]
    done = taught(home, car)
    assert done.outcome is Outcome.NOT_CONFIRMED
    assert not last(home).settled


def test_a_list_that_is_stored_a_while_after_the_end_is_waited_for(home: Desk, car: PracticeCar) -> None:
    plain, shown = car.unit.answer, list[bytes]()

    def answer(request: bytes, now_s: float, functional: bool = False) -> tuple[Reply, ...]:
        if request == b"\x22\x21\x10" and car.unit.teaching.result == 2 and len(shown) < 2:
            shown.append(request)
            return (Reply(0.005, b"\x62\x21\x10" + bytes_of(SUMMER)),)
        return plain(request, now_s, functional)

    car.unit.answer = answer  # type: ignore[method-assign]
    assert taught(home, car).outcome is Outcome.DONE
    assert len(shown) == 2
    assert car.unit.teaching.lists[1] == HOUSEHOLD_WINTER


def test_a_card_that_was_wrong_about_the_result_can_be_corrected(home: Desk, car: PracticeCar) -> None:
    wrong = replace(CARD, lists=(replace(LIST_1, done=b"\x07"), LIST_2))
    garage = home.loaded().garage
    with teaching(car, wrong) as talk:
        wanted = wanted_ids(garage, garage.sets["winter"], NOON.day, LIST_1)
        done = teach(Visit(home, "estate"), talk, wrong, drafted(talk, wrong.lists[0], wanted))
    assert done.outcome is Outcome.NOT_CONFIRMED
    assert finished(home, car).outcome is Outcome.DONE


@pytest.mark.parametrize("serial", ["TM7K004213", "TM7K999999"])
def test_what_can_be_neither_finished_nor_undone_is_accepted_on_the_owners_word(
    home: Desk, car: PracticeCar, serial: str
) -> None:
    broken_off(home, bytes_of(SUMMER), bytes_of(WINTER), ("begun", "written"))
    car.unit.serial, car.unit.teaching.lists[1] = serial, OTHERS
    sent: list[bytes] = []
    answering(car, lambda _: False, 0, sent)
    with teaching(car) as talk:
        with pytest.raises(BadRequest, match="say so"):
            accept(Visit(home, "estate"), talk, CARD, last(home))
        done = accept(Visit(home, "estate"), talk, CARD, last(home), owner_says=True)
        with pytest.raises(BadRequest, match="nothing to accept"):
            accept(Visit(home, "estate"), talk, CARD, last(home), owner_says=True)
    assert (done.outcome, done.holds) == (Outcome.ACCEPTED, bytes_of(OTHERS))
    assert done.statement.startswith("the car's list was left as it is, on the owner's word: 11 11 11 11")
    assert bytes_of(OTHERS).hex() in kept_lists(home)
    assert {request[0] for request in sent} == {0x22}
    assert last(home).settled
    assert taught(home, car).outcome is Outcome.DONE


def test_a_teaching_that_was_refused_hides_no_way_back(home: Desk, car: PracticeCar) -> None:
    taught(home, car)
    first = last(home)
    for refused in (b"\x10\x03", b"\x31\x01"):
        car.unit.answer = type(car.unit).answer.__get__(car.unit)  # type: ignore[method-assign]
        answering(car, lambda request, refused=refused: request.startswith(refused), 0x22)  # type: ignore[misc]
        garage = home.loaded().garage
        with teaching(car) as talk:
            wanted = wanted_ids(garage, garage.sets["summer"], NOON.day, LIST_1)
            assert teach(Visit(home, "estate"), talk, CARD, drafted(talk, LIST_1, wanted)).outcome is Outcome.AS_BEFORE
    car.unit.answer = type(car.unit).answer.__get__(car.unit)  # type: ignore[method-assign]
    assert way_back(records(home, "estate")) == first
    with teaching(car) as talk:
        assert undo(Visit(home, "estate"), talk, CARD, first).outcome is Outcome.AS_BEFORE
    assert car.unit.teaching.lists[1] == SUMMER
