"""A set that is sold: the page for its buyer, as a page and as one file; and keeping that it is gone."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from urllib.parse import quote

from fastapi import Depends, Request
from starlette.responses import Response

from wheelside.errors import BadRequest, NotThere
from wheelside.jobs.wheelset.hand_over import HandOver, keep_sold, look_at
from wheelside.screens.hand_over import hand_over_screen, owner_screen
from wheelside.screens.screen import Screen
from wheelside.units import UnitChoice
from wheelside.web.form import SentForm, form_of
from wheelside.web.frame import PageFrame, desk_of, frame_of, page, person_of, see
from wheelside.web.guard import OWN_STYLE
from wheelside.web.route import pages

router = pages()


@dataclass(frozen=True, slots=True)
class HandOverPage:
    """The page for the buyer, with what its owner looks at first. `set`: by id; `today`: the latest day that can be kept."""

    frame: PageFrame
    units: UnitChoice
    set: str
    screen: Screen
    owner: Screen
    gone: date | None
    day: date
    today: date
    version: int


@dataclass(frozen=True, slots=True)
class HandOverFile:
    """The page for the buyer alone, in one file."""

    units: UnitChoice
    screen: Screen


@router.get("/things/set/{set_id}/hand-over")
def hand_over(request: Request, set_id: str, day: str = "") -> Response:
    """The page for the buyer, and the form that keeps the sale."""
    found = _found(request, set_id, day)
    shown = HandOverPage(
        frame_of(request, "/things", asks=False), found.garage.units.choice, set_id, hand_over_screen(found.page),
        owner_screen(found), found.gone, found.day, desk_of(request).clock().day, found.version,
    )  # fmt: skip
    return page("handover.html", shown)


@router.get("/things/set/{set_id}/hand-over.html")
def file(request: Request, set_id: str, day: str = "") -> Response:
    """The page for the buyer alone, as one file to save and to send."""
    found = _found(request, set_id, day)
    answer = page("handoverfile.html", HandOverFile(found.garage.units.choice, hand_over_screen(found.page)))
    answer.headers["content-security-policy"] = OWN_STYLE
    answer.headers["content-disposition"] = f'attachment; filename="hand-over-{found.day}.html"'
    return answer


@router.post("/things/set/{set_id}/hand-over")
def keep(request: Request, set_id: str, form: SentForm = Depends(form_of)) -> Response:  # noqa: B008
    """Keeps that the set is sold."""
    day, version = _day(form.get("day")), form.get("version")
    if day is None or not version.isdigit():
        raise BadRequest("the day is missing: look at the page again", expected="a day")
    keep_sold(desk_of(request), set_id, day, int(version), person=person_of(request))
    return see(f"/things/set/{quote(set_id, safe='')}/hand-over")


def _found(request: Request, set_id: str, day: str) -> HandOver:
    desk = desk_of(request)
    if set_id not in desk.loaded().garage.sets:
        raise NotThere("there is no such set in this book", found=set_id[:60])
    return look_at(desk, set_id, _day(day))


def _day(text: str) -> date | None:
    """A day as a form sends it; None for an empty one. Raises BadRequest."""
    try:
        day = date.fromisoformat(text) if text else None
    except ValueError as error:
        raise BadRequest("this is not a date", found=text[:20], expected="a day such as 2026-11-28") from error
    if day is not None and not 1980 <= day.year <= 2199:
        raise BadRequest("this day is out of reach", found=text[:20], expected="a day of the years 1980 to 2199")
    return day
