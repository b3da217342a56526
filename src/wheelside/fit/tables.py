"""What depends on a car and on a word of a wheel: its size, its speed symbol, its family."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from wheelside.fit.facts import UNKNOWN, Array, NamedFacts, Tables, Words
from wheelside.fit.verdict import FITS, MEASURE, NOT
from wheelside.garage.ids import proven_different
from wheelside.garage.model import Car, Garage
from wheelside.garage.words import ROAD_CORNERS, Corner
from wheelside.tyre.designation import Designation
from wheelside.tyre.geometry import circumference_mm
from wheelside.tyre.load import load_rule
from wheelside.tyre.speed import load_share_at, pressure_for_speed, speed_of
from wheelside.tyre.speedometer import Allowed, stays_allowed, stays_with
from wheelside.units import GaugePressure, Speed

ORDINARY = Speed(160.0)
"""Up to this speed pressures by the table hold."""


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


def greatest_speed(car: Car) -> Speed:
    """The speed that loads are held at: the car's own, else that of the symbol it requires, else the ordinary one."""
    return car.top_speed or (speed_of(car.speed_symbol) if car.speed_symbol else ORDINARY)


def known(value: float | bool | None) -> float:
    """A number or a yes, NaN where it is not known."""
    return UNKNOWN if value is None else float(value)


def meant_tyre(car: Car, corner: Corner) -> Designation | None:
    """The tyre that an axle is meant to run on: the placard's first for it, else the first in the papers."""
    return next(iter(named_sizes(car, corner)), None)


def named_sizes(car: Car, corner: Corner) -> list[Designation]:
    """The tyres that placard and papers name for an axle; a placard row with a pressure for the other axle alone is not for it."""
    rows = [row.tyre for row in car.placard if getattr(row, corner.axle) or not (row.front or row.rear)]
    return rows + list(car.approved)


def named_like(car: Car, corner: Corner, size: str) -> Designation | None:
    """The tyre of a size that is named for an axle, the one with the least load index; None where none is."""
    named = [one for one in named_sizes(car, corner) if one.size == size]
    return min(named, key=lambda one: (one.load_index is None, one.load_index or 0), default=None)


def most_kpa(pressures: Iterable[GaugePressure | None]) -> float | None:
    """The highest of some pressures, in kPa."""
    return max((p.kpa for p in pressures if p is not None), default=None)


def tables(garage: Garage, cars: Sequence[Car], words: Language) -> Tables:
    """The tables of some cars, for the words that their wheels have."""
    sizes = [str(size) for size in words.sizes.numbers]
    symbols = [str(symbol) for symbol in words.symbols.numbers]
    families = [str(family) for family in words.families.numbers]
    speeds = [greatest_speed(car) for car in cars]
    return Tables(
        placard=_placards(cars, sizes),
        named=_named(cars, sizes),
        speedometer=np.array([_speedometers(car, words, sizes) for car in cars], np.uint8).reshape(
            len(cars), len(sizes)
        ),
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


def _named(cars: Sequence[Car], sizes: list[str]) -> NamedFacts[Array]:
    """What the tyre of each size is like that is named for an axle; NaN where none is."""
    place = {size: n for n, size in enumerate(sizes)}
    out = np.full((len(NamedFacts._fields), len(cars), len(sizes), len(ROAD_CORNERS)), UNKNOWN)
    for c, car in enumerate(cars):
        for k, corner in enumerate(ROAD_CORNERS):
            for size in {one.size for one in named_sizes(car, corner)} & place.keys():
                out[:, c, place[size], k] = _like(named_like(car, corner, size))
    return NamedFacts(*out)


def _like(tyre: Designation | None) -> NamedFacts[float]:
    rule = load_rule(tyre) if tyre else None
    return NamedFacts(
        known(None if tyre is None else True),
        known(tyre.load_index if tyre else None),
        known(speed_of(tyre.speed_symbol).km_h if tyre and tyre.speed_symbol else None),
        known(rule.reference.kpa if rule else None),
    )


def _speedometers(car: Car, words: Language, sizes: list[str]) -> list[int]:
    """The grades of the sizes under UN R39: the maker's own are taken to keep it."""
    meant = meant_tyre(car, ROAD_CORNERS[0])
    should = circumference_mm(meant) if meant else None
    listed = {one.size for corner in ROAD_CORNERS for one in named_sizes(car, corner)}
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
