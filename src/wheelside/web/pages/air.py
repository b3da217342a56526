"""The air card: what to set now, and from when the lamp must be lit."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from fastapi import Request
from markupsafe import Markup
from starlette.responses import Response

from wheelside.errors import BadRequest
from wheelside.fill.card import air_card
from wheelside.garage.change import Change
from wheelside.garage.model import Garage
from wheelside.jobs.book.kept import pressures_read
from wheelside.jobs.work.air import NEAR_DAYS, change_on
from wheelside.jobs.work.tyres import losing, own_losses, tyres_now
from wheelside.screens.air import air_screen
from wheelside.screens.air_first import air_first
from wheelside.screens.screen import Screen
from wheelside.screens.tyres import Corner4, corners_said
from wheelside.units import UnitChoice
from wheelside.web.drawn import rulers_of, warmth_of
from wheelside.web.drawn_set import air_of
from wheelside.web.frame import PageFrame, desk_of, frame_of, page
from wheelside.web.route import pages

router = pages()


@dataclass(frozen=True, slots=True)
class AirPage:
    """One air card with its drawings, the answer `first`; both screens are None where no set goes on a car, and `why_not` says why.

    `grave`: what is grave about tyres of that set that are on the car.
    """

    frame: PageFrame
    first: Screen | None
    screen: Screen | None
    why_not: str
    units: UnitChoice
    rulers: Markup
    curves: tuple[Markup, ...]
    cars: tuple[tuple[str, str], ...]
    sets: tuple[tuple[str, str], ...]
    chosen: tuple[str, str]
    grave: tuple[Corner4, ...]
    air: Markup
    day: date


@router.get("/air")
def air(request: Request, car: str = "", set: str = "") -> Response:  # noqa: A002  the word of the address
    """The card for a change that is near, for the set that is on, or for what is asked for."""
    desk = desk_of(request)
    garage, today = desk.loaded().garage, desk.clock().day
    frame = frame_of(request, "/air")
    cars = tuple((c.id, c.name) for c in garage.car)
    sets = tuple((s.id, s.name) for s in garage.set if not s.on_offer)
    change, none = _change(garage, today, car, set)
    coming = [w for _, w in garage.sets[change.coming].wheels] if change else []
    tyres = tyres_now(desk, wheels=coming)
    card = (
        air_card(garage, garage.cars[change.car], garage.sets[change.coming], today, own_losses(tyres))
        if change
        else None
    )
    read = pressures_read(desk) if card is not None else {}
    drawn = card is not None and card.situation is not None and bool(card.wheels)
    return page(
        "air.html",
        AirPage(
            frame=frame,
            first=air_first(garage, card) if card else None,
            screen=air_screen(garage, card) if card else None,
            why_not=none,
            units=garage.units.choice,
            rulers=rulers_of(garage, card, read) if drawn and card else Markup(),
            curves=warmth_of(garage, card) if drawn and card else (),
            cars=cars,
            sets=sets,
            chosen=(car or (card.car if card else ""), set or (card.set if card else "")),
            grave=corners_said(losing(t for t in tyres.on(card.car) if t.wheel in coming), today) if card else (),
            air=air_of(garage, garage.sets[card.set], tyres.curves, garage.units.choice) if card else Markup(),
            day=today,
        ),
    )


def _change(garage: Garage, day: date, car: str, wheel_set: str) -> tuple[Change | None, str]:
    """Which set goes on which car, and else why none does."""
    try:
        return change_on(garage, day, car or None, wheel_set or None, within_days=NEAR_DAYS), ""
    except BadRequest as error:
        return None, error.message
