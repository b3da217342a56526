"""Who was let in: one-time keys, and the browsers that came in by them."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

from sqlalchemy import Connection, select

from wheelside.book import tables
from wheelside.book.checksum import amend, put
from wheelside.units.moment import Moment


@dataclass(frozen=True, slots=True)
class Visitor:
    """A browser that was let in. Moments in microseconds since 1970, UTC; `ended_us` is None while it may come in."""

    id: str
    label: str
    person: str
    made_us: int
    seen_us: int
    ended_us: int | None


def digest_of(secret: str) -> str:
    """What is kept of a key or a token: its SHA-256."""
    return hashlib.sha256(secret.encode()).hexdigest()


def add_key(conn: Connection, key: str, at: Moment, until_us: int, goes_to: str) -> None:
    """Makes a one-time key count until a moment; it leads to a page."""
    row = {"digest": digest_of(key), "made_at": at.us, "until": until_us, "used_at": None, "goes_to": goes_to}
    put(conn, tables.door_key, row)


def use_key(conn: Connection, key: str, at: Moment) -> str | None:
    """Uses a key up: the page that it leads to; None where it is unknown, used or too old."""
    k = tables.door_key.c
    row = conn.execute(select(tables.door_key).where(k.digest == digest_of(key))).first()
    if row is None or row.used_at is not None or at.us > row.until:
        return None
    amend(conn, tables.door_key, k.digest == row.digest, used_at=at.us)
    return str(row.goes_to)


def let_in(conn: Connection, visitor: str, token: str, label: str, at: Moment) -> None:
    """Lets a browser in from now on, by its token."""
    row = {
        "id": visitor, "digest": digest_of(token), "label": label, "person": "", "made_at": at.us, "seen_at": at.us,
        "ended_at": None,
    }  # fmt: skip
    put(conn, tables.visitor, row)


def visitor_of(conn: Connection, token: str) -> Visitor | None:
    """The browser with this token; None where it is unknown or was disconnected."""
    v = tables.visitor.c
    row = conn.execute(select(tables.visitor).where(v.digest == digest_of(token), v.ended_at.is_(None))).first()
    return None if row is None else Visitor(row.id, row.label, row.person, row.made_at, row.seen_at, row.ended_at)


def visitors(conn: Connection) -> tuple[Visitor, ...]:
    """Every browser that was let in, the last seen first."""
    rows = conn.execute(select(tables.visitor).order_by(tables.visitor.c.seen_at.desc()))
    return tuple(Visitor(r.id, r.label, r.person, r.made_at, r.seen_at, r.ended_at) for r in rows)


def show_all_out(conn: Connection, at: Moment) -> None:
    """Ends every visit, and uses up every one-time key."""
    amend(conn, tables.visitor, tables.visitor.c.ended_at.is_(None), ended_at=at.us)
    amend(conn, tables.door_key, tables.door_key.c.used_at.is_(None), used_at=at.us)


def change_visitor(conn: Connection, visitor: str, **values: str | int) -> bool:
    """Notes a browser's person, when it was seen, or that it was disconnected; whether there is such a one."""
    return amend(conn, tables.visitor, tables.visitor.c.id == visitor, **values) == 1
