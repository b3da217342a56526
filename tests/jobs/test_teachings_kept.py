"""Teachings that an older book has in sentences read the same after the migration, and no decision goes by a wording."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from sqlalchemy import text

from books import NOON
from cars import CARD, MARK, broken_off, last, suited_household, taught, undone
from wheelside.book.book import open_book
from wheelside.book.cars import records_of
from wheelside.book.engine import engine_for, transaction
from wheelside.book.layout import bring_to
from wheelside.car import taught as words
from wheelside.car.taught import Outcome, Stage
from wheelside.demo.practice import practice_car
from wheelside.demo.practice.told import SUMMER, WINTER
from wheelside.demo.practice.wheels import bytes_of
from wheelside.errors import Meanwhile
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.book.files import take_in_text
from wheelside.jobs.car.teach import refuse_unsettled, row_text
from wheelside.jobs.car.visit import KeptTeaching, Visit, teachings, way_back

OLD, NEW = bytes_of(SUMMER), bytes_of(WINTER)
UNREAD = "what the car holds is not known: it could not be read after the step "
SILENT = "no answer to 22 21 10 from 6A3/6AB within 1 s; ignition on? the right unit?"
Said = tuple[str, ...]

AS_BEFORE: tuple[tuple[tuple[str, ...], Said], ...] = (
    (("old list kept", "extended session", "begun", "written", "finished", "read back", "ended: the new list is in the car"),
     (f"the new list is in the car: {NEW.hex(' ').upper()} was read from it.", SILENT)),
    (("begun", "written", "undoing", "ended: the old list is in the car"),
     (f"the old list is in the car: {OLD.hex(' ').upper()} was read from it.",)),
    (("begun", "ended: what the car holds is not known"), (f"{UNREAD}'begun'.", SILENT)),
    (("old list kept", "extended session", "ended: what the car holds is not known"),
     (f"{UNREAD}'extended session'. Nothing was written into it.",)),
    (("begun", "written", "ended: the car holds neither the old list nor the new one"),
     ("the car holds neither the old list nor the new one: FF FF was read from it.",)),
    (("begun", "written", "undoing", "ended: the old list is in the car, and the car does not say that it counts"), ()),
    (("begun", "written", "undoing", "ended: the new list is in the car, and the car does not say that it counts"), ()),
    (("begun", "ended: the car's list was left as it is, on the owner's word"),
     ("the car's list was left as it is, on the owner's word: it could not be read after the step 'begun'.", SILENT)),
    (("old list kept", "ended: nothing was written"), ()),
    (("old list kept", "extended session", "begun"), ()),
    ((), ()),
    (("begun", "ended: a wording that nobody knows"), ("whatever was said: then.",)),
    (("old list kept", "a stage that nobody knows"), ()),
)  # fmt: skip
"""Teachings as layout 0004 kept them: stages, an end's data behind a colon; and what was said of the car in the end."""

SETTLED = (True, True, False, True, False, False, False, True, True, False, True, False, False)
"""Worked out by hand: the new or the old list in the car, the owner's word, or a car that was not touched."""
TOUCHED = (True, True, True, False, True, True, True, True, False, True, False, True, True)


def old_book(place: str, folder: Path) -> tuple[KeptTeaching, ...]:
    """What a book of layout 0004 with those teachings, one list each, reads as after it was opened."""
    engine = engine_for(place)
    with transaction(engine, place, writes=True) as conn:
        bring_to(conn, "0004")
        conn.execute(text("insert into book values ('b1', 1, 'aa')"))
        conn.execute(text("insert into entry values (1, 5, 0, 'Ada', 'test', 'first', NULL)"))
        num = 0

        def keep(what: str, body: dict[str, object]) -> int:
            nonlocal num
            num += 1
            row = {"num": num, "at": NOON.us, "what": what, "body": json.dumps(body, sort_keys=True)}
            conn.execute(text("insert into car_record values (:num, 'estate', 'v1', :at, 60, :what, :body, 1)"), row)
            return num

        for n, (stages, said) in enumerate(AS_BEFORE):
            row = row_text(replace(CARD.lists[0], name=f"list {n}"))
            of = keep(
                "teaching",
                {"card": "practice", "list": f"list {n}", "row": row, "mark": MARK, "old": OLD.hex(), "new": NEW.hex()},
            )
            for stage in stages:
                name, _, data = stage.partition(": ")
                keep("stage", {"of": of, "stage": name, "data": data})
            if said:
                keep("what came of it", {"of": of, "lines": list(said)})
    engine.dispose()
    book, backup = open_book(place, NOON, folder / "photos")
    assert backup is not None
    with book.reading() as conn:
        found = teachings(records_of(conn, "estate"))
    book.close()
    return found


