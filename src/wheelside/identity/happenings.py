"""What is to be expected along the season line: a spare on the car, an outing, a set in the boot, a sale."""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import date

from wheelside.earshot.hearing import heard_at
from wheelside.finding import Basis, Finding, Ground, Weight
from wheelside.garage.joined import parts_on
from wheelside.garage.model import Garage
from wheelside.garage.open_change import SeenStandIn
from wheelside.garage.season import Spell, where
from wheelside.garage.stay import StandIn

_PRACTICE = (Basis(Ground.PRACTICE, "no source"),)
_COMPUTED = (Basis(Ground.COMPUTED, "each sensor 4 frames of 10 ms a minute, all cars on one channel"),)
FRAMES_A_MINUTE, FRAME_S = 4, 0.010
MANY_CARS = 10


def frame_lost(cars: int, wheels: int = 4) -> float:
    """The chance that one frame is hit by another: 1 − exp(−2 G), G the frames begun in the time of one (pure ALOHA)."""
    load = cars * wheels * FRAMES_A_MINUTE / 60.0 * FRAME_S
    return 1.0 - math.exp(-2.0 * load)


def happenings(garage: Garage, line: tuple[Spell, ...], day: date, end: date) -> Iterator[Finding]:
    """What each of them brings, so that nobody takes it for a fault."""
    for one in garage.stand_in:
        if one.until > day and one.since < end and not isinstance(one, SeenStandIn):
            yield _stand_in(garage, one)
            yield from _elsewhere(garage, line, one, max(day, one.since))
    for outing in garage.outing:
        if outing.until > day and outing.since < end and len(outing.cars) > 1:
            yield from _outing(garage, outing.at, outing.cars, outing.since)
    yield from _carried(garage, line, day)
    for wheel_set in garage.set:
        if wheel_set.sold is not None and day < wheel_set.sold < end:
            text = f"It is sold on {wheel_set.sold}; from then on its IDs are retired and never given out again."
            way = "hand over a list of its IDs and ages, and take the set out of the car's list"
            yield Finding(Weight.NOTE, "sale", wheel_set.name, text, _PRACTICE, way)
        if wheel_set.scrapped is not None and day < wheel_set.scrapped < end:
            text = f"It is scrapped on {wheel_set.scrapped}; from then on its IDs are retired, and no other wheel is given them."
            way = "recycle its sensors as batteries; do not drill, cut or heat them"
            yield Finding(Weight.NOTE, "scrapping", wheel_set.name, text, _PRACTICE, way)


def _stand_in(garage: Garage, one: StandIn) -> Finding:
    spare, other = garage.wheels[one.wheel].name, garage.wheels[one.instead_of].name
    car = garage.cars[one.on].name
    lacks = parts_on(garage, one.wheel, one.since).sensor is None
    lamp = (
        "has no sensor: a flashing lamp is to be expected"
        if lacks
        else "is not in the car's list unless taught: a flashing lamp may come"
    )
    heard = one.other_at is None or heard_at(garage, garage.cars[one.on], one.other_at, one.since).heard
    spot = f"at {garage.places[one.other_at].name}" if one.other_at else "in the boot"
    text = f"From {one.since} wheel {spare} stands in for {other}. It {lamp}."
    if heard:
        text += f" Wheel {other} {spot} may go on sending a low pressure, for which the lamp stays on."
    way = (
        f"buy nothing and teach nothing for it; keep to the handbook's speed for a spare; mend {other} and put it back"
    )
    return Finding(Weight.NOTE, "stand-in", car, text, _PRACTICE, way)


def _elsewhere(garage: Garage, line: tuple[Spell, ...], one: StandIn, day: date) -> Iterator[Finding]:
    """A wheel that is stood in for on a car that it is not on then, by the season line."""
    car, file = garage.cars[one.on].name, (Basis(Ground.OWNER, "garage file"),)
    way = "correct the [[stand_in]], or the stays of its set"
    sets = garage.set_of
    days = sorted({day, *(s.since for s in line if s.set == sets[one.instead_of] and day < s.since < one.until)})
    off = next((d for d in days if (spell := where(line, sets[one.instead_of], d)) is None or spell.on != one.on), None)
    if off is not None:
        name = garage.wheels[one.instead_of].name
        text = f"By the season line {name} is not on {car} on {off}, so nothing can stand in for it there."
        yield Finding(Weight.WARNING, "stand-in-elsewhere", car, text, file, way)
    spare = where(line, sets[one.wheel], day)
    if spare is not None and spare.on is not None:
        text = (
            f"By the season line {garage.wheels[one.wheel].name} is on {garage.cars[spare.on].name} already on {day}."
        )
        yield Finding(Weight.WARNING, "stand-in-elsewhere", car, text, file, way)


def _outing(garage: Garage, place: str, cars: tuple[str, ...], since: date) -> Iterator[Finding]:
    direct = [car for car in cars if garage.cars[car].direct]
    name = garage.places[place].name
    if len(direct) < 2:
        return
    text = f"{len(direct)} cars with wheel sensors stand together at {name} from {since}: a car that is taught there may take up another's wheels."
    yield Finding(
        Weight.WARNING, "no-teaching", name, text, _PRACTICE, "teach no car there, and set pressures by gauge"
    )
    if len(direct) >= MANY_CARS:
        share = frame_lost(len(direct))
        lost = f"While all of them roll, about {100 * share:.0f} % of frames are lost to one another; a car may need a minute longer."
        yield Finding(Weight.NOTE, "crowded-air", name, lost, _COMPUTED)


def _carried(garage: Garage, line: tuple[Spell, ...], day: date) -> Iterator[Finding]:
    told: set[str] = set()
    for spell in line:
        car = garage.cars.get(spell.riding_in or "")
        if car is None or not car.direct or spell.until <= day or spell.set in told:
            continue
        told.add(spell.set)
        text = f"It rides in {car.name} from {max(spell.since, day)}: its sensors are heard as well as those on the car, and the lamp may flash."
        way = "unload it out of earshot, let the car stand, drive, look again; buy nothing and teach nothing meanwhile"
        yield Finding(Weight.NOTE, "in-transit", garage.sets[spell.set].name, text, _PRACTICE, way)
