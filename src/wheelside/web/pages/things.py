"""Cars, sets and wheels, each with its history."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from fastapi import APIRouter, Request
from markupsafe import Markup
from starlette.responses import Response

from wheelside.book.events import Line, wheel_history
from wheelside.errors import NotThere
from wheelside.garage.joined import Parts, parts_on
from wheelside.garage.model import Car, Garage, Wheel, WheelSet
from wheelside.garage.season import Spell, set_on, spells, where
from wheelside.identity.plan import IdentityPlan, WheelPlan
from wheelside.identity.roll import Roll
from wheelside.identity.teaching import to_do
from wheelside.jobs.told import told
from wheelside.sensor.qr import text_svg
from wheelside.units import UnitChoice
from wheelside.web.drawn import grid_of, season_of, whereabouts
from wheelside.web.frame import Frame, desk_of, frame_of, page

router = APIRouter()
LINES = 200


@dataclass(frozen=True, slots=True)
class Things:
    """Every car and set, with where each is."""

    frame: Frame
    garage: Garage
    on: tuple[tuple[Car, str], ...]
    sets: tuple[tuple[WheelSet, str], ...]
    season: Markup


@router.get("/things")
def things(request: Request) -> Response:
    """The list."""
    desk = desk_of(request)
    garage, today = desk.loaded().garage, desk.clock().day
    line = spells(garage, today, today + timedelta(days=1))
    on = tuple((car, _set_name(garage, set_on(line, car.id, today))) for car in garage.car)
    sets = tuple((s, "on offer" if s.on_offer else whereabouts(garage, where(line, s.id, today))) for s in garage.set)
    drawn = season_of(garage, today) if 0 < len(garage.set) <= 40 else Markup()
    return page("things.html", Things(frame_of(request, "/things"), garage, on, sets, drawn))


def _set_name(garage: Garage, set_id: str | None) -> str:
    return garage.sets[set_id].name if set_id else "no set noted"


@dataclass(frozen=True, slots=True)
class CarPage:
    """One car: what it is, what is on it, what its list holds, what comes."""

    frame: Frame
    car: Car
    garage: Garage
    units: UnitChoice
    on: WheelSet | None
    held: tuple[tuple[str, ...], ...]
    ahead: tuple[tuple[date, str, str], ...]
    grid: Markup


@router.get("/things/car/{car_id}")
def car(request: Request, car_id: str) -> Response:
    """One car."""
    desk = desk_of(request)
    garage, today = desk.loaded().garage, desk.clock().day
    if car_id not in garage.cars:
        raise NotThere("there is no such car in this book", found=car_id[:60])
    one, plan = garage.cars[car_id], desk.plan()
    on = set_on(plan.line, car_id, today)
    ahead = tuple(
        (t.day, garage.sets[t.set].name, to_do(garage, t) if t.needed else "nothing to teach")
        for t in plan.teachings
        if t.car == car_id
    )
    held = Roll(garage, today).shown(one)
    sets = tuple(dict.fromkeys(s.set for s in plan.line if s.on == car_id))
    drawn = grid_of(garage, plan, sets) if sets and plan.wheels else Markup()
    shown = CarPage(
        frame_of(request, "/things"), one, garage, garage.units.choice, garage.sets.get(on or ""), held, ahead, drawn
    )
    return page("car.html", shown)


@dataclass(frozen=True, slots=True)
class SetPage:
    """One set: its wheels with what they are made of, and where it is when."""

    frame: Frame
    set: WheelSet
    units: UnitChoice
    wheels: tuple[tuple[str, Parts, WheelPlan | None], ...]
    line: tuple[tuple[Spell, str], ...]
    grid: Markup


@router.get("/things/set/{set_id}")
def wheel_set(request: Request, set_id: str) -> Response:
    """One set."""
    desk = desk_of(request)
    garage, today = desk.loaded().garage, desk.clock().day
    if set_id not in garage.sets:
        raise NotThere("there is no such set in this book", found=set_id[:60])
    one, plan = garage.sets[set_id], desk.plan()
    planned = {w.wheel: w for w in plan.wheels}
    wheels = tuple((c.value, parts_on(garage, w, today), planned.get(w)) for c, w in one.wheels)
    line = tuple((s, whereabouts(garage, s)) for s in plan.line if s.set == set_id)[:12]
    drawn = grid_of(garage, plan, (set_id,)) if plan.wheels else Markup()
    return page("set.html", SetPage(frame_of(request, "/things"), one, garage.units.choice, wheels, line, drawn))


@dataclass(frozen=True, slots=True)
class Told:
    """One line of a wheel's history as it is read."""

    at: str
    what: str
    by: str
    recorded: str
    job: str


@dataclass(frozen=True, slots=True)
class WheelPage:
    """One wheel: what it is made of, what its sensor is to carry, and its whole history."""

    frame: Frame
    wheel: Wheel
    garage: Garage
    units: UnitChoice
    parts: Parts
    planned: WheelPlan | None
    whose: WheelSet | None
    qr: Markup
    lines: tuple[Told, ...]
    most: int


@router.get("/things/wheel/{wheel_id}")
def wheel(request: Request, wheel_id: str) -> Response:
    """One wheel."""
    desk = desk_of(request)
    garage, today = desk.loaded().garage, desk.clock().day
    if wheel_id not in garage.wheels:
        raise NotThere("there is no such wheel in this book", found=wheel_id[:60])
    plan: IdentityPlan = desk.plan()
    planned = next((w for w in plan.wheels if w.wheel == wheel_id), None)
    whose = next(
        (s for s in garage.set if wheel_id in dict(s.wheels).values() or any(w == wheel_id for _, w in s.wheels)), None
    )
    with desk.book.reading() as conn:
        history = wheel_history(conn, wheel_id, LINES)
    picture = Markup(text_svg(planned.id.hex, f"Sensor ID {planned.id.hex}")) if planned and planned.id else Markup()  # noqa: S704
    shown = WheelPage(
        frame_of(request, "/things"), garage.wheels[wheel_id], garage, garage.units.choice, parts_on(garage, wheel_id, today),
        planned, whose, picture, tuple(_told(line, garage) for line in history), LINES,
    )  # fmt: skip
    return page("wheel.html", shown)


def _told(line: Line, garage: Garage) -> Told:
    by = f"{line.person or 'nobody named'}, {line.via}"
    recorded = "" if abs(line.recorded.us - line.at.us) < 120_000_000 else line.recorded.short()
    return Told(
        line.at.short(),
        told(line, garage.units.choice, {c.id: c.name for c in garage.car}),
        by,
        recorded,
        line.job or "",
    )
