"""Facts: every table of the garage file, to be entered and corrected with the same validation."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from typing import Any

from fastapi import Depends, Request
from starlette.responses import Response

from wheelside.declared.read import Complaint, spoken
from wheelside.errors import Meanwhile, NotThere
from wheelside.garage.model import Car, WheelSet
from wheelside.garage.rows import NAMED, SINGLE, TOP
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.book.edit import NEW, BookRow, fact_of, fact_versions, facts_of, kinds, try_save
from wheelside.jobs.book.kept import FactRow
from wheelside.web.entry import Field, body_of, fields_of, kept_besides, summary_of
from wheelside.web.form import SentForm, form_of
from wheelside.web.frame import PageFrame, desk_of, frame_of, page, person_of, see
from wheelside.web.route import pages

router = pages()
Row = dict[str, Any]
ONE, NEW_KEY = "one", "-new"
"""In an address: the one row of a table that has no more, and a row that is not there yet. No id begins with a hyphen."""


@dataclass(frozen=True, slots=True)
class Tables:
    """Every table with what it is for, and how many rows it has."""

    frame: PageFrame
    tables: tuple[tuple[str, str, int, bool], ...]
    cars: tuple[Car, ...]
    sets: tuple[WheelSet, ...]


@router.get("/facts")
def tables(request: Request) -> Response:
    """The tables."""
    desk = desk_of(request)
    loaded = desk.loaded()
    table = loaded.table
    rows = tuple(
        (kind, summary_of(kind), len(table.get(kind, ())) if _many(kind) else 0, _many(kind)) for kind in kinds()
    )
    return page("tables.html", Tables(frame_of(request, "/facts"), rows, loaded.garage.car, loaded.garage.set))


def _many(kind: str) -> bool:
    return kind not in SINGLE and kind != TOP


@dataclass(frozen=True, slots=True)
class TablePage:
    """The rows of one table, each in a few words."""

    frame: PageFrame
    kind: str
    summary: str
    rows: tuple[tuple[str, str], ...]


@router.get("/facts/{kind}")
def table(request: Request, kind: str) -> Response:
    """One table."""
    rows = facts_of(desk_of(request), kind)
    if not _many(kind):
        return see(f"/facts/{kind}/{ONE}")
    shown = tuple((f.key, _short(f.body)) for f in rows)
    return page("table.html", TablePage(frame_of(request, "/facts"), kind, summary_of(kind), shown))


def _short(body: Row) -> str:
    """A row in a few words."""
    name = str(body.get("label") or body.get("id") or "")
    rest = ", ".join(
        f"{k.replace('_', ' ')} {v}"
        for k, v in body.items()
        if isinstance(v, (str, date)) and k not in ("id", "label", "note")
    )
    between = " and ".join(body["between"]) if isinstance(body.get("between"), list) else ""
    return ": ".join(part for part in (name or between, rest[:140]) if part) or "a row"


@dataclass(frozen=True, slots=True)
class Entry:
    """One row's form. `elsewhere`: what its change would make wrong in other rows; `theirs`: what somebody else put meanwhile."""

    frame: PageFrame
    kind: str
    key: str
    title: str
    since: int
    fields: tuple[Field, ...]
    elsewhere: tuple[str, ...]
    trouble: str
    theirs: tuple[tuple[str, str], ...]
    versions: tuple[tuple[str, str], ...]
    can_go: bool


@router.get("/facts/{kind}/{key:path}")
def entry(request: Request, kind: str, key: str) -> Response:
    """One row's form, or an empty one."""
    desk = desk_of(request)
    if key == NEW_KEY and _many(kind):
        facts_of(desk, kind)
        return _form(request, BookRow(kind, "", NEW, {}, 0), new=True)
    return _form(request, fact_of(desk, kind, _key(kind, key)))


def _key(kind: str, key: str) -> str:
    return key if _many(kind) else ""


def _form(
    request: Request, fact: BookRow, *, new: bool = False, complaints: tuple[Complaint, ...] = (), elsewhere: tuple[Complaint, ...] = (),
    trouble: str = "", theirs: Row | None = None, gone: bool = False,
) -> Response:  # fmt: skip
    desk = desk_of(request)
    garage = desk.loaded().garage
    ids = {kind: tuple((r.id, r.name) for r in getattr(garage, kind)) for kind in NAMED}
    fields = fields_of(fact.kind, fact.body, ids, complaints, fixed=not new and fact.kind in NAMED)
    title = f"New {fact.kind.replace('_', ' ')}" if new else _title(fact)
    shown = Entry(
        frame=frame_of(request, "/facts"),
        kind=fact.kind,
        key=NEW_KEY if new else (fact.key if _many(fact.kind) else ONE),
        title=title,
        since=fact.since,
        fields=fields,
        elsewhere=tuple(_told_elsewhere(desk, fact, c, gone=gone) for c in elsewhere),
        trouble=trouble,
        theirs=tuple((k, _words(v)) for k, v in theirs.items() if fact.body.get(k) != v) if theirs else (),
        versions=() if new else tuple(_versions(desk, fact)),
        can_go=not new and _many(fact.kind),
    )
    return page("entry.html", shown, 422 if complaints or elsewhere else 409 if trouble else 200)


