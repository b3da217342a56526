"""The identity plan with its reasons."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Request
from markupsafe import Markup
from starlette.responses import Response

from wheelside.screens.plan import plan_screen
from wheelside.screens.screen import Screen
from wheelside.units import UnitChoice
from wheelside.web.drawn import grid_of
from wheelside.web.frame import PageFrame, desk_of, frame_of, page

router = APIRouter()


@dataclass(frozen=True, slots=True)
class PlanPage:
    """The plan as a screen, with its drawing."""

    frame: PageFrame
    screen: Screen
    units: UnitChoice
    grid: Markup


@router.get("/plan")
def plan(request: Request) -> Response:
    """The plan for today."""
    desk = desk_of(request)
    garage, made = desk.loaded().garage, desk.plan(explained=True)
    sets = {w.set for w in made.wheels}
    shown = grid_of(garage, made) if 0 < len(sets) <= 12 else Markup()
    screen = plan_screen(garage, made)
    return page("plan.html", PlanPage(frame_of(request, "/plan"), screen, garage.units.choice, shown))
