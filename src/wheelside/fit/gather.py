"""One car at one corner and one wheel, with everything that columns of facts are read from."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from functools import cached_property, lru_cache
from typing import NamedTuple

from wheelside.fit.language import Language
from wheelside.fit.named import (
    all_sizes,
    carried_by_size,
    meant_tyre,
    named_by_size,
    named_sizes,
    placard_kpa,
    speedometer_grade,
)
from wheelside.fit.verdict import FITS
from wheelside.garage.ids import RETIRED, each_known_id
from wheelside.garage.joined import Parts, joining_on, parts_on
from wheelside.garage.model import Car, Garage, Rim, Sensor, Tyre, WheelSet
from wheelside.garage.words import ROAD_CORNERS, Corner, Season, Teaching, Writing
from wheelside.rim.size import RimSize
from wheelside.tyre.age import age_on
from wheelside.tyre.date_code import read_date_code
from wheelside.tyre.designation import Designation
from wheelside.tyre.geometry import circumference_mm, diameter_mm, measuring_rim_mm, section_mm, section_on_mm
from wheelside.tyre.load import LoadRule, load_of, load_rule
from wheelside.tyre.speed import speed_of
from wheelside.tyre.wear import WORN_MM, WORN_WINTER_MM
from wheelside.units import Length, Mass

SEASON_KM = 7500.0
"""How far a set is driven in a season where the owner does not say; judgement."""


def present_parts(garage: Garage, wheel_set: WheelSet | None, corner: Corner, day: date) -> Parts | None:
    """What sits at a corner of a set; None where the set has no wheel for it."""
    wheel = dict(wheel_set.wheels).get(corner) if wheel_set else None
    return parts_on(garage, wheel, day) if wheel else None


@dataclass
class CarAt:
    """A car at one corner. `on`: what sits there now."""

    garage: Garage
    car: Car
    corner: Corner
    on: Parts | None
    words: Language

    @cached_property
    def meant(self) -> Designation | None:
        return meant_tyre(self.car, self.corner)

    @cached_property
    def tyre(self) -> Designation | None:
        """The tyre that is on it now, or the one that is meant."""
        tyre = self.on.tyre if self.on else None
        return tyre.designation if tyre and tyre.designation else self.meant

    @cached_property
    def width(self) -> RimSize | None:
        """The width of the rim that is on it now, or of its own."""
        rim = self.on.rim if self.on else None
        return (rim.width_in if rim else None) or self.car.width_in

    @property
    def inset(self) -> Length | None:
        rim = self.on.rim if self.on else None
        return rim.inset if rim and rim.inset is not None else self.car.inset

    @property
    def least_rim(self) -> float | None:
        """The smallest rim that goes over the brakes: as stated, else of the named sizes."""
        if self.car.least_rim:
            return self.car.least_rim
        return min((d.rim_in for c in ROAD_CORNERS for d in named_sizes(self.car, c)), default=None)

    @property
    def half_axle(self) -> float | None:
        load: Mass | None = getattr(self.car, f"axle_load_{self.corner.axle}")
        return load.kg / 2 if load else None

    @cached_property
    def named(self) -> dict[str, Designation]:
        return named_by_size(self.car, self.corner)

    @cached_property
    def carried(self) -> dict[str, list[float]]:
        return carried_by_size(self.car, self.corner)

    @cached_property
    def _all_sizes(self) -> frozenset[str]:
        return all_sizes(self.car)

    def speedometer(self, size: str) -> int:
        """The grade of a size's circumference under UN R39: the maker's own sizes are taken to keep it."""
        return FITS if size in self._all_sizes else speedometer_grade(self.car, self.words.around.get(size))

    @cached_property
    def placard(self) -> dict[str, float]:
        return placard_kpa(self.car, self.corner)


def season_km(car: Car) -> float:
    """How far the car goes on one set in one season, in km."""
    return car.season_distance.metres / 1000.0 if car.season_distance else SEASON_KM


def one_set_locked(car: Car) -> bool | None:
    """Whether the car holds one set's IDs and its owner can't teach it others."""
    if car.taught_by is Teaching.NOT:
        return True
    if car.taught_by is None or (car.taught_by is Teaching.LOCKED and car.slots is None):
        return None
    return car.taught_by is Teaching.LOCKED and car.slots == 1


class SizeNumbers(NamedTuple):
    """What a tyre's designation says, in mm, kg, kPa and km/h; None where it does not say it."""

    size: str
    diameter: float | None
    around: float | None
    rim_in: float
    measuring: float | None
    load: float | None
    rule: LoadRule | None
    speed: float | None


