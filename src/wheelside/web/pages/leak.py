"""Looking for a leak, and the way to a workshop and back."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import quote

from fastapi import Depends, Request
from starlette.responses import Response

from wheelside.errors import NotThere
from wheelside.garage.joined import Parts, parts_on
from wheelside.garage.words import Corner
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.book.kept import history
from wheelside.jobs.book.told import figures
from wheelside.jobs.work.gauging import at_shop_since, keep_at_shop, keep_mended, mended_as
from wheelside.jobs.work.tyres import TyreAt, tyres_now
from wheelside.said import Said
from wheelside.screens.tyres import corners_said
from wheelside.sheet import cautions
from wheelside.units import UnitChoice
from wheelside.watch.mended import Mended
from wheelside.web.form import SentForm, form_of
from wheelside.web.frame import PageFrame, desk_of, frame_of, page, person_of, see
from wheelside.web.route import pages

router = pages()
MOST_READINGS = 10
"""So many readings stand on a note for a workshop, the newest."""


@dataclass(frozen=True, slots=True)
class LeakPage:
    """Where to look for a leak, and what can have been found. `at_shop`: since when it is with a workshop; '' where it is not."""

    frame: PageFrame
    tyre: TyreAt
    whole: Said
    care: str
    found: tuple[tuple[str, str], ...]
    at_shop: str
    units: UnitChoice


@router.get("/gauge/leak/{wheel}")
def leak(request: Request, wheel: str) -> Response:
    """How a leak is found."""
    desk = desk_of(request)
    one = _tyre(desk, wheel)
    found = tuple((m.value, m.words) for m in Mended if m is not Mended.WORKSHOP)
    since = at_shop_since(desk, wheel)
    shown = LeakPage(
        frame_of(request, "/", short=True), one, _whole(desk, one), cautions.LEAK, found, str(since.day) if since is not None else "",
        desk.loaded().garage.units.choice,
    )  # fmt: skip
    return page("leak.html", shown)


def _tyre(desk: Desk, wheel: str) -> TyreAt:
    one = tyres_now(desk, wheels=(wheel,)).of(wheel)
    if one is None:
        raise NotThere("there is no such wheel in this book", found=wheel[:60])
    return one


def _whole(desk: Desk, one: TyreAt) -> Said:
    return corners_said((one,), desk.clock().day)[0].whole


@router.post("/gauge/leak/{wheel}")
def mended(request: Request, wheel: str, form: SentForm = Depends(form_of)) -> Response:  # noqa: B008  FastAPI's way
    """Keeps what was found, or that it is back from a workshop."""
    keep_mended(desk_of(request), wheel, mended_as(form.get("found")), person=person_of(request))
    return see("/")


@router.post("/gauge/leak/{wheel}/shop")
def to_shop(request: Request, wheel: str, form: SentForm = Depends(form_of)) -> Response:  # noqa: ARG001, B008
    """Keeps that a tyre goes to a workshop, and goes on to the note for it."""
    keep_at_shop(desk_of(request), wheel, person=person_of(request))
    return see(f"/gauge/leak/{quote(wheel, safe='')}/note")


@dataclass(frozen=True, slots=True)
class LeakNote:
    """What a workshop is told of a leak, on one page: nothing of the owner, and of the car only the corner.

    `readings`: the newest first, each with its moment and its figures.
    """

    frame: PageFrame
    tyre: TyreAt
    corner: str
    whole: Said
    parts: Parts
    readings: tuple[tuple[str, str], ...]
    day: str
    units: UnitChoice


@router.get("/gauge/leak/{wheel}/note")
def note(request: Request, wheel: str) -> Response:
    """The note for the workshop."""
    desk = desk_of(request)
    one, today, garage = _tyre(desk, wheel), desk.clock().day, desk.loaded().garage
    units = garage.units.choice
    read = (
        line
        for line in history(desk, wheel, 200)
        if line.kind == "reading" and line.pressure is not None and not line.mistaken
    )
    rows = tuple((line.at.short(), ", ".join((*figures(line, units), line.warmth.words))) for line in read)[
        :MOST_READINGS
    ]
    shown = LeakNote(
        frame_of(request, "/", asks=False),
        one,
        _corner(one, desk),
        _whole(desk, one),
        parts_on(garage, wheel, today),
        rows,
        str(today),
        units,
    )
    return page("leaknote.html", shown)


def _corner(one: TyreAt, desk: Desk) -> str:
    """The corner that a wheel is at, or belongs to; '' where it has none."""
    own: dict[str, Corner] = {w: c for c, w in desk.loaded().garage.sets[one.set].wheels}
    corner = one.corner or own.get(one.wheel)
    return corner.value if corner is not None else ""
