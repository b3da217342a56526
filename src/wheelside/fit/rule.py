"""How a rule is written: it grades one pair or many at once, and puts one into words. Write it like this:

def _bore(p: Pair[N]) -> Grade:
    return grade(measure=unknown(p.car.bore, p.wheel.bore), no=p.wheel.bore < p.car.bore)
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Any

from wheelside.declared.row import Row
from wheelside.finding import Basis, Ground
from wheelside.fit.facts import CarFacts, WheelFacts
from wheelside.fit.number import Grade
from wheelside.fit.pair import Four, Pair
from wheelside.fit.verdict import Part, Question
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
    pair: Pair[float]
    four: Four[float]

    @property
    def numbers(self) -> CarFacts[float]:
        return self.pair.car

    @property
    def wheel(self) -> WheelFacts[float]:
        return self.pair.wheel

    def grade(self, rule: Rule | SetRule) -> int:
        """The grade of this corner, or of the set as one."""
        return int(rule.judge(self.four) if isinstance(rule, SetRule) else rule.judge(self.pair))

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
    """One line of the report, on each wheel.

    `advice`: whether *does not fit* is only advice to whoever buys; else it is a must not, whosever the wheel is.
    """

    question: Question
    code: str
    title: str
    judge: Callable[[Pair[Any]], Grade]
    tell: Tell
    part: Part | None = None
    advice: bool = False


@dataclass(frozen=True, slots=True)
class SetRule:
    """One line of the report, on the set as one."""

    question: Question
    code: str
    title: str
    judge: Callable[[Four[Any]], Grade]
    tell: Tell
    part: Part | None = None
