"""A household that is just as its garage file tells it, and lived by that file's line: where the file is silent, the plainest is so.

What is where and who hears whom is taken from the program's reading of the file; everything that is done is held against `world.py`.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from pathlib import Path
from random import Random

from days import Day, Kind, LeftOut, Life, lived
from households import FAMILIES, Household
from things import USUAL_ORDER, Car, Group, Sensor, Wheel
from world import World

from wheelside.earshot.hearing import heard_between, path_between
from wheelside.garage.file import read_text
from wheelside.garage.joined import joining_on
from wheelside.garage.model import Car as Noted
from wheelside.garage.model import Garage
from wheelside.garage.model import Sensor as NotedSensor
from wheelside.garage.present import present
from wheelside.garage.words import AtRest
from wheelside.identity.roll import Roll, carried_by
from wheelside.sensor.ident import SensorId
from wheelside.sheet.order import ON_FOOT_M
from wheelside.sheet.start import JobStart

AIR_AS_IT_LAY = 230.0
BAND, BITS = "433.92 MHz", 32


def walk_file(text: str, day: date, kind: Kind = Kind.ON, seed: int = 0) -> Day:
    """One day in the household of a file: the change that is due or next, carried out to the letter."""

    class Told(Life):
        def drawn(self) -> Household:
            return as_told(text, day)

        def first_day(self) -> date:
            return day

        def _asked(self) -> dict[str, str]:
            return {}

        def _leave_out(self, start: JobStart) -> None:
            """What the plan asks first, and says that the lamp hangs on; and things that nobody can tell apart by their names."""
            asked = {(f.code, f.about) for f in self.desk.plan().findings}
            car = self.world.cars.get(start.car)
            if car is not None and car.direct and ("missing-wheel", start.coming_name) in asked:
                raise LeftOut("the plan asks first which wheel is at a corner that the car watches")
            if any(code == "same-name" for code, _ in asked):
                raise LeftOut("the plan asks first for names that tell things apart")

    return lived(Day(seed, kind), lambda made, folder: Told(made, Random(f"{kind.value} {seed}"), folder))


def walk_path(path: Path, day: date, kind: Kind = Kind.ON, seed: int = 0) -> Day:
    """The same of a file that there is."""
    return walk_file(path.read_text(encoding="utf-8"), day, kind, seed)


def as_told(text: str, day: date) -> Household:
    """The household of a file on a day."""
    garage, _ = read_text(text, "told.toml")
    now = present(garage, day)
    cars = {c.id: _car(garage, c, day) for c in garage.car}
    wheels = {w.id: _wheel(garage, w.id, day) for w in garage.wheel}
    for car in cars.values():
        for corner, wheel in now.wheel_at(car.id).items():
            car.hubs[corner.value], car.tight[corner.value] = wheels[wheel], True
            wheels[wheel].car, wheels[wheel].corner = car.id, corner.value
    _take_what_is_left(cars.values(), _unread(garage, day))
    for one in wheels.values():
        if one.car is None:
            one.place = _lies(garage, one, day)
            if one.place is None:
                raise LeftOut("nobody says where a wheel lies")
    places = [p.id for p in garage.place]
    pairs = {frozenset((a, b)) for a in places for b in places if a != b}
    home = World(
        cars, wheels, {p for p in pairs if _heard(garage, p)}, {b.family or "": b.count for b in garage.blank},
        {f.id: (f.band.value if f.band else BAND, f.bits or BITS) for f in garage.family},
        {f for w in garage.writer for f in (w.families or [f.id for f in garage.family])}, 283.15,
        far={p for p in pairs if _far(garage, p)},
    )  # fmt: skip
    home.cool_down()
    for one in wheels.values():
        one.fill(AIR_AS_IT_LAY)
    gauge = next((i for i in garage.instrument if i.id == garage.conditions.gauge), None)
    bias = gauge.pressure_bias.kpa if gauge and gauge.pressure_bias else 0.0
    home.awaiting = home.doubled()
    due = next((c for c in now.open), None)
    names = {s.id: s.name for s in garage.set}
    coming = due.coming if due else next(iter(names))
    known = {c.id for c in garage.car if c.holds is not None}
    turns = [(s.on, s.since, s.set) for s in now.line if s.on]
    return Household(text, home, day, due.car if due else "", "", coming, turns, known, set(), bias, names)


def _wheel(garage: Garage, wheel: str, day: date) -> Wheel:
    noted = garage.wheels[wheel]
    own, meant = next(((s.id, c.value) for s in garage.set for c, w in s.wheels if w == wheel), ("", ""))
    joined = joining_on(noted, day)
    row = garage.sensors.get(joined.sensor or "") if joined else None
    sensor = _sensor(garage, row) if row else None if noted.joined else _one_that_suits(garage, wheel, own, day)
    return Wheel(wheel, noted.name, own, meant, sensor, 1.0, 283.15)


def _one_that_suits(garage: Garage, wheel: str, own: str, day: date) -> Sensor | None:
    """What the plan takes a wheel to have of which nothing is known: a sensor that its car hears, with an ID that nobody has read."""
    goes_on = (s.on for s in present(garage, day).line if s.set == own and s.on)
    car = next((garage.cars[c] for c in goes_on if garage.cars[c].direct), None)
    return _sensor(garage, NotedSensor(id=f"the one in {wheel}", family=car.family, band=car.band)) if car else None


def _sensor(garage: Garage, noted: NotedSensor) -> Sensor:
    """A sensor: with the ID that it carries by the file, or one of its own where nobody has read it."""
    ids = carried_by(garage, noted)
    family = garage.families.get(noted.family or "")
    read = _as_read(ids) if ids else None
    bits = read.bits if read else (family.bits if family else None) or BITS
    number = read.number if read else Random(noted.id).getrandbits(bits)
    band = noted.band or (family.band if family else None)
    writing = {"write-once": "write once"}.get(noted.writing.value, noted.writing.value) if noted.writing else "fixed"
    never = noted.written is False and not ids
    return Sensor(
        noted.name, noted.family or "", band.value if band else BAND, bits, number, writing, bool(noted.written),
        alive=noted.answers is not False and not never, rests=noted.at_rest is AtRest.SILENT,
    )  # fmt: skip


def _as_read(ids: tuple[SensorId, ...]) -> SensorId:
    """Of several readings the one of the usual width."""
    return next((one for one in ids if one.bits == BITS), ids[0])


def _car(garage: Garage, noted: Noted, day: date) -> Car:
    order = tuple(c.value for c in noted.teach_order) or USUAL_ORDER
    car = Car(
        noted.id, noted.name, noted.stands_at or "", noted.direct, noted.family or next(iter(FAMILIES)),
        noted.band.value if noted.band else BAND, bool(noted.spare_counted), noted.remembers_sets or 1,
        noted.when_full.value if noted.when_full else "oldest", noted.corner_aware is not False and not any(h.ids for h in noted.holds or ()),
        noted.taught_by.value if noted.taught_by else "step by step", order, any(i.kind.value == "adapter" for i in garage.instrument),
    )  # fmt: skip
    for corner in car.corners:
        car.hubs.setdefault(corner, None)
        car.tight.setdefault(corner, True)
    for held, group in zip(noted.holds or (), Roll(garage, day).listed(noted), strict=True):
        read = [(_as_read(ids), corner) for ids, corner, _ in group if ids]
        loose = [c for c in car.corners if c not in {corner.value for _, corner in read if corner}]
        rows: Group = {corner.value if corner else loose.pop(0): (one.bits, one.number) for one, corner in read}
        car.memory.append(rows)
        car.whose.append(held.set or "")
    car.dash, car.erases = bool(noted.dash_shows), bool(noted.abort_erases)
    car.parked = "no" if noted.dash_parked is False else "yes"
    return car


def _take_what_is_left(cars: Iterable[Car], unread: set[str]) -> None:
    """Where a list holds IDs beside those that its wheels are known to carry, just as many wheels on that car that nobody has read carry these."""
    for car in cars:
        fitted = [w for w in car.hubs.values() if w is not None and w.sensor is not None]
        known = {w.sensor.key for w in fitted if w.sensor and w.id not in unread}
        open_ones = [w.sensor for w in fitted if w.sensor and w.id in unread]
        for group in car.memory:
            left = [key for key in group.values() if key not in known]
            if len(left) == len(open_ones):
                for sensor, key in zip(open_ones, left, strict=True):
                    sensor.bits, sensor.number = key


def _unread(garage: Garage, day: date) -> set[str]:
    """The wheels whose ID nobody has read."""
    joined = {w.id: joining_on(w, day) for w in garage.wheel}
    return {w for w, j in joined.items() if not carried_by(garage, garage.sensors.get(j.sensor or "") if j else None)}


def _lies(garage: Garage, wheel: Wheel, day: date) -> str | None:
    known = present(garage, day).known.get(wheel.id)
    if known is not None and known.on is None:
        return known.at
    spell = next(
        (s for s in present(garage, day).line if s.set == wheel.set and s.since <= day < s.until),
        None,
    )
    return spell.at if spell else None


def _heard(garage: Garage, pair: frozenset[str]) -> bool:
    """Whether any car hears one of two places from the other."""
    a, b = sorted(pair)
    return any(heard_between(garage, c, a, b).heard for c in garage.car if c.direct)


def _far(garage: Garage, pair: frozenset[str]) -> bool:
    path = path_between(garage, *sorted(pair))
    return path is None or path.distance is None or path.distance.metres > ON_FOOT_M


__all__ = ["LeftOut", "as_told", "walk_file", "walk_path"]
