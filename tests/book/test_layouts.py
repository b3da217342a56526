"""A book of the first layout, with rows in every table that it had, comes to today's by every way there is, and to the same rows."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import Connection, MetaData, Table, insert, inspect, text

from books import NOON
from wheelside.book import resum, tables
from wheelside.book.checksum import damaged
from wheelside.book.engine import engine_for, transaction
from wheelside.book.layout import NEWEST, bring_to, known_layouts, layout_of
from wheelside.jobs.book.desk import open_desk
from wheelside.jobs.book.files import wrong

DUMP = Path(__file__).parents[1] / "older" / "first-open.sql"
LAYOUTS = sorted(known_layouts())
FIRST = LAYOUTS[0]
JOB = "0000000000000001"
MORE = (
    "insert into reading values (1, 1795604400000000, 'gauge', 240.0, 0, 281.5, 0, 'gauge', 60, 1)",
    "insert into reading values (1, 1795604460000000, 'radio', 251.25, 0, NULL, NULL, NULL, 60, 1)",
    f"insert into job select '{JOB}', entry, title, day, body from job",
    f"insert into job_end values ('{JOB}', 1, 'given up', NULL)",
    "insert into reservation values (101, 1, 'W9', 'kestrel', 32, '0C41A7F4', 3, '2026-10-01', NULL)",
)
"""What the dump has no rows of."""
Rows = dict[str, list[tuple[object, ...]]]


def made(place: str) -> None:
    """A book as the first layout held it: the tables and columns that it had, with the rows of the oldest dump."""
    engine = engine_for(place)
    with closing(sqlite3.connect(":memory:")) as old, transaction(engine, place, writes=True) as conn:
        old.executescript(DUMP.read_text())
        bring_to(conn, FIRST)
        for name in (t.name for t in tables.metadata.sorted_tables if inspect(conn).has_table(t.name)):
            into = Table(name, MetaData(), autoload_with=conn)
            cursor = old.execute(f"select * from {name}")
            names = [c[0] for c in cursor.description]
            rows = [{k: v for k, v in zip(names, row, strict=True) if k in into.c} for row in cursor]
            if rows:
                conn.execute(insert(into), rows)
        for line in MORE:
            conn.execute(text(line))
        names = [n for n in inspect(conn).get_table_names() if n != "layout"]
        empty = [n for n in names if not conn.execute(text(f'select count(*) from "{n}"')).scalar_one()]
        assert empty == [], "every table has rows"
    engine.dispose()


def step(place: str, layout: str) -> None:
    engine = engine_for(place)
    with transaction(engine, place, writes=True) as conn:
        bring_to(conn, layout)
        assert layout_of(conn) == layout
    engine.dispose()


def opened(place: str, folder: Path) -> Rows:
    """All rows of the book there as today's program opens it, which is sound."""
    desk, _ = open_desk(place, folder / "photos")
    desk.clock = lambda: NOON
    with closing(desk):
        assert wrong(desk) == ()
        with desk.book.reading() as conn:
            assert layout_of(conn) == NEWEST
            assert [damage for t in tables.metadata.sorted_tables for damage in damaged(conn, t)] == []
            return rows_of(conn)


def rows_of(conn: Connection) -> Rows:
    return {
        t.name: sorted((tuple(row) for row in conn.execute(t.select())), key=repr)
        for t in tables.metadata.sorted_tables
    }


@pytest.fixture(scope="module")
def in_one_go(tmp_path_factory: pytest.TempPathFactory) -> Rows:
    """What the book comes to in one go, in a file."""
    folder = tmp_path_factory.mktemp("one")
    made(str(folder / "one.book"))
    return opened(str(folder / "one.book"), folder)


def test_a_book_of_the_first_layout_comes_to_the_same_step_by_step(in_one_go: Rows, place: str, tmp_path: Path) -> None:
    made(place)
    for layout in LAYOUTS[1:]:
        step(place, layout)
    assert opened(place, tmp_path) == in_one_go


@pytest.mark.parametrize("layout", LAYOUTS)
def test_a_book_is_opened_from_every_layout_on_the_way(layout: str, in_one_go: Rows, tmp_path: Path) -> None:
    place = str(tmp_path / "x.book")
    made(place)
    step(place, layout)
    assert opened(place, tmp_path) == in_one_go


def test_no_row_of_the_first_layout_is_lost_or_doubled_on_the_way(in_one_go: Rows, tmp_path: Path) -> None:
    place = str(tmp_path / "x.book")
    made(place)
    with closing(sqlite3.connect(place)) as raw:
        for name, rows in in_one_go.items():
            if raw.execute("select 1 from sqlite_master where name = ?", (name,)).fetchone():
                (count,) = raw.execute(f'select count(*) from "{name}"').fetchone()
                assert (name, count) == (name, len(rows))
        pressures = raw.execute("select at, channel, pressure_kpa, temperature_k from reading order by at").fetchall()
    wanted = [c.name for c in tables.reading.c].index
    columns = [wanted(name) for name in ("at", "channel", "pressure_kpa", "temperature_k")]
    now = sorted((tuple(row[n] for n in columns) for row in in_one_go["reading"]), key=repr)
    assert now == pressures


def test_a_row_that_was_damaged_is_not_made_good_by_new_checksums(
    place: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Summed again two rows at a time, so that a table is more than one handful."""
    monkeypatch.setattr(resum, "CHUNK", 2)
    made(place)
    step(place, "0011")
    engine = engine_for(place)
    with transaction(engine, place, writes=True) as conn:
        conn.execute(text("update reading set pressure_kpa = 240.5 where at = 1795604400000000"))
    step(place, "0012")
    with transaction(engine, place, writes=False) as conn:
        found = [damage for t in tables.metadata.sorted_tables for damage in damaged(conn, t)]
    engine.dispose()
    assert found == ["reading 1 1795604400000000 gauge"]
