"""The identity plan with its reasons."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import Request
from markupsafe import Markup
from starlette.responses import Response

from wheelside.garage.model import Garage
from wheelside.identity.plan import IdentityPlan, Reasons
from wheelside.inquiry.query import Query
from wheelside.screens.plan import plan_screen
from wheelside.screens.plan_first import plan_first
from wheelside.screens.screen import Screen
from wheelside.units import UnitChoice
from wheelside.web.drawn import grid_of
from wheelside.web.frame import PageFrame, asker_of, desk_of, frame_of, page, part
from wheelside.web.route import pages

router = pages()


@dataclass(frozen=True, slots=True)
class PlanPage:
    """The plan as a page: all of it but its frame."""

    frame: PageFrame
    main: Markup


@dataclass(frozen=True, slots=True)
class PlanShown:
    """The plan as a screen, with its drawing. `first`: the answer, None where there is no plan; `at`: the row that was asked about."""

    first: Screen | None
    screen: Screen
    at: str
    units: UnitChoice
    grid: Markup
    ask: Query | None


@router.get("/plan")
def plan(request: Request, why: str = "") -> Response:
    """The plan for today, with what was not chosen for the wheels that it changes, and for one that is asked about."""
    desk, frame = desk_of(request), frame_of(request, "/plan")
    since, garage = desk.apart_from_treads(desk.loaded())
    why = why if why in garage.wheels else ""
    made, ask = desk.plan(reasons=Reasons.WHY, why=why), asker_of(request).suggestion()
    main = desk.once(
        f"plan {why}", lambda: part("plan_main.html", _shown(garage, made, why, ask)), of=(made, ask), since=since
    )
    return page("plan.html", PlanPage(frame, main))


def _shown(garage: Garage, made: IdentityPlan, why: str, ask: Query | None) -> PlanShown:
    sets = {w.set for w in made.wheels}
    grid = grid_of(garage, made) if 0 < len(sets) <= 12 else Markup()
    first = plan_first(garage, made) if made.possible and made.wheels else None
    return PlanShown(first, plan_screen(garage, made), f"wheel-{why}" if why else "", garage.units.choice, grid, ask)
