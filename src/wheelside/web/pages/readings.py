"""Readings out of a file that is sent: its columns, what it would give the book, and keeping it; and mistaken readings."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice
from urllib.parse import quote

from fastapi import Depends, Request
from starlette.responses import Response

from wheelside.air.plausible import KPA
from wheelside.errors import BadRequest
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.book.kept import WORDS, Reading, Why
from wheelside.jobs.book.mistake import mark, meant
from wheelside.jobs.book.reading_cell import Asks, DayOrder, words, zone_of
from wheelside.jobs.book.reading_columns import (
    LEFT_OUT,
    TARGETS,
    UNIT_IN_NAME,
    Matched,
    check_target,
    match_columns,
    proposed,
)
from wheelside.jobs.book.reading_file import grid_of, held_grid, held_text
from wheelside.jobs.book.reading_row import AskedFigure, How, said_of
from wheelside.jobs.book.readings_in import Looked, Wrong, keep_readings, look_at_readings
from wheelside.jobs.book.told import figures
from wheelside.units import UnitChoice
from wheelside.units.moment import Moment
from wheelside.web.form import MOST_FILE_TEXT, SentForm, form_of
from wheelside.web.frame import PageFrame, desk_of, frame_of, page, person_of, see
from wheelside.web.route import pages

router = pages()
SAMPLES = 4
NAME = "the file"


@dataclass(frozen=True, slots=True)
class Column:
    """One column of the file: its heading, what it is taken to say, and its first cells."""

    heading: str
    target: str
    first: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ReadingsIn:
    """The page. `looked`: what keeping would do; None before that was asked for. `match`: the answers that it was asked with."""

    frame: PageFrame
    text: str
    sheet: str
    columns: tuple[Column, ...]
    targets: tuple[tuple[str, str], ...]
    units: tuple[str, ...]
    unit: str
    order: str
    zone: str
    lines: frozenset[int]
    looked: Looked | None
    wrong: tuple[tuple[str, str], ...]
    asked: tuple[tuple[int, str, str, bool], ...]
    first: tuple[tuple[str, str, str], ...]
    match: str


@router.post("/settings/readings")
def take_readings(request: Request, form: SentForm = Depends(form_of)) -> Response:  # noqa: B008
    """Takes a file of readings: shows its columns, then what they would give, then keeps them."""
    desk, text = desk_of(request), form.get("text")
    if not text:
        data = form.file("file")
        if not data:
            raise BadRequest("no file was sent: pick one first", expected="a file")
        text = _carried(data, form.get("sheet"))
        return _shown(request, text, None, form)
    matched, how = _matched(text, form), _how(desk, form)
    match = _match(matched, how)
    if form.get("do") == "keep" and form.get("match") == match:
        taken = keep_readings(desk, held_grid(text), matched, how, NAME, person=person_of(request))
        return see(f"/settings?readings={taken.new}")
    return _shown(request, text, matched, form, match)


def _carried(data: bytes, sheet: str) -> str:
    """The file as text that its form carries. Raises BadRequest where it is too long for a page."""
    text = held_text(grid_of(data, NAME, sheet))
    if len(text) > MOST_FILE_TEXT:
        raise BadRequest(
            "that file is too long for a page: take it in with 'wheelside book import'", expected="a shorter file"
        )
    return text


def _matched(text: str, form: SentForm) -> Matched:
    heads = held_grid(text).headers
    targets = tuple(form.get(f"column.{i}") for i in range(len(heads)))
    for target in targets:
        if target:
            check_target(target)
    return Matched(heads, targets)


def _how(desk: Desk, form: SentForm) -> How:
    """How cells are meant, as the form says. Raises BadRequest."""
    unit, order, zone = form.get("unit"), form.get("order"), form.get("zone")
    if unit not in ("", *KPA) or order not in ("", *DayOrder):
        raise BadRequest("this form is not of this program", found=(unit or order)[:20])
    lines = frozenset(int(v) for k, v in form.fields if k == "line" and v.isascii() and v.isdigit() and len(v) < 9)
    return How(
        now=desk.clock(),
        unit=unit,
        order=DayOrder(order) if order else None,
        zone=zone_of(zone) if zone else None,
        lines=lines,
    )


def _match(matched: Matched, how: How) -> str:
    """A word for these answers: only what was looked at is kept."""
    said = (matched.targets, how.unit, how.order, str(how.zone), sorted(how.lines))
    return hashlib.sha256(repr(said).encode()).hexdigest()[:16]


def _shown(request: Request, text: str, matched: Matched | None, form: SentForm, match: str = "") -> Response:
    desk, grid = desk_of(request), held_grid(text)
    first = [cells for _, _, cells in islice(grid.rows, SAMPLES)]
    by_name = matched or match_columns(grid.headers, {})
    how = _how(desk, form)
    looked = look_at_readings(desk, held_grid(text), matched, how) if matched else None
    units = desk.loaded().garage.units.choice
    columns = tuple(
        Column(
            head,
            target or ("" if matched else proposed(head)),
            tuple(words(c[i]) for c in first if i < len(c) and c[i] is not None),
        )
        for i, (head, target) in enumerate(zip(grid.headers, by_name.targets, strict=True))
    )
    shown = ReadingsIn(
        frame_of(request, "/settings"), text, grid.sheet, columns, tuple((t, spoken_column(t)) for t in (*TARGETS, LEFT_OUT)), tuple(KPA),
        how.unit, how.order or "", form.get("zone"), how.lines, looked, tuple(_wrong(looked)) if looked else (),
        tuple(_asked(looked)) if looked else (), tuple(_row(r, units) for r in looked.first) if looked else (), match,
    )  # fmt: skip
    return page("readingsin.html", shown, 422 if looked and not looked.clean else 200)


def spoken_column(target: str) -> str:
    """What a column says, in words: 'pressure in bar, gauge'."""
    special = {
        LEFT_OUT: "left out", "at": "when (day, or day and time)", "time": "time of day", "battery_low": "battery low",
        "mistaken": "why it is mistaken", "purpose": "what it was for", "warmth": "whether the tyre was cold",
        "instrument_id": "instrument of this book", "place": "where it was taken",
    }  # fmt: skip
    if target in special:
        return special[target]
    if target in UNIT_IN_NAME:
        column = target.rpartition("_")[0]
        what = "temperature outside" if column == "outside_temperature" else column.replace("_", " ")
        return f"{what} in {UNIT_IN_NAME[target]}"
    kind, _, rest = target.partition("_")
    if kind != "pressure":
        return target
    unit, _, against = rest.rpartition("_")
    return f"pressure in {next(u for u in KPA if u.lower() == unit)}, {against}" if unit else f"pressure, {against}"


_WAYS = {
    Asks.COLUMN: "Choose what it says, or 'left out'.",
    Asks.DAY_ORDER: "Choose which comes first.",
    Asks.UNIT: "Choose the unit.",
}


def _wrong(looked: Looked) -> Iterator[tuple[str, str]]:
    """Each mistake in two lines: what is wrong, and what to do."""
    for one in looked.problems:
        way = one.way[:1].upper() + one.way[1:]
        yield _where(one), f"{way}{'. ' if way and one.asks else ''}{_WAYS[one.asks] if one.asks else ''}"


def _where(one: Wrong) -> str:
    return f"Line {one.line}, {one.column}: {one.found}; expected {one.expected}"


def _asked(looked: Looked) -> Iterator[tuple[int, str, str, bool]]:
    """Each figure that is asked about: its line, what it is, what it would be, and whether it can be kept as it is."""
    for one in looked.asked:
        found, expected, meant = said_of(one)
        yield one.line, f"Line {one.line}: {found} is not {expected}.", _would_be(one, meant), one.keepable


def _would_be(one: AskedFigure, meant: str) -> str:
    if not meant:
        return ""
    return f"{meant}? Then choose that {'column' if one.column in UNIT_IN_NAME else 'unit'} above."


def _row(r: Reading, units: UnitChoice) -> tuple[str, str, str]:
    at = Moment(r.at_us, r.offset_min)
    return r.subject[1], f"{at.short()} {at.iso()[-6:]}", ", ".join(figures(r, units)) or "seen"


@dataclass(frozen=True, slots=True)
class Meant:
    """Which reading is meant: of what, when, by which channel."""

    kind: str
    thing: str
    at: str
    channel: str
    shown: str


@dataclass(frozen=True, slots=True)
class MistakenPage:
    """The page that asks what is wrong with a reading."""

    frame: PageFrame
    wheel: str
    meant: Meant
    reads: str
    whys: tuple[tuple[str, str], ...]


@router.get("/things/wheel/{wheel_id}/mistaken")
def ask_mistaken(
    request: Request, wheel_id: str, kind: str = "", thing: str = "", at: str = "", channel: str = ""
) -> Response:
    """Asks what is wrong with a reading, and what is right."""
    desk = desk_of(request)
    was = meant(desk, thing, at, channel, kind)
    _, shown, reads = _row(was, desk.loaded().garage.units.choice)
    one = Meant(kind, thing, Moment(was.at_us, was.offset_min).iso(), was.channel, shown)
    whys = tuple((why.value, WORDS[why]) for why in Why)
    return page("mistaken.html", MistakenPage(frame_of(request, "/things"), wheel_id, one, reads, whys))


@router.post("/things/wheel/{wheel_id}/mistaken")
def mistaken(request: Request, wheel_id: str, form: SentForm = Depends(form_of)) -> Response:  # noqa: B008
    """Marks a reading of a wheel, or of a sensor that was in it, as noted by mistake."""
    why = form.get("why")
    if why not in tuple(Why):
        raise BadRequest("say what is wrong with that reading: choose one", found=why[:20], expected=", ".join(Why))
    mark(
        desk_of(request), form.get("thing"), form.get("at"), form.get("channel"), Why(why), kind=form.get("kind"),
        right=form.get("right"), person=person_of(request), via="page",
    )  # fmt: skip
    return see(f"/things/wheel/{quote(wheel_id, safe='')}#history")
