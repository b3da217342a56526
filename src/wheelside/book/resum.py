"""Checksums put into all rows of a table, for the steps from layout to layout that bring them or make them otherwise."""

from __future__ import annotations

from collections.abc import Callable
from zlib import crc32

import sqlalchemy as sa
from sqlalchemy import Connection

from wheelside.book.checksum import NAME, Row

CHUNK = 5_000
SUMMED = (
    "book", "entry", "fact", "garage_text", "thing", "job", "job_end", "event", "reading", "mistaken", "evidence", "reservation",
    "door_key", "visitor", "shop_link", "car_record", "car_lock",
)  # fmt: skip
"""The tables of layouts 0011 and 0012."""


def summing_11(table: str) -> Callable[[Row], int]:
    """The checksums of layout 0011: CRC-32 of a row as Python writes it out."""

    def sum_of(row: Row) -> int:
        while row and row[-1] is None:
            row = row[:-1]
        return crc32(f"{table}{row!r}".encode())

    return sum_of


def sum_again(conn: Connection, name: str, by: Callable[[Row], int], was: Callable[[Row], int] | None = None) -> None:
    """Gives each row of a table its checksum, a few thousand at a time; one whose checksum `was` wrong is damaged and stays as it is."""
    table = sa.Table(name, sa.MetaData(), autoload_with=conn)
    columns = [c for c in table.columns if c.name != NAME]
    keys = list(table.primary_key.columns)
    places = [columns.index(key) for key in keys]
    change = sa.update(table).where(*(key == sa.bindparam(f"key_{key.name}") for key in keys))
    change = change.values({NAME: sa.bindparam("sum")})
    query = sa.select(*columns, table.c[NAME]).order_by(*keys).limit(CHUNK)
    rows = conn.execute(query).all()
    while rows:
        sums = [
            {**{f"key_{k.name}": row[n] for k, n in zip(keys, places, strict=True)}, "sum": by(tuple(row[:-1]))}
            for row in rows
            if was is None or row[-1] == was(tuple(row[:-1]))
        ]
        if sums:
            conn.execute(change, sums)
        last = sa.tuple_(*(sa.literal(rows[-1][n], key.type) for key, n in zip(keys, places, strict=True)))
        rows = conn.execute(query.where(sa.tuple_(*keys) > last)).all()
