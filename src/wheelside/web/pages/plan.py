"""The identity plan with its reasons."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import Request
from markupsafe import Markup
from starlette.responses import Response

from wheelside.identity.plan import Reasons
from wheelside.inquiry.query import Query
from wheelside.screens.plan import plan_screen
from wheelside.screens.plan_first import plan_first
from wheelside.screens.screen import Screen
from wheelside.units import UnitChoice
from wheelside.web.drawn import grid_of
from wheelside.web.frame import PageFrame, asker_of, desk_of, frame_of, page
from wheelside.web.route import pages

router = pages()


@dataclass(frozen=True, slots=True)
class PlanPage:
    """The plan as a screen, with its drawing. `first`: the answer, None where there is no plan; `at`: the row that was asked about."""

    frame: PageFrame
    first: Screen | None
    screen: Screen
    at: str
    units: UnitChoice
    grid: Markup
    ask: Query | None


@router.get("/plan")
def plan(request: Request, why: str = "") -> Response:
    """The plan for today, with what was not chosen for the wheels that it changes, and for one that is asked about."""
    desk = desk_of(request)
    garage = desk.loaded().garage
    made = desk.plan(reasons=Reasons.WHY, why=why if why in garage.wheels else "")
    sets = {w.set for w in made.wheels}
    shown = grid_of(garage, made) if 0 < len(sets) <= 12 else Markup()
    screen = plan_screen(garage, made)
    first = plan_first(garage, made) if made.possible and made.wheels else None
    at = f"wheel-{why}" if why else ""
    return page(
        "plan.html",
        PlanPage(
            frame_of(request, "/plan"), first, screen, at, garage.units.choice, shown, asker_of(request).suggestion()
        ),
    )
