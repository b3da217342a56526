"""Cars and sets as columns of numbers, so that one rule judges one pair or a million of them alike.

Every number is a float; what is not known is NaN, and what is a word is its place in a list of words, from 0. A yes is 1, a no is 0.
A car's columns have the shape (cars, 1, 4), a set's (1, sets, 4): the last axis are the corners in the order of `ROAD_CORNERS`.
"""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass, field, fields
from typing import Generic, NamedTuple, TypeVar

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]
Mask = Flags | np.bool_
Grades = npt.NDArray[np.uint8]
N = TypeVar("N", float, Array)
UNKNOWN = float("nan")


class CarFacts(NamedTuple, Generic[N]):
    """One car at one corner, or many cars at all corners. Lengths in mm, loads in kg, pressures in kPa gauge, speeds in km/h.

    `present_*`: the rim and tyre that are on it now, or its own as stated. `meant_*`: the tyre that the placard names first.
    `placard`: the highest pressure of that axle on the placard. `one_set_locked`: a list of one set that the owner can't teach.
    """

    bolt_count: N
    bolt_mm: N
    bore: N
    present_inset: N
    present_width: N
    present_section: N
    present_diameter: N
    least_rim: N
    least_stated: N
    nuts: N
    thread_mm: N
    seat: N
    shank: N
    room_inside: N
    room_outside: N
    half_axle: N
    placard: N
    load_index: N
    needs_speed: N
    top_speed: N
    all_wheel: N
    indirect: N
    meant_around: N
    meant_diameter: N
    meant_index: N
    meant_speed: N
    direct: N
    band: N
    family: N
    bits: N
    one_set_locked: N
    season_km: N


class WheelFacts(NamedTuple, Generic[N]):
    """One wheel, or those of many sets. `there`: whether the set has a wheel for the corner.

    `size` and `symbol` are words: the size, and the speed symbol; `reference` and `exponent` are the tyre's load rule.
    `made_later`: whether the date code lies in the future. `id_taken`: whether its sensor's ID is known in the garage already, of something
    outside its set.
    """

    there: N
    bolt_count: N
    bolt_mm: N
    bore: N
    inset: N
    width: N
    rim: N
    seat: N
    seat_depth: N
    rim_load: N
    rim_pressure: N
    rim_valve: N
    rim_damaged: N
    size: N
    section: N
    diameter: N
    around: N
    tyre_rim: N
    measuring: N
    narrowest: N
    widest: N
    load_index: N
    load: N
    reference: N
    exponent: N
    extra: N
    symbol: N
    speed: N
    tyre_pressure: N
    winter: N
    marked: N
    made_later: N
    age_least: N
    age_most: N
    worn_at: N
    tread: N
    pattern: N
    season: N
    direction: N
    tyre_damaged: N
    has_sensor: N
    band: N
    family: N
    bits: N
    answers: N
    fixed: N
    battery_low: N
    rubber: N
    sensor_valve: N
    id_taken: N


@dataclass
class Words:
    """Words by number, numbered as they come."""

    numbers: dict[Hashable, int] = field(default_factory=dict)

    def number(self, word: Hashable | None) -> float:
        return UNKNOWN if word is None else float(self.numbers.setdefault(word, len(self.numbers)))


class NamedFacts(NamedTuple, Generic[N]):
    """The tyre of a size that is named for a car's axle: whether there is one, its load index, its symbol's speed, its load rule."""

    there: N
    load_index: N
    speed: N
    reference: N


@dataclass(frozen=True, slots=True)
class Tables:
    """What depends on a car and on a word of a wheel: by car, by word, and for the placard by corner.

    `placard`: the highest pressure that the placard has for a size, NaN without a row. `named`: the tyre that placard or papers name in
    a size, by corner.
    `speedometer`: the grade of a size's circumference. `unlike`: families proven different.
    `fast_share` and `fast_more`: by symbol, the share of the load that is left at the car's speed, and the kPa that the speed adds.
    """

    placard: Array
    named: NamedFacts[Array]
    speedometer: Grades
    unlike: Flags
    fast_share: Array
    fast_more: Array


@dataclass(frozen=True, slots=True)
class Scene:
    """Cars and sets side by side. `sides`: the numbers that stand for left and right as directions of rotation."""

    cars: CarFacts[Array]
    wheels: WheelFacts[Array]
    tables: Tables
    sides: tuple[float, float]
    once: dict[str, object] = field(default_factory=dict, repr=False, compare=False)
    """What several rules ask for, worked out once: by name."""

    def of_cars(self, chosen: slice) -> Scene:
        """The same with some of the cars."""
        cars = CarFacts(*(column[chosen] for column in self.cars))
        rest = {f.name: getattr(self.tables, f.name)[chosen] for f in fields(Tables) if f.name != "named"}
        tables = Tables(named=NamedFacts(*(column[chosen] for column in self.tables.named)), **rest)
        return Scene(cars, self.wheels, tables, self.sides)


T = TypeVar("T", bound=np.generic)


def spread(table: npt.NDArray[T], words: Array, missing: T) -> npt.NDArray[T]:
    """A table by car and word, spread over cars, sets and corners; `missing` where the word is not known."""
    lacks = np.isnan(words[0])
    if table.shape[1] == 0:
        return np.full((table.shape[0], *lacks.shape), missing, dtype=table.dtype)
    at = np.where(lacks, 0, words[0]).astype(np.intp)
    rows = table[:, at, np.arange(at.shape[1])] if table.ndim == 3 else table[:, at]
    rows[:, lacks] = missing
    return rows