def _told_elsewhere(desk: Desk, fact: BookRow, c: Complaint, *, gone: bool) -> str:
    """A mistake in another row, by that row's name."""
    kind, *rest = c.path
    rows = desk.loaded().table.get(str(kind), ())
    index = rest[0] if rest and isinstance(rest[0], int) else None
    row = rows[index] if isinstance(rows, list) and index is not None and index < len(rows) else {}
    name = f"{str(kind).replace('_', ' ')} {row.get('label') or row.get('id') or row.get('set') or spoken(c.path)}"
    if gone:
        return f"{name} still has {fact.kind.replace('_', ' ')} {fact.key}: change that first."
    return f"{name}: found {c.found}; expected {c.expected}. {c.suggestion}"


def _title(fact: BookRow) -> str:
    name = fact.body.get("label") or fact.key
    return f"{fact.kind.replace('_', ' ')} {name}".strip() if _many(fact.kind) else fact.kind


def _versions(desk: Desk, fact: BookRow) -> list[tuple[str, str]]:
    """What was believed before, newest first: from which entry, and what differed then."""
    rows = fact_versions(desk, fact.kind, fact.key)
    told = [(f"until entry {newer.since}", _difference(older, newer)) for older, newer in pairwise(rows)]
    return told[::-1][:20]


def _words(value: Any) -> str:
    """A value of any shape as a person reads it."""
    if isinstance(value, dict):
        return ", ".join(f"{k.replace('_', ' ')} {_words(v)}" for k, v in value.items()) or "nothing"
    if isinstance(value, list):
        return "; ".join(_words(v) for v in value) or "nothing"
    return {True: "yes", False: "no"}.get(value, str(value)) if isinstance(value, bool) else str(value)


def _difference(older: FactRow, newer: FactRow) -> str:
    keys = [k for k in {**older.body, **newer.body} if older.body.get(k) != newer.body.get(k)]
    return (
        "; ".join(
            f"{k.replace('_', ' ')} was {_words(older.body[k]) if k in older.body else 'not noted'}" for k in keys
        )[:400]
        or "the same"
    )


@router.post("/facts/{kind}/{key:path}")
def save(request: Request, kind: str, key: str, form: SentForm = Depends(form_of)) -> Response:  # noqa: B008
    """Keeps a row, or takes it out; shows the form again where that can't be."""
    desk = desk_of(request)
    new = key == NEW_KEY and _many(kind)
    own = None if new else _key(kind, key)
    old = BookRow(kind, "", NEW, {}, 0) if new else _known(desk, kind, own or "")
    body = None if form.get("do") == "take out" else _body(kind, old, form)
    since = (
        int(form.get("since", "0"))
        if form.get("since", "0").isascii() and form.get("since", "0").isdigit() and len(form.get("since")) < 16
        else 0
    )
    shown = BookRow(kind, own or "", since, body if body is not None else old.body, 0)
    try:
        saved = try_save(desk, kind, own, body, since, person=person_of(request))
    except Meanwhile as error:
        now = _known(desk, kind, own or "")
        return _form(
            request, BookRow(kind, own or "", now.since, shown.body, 0), trouble=error.message, theirs=now.body
        )
    if not saved.kept:
        return _form(request, shown, new=new, complaints=saved.complaints, elsewhere=saved.elsewhere, gone=body is None)
    return see(f"/facts/{kind}" if _many(kind) else "/facts")


def _known(desk: Desk, kind: str, key: str) -> BookRow:
    try:
        return fact_of(desk, kind, key)
    except NotThere:
        if kind not in kinds():
            raise
        return BookRow(kind, key, NEW, {}, 0)


def _body(kind: str, old: BookRow, form: SentForm) -> Row:
    body = body_of(kind, form.starting("f."))
    if kind == TOP:
        body["wheelside"] = old.body.get("wheelside", 1)
    if old.key and kind in NAMED:
        body = {"id": old.key, **{k: v for k, v in body.items() if k != "id"}}
    return kept_besides(kind, old.body, body)
