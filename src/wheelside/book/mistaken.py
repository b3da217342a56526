"""Readings that were noted by mistake: marked so and kept, and used by nothing that looks at pressures."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from enum import StrEnum
from typing import Any

from sqlalchemy import Connection, delete, select

from wheelside.book import tables
from wheelside.book.checksum import NAME, put
from wheelside.book.entry import Writing
from wheelside.book.reading import whole
from wheelside.book.things import ThingKey, numbered
from wheelside.errors import NotThere

_SHARED = tuple(column.name for column in tables.reading.columns if column.name != NAME)
_KEY = 3
"""Subject, moment and channel come first, and say which reading is meant."""


class Why(StrEnum):
    """Why a reading is mistaken."""

    UNIT = "unit"
    FIGURE = "figure"
    WHEEL = "wheel"
    MOMENT = "moment"
    INSTRUMENT = "instrument"
    OTHER = "other"


WORDS = {
    Why.UNIT: "wrong unit",
    Why.FIGURE: "wrong figure",
    Why.WHEEL: "of another wheel",
    Why.MOMENT: "at another time",
    Why.INSTRUMENT: "the instrument was wrong",
    Why.OTHER: "another reason",
}


def mark_mistaken(writing: Writing, subject: ThingKey, at_us: int, channel: str, why: Why) -> None:
    """Marks a reading as noted by mistake; a right one of the same moment and channel can be kept then. Raises NotThere."""
    r = tables.reading
    number = numbered(writing.conn).get(subject, 0)
    here = (r.c.subject == number) & (r.c.at == at_us) & (r.c.channel == channel)
    row = writing.conn.execute(select(*(r.c[name] for name in _SHARED)).where(here)).one_or_none()
    if row is None:
        raise NotThere("there is no such reading in this book, or it is marked as mistaken already", found=channel[:40])
    put_mistaken(writing, [(tuple(row), why)])
    writing.conn.execute(delete(r).where(here))


def put_mistaken(writing: Writing, rows: Iterable[tuple[tuple[Any, ...], Why]]) -> int:
    """Keeps rows of readings as mistaken, marked by this write; how many of them are new."""
    wanted = list(rows)
    known = _rows_of(writing.conn, [row for row, _ in wanted])
    new = [(row, why) for row, why in wanted if not _among(row, known)]
    first = writing.next_number(tables.mistaken)
    marks = [
        {**dict(zip(_SHARED, whole(row), strict=True)), "num": first + i, "marked": writing.entry, "why": why.value}
        for i, (row, why) in enumerate(new)
    ]
    put(writing.conn, tables.mistaken, *marks)
    return len(marks)


def mistaken_of(conn: Connection, rows: list[tuple[Any, ...]]) -> Callable[[tuple[Any, ...]], bool] | None:
    """Tells of a row whether it is one of those that were marked, so that the same mistake is not made twice; None where none was."""
    known = _rows_of(conn, rows)
    return (lambda row: _among(row, known)) if known else None


def _rows_of(conn: Connection, rows: list[tuple[Any, ...]]) -> dict[tuple[Any, ...], list[tuple[Any, ...]]]:
    m = tables.mistaken.c
    if conn.execute(select(m.num).limit(1)).first() is None:
        return {}
    found: dict[tuple[Any, ...], list[tuple[Any, ...]]] = {}
    subjects = {row[0] for row in rows}
    for row in conn.execute(select(*(m[name] for name in _SHARED)).where(m.subject.in_(subjects))):
        found.setdefault(tuple(row[:_KEY]), []).append(tuple(row))
    return found


def _among(row: tuple[Any, ...], known: dict[tuple[Any, ...], list[tuple[Any, ...]]]) -> bool:
    """Whether a row says the same as one of those known."""
    return any(same_figures(row, one) for one in known.get(row[:_KEY], ()))


def same_figures(row: tuple[Any, ...], other: tuple[Any, ...]) -> bool:
    """Whether two rows have the same pressure, its kind, and the same temperature."""
    kinds = row[3] is None or row[4] == other[4]
    return kinds and same_figure(row[3], other[3]) and same_figure(row[5], other[5])


def same_figure(one: float | None, other: float | None) -> bool:
    """Whether two figures are the same, but for what a file's digits lose."""
    return one == other if one is None or other is None else math.isclose(one, other, rel_tol=1e-9, abs_tol=1e-9)
