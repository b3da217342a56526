"""The checksum that every row carries: rows are put in and amended here, and those that are not as they were written are found.

A checksum is the CRC-32 (RFC 1952, section 8) of a row's table and its other columns as MessagePack, in which a number is its own bits, so one
flipped bit always shows. It finds what disks do; whoever can write the file can write a checksum, too.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any
from zlib import crc32

from msgpack import Packer
from sqlalchemy import Column, ColumnElement, Connection, Table, insert, select, update

from wheelside.book.engine import RESTORE
from wheelside.errors import Outside

Row = tuple[Any, ...]
Values = Mapping[str, Any]
NAME = "checksum"
BUFFER = 1024
"""A packer's room at first, bytes; it grows with its row."""


def summing(table: str) -> Callable[[Row], int]:
    """What gives the checksum of a row of one table: its values in the order of the columns, as a database gives them back.

    Empty ones at the end are left out. One thread at a time uses what it was given.
    """
    pack = Packer(buf_size=BUFFER, unicode_errors="surrogatepass").pack
    start = crc32(table.encode())

    def sum_of(row: Row) -> int:
        while row and row[-1] is None:
            row = row[:-1]
        return crc32(pack(row), start)

    return sum_of


def checksum_of(table: str, values: Iterable[Any]) -> int:
    """The checksum of a single row."""
    return summing(table)(tuple(values))


def put(conn: Connection, table: Table, *rows: Values) -> None:
    """Puts rows in, each with its checksum."""
    if rows:
        conn.execute(insert(table), [_summed(table, row) for row in rows])


def amend(conn: Connection, table: Table, where: ColumnElement[bool], **values: Any) -> int:
    """Changes some columns of rows; how many there were. Raises Outside for a row that is damaged: its checksum must not be made good."""
    rows = [dict(row) for row in conn.execute(select(table).where(where)).mappings()]
    for row in rows:
        if not _as_written(table, row):
            raise Outside(f"changing the book: {_called(table, row)} is damaged; {RESTORE}. Nothing was changed")
        mine = [column == row[column.name] for column in table.primary_key.columns]
        conn.execute(update(table).where(*mine).values(**_summed(table, {**row, **values})))
    return len(rows)


def damaged(conn: Connection, table: Table, where: ColumnElement[bool] | None = None) -> Iterator[str]:
    """The rows of a table that are not as they were written, by their keys."""
    names = [c.name for c in table.columns if c.name != NAME]
    query = select(*(table.c[name] for name in names), table.c[NAME])
    query = query if where is None else query.where(where)
    sum_of = summing(table.name)
    with conn.execute(query, execution_options={"yield_per": 10_000}) as rows:
        for *values, checksum in rows:
            if checksum != sum_of(tuple(values)):
                yield _called(table, dict(zip(names, values, strict=True)))


def _called(table: Table, row: Values) -> str:
    return f"{table.name} {' '.join(str(row[c.name])[:40] for c in table.primary_key.columns)}"


def _as_written(table: Table, row: Values) -> bool:
    return bool(row[NAME] == checksum_of(table.name, (row[c.name] for c in table.columns if c.name != NAME)))


def _summed(table: Table, row: Values) -> dict[str, Any]:
    values = {c.name: _plain(c, row.get(c.name)) for c in table.columns if c.name != NAME}
    return {**values, NAME: checksum_of(table.name, values.values())}


def _plain(column: Column[Any], value: Any) -> Any:
    """A value as the database gives it back."""
    if value is None:
        return None
    kind: Callable[[Any], Any] = column.type.python_type
    return kind(value)
