"""Readings: what was measured at a wheel, or heard of a sensor. Many at once, each kept once."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import islice
from typing import Any, NamedTuple

from sqlalchemy import Connection, select, text

from wheelside.book import tables
from wheelside.book.entry import Writing
from wheelside.book.things import ThingKey, numbers_for
from wheelside.errors import BadRequest

CHUNK = 50_000
_COLUMNS = tuple(column.name for column in tables.reading.columns)
_TYPES = ["int8", "int8", "text", "float8", "int2", "float8", "int2", "text", "int2", "int8"]
_INSERT = "INSERT INTO reading VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT DO NOTHING"
FIRST_US, LAST_US = 315_532_800_000_000, 7_258_118_400_000_000
"""Readings are of the years 1980 to 2199."""


class Reading(NamedTuple):
    """One reading of a wheel or a sensor, in inside units; None where it was not taken.

    `absolute`: whether the pressure is against vacuum. `at_us` is its moment in microseconds since 1970, UTC.
    """

    subject: ThingKey
    at_us: int
    channel: str
    pressure_kpa: float | None = None
    absolute: bool = False
    temperature_k: float | None = None
    battery_low: bool | None = None
    instrument: str | None = None
    offset_min: int = 0


@dataclass(frozen=True, slots=True)
class Taken:
    """How many readings are new, how many were known already, and which say otherwise than one known of that moment."""

    new: int
    known: int
    differing: tuple[Reading, ...] = ()


def add_readings(writing: Writing, readings: Iterable[Reading]) -> Taken:
    """Keeps readings once each; one that differs from a known one of the same moment is not kept, but told.

    Raises BadRequest for a figure that no tyre has, with its number in the order given.
    """
    taken = Taken(0, 0)
    numbers: dict[ThingKey, int] = {}
    counted = 0
    rest = iter(readings)
    while chunk := list(islice(rest, CHUNK)):
        missing = {r.subject for r in chunk} - numbers.keys()
        if missing:
            numbers = numbers_for(writing, missing)
        rows = list(_rows(chunk, numbers, writing.entry, counted))
        kept = _put(writing.conn, rows)
        differing = _differing(writing.conn, chunk, rows) if kept < len(rows) else ()
        taken = Taken(taken.new + kept, taken.known + len(rows) - kept - len(differing), (*taken.differing, *differing))
        counted += len(chunk)
    return taken


def _rows(chunk: list[Reading], numbers: dict[ThingKey, int], entry: int, before: int) -> Iterator[tuple[Any, ...]]:
    n = before
    for r in chunk:
        n += 1
        pressure, kelvin = r.pressure_kpa, r.temperature_k
        if not (
            FIRST_US <= r.at_us <= LAST_US
            and (pressure is None or -200.0 <= pressure <= 2000.0)
            and (kelvin is None or 150.0 <= kelvin <= 600.0)
        ):
            raise _out_of_range(r, n)
        battery = None if r.battery_low is None else int(r.battery_low)
        yield (
            numbers[r.subject], r.at_us, r.channel, pressure, int(r.absolute), kelvin, battery, r.instrument,
            r.offset_min, entry,
        )  # fmt: skip


def _out_of_range(r: Reading, n: int) -> BadRequest:
    if not FIRST_US <= r.at_us <= LAST_US:
        what, expected = f"its moment is {r.at_us} µs", "a moment of the years 1980 to 2199"
    elif r.pressure_kpa is not None and not -200.0 <= r.pressure_kpa <= 2000.0:
        what, expected = f"its pressure is {r.pressure_kpa} kPa", "-200 to 2000 kPa"
    else:
        what, expected = f"its temperature is {r.temperature_k} K", "150 to 600 K"
    return BadRequest(
        f"reading {n}, of {r.subject[0]} {r.subject[1]}: {what}; expected {expected}. Nothing of these readings was kept",
        found=what,
        expected=expected,
    )


def _put(conn: Connection, rows: list[tuple[Any, ...]]) -> int:
    """Puts rows in, leaving out those whose key is there; how many went in."""
    return _put_sqlite(conn, rows) if conn.dialect.name == "sqlite" else _put_postgres(conn, rows)


def _put_sqlite(conn: Connection, rows: list[tuple[Any, ...]]) -> int:
    raw = conn.connection.driver_connection
    assert raw is not None, "a transaction has a connection"
    before = raw.total_changes
    # the conflict clause leaves alone what is there already; any other fault still raises
    conn.connection.cursor().executemany(_INSERT, rows)
    return int(raw.total_changes - before)


def _put_postgres(conn: Connection, rows: list[tuple[Any, ...]]) -> int:
    """By binary COPY; where some are known already, by way of a table of this transaction's own."""
    from psycopg.errors import UniqueViolation

    if len({row[:3] for row in rows}) == len(rows):
        conn.exec_driver_sql("SAVEPOINT fast")
        try:
            _copy(conn, "reading", rows)
        except UniqueViolation:
            conn.exec_driver_sql("ROLLBACK TO SAVEPOINT fast")
        else:
            conn.exec_driver_sql("RELEASE SAVEPOINT fast")
            return len(rows)
    conn.exec_driver_sql("CREATE TEMP TABLE IF NOT EXISTS incoming (LIKE reading) ON COMMIT DROP")
    conn.exec_driver_sql("TRUNCATE incoming")
    _copy(conn, "incoming", rows)
    done = conn.exec_driver_sql("INSERT INTO reading SELECT * FROM incoming ON CONFLICT DO NOTHING")
    return int(done.rowcount)


