"""What depends on a car and on a word of a wheel: its size, its speed symbol, its family."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from wheelside.fit.facts import UNKNOWN, Array, Tables, Words
from wheelside.fit.verdict import FITS, MEASURE, NOT
from wheelside.garage.ids import proven_different
from wheelside.garage.model import Car, Garage
from wheelside.garage.words import ROAD_CORNERS
from wheelside.tyre.designation import Designation
from wheelside.tyre.geometry import circumference_mm
from wheelside.tyre.speed import load_share_at, pressure_for_speed, speed_of
from wheelside.tyre.speedometer import Allowed, stays_allowed, stays_with
from wheelside.units import GaugePressure, Speed

ORDINARY = Speed(160.0)
"""The speed that loads are held at where the car's greatest one is not known: up to it pressures by the table hold."""


@dataclass
class Language:
    """The words that cars and sets have in common."""

    sizes: Words = field(default_factory=Words)
    symbols: Words = field(default_factory=Words)
    families: Words = field(default_factory=Words)
    bands: Words = field(default_factory=Words)
    seats: Words = field(default_factory=Words)
    other: Words = field(default_factory=Words)
    around: dict[str, float | None] = field(default_factory=dict)
    """How far a turn goes with each size, in mm."""


def known(value: float | bool | None) -> float:
    """A number or a yes, NaN where it is not known."""
    return UNKNOWN if value is None else float(value)


def meant_tyre(car: Car) -> Designation | None:
    """The tyre that the car is meant to run on: the placard's first, else the first in its papers."""
    return next(iter(named_sizes(car)), None)


def named_sizes(car: Car) -> list[Designation]:
    """The tyres that placard and papers name."""
    return [row.tyre for row in car.placard] + list(car.approved)


def most_kpa(pressures: Iterable[GaugePressure | None]) -> float | None:
    """The highest of some pressures, in kPa."""
    return max((p.kpa for p in pressures if p is not None), default=None)


def tables(garage: Garage, cars: Sequence[Car], words: Language) -> Tables:
    """The tables of some cars, for the words that their wheels have."""
    sizes = [str(size) for size in words.sizes.numbers]
    symbols = [str(symbol) for symbol in words.symbols.numbers]
    families = [str(family) for family in words.families.numbers]
    speeds = [car.top_speed or ORDINARY for car in cars]
    listed = [{one.size for one in named_sizes(car)} for car in cars]
    return Tables(
        placard=_placards(cars, sizes),
        listed=np.array([[size in named for size in sizes] for named in listed], np.bool_).reshape(
            len(cars), len(sizes)
        ),
        speedometer=np.array(
            [_speedometers(car, words, sizes, named) for car, named in zip(cars, listed, strict=True)], np.uint8
        ).reshape(len(cars), len(sizes)),
        unlike=np.array([[proven_different(garage, c.family, f) for f in families] for c in cars], np.bool_).reshape(
            len(cars), len(families)
        ),
        fast_share=_by_symbol([[load_share_at(s, min(v, speed_of(s))) for s in symbols] for v in speeds], len(symbols)),
        fast_more=_by_symbol([[pressure_for_speed(s, v).kpa for s in symbols] for v in speeds], len(symbols)),
    )


def _by_symbol(rows: list[list[float]], many: int) -> Array:
    return np.array(rows, np.float64).reshape(len(rows), many)


def _placards(cars: Sequence[Car], sizes: list[str]) -> Array:
    place = {size: n for n, size in enumerate(sizes)}
    out = np.full((len(cars), len(sizes), len(ROAD_CORNERS)), UNKNOWN)
    for c, car in enumerate(cars):
        for size in {row.tyre.size for row in car.placard} & place.keys():
            rows = [row for row in car.placard if row.tyre.size == size]
            out[c, place[size]] = [
                known(most_kpa(getattr(row, corner.axle) for row in rows)) for corner in ROAD_CORNERS
            ]
    return out


def _speedometers(car: Car, words: Language, sizes: list[str], listed: set[str]) -> list[int]:
    """The grades of the sizes under UN R39: the maker's own are taken to keep it."""
    meant = meant_tyre(car)
    should = circumference_mm(meant) if meant else None
    return [FITS if size in listed else _speedometer(car, words.around[size], should) for size in sizes]


def _speedometer(car: Car, around: float | None, should: float | None) -> int:
    if around is None or should is None:
        return MEASURE
    return _kept(around / should, car.speedometer_shows, car.speedometer_true)


@lru_cache(maxsize=65536)
def _kept(ratio: float, shown: Speed | None, true: Speed | None) -> int:
    if shown is not None and true is not None:
        return FITS if stays_with(ratio, shown, true) else NOT
    return {Allowed.ALWAYS: FITS, Allowed.DEPENDS: MEASURE, Allowed.NEVER: NOT}[stays_allowed(ratio)]
