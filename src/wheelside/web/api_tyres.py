"""What is said of each tyre, for programs: the same record as pages and proofs have, with its sentence."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Any

from fastapi import APIRouter, Query, Request

from wheelside.errors import NotThere
from wheelside.jobs.jsonform import plain
from wheelside.jobs.work.tyres import TyreAt, tyres_now
from wheelside.speech.speech import Speech
from wheelside.units import UnitChoice
from wheelside.watch.says import sentence
from wheelside.web.api import ERRORS, PlainRoute
from wheelside.web.frame import desk_of

router = APIRouter(responses=ERRORS, route_class=PlainRoute)


@router.get("/tyres")
def tyres(request: Request, car: Annotated[str, Query(max_length=200)] = "") -> list[dict[str, Any]]:
    """What is said of each tyre that was read or is on a car, cars first; `car`: of what is on that one."""
    desk = desk_of(request)
    garage, today = desk.loaded().garage, desk.clock().day
    if car and car not in garage.cars:
        raise NotThere("there is no such car in this book", found=car[:60])
    found = tyres_now(desk, car=car, patience_s=LONG_S)
    return [tyre_out(t, today, garage.units.choice) for t in (found.on(car) if car else found.tyres)]


LONG_S = 30.0
"""So long a program waits for all sets; what is left then stands as it was known last."""


def tyre_out(t: TyreAt, today: date, units: UnitChoice) -> dict[str, Any]:
    """One tyre: where it is, what is said of it as codes and figures, and its sentence in the book's units."""
    says: dict[str, Any] = plain(t.says)
    del says["wheel"]
    at = {
        "wheel": t.wheel,
        "name": t.name,
        "set": t.set,
        "car": t.car,
        "corner": t.corner.value if t.corner is not None else None,
    }
    return {**at, "sentence": Speech(units).text(sentence(t.says, today)), **says}