@pytest.fixture
def found(place: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> tuple[KeptTeaching, ...]:
    monkeypatch.chdir(tmp_path)
    return old_book(place, tmp_path)


def test_teachings_in_sentences_are_judged_after_the_migration_as_they_were_before(
    found: tuple[KeptTeaching, ...],
) -> None:
    assert tuple(one.settled for one in found) == SETTLED
    assert tuple(one.touched for one in found) == TOUCHED
    assert [n for n, one in enumerate(found) if one.undone] == [1]
    assert [n for n, one in enumerate(found) if one.end_answered] == [0]


def test_teachings_in_sentences_are_told_after_the_migration_in_the_words_of_before(
    found: tuple[KeptTeaching, ...],
) -> None:
    for one, (stages, said) in zip(found, AS_BEFORE, strict=True):
        assert one.told == said
        name, _, data = (stages[-1] if stages else "").partition(": ")
        assert (one.came_to, one.ended_so) == (name, data)


def test_what_no_code_is_known_for_stays_as_it_was_said_and_settles_nothing(found: tuple[KeptTeaching, ...]) -> None:
    assert (found[11].ended, found[11].outcome, found[11].settled) == ("a wording that nobody knows", None, False)
    assert (found[12].stages[-1], found[12].last_stage, found[12].settled) == ("a stage that nobody knows", None, False)


def test_the_words_of_still_older_books_mean_the_same_ends() -> None:
    from importlib import import_module

    step = import_module("wheelside.book.migrations.versions.0006_teachings")
    ended = [step.stage_now({"of": 1, "stage": "ended", "data": data})["data"] for data in (
        "the old list is written back, and the car does not say that it counts",
        "the new list is written, and the car does not say that it counts",
        "it was left as it is, on the owner's word",
    )]  # fmt: skip
    assert ended == ["old-list-not-confirmed", "new-list-not-confirmed", "accepted"]


@pytest.fixture
def home(desk: Desk) -> Desk:
    take_in_text(desk, suited_household(), "household.toml")
    return desk


@pytest.mark.parametrize("reworded", [*Stage, *Outcome], ids=str)
def test_rewording_any_sentence_changes_no_decision(
    found: tuple[KeptTeaching, ...], reworded: Stage | Outcome, monkeypatch: pytest.MonkeyPatch
) -> None:
    table: dict[str, str] = getattr(words, "_STAGES" if isinstance(reworded, Stage) else "_OUTCOMES")
    monkeypatch.setitem(table, reworded, "brillig")
    assert tuple((one.settled, one.touched) for one in found) == tuple(zip(SETTLED, TOUCHED, strict=True))
    assert [n for n, one in enumerate(found) if one.undone] == [1]


def test_with_all_words_changed_a_car_is_taught_undone_and_taught_anew(
    home: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    car = practice_car()
    assert taught(home, car).outcome is Outcome.DONE
    monkeypatch.setattr(words, "_STAGES", dict.fromkeys(Stage, "slithy"))
    monkeypatch.setattr(words, "_OUTCOMES", dict.fromkeys(Outcome, "tove"))
    assert last(home).settled
    assert undone(home, car).outcome is Outcome.AS_BEFORE
    with home.book.reading() as conn:
        known = way_back(records_of(conn, "estate"))
        bodies = "".join(conn.execute(text("select body from car_record")).scalars())
    assert known is not None
    assert known.settled
    assert "slithy" not in bodies
    assert "tove" not in bodies
    assert taught(home, car).outcome is Outcome.DONE
    refuse_unsettled(Visit(home, "estate"))
    broken_off(home, OLD, NEW, (Stage.BEGUN,))
    with pytest.raises(Meanwhile):
        refuse_unsettled(Visit(home, "estate"))


@pytest.mark.parametrize("one", [*Stage, *Outcome], ids=str)
def test_every_code_has_words(one: Stage | Outcome) -> None:
    assert one.words
    assert one.words != "?"
