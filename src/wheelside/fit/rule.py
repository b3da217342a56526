"""How a rule is written: it grades one pair or many at once, and puts one into words. Write it like this:

def _bore(m: Match[N]) -> Grade:
    return grade(measure=unknown(m.car.bore, m.wheel.bore), no=m.wheel.bore < m.car.bore)
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Any

from wheelside.declared.row import Row
from wheelside.finding import Basis, Ground
from wheelside.fit.facts import CarFacts, WheelFacts
from wheelside.fit.match import Four, Match
from wheelside.fit.number import Grade
from wheelside.fit.verdict import Part, Question
from wheelside.garage.joined import Parts
from wheelside.garage.model import Car, Garage, Rim, Sensor, Tyre, WheelSet
from wheelside.garage.words import Corner
from wheelside.said import Depth, Key, Measure, Said, Table
from wheelside.units import GaugePressure, Length, Mass

NOT_KNOWN = Basis(Ground.UNKNOWN)


@dataclass(frozen=True, slots=True)
class ToldLine:
    """One line in words, what it rests on, and what to do."""

    text: Said
    basis: tuple[Basis, ...]
    way_out: Said | None = None


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
    match: Match[float]
    four: Four[float]

    @property
    def numbers(self) -> CarFacts[float]:
        return self.match.car

    @property
    def wheel(self) -> WheelFacts[float]:
        return self.match.wheel

    def grade(self, rule: Rule | SetRule) -> int:
        """The grade of this corner, or of the set as one."""
        return int(rule.judge(self.four) if isinstance(rule, SetRule) else rule.judge(self.match))

    @property
    def rim(self) -> Rim | None:
        return self.parts.rim

    @property
    def tyre(self) -> Tyre | None:
        return self.parts.tyre

    @property
    def sensor(self) -> Sensor | None:
        return self.parts.sensor

    def mm(self, value: float, digits: int = 1) -> Measure:
        """A length that was measured."""
        return Measure(Length(value), digits)

    def kg(self, value: float) -> Mass:
        return Mass(value)

    def kpa(self, value: float) -> GaugePressure:
        return GaugePressure(value)

    def tread(self, value: float) -> Depth:
        return Depth(Length(value))

    def key(self, table: str, key: str) -> Key | Table:
        """A fact to be noted of the car, or of what is at this corner; the table where it has no row yet."""
        rows: dict[str, Row | None] = {"car": self.car, "rim": self.rim, "tyre": self.tyre, "sensor": self.sensor}
        row = rows.get(table)
        own: str | None = getattr(row, "id", None)
        return Key(table, key, own) if own is not None else Table(table)

    def rests(self, *keys: tuple[Row | None, str]) -> tuple[Basis, ...]:
        """What the named facts rest on; those that are not known say so once."""
        found = [
            row.basis(key) if row is not None and getattr(row, key) is not None else NOT_KNOWN for row, key in keys
        ]
        return tuple(dict.fromkeys(found))


Tell = Callable[[View, int], ToldLine]


@dataclass(frozen=True, slots=True)
class Rule:
    """One line of the report, on each wheel.

    `advice`: whether *does not fit* is only advice to whoever buys; else it is a must not, whosever the wheel is.
    """

    question: Question
    code: str
    title: str
    judge: Callable[[Match[Any]], Grade]
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
