"""The identity plan with its reasons."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Request
from markupsafe import Markup
from starlette.responses import Response

from wheelside.garage.model import Garage
from wheelside.identity.plan import IdentityPlan
from wheelside.identity.teaching import to_do
from wheelside.said import Said
from wheelside.units import UnitChoice
from wheelside.web.drawn import grid_of
from wheelside.web.frame import Frame, desk_of, frame_of, page

router = APIRouter()


@dataclass(frozen=True, slots=True)
class PlanPage:
    """The plan, the garage it is for, and how this person reads figures."""

    frame: Frame
    garage: Garage
    plan: IdentityPlan
    units: UnitChoice
    sets: tuple[str, ...]
    grid: Markup
    to_do: tuple[Said, ...]


@router.get("/plan")
def plan(request: Request) -> Response:
    """The plan for today."""
    desk = desk_of(request)
    garage, made = desk.loaded().garage, desk.plan(explained=True)
    sets = tuple(dict.fromkeys(w.set for w in made.wheels))
    shown = grid_of(garage, made) if len(sets) <= 12 else Markup()
    tasks = tuple(to_do(garage, t) for t in made.teachings)
    return page(
        "plan.html", PlanPage(frame_of(request, "/plan"), garage, made, garage.units.choice, sets, shown, tasks)
    )
