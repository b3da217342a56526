"""Who writes into a car just now: one visit at a time, for all programs that have the book open."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from sqlalchemy import Connection, and_, delete, select

from wheelside.book import tables
from wheelside.book.checksum import amend, put
from wheelside.units.moment import US_PER_S, Moment

STALE_S = 180.0
"""A program that was not heard of for so long has died: between two stages of a teaching there is never more than a minute."""


@dataclass(frozen=True, slots=True)
class Holder:
    """A visit that holds a car. `program`: a mark by which its program is known; `doing`: a code; `seen_us`: when it was heard of last."""

    car: str
    visit: str
    person: str
    program: str
    doing: str
    since: Moment
    seen_us: int


def holder_of(conn: Connection, car: str, now: Moment, ended: Callable[[str], bool]) -> Holder | None:
    """Who holds a car; None where nobody does, or its program has `ended` or was not heard of for long, whichever way clocks differ."""
    row = conn.execute(select(tables.car_lock).where(tables.car_lock.c.car == car)).first()
    if row is None or ended(row.program) or abs(now.us - row.seen) > STALE_S * US_PER_S:
        return None
    return Holder(
        row.car, row.visit, row.person, row.program, row.doing, Moment(row.since, row.offset_min), int(row.seen)
    )


def hold(conn: Connection, wanted: Holder, ended: Callable[[str], bool]) -> Holder | None:
    """Has a visit hold a car from now on; the other one that holds it, where one does."""
    other = holder_of(conn, wanted.car, wanted.since, ended)
    if other is not None:
        return other
    conn.execute(delete(tables.car_lock).where(tables.car_lock.c.car == wanted.car))
    row = {
        "car": wanted.car, "visit": wanted.visit, "person": wanted.person, "program": wanted.program, "doing": wanted.doing,
        "since": wanted.since.us, "offset_min": wanted.since.offset_min, "seen": wanted.seen_us,
    }  # fmt: skip
    put(conn, tables.car_lock, row)
    return None


def still_holds(conn: Connection, car: str, visit: str, now: Moment) -> None:
    """Notes that the program of a visit that holds a car was heard of."""
    c = tables.car_lock.c
    amend(conn, tables.car_lock, and_(c.car == car, c.visit == visit), seen=now.us)


def let_go(conn: Connection, car: str, visit: str) -> None:
    """A visit holds its car no more."""
    c = tables.car_lock.c
    conn.execute(delete(tables.car_lock).where(c.car == car, c.visit == visit))
