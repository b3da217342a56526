"""What is noted of every write."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection, Table, func, select

from wheelside.units.moment import Moment

View = Connection
"""One transaction on a book, as other rooms hold it and hand it back."""


@dataclass(frozen=True, slots=True)
class WriteNote:
    """Who writes, by which way, and what it is in a few words; `client` is the sender's own identifier, where it made one."""

    at: Moment
    person: str
    via: str
    what: str
    client: str | None = None


@dataclass(frozen=True, slots=True)
class Writing:
    """A write under way: its connection, and the number of its entry in the journal."""

    conn: Connection
    entry: int
    at: Moment

    def next_number(self, table: Table) -> int:
        """The first free number of a table; whoever writes is alone."""
        return int(self.conn.execute(select(func.coalesce(func.max(table.c.num), 0))).scalar_one()) + 1
