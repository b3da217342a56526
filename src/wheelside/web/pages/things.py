"""Cars, sets and wheels, each with its history."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from urllib.parse import quote, urlencode

from fastapi import Depends, Request
from markupsafe import Markup
from starlette.responses import Response

from wheelside.errors import NotThere
from wheelside.garage.joined import Parts, parts_on
from wheelside.garage.model import Car, Garage, Wheel, WheelSet
from wheelside.garage.present import Present
from wheelside.garage.season import Spell, where
from wheelside.identity.plan import IdentityPlan, WheelPlan
from wheelside.identity.roll import Roll
from wheelside.identity.teaching import to_do
from wheelside.jobs.book.kept import Line, history
from wheelside.jobs.book.told import told
from wheelside.jobs.work.low_batteries import low_days
from wheelside.jobs.work.outlook_said import SetLasts, set_lasts
from wheelside.jobs.work.seen import say_at, say_on, say_wheel
from wheelside.jobs.work.tyres import TyresNow, tyres_now
from wheelside.said import Said, say
from wheelside.screens.tyres import corners_said
from wheelside.sensor.qr import text_svg
from wheelside.units import UnitChoice
from wheelside.web.draw.amount import amount
from wheelside.web.drawn import grid_of, season_of, whereabouts
from wheelside.web.drawn_set import air_of, sensors_of, treads_of
from wheelside.web.form import SentForm, form_of
from wheelside.web.frame import LINKS, PageFrame, desk_of, frame_of, page, person_of, see
from wheelside.web.route import pages

router = pages()
LINES = 200


@dataclass(frozen=True, slots=True)
class Things:
    """Every car and set, with where each is."""

    frame: PageFrame
    garage: Garage
    on: tuple[tuple[Car, str], ...]
    sets: tuple[tuple[WheelSet, str], ...]
    season: Markup


@router.get("/things")
def things(request: Request) -> Response:
    """The list."""
    desk = desk_of(request)
    garage, today = desk.loaded().garage, desk.clock().day
    now = desk.present()
    on = tuple((car, _set_name(garage, now.set_on(car.id))) for car in garage.car)
    sets = tuple(
        (s, "on offer" if s.on_offer else _gone(s, today) or whereabouts(garage, where(now.line, s.id, today)))
        for s in garage.set
    )
    drawn = season_of(garage, today) if 0 < len(garage.set) <= 40 else Markup()
    return page("things.html", Things(frame_of(request, "/things"), garage, on, sets, drawn))


def _gone(one: WheelSet, today: date) -> str:
    """How and since when a set is not the owner's any more; '' while it is."""
    if not one.gone_by(today):
        return ""
    return f"sold on {one.sold}" if one.sold == one.leaves else f"scrapped on {one.scrapped}"


def _set_name(garage: Garage, set_id: str | None) -> str:
    return garage.sets[set_id].name if set_id else "no set noted"


@dataclass(frozen=True, slots=True)
class CarPage:
    """One car: what it is, what is on it (corner, wheel, since when and by whom that is known), what its list holds, what comes."""

    frame: PageFrame
    car: Car
    garage: Garage
    units: UnitChoice
    on: WheelSet | None
    corners: tuple[tuple[str, str, str, str], ...]
    sets: tuple[tuple[str, str], ...]
    wheels: tuple[tuple[str, str], ...]
    held: tuple[tuple[Said, ...], ...]
    ahead: tuple[tuple[str, str, Said], ...]
    grid: Markup


@router.get("/things/car/{car_id}")
def car(request: Request, car_id: str) -> Response:
    """One car."""
    desk = desk_of(request)
    garage, today = desk.loaded().garage, desk.clock().day
    if car_id not in garage.cars:
        raise NotThere("there is no such car in this book", found=car_id[:60])
    one, plan = garage.cars[car_id], desk.plan()
    now = desk.present()
    on = now.set_on(car_id)
    ahead = tuple(
        (
            "now" if plan.is_due(t.car, t.set, t.day) else str(t.day),
            garage.sets[t.set].name,
            to_do(garage, t) if t.needed else say("nothing to teach"),
        )
        for t in plan.teachings
        if t.car == car_id
    )
    held = Roll(garage, today).shown(one)
    sets = tuple(dict.fromkeys(s.set for s in plan.line if s.on == car_id))
    drawn = grid_of(garage, plan, sets) if sets and plan.wheels else Markup()
    shown = CarPage(
        frame_of(request, "/things"), one, garage, garage.units.choice, garage.sets.get(on or ""), _corners(now, car_id),
        tuple((s.id, s.name) for s in now.garage.set), tuple((w.id, w.name) for w in garage.wheel), held, ahead, drawn,
    )  # fmt: skip
    return page("car.html", shown)


