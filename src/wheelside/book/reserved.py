"""Fresh IDs that were set aside, and those given up since."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from sqlalchemy import Connection, and_, select

from wheelside.book import tables
from wheelside.book.checksum import amend, put
from wheelside.book.entry import Writing
from wheelside.identity.reserve import Reservation
from wheelside.sensor.ident import SensorId


def reserved(conn: Connection) -> tuple[Reservation, ...]:
    """Every reservation in its order, released ones too."""
    return tuple(
        Reservation(
            row.wheel, SensorId(row.family, row.bits, int(row.hex, 16)), row.distance, date.fromisoformat(row.since),
            row.released is not None,
        )
        for row in conn.execute(select(tables.reservation).order_by(tables.reservation.c.num))
    )  # fmt: skip


def keep_reserved(writing: Writing, wanted: Iterable[Reservation]) -> int:
    """Adds the reservations that are new and marks those that were given up; how many changed. None is ever taken away."""
    known = {_key(r): r for r in reserved(writing.conn)}
    num, changed = writing.next_number(tables.reservation), 0
    for one in wanted:
        old = known.get(_key(one))
        if old is None:
            _add(writing, num, one)
            num, changed = num + 1, changed + 1
        elif one.released and not old.released:
            _release(writing, one)
            changed += 1
    return changed


def _key(r: Reservation) -> tuple[str, str, int, str, str]:
    return r.wheel, r.id.family, r.id.bits, r.id.hex, r.since.isoformat()


def _add(writing: Writing, num: int, r: Reservation) -> None:
    row = {
        "num": num, "entry": writing.entry, "wheel": r.wheel, "family": r.id.family, "bits": r.id.bits, "hex": r.id.hex,
        "distance": r.distance, "since": r.since.isoformat(), "released": writing.entry if r.released else None,
    }  # fmt: skip
    put(writing.conn, tables.reservation, row)


def _release(writing: Writing, r: Reservation) -> None:
    c = tables.reservation.c
    same = and_(c.wheel == r.wheel, c.family == r.id.family, c.hex == r.id.hex, c.released.is_(None))
    amend(writing.conn, tables.reservation, same, released=writing.entry)
