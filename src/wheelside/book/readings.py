"""Readings: what was measured at a wheel, or heard of a sensor. Many at once, each kept once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import compress, islice
from typing import Any

from sqlalchemy import Connection, select, text

from wheelside.book import tables
from wheelside.book.checksum import NAME, summing
from wheelside.book.entry import Writing
from wheelside.book.mistaken import Why, mistaken_of, put_mistaken, same_figure, same_figures
from wheelside.book.reading import NOTED, SHORT, Reading, reading_in, row_of, unkeepable, whole
from wheelside.book.things import ThingKey, numbers_for
from wheelside.errors import BadRequest

CHUNK = 50_000
_COLUMNS = tuple(column.name for column in tables.reading.columns if column.name != NAME)
_TYPES = [
    "int8", "int8", "text", "float8", "int2", "float8", "int2", "text", "int2", "int8",
    "text", "text", "float8", "float8", "text", "float8", "text",
]  # fmt: skip


def _insert(columns: tuple[str, ...]) -> str:
    marks = ", ".join("?" * (len(columns) + 1))
    return f"INSERT INTO reading ({', '.join(columns)}, {NAME}) VALUES ({marks}) ON CONFLICT DO NOTHING"  # noqa: S608  names of ours


_SHORT, _LONG = _insert(_COLUMNS[:SHORT]), _insert(_COLUMNS)


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
    counting = [not r.mistaken for r in chunk] if marked else [True] * len(chunk)
    wanted = counting
    if not as_it_is and (mistaken := mistaken_of(writing.conn, rows)):
        wanted = [a and not mistaken(row) for a, row in zip(counting, rows, strict=True)]
    again = sum(counting) - sum(wanted)
    if not all(wanted):
        chunk, rows = list(compress(chunk, wanted)), list(compress(rows, wanted))
    kept = _put(writing.conn, rows) if rows else 0
    differing = _differing(writing.conn, chunk, rows) if kept < len(rows) else ()
    known = len(rows) - kept - len(differing) + len(marked) - new
    return Taken(kept + new, known, differing, again)


def _rows(chunk: list[Reading], numbers: dict[ThingKey, int], entry: int, before: int) -> Iterator[tuple[Any, ...]]:
    for n, r in enumerate(chunk, start=before + 1):
        if wrong := unkeepable(r):
            raise _out_of_range(r, n, *wrong)
        yield row_of(r, numbers[r.subject], entry)


def _out_of_range(r: Reading, n: int, what: str, expected: str) -> BadRequest:
    return BadRequest(
        f"reading {n}, of {r.subject[0]} {r.subject[1]}: {what}; expected {expected}. Nothing of these readings was kept",
        found=what,
        expected=expected,
    )


def _put(conn: Connection, rows: list[tuple[Any, ...]]) -> int:
    """Puts rows in, leaving out those whose key is there; how many went in."""
    columns = _COLUMNS[:SHORT]
    if max(map(len, rows)) > SHORT:
        rows, columns = list(map(whole, rows)), _COLUMNS
    sum_of = summing("reading")
    summed = [(*row, sum_of(row)) for row in rows]
    return _put_sqlite(conn, summed, columns) if conn.dialect.name == "sqlite" else _put_postgres(conn, summed, columns)


def _put_sqlite(conn: Connection, rows: list[tuple[Any, ...]], columns: tuple[str, ...]) -> int:
    raw = conn.connection.driver_connection
    assert raw is not None, "a transaction has a connection"
    before = raw.total_changes
    # the conflict clause leaves alone what is there already; any other fault still raises
    conn.connection.cursor().executemany(_SHORT if columns is not _COLUMNS else _LONG, rows)
    return int(raw.total_changes - before)


def _put_postgres(conn: Connection, rows: list[tuple[Any, ...]], columns: tuple[str, ...]) -> int:
    """By binary COPY; where some are known already, by way of a table of this transaction's own."""
    from psycopg.errors import UniqueViolation

    if len({row[:3] for row in rows}) == len(rows):
        conn.exec_driver_sql("SAVEPOINT fast")
        try:
            _copy(conn, "reading", rows, columns)
        except UniqueViolation:
            conn.exec_driver_sql("ROLLBACK TO SAVEPOINT fast")
        else:
            conn.exec_driver_sql("RELEASE SAVEPOINT fast")
            return len(rows)
    conn.exec_driver_sql("CREATE TEMP TABLE IF NOT EXISTS incoming (LIKE reading) ON COMMIT DROP")
    conn.exec_driver_sql("TRUNCATE incoming")
    _copy(conn, "incoming", rows, columns)
    done = conn.exec_driver_sql("INSERT INTO reading SELECT * FROM incoming ON CONFLICT DO NOTHING")
    return int(done.rowcount)


def _copy(conn: Connection, table: str, rows: list[tuple[Any, ...]], columns: tuple[str, ...]) -> None:
    raw: Any = conn.connection.driver_connection
    with (
        raw.cursor() as cursor,
        cursor.copy(f"COPY {table} ({', '.join(columns)}, {NAME}) FROM STDIN (FORMAT BINARY)") as copy,
    ):
        copy.set_types([*_TYPES[: len(columns)], "int8"])
        for row in rows:
            copy.write_row(row)


def _differing(conn: Connection, chunk: list[Reading], rows: list[tuple[Any, ...]]) -> tuple[Reading, ...]:
    """Those of a chunk that a known reading of the same subject, moment and channel contradicts."""
    r = tables.reading.c
    subjects = {row[0] for row in rows}
    first, last = min(row[1] for row in rows), max(row[1] for row in rows)
    query = select(*(r[name] for name in _COLUMNS)).where(r.subject.in_(subjects), r.at.between(first, last))
    known = {tuple(row[:3]): tuple(row) for row in conn.execute(query)}
    return tuple(reading for reading, row in zip(chunk, rows, strict=True) if _contradicts(row, known[row[:3]]))


def _contradicts(row: tuple[Any, ...], known: tuple[Any, ...]) -> bool:
    """Whether a row has another pressure or temperature than a known one, or says otherwise something more that it says."""
    if not same_figures(row, known):
        return True
    return any(
        new is not None and not (same_figure(new, old) if isinstance(new, float) else new == old)
        for new, old in zip(row[SHORT:], known[SHORT:], strict=False)
    )


_READ = ", ".join(f"r.{name}" for name in NOTED)


def all_readings(conn: Connection, kind: str | None = None, key: str | None = None) -> Iterator[Reading]:
    """Readings in the order of subject and time, mistaken ones marked so; those of one thing where it is named."""
    columns = f"r.subject, r.at, r.channel, {_READ}"
    where = "" if kind is None else " WHERE r.subject = (SELECT num FROM thing WHERE kind = :kind AND key = :key)"
    query = (
        f"SELECT t.kind, t.key, r.at, r.channel, r.why, {_READ} FROM"  # noqa: S608  names of columns of ours
        f" (SELECT {columns}, '' AS why, 0 AS num FROM reading r{where}"
        f" UNION ALL SELECT {columns}, r.why, r.num FROM mistaken r{where}) r JOIN thing t ON t.num = r.subject"
        " ORDER BY t.kind, t.key, r.at, r.channel, r.num"
    )
    named = {"kind": kind, "key": key} if kind else {}
    rows = conn.execute(text(query), named, execution_options={"yield_per": 10_000})
    for row in rows:
        yield reading_in((row[0], row[1]), row[2], row[3], row[5:], row[4])
