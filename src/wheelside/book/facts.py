"""Standing facts: the rows of the garage file, each with every version that was believed."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import Connection, Select, and_, func, or_, select

from wheelside.book import tables
from wheelside.book.checksum import amend, put
from wheelside.book.entry import Writing
from wheelside.garage.rows import SINGLE, TOP, rows_of

Row = dict[str, Any]
_DAY = "$day"


def as_body(row: Row) -> str:
    """A row as JSON text; days keep being days."""
    return json.dumps(row, default=_day, ensure_ascii=False)


def _day(value: object) -> dict[str, str]:
    if not isinstance(value, date):
        raise TypeError(f"no fact is a {type(value).__name__}")
    return {_DAY: value.isoformat()}


def from_body(text: str) -> Row:
    """The row that a JSON text holds."""
    row: Row = json.loads(text, object_hook=lambda d: date.fromisoformat(d[_DAY]) if _DAY in d else d)
    return row


@dataclass(frozen=True, slots=True)
class FactRow:
    """One version of one row. `since` and `until` are entries; `until` is None while it is believed."""

    kind: str
    key: str
    place: int
    since: int
    until: int | None
    body: Row


def _rows(conn: Connection, query: Select[Any]) -> tuple[FactRow, ...]:
    return tuple(FactRow(r.kind, r.key, r.place, r.since, r.until, from_body(r.body)) for r in conn.execute(query))


def facts_now(conn: Connection) -> tuple[FactRow, ...]:
    """What is believed now, kind by kind in its order."""
    f = tables.fact.c
    return _rows(conn, select(tables.fact).where(f.until.is_(None)).order_by(f.kind, f.place, f.num))


def facts_on(conn: Connection, us: int) -> tuple[FactRow, ...]:
    """What was believed at a moment: what had been written by then and not been taken back."""
    f, e = tables.fact.c, tables.entry.c
    last = select(func.coalesce(func.max(e.num), 0)).where(e.at <= us).scalar_subquery()
    query = select(tables.fact).where(and_(f.since <= last, or_(f.until.is_(None), f.until > last)))
    return _rows(conn, query.order_by(f.kind, f.place, f.num))


def versions(conn: Connection, kind: str, key: str) -> tuple[FactRow, ...]:
    """Every version of one row, oldest first."""
    f = tables.fact.c
    return _rows(conn, select(tables.fact).where(f.kind == kind, f.key == key).order_by(f.since, f.num))


def revision(conn: Connection) -> int:
    """A number that changes with every change of facts: the last entry that touched one."""
    f = tables.fact.c
    query = select(func.coalesce(func.max(f.since), 0), func.coalesce(func.max(f.until), 0))
    since, until = conn.execute(query).one()
    return max(int(since), int(until))


def as_table(rows: Iterable[FactRow]) -> Row:
    """Facts in the shape of a garage file that has been read as TOML."""
    table: Row = {}
    for row in rows:
        if row.kind == TOP:
            table.update(row.body)
        elif row.kind in SINGLE:
            table[row.kind] = dict(row.body)
        else:
            table.setdefault(row.kind, []).append(dict(row.body))
    return table


def change_facts(writing: Writing, changes: Mapping[tuple[str, str], tuple[int, Row | None]]) -> int:
    """Puts other versions in place of rows: (kind, key) -> (place, row), None for one that is no more. How many changed.

    A row that says the same as before is left alone, unless its place is another.
    """
    now = {(r.kind, r.key): r for r in facts_now(writing.conn)}
    num = writing.next_number(tables.fact)
    added: list[Row] = []
    ended: list[tuple[str, str]] = []
    for (kind, key), (place, body) in changes.items():
        old = now.get((kind, key))
        if old is not None and body is not None and as_body(old.body) == as_body(body) and old.place == place:
            continue
        if old is not None:
            ended.append((kind, key))
        if body is not None:
            added.append({
                "num": num + len(added), "kind": kind, "key": key, "place": place, "since": writing.entry,
                "until": None, "body": as_body(body),
            })  # fmt: skip
    f = tables.fact.c
    for kind, key in ended:
        where = and_(f.kind == kind, f.key == key, f.until.is_(None))
        amend(writing.conn, tables.fact, where, until=writing.entry)
    put(writing.conn, tables.fact, *added)
    return len(set(ended) | {(a["kind"], a["key"]) for a in added})


def replace_facts(writing: Writing, table: Row) -> int:
    """Makes the facts those of a garage file's table. How many rows changed.

    Rows with an id are the same row where the id is the same; others where they say the same.
    """
    now = facts_now(writing.conn)
    free: dict[tuple[str, str], list[str]] = {}
    for row in now:
        free.setdefault((row.kind, as_body(row.body)), []).append(row.key)
    changes: dict[tuple[str, str], tuple[int, Row | None]] = {}
    places: dict[str, int] = {}
    for kind, name, body in rows_of(table):
        key = name
        place = places[kind] = places.get(kind, -1) + 1
        same = free.get((kind, as_body(body)), [])
        if not key and kind not in (TOP, *SINGLE):
            key = same.pop(0) if same else f"{writing.entry}.{place}"
        changes[kind, key] = (place, body)
    for row in now:
        changes.setdefault((row.kind, row.key), (row.place, None))
    return change_facts(writing, changes)


def keep_text(writing: Writing, text: str) -> None:
    """Keeps a garage file as it was taken in."""
    put(writing.conn, tables.garage_text, {"entry": writing.entry, "text": text})


def last_text(conn: Connection) -> str:
    """The garage file that was taken in last; '' where none was."""
    t = tables.garage_text.c
    return str(conn.execute(select(t.text).order_by(t.entry.desc()).limit(1)).scalar() or "")
