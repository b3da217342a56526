"""The journal: every write, newest first."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection, func, select

from wheelside.book import tables
from wheelside.units.moment import Moment


@dataclass(frozen=True, slots=True)
class Written:
    """One write: its number, when, by whom, by which way, and what."""

    num: int
    at: Moment
    person: str
    via: str
    what: str


def newest(conn: Connection, most: int) -> tuple[Written, ...]:
    """The newest writes."""
    rows = conn.execute(select(tables.entry).order_by(tables.entry.c.num.desc()).limit(most))
    return tuple(Written(r.num, Moment(r.at, r.offset_min), r.person, r.via, r.what) for r in rows)


def newest_entry(conn: Connection) -> int:
    """The number of the newest write; whatever was kept since has a higher one."""
    return int(conn.execute(select(func.coalesce(func.max(tables.entry.c.num), 0))).scalar_one())
