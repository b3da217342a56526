"""What placard and papers name for a car, and the speed that its tyres are to hold."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from wheelside.fit.verdict import FITS, MEASURE, NOT
from wheelside.garage.model import Car
from wheelside.garage.words import ROAD_CORNERS, Corner
from wheelside.tyre.designation import Designation
from wheelside.tyre.geometry import circumference_mm
from wheelside.tyre.load import capacity
from wheelside.tyre.speed import speed_of
from wheelside.tyre.speedometer import Allowed, stays_allowed, stays_with
from wheelside.units import GaugePressure, Speed

ORDINARY = Speed(160.0)
"""Up to this speed pressures by the table hold."""


def greatest_speed(car: Car) -> Speed:
    """The speed that loads are held at: the car's own, else that of the symbol it requires, else the ordinary one."""
    return car.top_speed or (speed_of(car.speed_symbol) if car.speed_symbol else ORDINARY)


def meant_tyre(car: Car, corner: Corner) -> Designation | None:
    """The tyre that an axle is meant to run on: the placard's first for it, else the first in the papers."""
    return next(iter(named_sizes(car, corner)), None)


def named_sizes(car: Car, corner: Corner) -> list[Designation]:
    """The tyres that placard and papers name for an axle; a placard row with a pressure for the other axle alone is not for it."""
    rows = [row.tyre for row in car.placard if getattr(row, corner.axle) or not (row.front or row.rear)]
    return rows + list(car.approved)


def named_by_size(car: Car, corner: Corner) -> dict[str, Designation]:
    """The tyre of each size that is named for an axle, the one with the least load index."""
    found: dict[str, Designation] = {}
    for one in named_sizes(car, corner):
        other = found.get(one.size)
        if other is None or _rank(one) < _rank(other):
            found[one.size] = one
    return found


def _rank(one: Designation) -> tuple[bool, int]:
    return one.load_index is None, one.load_index or 0


def most_kpa(pressures: Iterable[GaugePressure | None]) -> float | None:
    """The highest of some pressures, in kPa."""
    return max((p.kpa for p in pressures if p is not None), default=None)


def placard_kpa(car: Car, corner: Corner) -> dict[str, float]:
    """The highest pressure of the placard for each size on an axle."""
    out: dict[str, float] = {}
    for row in car.placard:
        cold: GaugePressure | None = getattr(row, corner.axle)
        if cold is not None:
            out[row.tyre.size] = max(cold.kpa, out.get(row.tyre.size, cold.kpa))
    return out


def carried_by_size(car: Car, corner: Corner) -> dict[str, list[float]]:
    """What the placard's tyres of each size carry at its pressures, in kg; of those that the load rule of ISO 4000-1 is for."""
    out: dict[str, list[float]] = {}
    for row in car.placard:
        cold: GaugePressure | None = getattr(row, corner.axle)
        load = capacity(row.tyre, cold) if cold is not None and row.tyre.iso_passenger else None
        if load is not None:
            out.setdefault(row.tyre.size, []).append(load.kg)
    return out


def all_sizes(car: Car) -> frozenset[str]:
    """Every size that is named for the car, whatever the axle."""
    return frozenset(one.size for corner in ROAD_CORNERS for one in named_sizes(car, corner))


def speedometer_grade(car: Car, around: float | None) -> int:
    """The grade of a circumference under UN R39, for a size that is not named."""
    meant = meant_tyre(car, ROAD_CORNERS[0])
    should = circumference_mm(meant) if meant else None
    if around is None or should is None:
        return MEASURE
    return _kept(around / should, car.speedometer_shows, car.speedometer_true)


@lru_cache(maxsize=65536)
def _kept(ratio: float, shown: Speed | None, true: Speed | None) -> int:
    if shown is not None and true is not None:
        return FITS if stays_with(ratio, shown, true) else NOT
    return {Allowed.ALWAYS: FITS, Allowed.DEPENDS: MEASURE, Allowed.NEVER: NOT}[stays_allowed(ratio)]
