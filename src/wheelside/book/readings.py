"""Readings: what was measured at a wheel, or heard of a sensor. Many at once, each kept once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import compress, islice
from typing import Any, NamedTuple

from sqlalchemy import Connection, select, text

from wheelside.book import tables
from wheelside.book.entry import Writing
from wheelside.book.mistaken import Why, put_mistaken, same_figure, without_mistaken
from wheelside.book.things import ThingKey, numbers_for
from wheelside.errors import BadRequest

CHUNK = 50_000
_COLUMNS = tuple(column.name for column in tables.reading.columns)
_TYPES = ["int8", "int8", "text", "float8", "int2", "float8", "int2", "text", "int2", "int8"]
_INSERT = "INSERT INTO reading VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT DO NOTHING"
FIRST_US, LAST_US = 315_532_800_000_000, 7_258_118_400_000_000
"""Readings are of the years 1980 to 2199."""
LEAST_KPA, MOST_KPA, LEAST_K, MOST_K = -200.0, 2000.0, 150.0, 600.0
"""What a reading can say at all, whoever vouches for it."""


def keepable(kpa: float | None, kelvin: float | None) -> bool:
    """Whether a book can keep such figures."""
    return (kpa is None or LEAST_KPA <= kpa <= MOST_KPA) and (kelvin is None or LEAST_K <= kelvin <= MOST_K)


class Reading(NamedTuple):
    """One reading of a wheel or a sensor, in inside units; None where it was not taken.

    `absolute`: whether the pressure is against vacuum. `at_us` is its moment in microseconds since 1970, UTC.
    `mistaken`: why it is marked as noted by mistake (a value of `Why`), '' for one that counts.
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
    mistaken: str = ""


@dataclass(frozen=True, slots=True)
class Taken:
    """How many readings are new, how many were known already, and which say otherwise than one known of that moment.

    `mistaken`: how many say the same as one that was marked as noted by mistake, and are not kept again.
    """

    new: int
    known: int
    differing: tuple[Reading, ...] = ()
    mistaken: int = 0

    def plus(self, other: Taken) -> Taken:
        """Both together."""
        return Taken(
            self.new + other.new,
            self.known + other.known,
            (*self.differing, *other.differing),
            self.mistaken + other.mistaken,
        )


def add_readings(writing: Writing, readings: Iterable[Reading], *, as_it_is: bool = False) -> Taken:
    """Keeps readings once each; one that differs from a known one of the same moment is not kept, but told.

    One that says the same as a mistaken one is not kept again, unless it is to be kept as it is. Raises BadRequest for a
    figure that no tyre has, with its number in the order given.
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
        taken = taken.plus(_taken(writing, chunk, rows, as_it_is=as_it_is))
        counted += len(chunk)
    return taken


def _taken(writing: Writing, chunk: list[Reading], rows: list[tuple[Any, ...]], *, as_it_is: bool) -> Taken:
    """What becomes of the rows of one chunk."""
    marked = [(row, Why(r.mistaken)) for r, row in zip(chunk, rows, strict=True) if r.mistaken]
    new = put_mistaken(writing, marked) if marked else 0
    counting = [not r.mistaken for r in chunk]
    wanted = (
        counting if as_it_is else [a and b for a, b in zip(counting, without_mistaken(writing.conn, rows), strict=True)]
    )
    again = sum(counting) - sum(wanted)
    chunk, rows = list(compress(chunk, wanted)), list(compress(rows, wanted))
    kept = _put(writing.conn, rows) if rows else 0
    differing = _differing(writing.conn, chunk, rows) if kept < len(rows) else ()
    known = len(rows) - kept - len(differing) + len(marked) - new
    return Taken(kept + new, known, differing, again)


def _rows(chunk: list[Reading], numbers: dict[ThingKey, int], entry: int, before: int) -> Iterator[tuple[Any, ...]]:
    n = before
    for r in chunk:
        n += 1
        pressure, kelvin = r.pressure_kpa, r.temperature_k
        if not (FIRST_US <= r.at_us <= LAST_US and keepable(pressure, kelvin)):
            raise _out_of_range(r, n)
        battery = None if r.battery_low is None else int(r.battery_low)
        yield (
            numbers[r.subject], r.at_us, r.channel, pressure, int(r.absolute), kelvin, battery, r.instrument,
            r.offset_min, entry,
        )  # fmt: skip


def _out_of_range(r: Reading, n: int) -> BadRequest:
    if not FIRST_US <= r.at_us <= LAST_US:
        what, expected = f"its moment is {r.at_us} µs", "a moment of the years 1980 to 2199"
    elif not keepable(r.pressure_kpa, None):
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
        if not all(map(same_figure, known[row[:3]], (row[3], row[5])))
    )


def all_readings(conn: Connection, kind: str | None = None, key: str | None = None) -> Iterator[Reading]:
    """Readings in the order of subject and time, mistaken ones marked so; those of one thing where it is named."""
    columns = "r.subject, r.at, r.channel, r.pressure_kpa, r.absolute, r.temperature_k, r.battery_low, r.instrument, r.offset_min"
    where = "" if kind is None else " WHERE r.subject = (SELECT num FROM thing WHERE kind = :kind AND key = :key)"
    query = (
        "SELECT t.kind, t.key, r.at, r.channel, r.pressure_kpa, r.absolute, r.temperature_k, r.battery_low, r.instrument,"  # noqa: S608
        f" r.offset_min, r.why FROM (SELECT {columns}, '' AS why, 0 AS num FROM reading r{where}"
        f" UNION ALL SELECT {columns}, r.why, r.num FROM mistaken r{where}) r JOIN thing t ON t.num = r.subject"
        " ORDER BY t.kind, t.key, r.at, r.channel, r.num"
    )
    named = {"kind": kind, "key": key} if kind else {}
    rows = conn.execute(text(query), named, execution_options={"yield_per": 10_000})
    for row in rows:
        battery = None if row[7] is None else bool(row[7])
        yield Reading((row[0], row[1]), row[2], row[3], row[4], bool(row[5]), row[6], battery, row[8], row[9], row[10])
