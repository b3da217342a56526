"""Every row carries a checksum, in both databases: one that was changed past the program is told, and not made good."""

from __future__ import annotations

from pathlib import Path

import pytest
from sqlalchemy import select, text, update

from books import NOON
from wheelside.book import tables
from wheelside.book.book import Turn, at_book
from wheelside.book.checksum import NAME, amend, checksum_of, damaged
from wheelside.book.reading import Reading
from wheelside.book.readings import add_readings
from wheelside.errors import Outside
from wheelside.jobs.book import files
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.book.doors import come_in, new_key
from wheelside.units import GaugePressure, Temperature

ID = "1893077246"


def spoil(desk: Desk) -> None:
    with desk.book.quietly() as conn:
        conn.execute(text(f"update fact set body = replace(body, '{ID}', '1893077247')"))


def test_every_row_of_a_book_in_use_has_the_checksum_of_its_values(household_desk: Desk) -> None:
    with household_desk.writing("readings") as writing:
        add_readings(
            writing,
            [
                Reading(("wheel", "W1"), NOON.us + n, "gauge", GaugePressure(240), Temperature.from_celsius(n))
                for n in range(3)
            ],
        )
    come_in(household_desk, new_key(household_desk), "phone", "")
    with household_desk.book.reading() as conn:
        for table in tables.metadata.sorted_tables:
            assert NAME in table.c
            assert tuple(damaged(conn, table)) == ()
        assert conn.execute(select(tables.reading.c[NAME])).scalars().all() != []


def test_a_row_that_was_changed_past_the_program_is_told_by_check_and_when_it_is_opened(
    household_desk: Desk, place: str
) -> None:
    spoil(household_desk)
    (found,) = files.wrong(household_desk)
    assert found.startswith("a row is not as it was written: fact ")
    household_desk.close()
    with (
        pytest.raises(Outside, match=r"it is damaged .*bring back a back-up"),
        at_book(place, NOON, Path(household_desk.photos), Turn.NEVER),
    ):
        pass


def test_a_damaged_row_is_not_made_good_by_changing_it(household_desk: Desk) -> None:
    spoil(household_desk)
    f = tables.fact
    ended = select(f.c.num).where(f.c.until.is_not(None))
    with household_desk.book.reading() as conn:
        before = conn.execute(ended).all()
    with pytest.raises(Outside, match=r"fact .* is damaged"), household_desk.writing("a change") as writing:
        amend(writing.conn, f, f.c.body.contains("1893077247"), until=writing.entry)
    with household_desk.book.reading() as conn:
        assert conn.execute(ended).all() == before


def test_a_missing_checksum_is_damage(household_desk: Desk) -> None:
    with household_desk.book.quietly() as conn:
        conn.execute(update(tables.entry).values(checksum=None))
        assert len(tuple(damaged(conn, tables.entry))) == 2


def test_values_at_the_end_that_are_empty_count_for_nothing_and_each_other_value_counts() -> None:
    assert checksum_of("t", (1, "a", None)) == checksum_of("t", (1, "a"))
    others = ((1, "b"), (2, "a"), (None, 1, "a"), (1, "a", 0), (1.0, "a"))
    assert len({checksum_of("t", one) for one in ((1, "a"), *others)}) == 1 + len(others)
    assert checksum_of("t", (1,)) != checksum_of("u", (1,))
