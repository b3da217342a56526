"""Short numbers for everything that readings and events are about."""

from __future__ import annotations

from collections.abc import Iterable

from sqlalchemy import Connection, select

from wheelside.book import tables
from wheelside.book.checksum import put
from wheelside.book.entry import Writing

ThingKey = tuple[str, str]
"""Kind and id: ('wheel', 'W1')."""


def numbered(conn: Connection) -> dict[ThingKey, int]:
    """The number of every thing that has one."""
    return {(row.kind, row.key): row.num for row in conn.execute(select(tables.thing))}


def numbers_for(writing: Writing, wanted: Iterable[ThingKey]) -> dict[ThingKey, int]:
    """The numbers of all things, with new ones for those wanted that had none."""
    known = numbered(writing.conn)
    new = [one for one in dict.fromkeys(wanted) if one not in known]
    first = writing.next_number(tables.thing)
    given = {thing: first + i for i, thing in enumerate(new)}
    if given:
        rows = [{"num": num, "kind": kind, "key": key} for (kind, key), num in given.items()]
        put(writing.conn, tables.thing, *rows)
    return known | given