def _corners(now: Present, car_id: str) -> tuple[tuple[str, str, str, str], ...]:
    """Corner by corner: the wheel that is there, the day of which that is known, and who said so; '' where nobody has."""
    rows = []
    for corner, wheel in now.wheel_at(car_id).items():
        known = now.known.get(wheel)
        seen = known if known is not None and known.on == car_id else None
        who = (seen.by or seen.how.value) if seen else ""
        rows.append((corner.value, now.garage.wheels[wheel].name, str(seen.as_of) if seen else "", who))
    return tuple(rows)


@router.post("/on")
def on_car(request: Request, form: SentForm = Depends(form_of)) -> Response:  # noqa: B008  FastAPI's way
    """Keeps what somebody says is on a car, a set or one wheel at a corner; or that a set lies at a place."""
    desk, car_id, back = desk_of(request), form.get("car"), form.get("back")
    if form.get("place"):
        say_at(desk, form.get("set"), form.get("place"), person=person_of(request))
        return see(f"/things/set/{quote(form.get('set'))}")
    if form.get("wheel"):
        say_wheel(desk, car_id, form.get("corner"), form.get("wheel"), person=person_of(request))
    else:
        say_on(desk, car_id, form.get("set"), person=person_of(request))
    return see(back if back in {href for href, _ in LINKS} else f"/things/car/{quote(car_id)}#on")


@dataclass(frozen=True, slots=True)
class SetPage:
    """One set: its wheels with what they are made of, what is said of their tyres, how long it lasts, and where it is when; with drawings.

    `gone`: how and since when it is not the owner's; '' while it is.
    """

    frame: PageFrame
    set: WheelSet
    units: UnitChoice
    gone: str
    where: str
    places: tuple[tuple[str, str], ...]
    wheels: tuple[tuple[str, Parts, WheelPlan | None], ...]
    line: tuple[tuple[Spell, str], ...]
    lasts: SetLasts
    lives: Markup
    treads: Markup
    says: tuple[tuple[str, Said], ...]
    air: Markup
    grid: Markup


@router.get("/things/set/{set_id}")
def wheel_set(request: Request, set_id: str) -> Response:
    """One set."""
    desk = desk_of(request)
    garage, today = desk.loaded().garage, desk.clock().day
    if set_id not in garage.sets:
        raise NotThere("there is no such set in this book", found=set_id[:60])
    one, plan = garage.sets[set_id], desk.plan()
    planned = {w.wheel: w.as_on(plan.day) for w in plan.wheels}
    wheels = tuple((c.value, parts_on(garage, w, today), planned.get(w)) for c, w in one.wheels)
    line = tuple((s, whereabouts(garage, s)) for s in plan.line if s.set == set_id)[:12]
    drawn = grid_of(garage, plan, (set_id,)) if plan.wheels else Markup()
    tyres, now = tyres_now(desk, wheels=[w for _, w in one.wheels]), desk.present()
    low = low_days(desk)
    lasts, lives, treads = desk.once(
        f"lasting {set_id}", lambda: _lasting(now, set_id, tyres, low), of=(tyres, tuple(low.items()))
    )
    shown = SetPage(
        frame_of(request, "/things"), one, garage.units.choice, _gone(one, today), whereabouts(garage, where(now.line, set_id, today)),
        tuple((p.id, p.name) for p in garage.place), wheels, line, lasts,
        lives, treads,
        tuple((p.wheel.name, said) for _, p, _ in wheels if (said := _says(tyres, p.wheel.id, today)) is not None),
        air_of(garage, one, tyres.curves, garage.units.choice), drawn,
    )  # fmt: skip
    return page("set.html", shown)


