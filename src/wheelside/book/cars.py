"""What was read from cars and written to them: old lists before they are replaced, codes before they are cleared, each step of a teaching."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

from sqlalchemy import select

from wheelside.book import tables
from wheelside.book.checksum import put
from wheelside.book.entry import View, Writing
from wheelside.units.moment import Moment


@dataclass(frozen=True, slots=True)
class CarRecord:
    """One thing that was read or done, with its place in its visit."""

    num: int
    car: str
    visit: str
    at: Moment
    what: str
    body: dict[str, Any]


def add_record(writing: Writing, car: str, visit: str, at: Moment, what: str, body: dict[str, Any]) -> int:
    """Keeps one record; its number."""
    num = writing.next_number(tables.car_record)
    row = {
        "num": num, "car": car, "visit": visit, "at": at.us, "offset_min": at.offset_min, "what": what,
        "body": json.dumps(body, sort_keys=True), "entry": writing.entry,
    }  # fmt: skip
    put(writing.conn, tables.car_record, row)
    return num


def records_of(conn: View, car: str) -> tuple[CarRecord, ...]:
    """What was kept of a car, oldest first."""
    c = tables.car_record.c
    query = select(tables.car_record).where(c.car == car).order_by(c.num)
    return tuple(
        CarRecord(r.num, r.car, r.visit, Moment(r.at, r.offset_min), r.what, json.loads(r.body))
        for r in conn.execute(query)
    )
