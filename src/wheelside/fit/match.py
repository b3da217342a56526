"""A car and a wheel as numbers, side by side: one pair, or columns of many."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, fields
from datetime import date
from functools import wraps
from typing import Any, Generic, TypeVar, cast

from wheelside.fit.facts import UNKNOWN, BothFacts, CarFacts, N, WheelFacts, number, numbers_of
from wheelside.fit.gather import CarAt, Taken, WheelAt, present_parts, wheels_at
from wheelside.fit.language import Language
from wheelside.garage.model import Car, Garage, WheelSet
from wheelside.garage.words import ROAD_CORNERS, Corner

NO_WHEEL = WheelFacts(**{f.name: 0.0 if f.name == "there" else UNKNOWN for f in fields(WheelFacts)})


@dataclass(frozen=True, slots=True)
class Match(Generic[N]):
    """One corner of a car and the wheel for it, or those of many cars and sets at all corners."""

    car: CarFacts[N]
    wheel: WheelFacts[N]
    both: BothFacts[N]
    known: dict[str, Any] = field(default_factory=dict, repr=False, compare=False)
    """What several rules ask for, by its name: see `once`."""


Asked = TypeVar("Asked", bound=Callable[[Match[Any]], Any])


def once(ask: Asked) -> Asked:
    """The same question, worked out once for each match however many rules ask it."""

    @wraps(ask)
    def answer(m: Match[Any]) -> Any:
        if ask.__name__ not in m.known:
            m.known[ask.__name__] = ask(m)
        return m.known[ask.__name__]

    return cast("Asked", answer)


@dataclass(frozen=True, slots=True)
class Four(Generic[N]):
    """A car and a set as one, by corner in the order of `ROAD_CORNERS`; or many of them."""

    cars: tuple[CarFacts[N], ...]
    wheels: tuple[WheelFacts[N], ...]

    def axles(self) -> tuple[tuple[WheelFacts[N], WheelFacts[N]], ...]:
        """Left and right of each axle."""
        return (self.wheels[0], self.wheels[1]), (self.wheels[2], self.wheels[3])


@dataclass(frozen=True, slots=True)
class SideBySide:
    """One car and one set: a match for each corner that has a wheel, and the set as one."""

    matches: Mapping[Corner, Match[float]]
    four: Four[float]


def side_by_side(
    garage: Garage, car: Car, wheel_set: WheelSet, on: WheelSet | None, day: date, taken: Taken | None = None
) -> SideBySide:
    """One car and one set as numbers. `on`: the set that is on the car now. Without `taken` no sensor's ID is known to be taken."""
    words = Language()
    wheels = wheels_at(garage, wheel_set, day, words, taken or (lambda *_: None))
    cars = [CarAt(garage, car, corner, present_parts(garage, on, corner, day), words) for corner in ROAD_CORNERS]
    theirs = [CarFacts(**numbers_of(CarFacts, at)) for at in cars]
    ours = [NO_WHEEL if at is None else WheelFacts(**numbers_of(WheelFacts, at)) for at in wheels]
    matches = {
        corner: Match(theirs[n], ours[n], _both(cars[n], at))
        for n, (corner, at) in enumerate(zip(ROAD_CORNERS, wheels, strict=True))
        if at is not None
    }
    return SideBySide(matches, Four(tuple(theirs), tuple(ours)))


def _both(car: CarAt, wheel: WheelAt) -> BothFacts[float]:
    words = {
        "size": wheel.named and wheel.named.size,
        "symbol": wheel.named and wheel.named.speed_symbol,
        "family": wheel.sensor and wheel.sensor.family,
    }
    found = {}
    for f in fields(BothFacts):
        word = words[f.metadata["word"]]
        found[f.name] = f.metadata["missing"] if word is None else number(f.metadata["read"](car, word))
    return BothFacts(**found)