def _copy(conn: Connection, table: str, rows: list[tuple[Any, ...]]) -> None:
    raw: Any = conn.connection.driver_connection
    with (
        raw.cursor() as cursor,
        cursor.copy(f"COPY {table} ({', '.join(_COLUMNS)}) FROM STDIN (FORMAT BINARY)") as copy,
    ):
        copy.set_types(_TYPES)
        for row in rows:
            copy.write_row(row)


def _differing(conn: Connection, chunk: list[Reading], rows: list[tuple[Any, ...]]) -> tuple[Reading, ...]:
    """Those of a chunk that a known reading of the same subject, moment and channel contradicts."""
    r = tables.reading.c
    subjects = {row[0] for row in rows}
    first, last = min(row[1] for row in rows), max(row[1] for row in rows)
    query = select(r.subject, r.at, r.channel, r.pressure_kpa, r.temperature_k)
    query = query.where(r.subject.in_(subjects), r.at.between(first, last))
    known = {tuple(row[:3]): (row[3], row[4]) for row in conn.execute(query)}
    return tuple(
        reading
        for reading, row in zip(chunk, rows, strict=True)
        if not all(map(_same, known[row[:3]], (row[3], row[5])))
    )


def _same(one: float | None, other: float | None) -> bool:
    return one == other if one is None or other is None else math.isclose(one, other, rel_tol=1e-9, abs_tol=1e-9)


def all_readings(conn: Connection, kind: str | None = None, key: str | None = None) -> Iterator[Reading]:
    """Readings in the order of subject and time; those of one thing where it is named."""
    query = (
        "SELECT t.kind, t.key, r.at, r.channel, r.pressure_kpa, r.absolute, r.temperature_k, r.battery_low, r.instrument,"
        " r.offset_min FROM reading r JOIN thing t ON t.num = r.subject"
    )
    if kind is not None:
        query += " WHERE t.kind = :kind AND t.key = :key"
    query += " ORDER BY t.kind, t.key, r.at, r.channel"
    named = {"kind": kind, "key": key} if kind else {}
    rows = conn.execute(text(query), named, execution_options={"yield_per": 10_000})
    for row in rows:
        battery = None if row[7] is None else bool(row[7])
        yield Reading((row[0], row[1]), row[2], row[3], row[4], bool(row[5]), row[6], battery, row[8], row[9])
