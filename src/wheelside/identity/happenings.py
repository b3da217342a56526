"""What is to be expected along the season line: a spare on the car, an outing, a set in the boot, a sale."""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import date
from itertools import combinations

from wheelside.earshot.hearing import heard_at
from wheelside.finding import Basis, Finding, Ground, Way, WayKind, Weight, note
from wheelside.garage.joined import parts_on
from wheelside.garage.model import Garage
from wheelside.garage.open_change import SeenStandIn
from wheelside.garage.season import Spell, where
from wheelside.garage.stay import StandIn
from wheelside.identity.naming import wheel_named, wheels_named
from wheelside.said import Said, Table, say
from wheelside.units import Share

_FILE = (Basis(Ground.OWNER, "garage file"),)
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
    yield from _on_two_cars(garage, line, day)
    for wheel_set in garage.set:
        if wheel_set.sold is not None and day < wheel_set.sold < end:
            text = "It is sold on {day}; from then on its IDs are retired and never given out again."
            way = say("hand over a list of its IDs and ages, and take the set out of the car's list")
            stay = [w for _, w in wheel_set.wheels if garage.leaves_with(w) is not wheel_set]
            if stay:
                way = say(
                    "{way}; {wheels} is kept back, for another set has it, too",
                    way=way,
                    wheels=wheels_named(garage, stay),
                )
            yield _leaving("sale", wheel_set.name, say(text, day=wheel_set.sold), way)
        if wheel_set.scrapped is not None and day < wheel_set.scrapped < end:
            text = "It is scrapped on {day}; from then on its IDs are retired, and no other wheel is given them."
            way = say("recycle its sensors as batteries; do not drill, cut or heat them")
            yield _leaving("scrapping", wheel_set.name, say(text, day=wheel_set.scrapped), way)


def _on_two_cars(garage: Garage, line: tuple[Spell, ...], day: date) -> Iterator[Finding]:
    """Wheels of several sets of which two are on cars at one time."""
    on = [s for s in line if s.on is not None and s.until > day]
    for wheel, sets in garage.sets_of.items():
        mine = [s for s in on if s.set in sets] if len(sets) > 1 else []
        for one, other in combinations(mine, 2):
            since = max(one.since, other.since, day)
            if one.set != other.set and since < min(one.until, other.until):
                names = garage.sets[one.set].name, garage.sets[other.set].name
                text = say(
                    "It is in {one} and {other}, and both are on cars from {day}.",
                    one=names[0],
                    other=names[1],
                    day=since,
                )
                way = note(say("leave it out of one of them, or correct {table}", table=Table("stay", many=True)))
                yield Finding(Weight.WARNING, "in-two-places", wheel_named(garage, wheel), text, _FILE, way)
                break


def _leaving(code: str, about: str, text: Said, way: Said) -> Finding:
    return Finding(Weight.NOTE, code, about, text, _PRACTICE, Way(WayKind.WORK, way))


def _stand_in(garage: Garage, one: StandIn) -> Finding:
    spare, other = garage.wheels[one.wheel].name, garage.wheels[one.instead_of].name
    lamp = say("is not in the car's list unless taught: a flashing lamp may come")
    if parts_on(garage, one.wheel, one.since).sensor is None:
        lamp = say("has no sensor: a flashing lamp is to be expected")
    text = say(
        "From {day} wheel {spare} stands in for {other}. It {lamp}.", day=one.since, spare=spare, other=other, lamp=lamp
    )
    if one.other_at is None or heard_at(garage, garage.cars[one.on], one.other_at, one.since).heard:
        spot = say("at {place}", place=garage.places[one.other_at].name) if one.other_at else say("in the boot")
        low = "{text} Wheel {other} {where} may go on sending a low pressure, for which the lamp stays on."
        text = say(low, text=text, other=other, where=spot)
    way = "buy nothing and teach nothing for it; keep to the handbook's speed for a spare; mend {other} and put it back"
    said = Way(WayKind.WORK, say(way, other=other))
    return Finding(Weight.NOTE, "stand-in", garage.cars[one.on].name, text, _PRACTICE, said)


def _on(line: tuple[Spell, ...], sets: tuple[str, ...], car: str, day: date) -> bool:
    """Whether one of some sets is on a car on a day."""
    return any((spell := where(line, name, day)) is not None and spell.on == car for name in sets)


def _elsewhere(garage: Garage, line: tuple[Spell, ...], one: StandIn, day: date) -> Iterator[Finding]:
    """A wheel that is stood in for on a car that it is not on then, by the season line."""
    car, file = garage.cars[one.on].name, (Basis(Ground.OWNER, "garage file"),)
    way = note(say("correct {table}, or the stays of its set", table=Table("stand_in")))
    sets = garage.sets_of
    days = sorted({day, *(s.since for s in line if s.set in sets[one.instead_of] and day < s.since < one.until)})
    off = next((d for d in days if not _on(line, sets[one.instead_of], one.on, d)), None)
    if off is not None:
        text = "By the season line {wheel} is not on {car} on {day}, so nothing can stand in for it there."
        said = say(text, wheel=garage.wheels[one.instead_of].name, car=car, day=off)
        yield Finding(Weight.WARNING, "stand-in-elsewhere", car, said, file, way)
    on = next((s.on for name in sets[one.wheel] if (s := where(line, name, day)) is not None and s.on), None)
    if on is not None:
        names = garage.wheels[one.wheel].name, garage.cars[on].name
        said = say("By the season line {wheel} is on {car} already on {day}.", wheel=names[0], car=names[1], day=day)
        yield Finding(Weight.WARNING, "stand-in-elsewhere", car, said, file, way)


def _outing(garage: Garage, place: str, cars: tuple[str, ...], since: date) -> Iterator[Finding]:
    direct = [car for car in cars if garage.cars[car].direct]
    name = garage.places[place].name
    if len(direct) < 2:
        return
    text = say(
        "{cars} cars with wheel sensors stand together at {place} from {day}: "
        "a car that is taught there may take up another's wheels.",
        cars=len(direct), place=name, day=since,
    )  # fmt: skip
    way = Way(WayKind.LEAVE, say("teach no car there, and set pressures by gauge"))
    yield Finding(Weight.WARNING, "no-teaching", name, text, _PRACTICE, way)
    if len(direct) >= MANY_CARS:
        lost = say(
            "While all of them roll, about {share} of frames are lost to one another; a car may need a minute longer.",
            share=Share(frame_lost(len(direct))),
        )
        yield Finding(Weight.NOTE, "crowded-air", name, lost, _COMPUTED)


def _carried(garage: Garage, line: tuple[Spell, ...], day: date) -> Iterator[Finding]:
    told: set[str] = set()
    for spell in line:
        car = garage.cars.get(spell.riding_in or "")
        if car is None or not car.direct or spell.until <= day or spell.set in told:
            continue
        told.add(spell.set)
        text = say(
            "It rides in {car} from {day}: its sensors are heard as well as those on the car, and the lamp may flash.",
            car=car.name, day=max(spell.since, day),
        )  # fmt: skip
        way = "unload it out of earshot, let the car stand, drive, look again; buy nothing and teach nothing meanwhile"
        said = Way(WayKind.WORK, say(way))
        yield Finding(Weight.NOTE, "in-transit", garage.sets[spell.set].name, text, _PRACTICE, said)
