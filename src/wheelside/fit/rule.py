"""How a rule is written: it grades every pair at once, and puts one pair into words. Write it like this:

def _bore(s: Scene) -> Grades:
    return grade(measure=unknown(s.cars.bore, s.wheels.bore), no=s.wheels.bore < s.cars.bore)
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

import numpy as np

from wheelside.declared.row import Row
from wheelside.finding import Basis, Ground
from wheelside.fit.facts import Array, CarFacts, Flags, Grades, Mask, Scene, WheelFacts
from wheelside.fit.verdict import FITS, MEASURE, NO_MATTER, NOT, WITH_PART, Part, Question
from wheelside.garage.joined import Parts
from wheelside.garage.model import Car, Garage, Rim, Sensor, Tyre, WheelSet
from wheelside.garage.words import Corner
from wheelside.units import GaugePressure, Length, Mass, UnitChoice

NOT_KNOWN = Basis(Ground.UNKNOWN)


@dataclass(frozen=True, slots=True)
class Told:
    """One line in words, what it rests on, and what to do."""

    text: str
    basis: tuple[Basis, ...]
    way_out: str = ""


@dataclass(frozen=True, slots=True)
class View:
    """One corner of one pair: the things themselves and their numbers. `on` is what sits there now."""

    garage: Garage
    car: Car
    set: WheelSet
    day: date
    corner: Corner
    parts: Parts
    on: Parts | None
    numbers: CarFacts[float]
    wheel: WheelFacts[float]
    scene: Scene

    @property
    def units(self) -> UnitChoice:
        return self.garage.units.choice

    @property
    def rim(self) -> Rim | None:
        return self.parts.rim

    @property
    def tyre(self) -> Tyre | None:
        return self.parts.tyre

    @property
    def sensor(self) -> Sensor | None:
        return self.parts.sensor

    def mm(self, value: float, digits: int = 1) -> str:
        """A length as it is shown, without a needless nought."""
        text = self.units.number(value, digits)
        mark = self.units.decimal_mark
        return f"{text.rstrip('0').rstrip(mark) if mark in text else text} mm"

    def kg(self, value: float) -> str:
        return self.units.show_mass(Mass(value))

    def kpa(self, value: float) -> str:
        return self.units.show_pressure(GaugePressure(value))

    def tread(self, value: float) -> str:
        return self.units.show_tread(Length(value))

    def rests(self, *keys: tuple[Row | None, str]) -> tuple[Basis, ...]:
        """What the named facts rest on; those that are not known say so once."""
        found = [
            row.basis(key) if row is not None and getattr(row, key) is not None else NOT_KNOWN for row, key in keys
        ]
        return tuple(dict.fromkeys(found))


Tell = Callable[[View, int], Told]


@dataclass(frozen=True, slots=True)
class Rule:
    """One line of the report. `whole`: it looks at the set as one, and grades it once (its last axis is 1)."""

    question: Question
    code: str
    title: str
    judge: Callable[[Scene], Grades]
    tell: Tell
    part: Part | None = None
    whole: bool = False


def unknown(*columns: Array) -> Flags:
    """Where any of the columns is not known."""
    lacks = np.isnan(columns[0])
    for column in columns[1:]:
        lacks = lacks | np.isnan(column)
    return lacks


def grade(
    *,
    no: Mask | None = None,
    measure: Mask | None = None,
    part: Mask | None = None,
    idle: Mask | None = None,
) -> Grades:
    """The grade of every pair: it fits where nothing is said against it. `idle`: where the question does not arise, whatever else."""
    out: Grades = np.uint8(FITS)  # type: ignore[assignment]
    for where, value in ((part, WITH_PART), (measure, MEASURE), (no, NOT), (idle, NO_MATTER)):
        if where is not None:
            out = np.where(where, np.uint8(value), out)
    return out
