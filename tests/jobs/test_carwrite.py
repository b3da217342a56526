"""There is one way into a car's list: it is shown first, and written only at the owner's word, given to what was shown."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

from books import NOON
from cars import CARD, answering, suited_home, teaching
from wheelside.car.conditions import Condition
from wheelside.car.draft import Draft
from wheelside.car.taught import Outcome
from wheelside.demo.practice import PracticeCar, practice_car
from wheelside.demo.practice.told import SUMMER
from wheelside.demo.practice.wheels import Ids
from wheelside.errors import BadRequest, Meanwhile
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.car.teach import wanted_ids
from wheelside.jobs.car.visit import Visit, last_teachings, records
from wheelside.jobs.car.write import GoAhead, ListWritten, write_list

LIST_1 = CARD.lists[0]
SOURCES = Path(__file__).parents[2] / "src" / "wheelside"
SCREENS = sorted(p for room in ("cli", "web", "demo") for p in (SOURCES / room).rglob("*.py"))


@pytest.fixture(autouse=True)
def short_pauses(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("wheelside.car.teach.RESULT_PAUSE_S", 0.01)


@pytest.fixture
def home(tmp_path: Path) -> Iterator[Desk]:
    yield from suited_home(tmp_path)


@pytest.fixture
def car() -> PracticeCar:
    return practice_car()


def written(
    home: Desk, car: PracticeCar, word: GoAhead | None, seen: list[tuple[Ids, bool]] | None = None
) -> ListWritten:
    """What comes of the winter set for the first list; `seen`: what the list held when it was shown, and whether it would change."""
    garage = home.loaded().garage
    wanted = wanted_ids(garage, garage.sets["winter"], NOON.day, LIST_1)

    def show(draft: Draft, _: tuple[Condition, ...]) -> None:
        if seen is not None:
            seen.append((car.unit.teaching.lists[1], draft.changes))

    with teaching(car) as talk:
        return write_list(Visit(home, "estate"), talk, CARD, LIST_1, wanted, word, show=show)


def test_without_a_word_only_questions_are_asked_and_nothing_is_kept(home: Desk, car: PracticeCar) -> None:
    sent: list[bytes] = []
    answering(car, lambda _: False, 0, sent)
    made = written(home, car, None)
    assert made.taught is None
    assert made.draft.changes
    assert {request[0] for request in sent} <= {
        0x22,
        0x3E,
    }  # read data by identifier, tester present: ISO 14229-1, table 2
    assert car.unit.teaching.lists[1] == SUMMER
    assert last_teachings(records(home, "estate")) == ()


def test_a_list_is_shown_before_it_is_written(home: Desk, car: PracticeCar) -> None:
    seen: list[tuple[Ids, bool]] = []
    made = written(home, car, GoAhead(), seen)
    assert seen == [(SUMMER, True)]
    assert made.taught is not None
    assert made.taught.outcome is Outcome.DONE
    assert car.unit.teaching.lists[1] != SUMMER


def test_a_word_counts_for_what_was_seen_only(home: Desk, car: PracticeCar) -> None:
    before = written(home, car, None).draft
    seen = (before.old.raw.hex(), before.new.hex())
    car.unit.teaching.lists[1] = others = (0x11111111, 0x22222222, 0x33333333, 0x44444444)
    with pytest.raises(Meanwhile, match="look at it again"):
        written(home, car, GoAhead(seen=seen))
    assert car.unit.teaching.lists[1] == others
    car.unit.teaching.lists[1] = SUMMER
    assert written(home, car, GoAhead(seen=seen)).taught is not None


def test_a_list_that_holds_the_ids_already_is_not_written(home: Desk, car: PracticeCar) -> None:
    written(home, car, GoAhead())
    again = written(home, car, GoAhead())
    assert (again.taught, again.draft.changes) == (None, False)
    assert len(last_teachings(records(home, "estate"))) == 1


def test_what_the_car_does_not_tell_needs_the_owners_word(home: Desk, car: PracticeCar) -> None:
    car.around.speed_kmh = 30
    with pytest.raises(BadRequest, match="Nothing was written"):
        written(home, car, GoAhead(sure=True))
    assert car.unit.teaching.lists[1] == SUMMER


def other_ways(file: Path) -> set[str]:
    """What a file takes from below the one way in."""
    tree = list(ast.walk(ast.parse(file.read_text(encoding="utf-8"))))
    imported = {
        one.name
        for node in tree
        if isinstance(node, ast.ImportFrom)
        and (node.module or "").startswith(("wheelside.jobs.car.", "wheelside.car."))
        for one in node.names
    }
    reached = {node.attr for node in tree if isinstance(node, ast.Attribute) and ast.unparse(node.value) == "carteach"}
    return (imported | reached) & {"teach", "drafted", "carry_out"}


def test_no_screen_goes_another_way_into_a_list() -> None:
    assert len(SCREENS) > 50
    assert {str(file): found for file in SCREENS if (found := other_ways(file))} == {}
