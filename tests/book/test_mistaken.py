"""A reading noted by mistake is marked and kept; nothing that looks at pressures uses it; a right one can be kept then."""

from __future__ import annotations

from pathlib import Path

import pytest
from sqlalchemy import text

from books import NOON, later
from spoken import words
from wheelside.book.book import open_book
from wheelside.book.engine import engine_for, transaction
from wheelside.book.events import last_gauged, last_pressures, wheel_history
from wheelside.book.layout import bring_to
from wheelside.book.mistaken import WORDS, Why, mark_mistaken
from wheelside.book.reading import Reading
from wheelside.book.readings import add_readings, all_readings
from wheelside.errors import NotThere
from wheelside.jobs.book import files
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.book.readings_in import take_in_readings
from wheelside.jobs.book.told import told
from wheelside.jobs.work.agenda import agenda
from wheelside.units import GaugePressure, UnitChoice

WRONG = Reading(("wheel", "S1"), NOON.us, "gauge", GaugePressure(2.4), offset_min=60)
EARLIER = later(-20 * 24 * 60)
RIGHT = WRONG._replace(pressure=GaugePressure(240.0))


@pytest.fixture
def marked(household_desk: Desk) -> Desk:
    with household_desk.writing("first", person="Ada") as writing:
        add_readings(writing, [WRONG, WRONG._replace(at_us=EARLIER.us, pressure=GaugePressure(230.0))])
    household_desk.clock = lambda: later(30)
    with household_desk.writing("marked", person="Bo") as writing:
        mark_mistaken(writing, WRONG.subject, WRONG.at_us, WRONG.channel, Why.UNIT)
    return household_desk


def kept(desk: Desk) -> list[Reading]:
    with desk.book.reading() as conn:
        return list(all_readings(conn, "wheel", "S1"))


def test_both_are_kept_and_the_right_one_counts(marked: Desk) -> None:
    with marked.writing("right") as writing:
        assert add_readings(writing, [RIGHT]).new == 1
    assert [(r.pressure.kpa if r.pressure else None, r.mistaken) for r in kept(marked)] == [
        (230.0, ""),
        (240.0, ""),
        (2.4, "unit"),
    ]
    with marked.book.reading() as conn:
        assert last_pressures(conn)["S1"] == (NOON.us, GaugePressure(240.0))


def test_nothing_that_looks_at_pressures_uses_a_mistaken_one(marked: Desk) -> None:
    with marked.book.reading() as conn:
        assert last_pressures(conn)["S1"] == (EARLIER.us, GaugePressure(230.0))
        assert last_gauged(conn)["S1"] == EARLIER.us
    (check,) = [d for d in agenda(marked) if words(d.title).startswith("Check the pressures")]
    assert str(EARLIER.day) in words(check.text)


def test_the_history_shows_it_as_mistaken_with_who_when_and_why(marked: Desk) -> None:
    with marked.book.reading() as conn:
        (line,) = [one for one in wheel_history(conn, "S1") if one.mistaken]
    assert (line.person, line.marked_by, line.mistaken, line.marked) == ("Ada", "Bo", "unit", later(30))
    assert "noted by mistake (wrong unit), says Bo on 2026-11-25 12:30" in told(line, UnitChoice(), {})


def test_the_same_mistake_is_not_made_twice_unless_it_was_none(marked: Desk) -> None:
    with marked.writing("again") as writing:
        taken = add_readings(writing, [WRONG, RIGHT])
    assert (taken.new, taken.known, taken.mistaken) == (1, 0, 1)
    with marked.writing("it was so") as writing:
        mark_mistaken(writing, RIGHT.subject, RIGHT.at_us, RIGHT.channel, Why.OTHER)
        assert add_readings(writing, [WRONG], as_it_is=True).new == 1
    assert [(r.pressure.kpa if r.pressure else None, r.mistaken) for r in kept(marked)][1:] == [
        (2.4, ""),
        (2.4, "unit"),
        (240.0, "other"),
    ]


def test_a_reading_is_marked_once(marked: Desk) -> None:
    for at, channel in ((WRONG.at_us, "gauge"), (WRONG.at_us + 1, "gauge"), (WRONG.at_us, "typed")):
        with pytest.raises(NotThere, match="no such reading"), marked.writing("x") as writing:
            mark_mistaken(writing, WRONG.subject, at, channel, Why.UNIT)
    assert len(kept(marked)) == 2


@pytest.mark.parametrize("suffix", [".csv", ".jsonl", ".parquet"])
def test_an_export_marks_it_and_comes_back_so(marked: Desk, tmp_path: Path, suffix: str) -> None:
    with marked.writing("right") as writing:
        add_readings(writing, [RIGHT])
    before = kept(marked)
    files.give_out_readings(marked, tmp_path / f"r{suffix}")
    with marked.book.quietly() as conn:
        conn.execute(text("delete from reading"))
        conn.execute(text("delete from mistaken"))
    again = take_in_readings(marked, tmp_path / f"r{suffix}")
    assert (again.new, again.known, kept(marked)) == (3, 0, before)
    assert take_in_readings(marked, tmp_path / f"r{suffix}").known == 3


def test_a_mark_comes_along_in_a_back_up_and_the_book_is_sound(marked: Desk, tmp_path: Path) -> None:
    files.back_up(marked, tmp_path / "b.zip")
    other, made = files.restore(tmp_path / "b.zip", str(tmp_path / "again.book"), tmp_path / "p")
    assert (made.rows["mistaken"], kept(other), files.wrong(other)) == (1, kept(marked), ())
    with other.book.quietly() as conn:
        conn.execute(text("update mistaken set num = 7"))
    assert "mistaken readings are missing: mistaken" in files.wrong(other)
    other.close()


def test_a_book_of_layout_0003_keeps_its_readings(place: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    engine = engine_for(place)
    with transaction(engine, place, writes=True) as conn:
        bring_to(conn, "0003")
        conn.execute(text("insert into book values ('b1', 1, 'aa')"))
        conn.execute(text("insert into entry values (1, 5, 0, 'Ada', 'test', 'first', NULL)"))
        conn.execute(text("insert into thing values (1, 'wheel', 'S1')"))
        conn.execute(text(f"insert into reading values (1, {NOON.us}, 'gauge', 2.4, 0, NULL, NULL, NULL, 60, 1)"))
    engine.dispose()
    monkeypatch.chdir(tmp_path)
    book, backup = open_book(place, NOON, tmp_path / "photos")
    assert backup is not None
    with book.reading() as conn:
        assert list(all_readings(conn)) == [WRONG]
    book.close()


def test_every_reason_has_its_words() -> None:
    assert set(WORDS) == set(Why)