@lru_cache(maxsize=4096)
def size_numbers(tyre: Designation) -> SizeNumbers:
    """The numbers of a designation."""
    index, symbol = tyre.load_index, tyre.speed_symbol
    return SizeNumbers(
        tyre.size, diameter_mm(tyre), circumference_mm(tyre), tyre.rim_in, measuring_rim_mm(tyre),
        None if index is None else load_of(index).kg, load_rule(tyre), speed_of(symbol).km_h if symbol else None,
    )  # fmt: skip


@lru_cache(maxsize=4096)
def section_of(tyre: Designation | None, rim_mm: float | None) -> float | None:
    """How wide a tyre is, on a rim of that width or on its measuring rim."""
    if tyre is None:
        return None
    return section_on_mm(tyre, rim_mm) if rim_mm is not None else section_mm(tyre)


@lru_cache(maxsize=4096)
def _age(code: str, day: date) -> tuple[float, float]:
    age = age_on(read_date_code(code), day)
    return age.least, age.most


Taken = Callable[[Sensor, frozenset[str]], bool | None]


class WheelAt:
    """One wheel of a set with its parts. `taken`: whether its sensor's ID is taken."""

    __slots__ = (
        "age",
        "day",
        "garage",
        "named",
        "numbers",
        "parts",
        "rim",
        "sensor",
        "taken",
        "tyre",
        "width_mm",
        "words",
    )

    def __init__(self, garage: Garage, parts: Parts, day: date, words: Language, *, taken: bool | None) -> None:
        self.garage, self.parts, self.day, self.words, self.taken = garage, parts, day, words, taken
        self.rim: Rim | None = parts.rim
        self.tyre: Tyre | None = parts.tyre
        self.sensor: Sensor | None = parts.sensor
        self.named: Designation | None = self.tyre.designation if self.tyre else None
        self.numbers: SizeNumbers | None = size_numbers(self.named) if self.named else None
        self.width_mm = self.rim.width_in.width_mm if self.rim and self.rim.width_in else None
        code = self.tyre.date_code if self.tyre else None
        self.age: tuple[float, float] | None = _age(code, day) if code else None


def wheels_at(garage: Garage, wheel_set: WheelSet, day: date, words: Language, taken: Taken) -> list[WheelAt | None]:
    """The wheels of one set, corner by corner; None where it has none."""
    parts = [present_parts(garage, wheel_set, corner, day) for corner in ROAD_CORNERS]
    together = frozenset(one.sensor.id for one in parts if one and one.sensor)
    return [
        WheelAt(garage, one, day, words, taken=taken(one.sensor, together) if one.sensor else None) if one else None
        for one in parts
    ]


def worn_at(garage: Garage, tyre: Tyre) -> Length:
    """The depth at which the owner replaces such a tyre, or the usual one."""
    if tyre.season is Season.WINTER:
        return garage.plan.worn_at_winter or Length(WORN_WINTER_MM)
    return garage.plan.worn_at or Length(WORN_MM)


def fixed(sensor: Sensor) -> bool | None:
    """Whether its ID can't be written any more; None where that is not known."""
    unclear = sensor.writing is Writing.WRITE_ONCE and sensor.written is None
    return None if sensor.writing is None or unclear else not writable(sensor)


def writable(sensor: Sensor) -> bool:
    """Whether an ID can still be written to it."""
    return sensor.writing is Writing.REWRITABLE or (sensor.writing is Writing.WRITE_ONCE and sensor.written is False)


def has_sensor(parts: Parts, day: date) -> bool | None:
    """Whether there is a sensor in a wheel; None where nothing is said of the wheel, or nothing of the sensor that may be in it."""
    sensor = parts.sensor
    if sensor is None:
        return None if joining_on(parts.wheel, day) is None else False
    said = (
        sensor.printed, sensor.sends, sensor.family, sensor.band, sensor.answers, sensor.stem, sensor.first_used, sensor.battery_low,
        sensor.note,
    )  # fmt: skip
    return True if any(value is not None for value in said) else None


def taken_ids(garage: Garage) -> Taken:
    """Says of a sensor whether something outside its set has its ID; None where its own is not known, or others of the set are said to have it.

    The second argument are the sensors of the set.
    """
    holders: dict[tuple[int, int], tuple[str | None, ...]] = {}
    own: dict[str, tuple[tuple[int, int], ...]] = {}
    for one in each_known_id(garage):
        if one.sensor is None and one.about != RETIRED:
            continue  # a car's list names voices, and is none
        key = one.id.key
        holders[key] = (*holders.get(key, ()), one.sensor)
        if one.sensor is not None:
            own[one.sensor] = (*own.get(one.sensor, ()), key)

    def taken(sensor: Sensor, together: frozenset[str]) -> bool | None:
        keys = own.get(sensor.id)
        if keys is None:
            return None
        others = {one for key in keys for one in holders[key]} - {sensor.id}
        return True if others - together else None if others else False

    return taken