def _lasting(now: Present, set_id: str, tyres: TyresNow, low: Mapping[str, date]) -> tuple[SetLasts, Markup, Markup]:
    """How long a set lasts, its sensors drawn, and its treads."""
    lasts = set_lasts(now, set_id, tyres, low)
    lives = sensors_of(now, lasts.lives) if lasts.lives else Markup()
    return lasts, lives, treads_of(now.garage, now.garage.sets[set_id], lasts.worn, now.day)


@dataclass(frozen=True, slots=True)
class HistoryRow:
    """One line of a wheel's history as it is read. `mark`: the page on which a reading that counts is marked as mistaken."""

    at: str
    what: str
    by: str
    recorded: str
    job: str
    mark: str


def _says(tyres: TyresNow, wheel: str, today: date) -> Said | None:
    """What is said of a wheel's tyre; None where it was never read."""
    one = tyres.of(wheel)
    return corners_said((one,), today)[0].whole if one is not None and one.read else None


def _curve(garage: Garage, tyres: TyresNow, wheel: str) -> Markup:
    """The amount of air of a wheel over time; nothing where it was not read twice."""
    curve = tyres.curves.get(wheel)
    return amount(garage.wheels[wheel].name, curve, garage.units.choice) if curve is not None else Markup()


@dataclass(frozen=True, slots=True)
class WheelPage:
    """One wheel: what is said of its tyre, what it is made of, what its sensor is to carry, and its whole history."""

    frame: PageFrame
    wheel: Wheel
    garage: Garage
    units: UnitChoice
    parts: Parts
    planned: WheelPlan | None
    whose: tuple[WheelSet, ...]
    qr: Markup
    lines: tuple[HistoryRow, ...]
    most: int
    says: Said | None
    curve: Markup


@router.get("/things/wheel/{wheel_id}")
def wheel(request: Request, wheel_id: str) -> Response:
    """One wheel."""
    desk = desk_of(request)
    garage, today = desk.loaded().garage, desk.clock().day
    if wheel_id not in garage.wheels:
        raise NotThere("there is no such wheel in this book", found=wheel_id[:60])
    plan: IdentityPlan = desk.plan()
    planned = next((w.as_on(plan.day) for w in plan.wheels if w.wheel == wheel_id), None)
    whose = tuple(garage.sets[name] for name in garage.sets_of.get(wheel_id, ()))
    lines, tyres = history(desk, wheel_id, LINES), tyres_now(desk, wheels=(wheel_id,))
    picture = Markup(text_svg(planned.id.hex, f"Sensor ID {planned.id.hex}")) if planned and planned.id else Markup()  # noqa: S704
    shown = WheelPage(
        frame_of(request, "/things"), garage.wheels[wheel_id], garage, garage.units.choice, parts_on(garage, wheel_id, today),
        planned, whose, picture, tuple(_told(line, garage, wheel_id) for line in lines), LINES,
        _says(tyres, wheel_id, today), _curve(garage, tyres, wheel_id),
    )  # fmt: skip
    return page("wheel.html", shown)


def _told(line: Line, garage: Garage, wheel_id: str) -> HistoryRow:
    by = f"{line.person or 'nobody named'}, {line.via}"
    recorded = "" if abs(line.recorded.us - line.at.us) < 120_000_000 else line.recorded.short()
    return HistoryRow(
        line.at.short(),
        told(line, garage.units.choice, {c.id: c.name for c in garage.car}, {p.id: p.name for p in garage.place}),
        by,
        recorded,
        line.job or "",
        _markable(line, wheel_id),
    )


def _markable(line: Line, wheel_id: str) -> str:
    """The page on which a line is marked as mistaken; '' for one that can't be."""
    if line.kind != "reading" or line.mistaken:
        return ""
    sensor = dict(line.about).get("sensor")
    kind, thing = ("sensor", sensor) if sensor else ("wheel", wheel_id)
    asked = urlencode({"kind": kind, "thing": thing, "at": line.at.iso(), "channel": line.channel or ""})
    return f"/things/wheel/{quote(wheel_id, safe='')}/mistaken?{asked}"
