"""Entering and correcting single facts, with the same validation as a garage file."""

from __future__ import annotations

import copy
from dataclasses import dataclass
from typing import Any

from wheelside.book.events import add_events
from wheelside.book.facts import FactRow, Row, as_table, change_facts, facts_now, versions
from wheelside.declared.read import Complaint
from wheelside.errors import BadRequest, Meanwhile, NotThere
from wheelside.garage.file import complaints_of
from wheelside.garage.rows import MANY, NAMED, SINGLE, TOP
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.book.files import joinings_between

NEW = 0
"""The version of a row that is not there yet."""


@dataclass(frozen=True, slots=True)
class BookRow:
    """One row of the book, its version, and how many rows of its kind stand before it."""

    kind: str
    key: str
    since: int
    body: Row
    index: int


def kinds() -> tuple[str, ...]:
    """Every table, in the order of a garage file."""
    return (TOP, *SINGLE, *MANY)


def facts_of(desk: Desk, kind: str) -> tuple[BookRow, ...]:
    """The rows of one table. Raises NotThere."""
    if kind not in kinds():
        raise NotThere("there is no such table", found=kind[:40], expected=", ".join(kinds()))
    with desk.book.reading() as conn:
        rows = [r for r in facts_now(conn) if r.kind == kind]
    return tuple(BookRow(r.kind, r.key, r.since, r.body, i) for i, r in enumerate(rows))


def fact_of(desk: Desk, kind: str, key: str) -> BookRow:
    """One row; an empty one for a table of which there is one and that says nothing yet. Raises NotThere."""
    found = next((f for f in facts_of(desk, kind) if f.key == key), None)
    if found is not None:
        return found
    if kind in SINGLE and key == "":
        return BookRow(kind, "", NEW, {}, 0)
    raise NotThere(f"there is no such {kind} in this book", found=key[:60])


def fact_versions(desk: Desk, kind: str, key: str) -> tuple[FactRow, ...]:
    """Every version of a row, oldest first."""
    with desk.book.reading() as conn:
        return versions(conn, kind, key)


@dataclass(frozen=True, slots=True)
class Saved:
    """What came of saving: the row's key and its complaints by the path within the row; empty where it was kept.

    `elsewhere`: complaints about other rows, which this change would bring about.
    """

    key: str
    complaints: tuple[Complaint, ...] = ()
    elsewhere: tuple[Complaint, ...] = ()

    @property
    def kept(self) -> bool:
        return not self.complaints and not self.elsewhere


def save(
    desk: Desk, kind: str, key: str | None, body: Row | None, since: int, *, person: str = "", via: str = "page"
) -> Saved:
    """Puts a row in place of its version `since`; None for `key` adds one, None for `body` takes it out.

    Nothing is kept while the garage with it would have a mistake that it has not now. Raises Meanwhile where somebody
    else has changed the row since, NotThere, Outside.
    """
    what = f"{kind} {key or 'new'} {'taken out' if body is None else 'entered' if key is None else 'corrected'}"
    with desk.writing(what, person=person, via=via) as writing:
        rows = facts_now(writing.conn)
        table = as_table(rows)
        place, index, changed = _placed(rows, table, kind, key, body, since)
        before = desk.loaded_in(writing.conn).garage
        after, found = complaints_of(changed)
        if found:
            mine = tuple(c for c in found if body is not None and _is_mine(c, kind, index))
            saved = Saved(key or "", mine, tuple(c for c in found if c not in mine))
            raise _NotKept(saved)
        own = (
            key
            if key is not None
            else (str(body.get("id", "")) if body and kind in NAMED else f"{writing.entry}.{place}")
        )
        change_facts(writing, {(kind, own): (place, body)})
        add_events(writing, joinings_between(before, after, writing.at))
        return Saved(own)


class _NotKept(Exception):
    """Undoes a write that would leave a mistake in the garage."""

    def __init__(self, saved: Saved) -> None:
        super().__init__("not kept")
        self.saved = saved


def try_save(
    desk: Desk, kind: str, key: str | None, body: Row | None, since: int, *, person: str = "", via: str = "page"
) -> Saved:
    """As `save`; what is wrong comes back instead of being raised."""
    try:
        return save(desk, kind, key, body, since, person=person, via=via)
    except _NotKept as error:
        return error.saved


def _placed(
    rows: tuple[FactRow, ...], table: Row, kind: str, key: str | None, body: Row | None, since: int
) -> tuple[int, int, Row]:
    """The row's place, its index among its kind, and the table with the change."""
    mine = [r for r in rows if r.kind == kind]
    changed = copy.deepcopy(table)
    index = next((i for i, r in enumerate(mine) if r.key == key), None) if key is not None else None
    _refuse_stale(mine, key, index, since, kind)
    if kind in NAMED and key is not None and body is not None and body.get("id") != key:
        raise BadRequest(
            "an id never changes: take the row out and enter another one", found=str(body.get("id"))[:60], expected=key
        )
    if kind in SINGLE or kind == TOP:
        _put_single(changed, kind, body, table)
        return 0, 0, changed
    listed: list[Any] = changed.setdefault(kind, [])
    if index is None:
        listed.append(dict(body or {}))
        return max((r.place for r in mine), default=-1) + 1, len(listed) - 1, changed
    if body is None:
        del listed[index]
        if not listed:
            del changed[kind]
    else:
        listed[index] = dict(body)
    return mine[index].place, index, changed


def _put_single(changed: Row, kind: str, body: Row | None, table: Row) -> None:
    if kind == TOP:
        for name in [k for k in table if k not in MANY and k not in SINGLE]:
            del changed[name]
        changed.update(body or {})
    elif body:
        changed[kind] = dict(body)
    else:
        changed.pop(kind, None)


def _refuse_stale(mine: list[FactRow], key: str | None, index: int | None, since: int, kind: str) -> None:
    if key is None:
        return
    if index is None and since != NEW:
        raise Meanwhile(f"this {kind} was taken out of the book meanwhile; nothing of your change was kept")
    if index is not None and mine[index].since != since:
        raise Meanwhile(f"somebody else has changed this {kind} meanwhile; nothing of your change was kept yet")


def _is_mine(c: Complaint, kind: str, index: int) -> bool:
    if kind == TOP:
        return bool(c.path) and c.path[0] not in MANY and c.path[0] not in SINGLE
    return c.path[:1] == (kind,) and (kind in SINGLE or c.path[1:2] == (index,))
