"""How the tyres of a set wear, by what was measured of their treads: when they are used up, how they wear across, what exchange helps."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from wheelside.corner import ROAD_CORNERS, Corner
from wheelside.errors import BadText
from wheelside.fit.gather import season_km, worn_at
from wheelside.garage.joined import parts_on
from wheelside.garage.model import Car, Garage, TreadMeasured, Tyre, WheelSet
from wheelside.garage.words import Direction
from wheelside.tyre.age import too_old_on
from wheelside.tyre.date_code import MadeWeek, read_date_code
from wheelside.tyre.exchange import WheelExchange, best_exchange
from wheelside.tyre.tread import Depths, Reached, Wearing, reached, wearing
from wheelside.tyre.uneven import Across, across
from wheelside.units import Length


@dataclass(frozen=True, slots=True)
class TyreWear:
    """How one tyre of a set wears: at which corner, in which wheel, when it is at the owner's depth, and how it was worn across when last
    measured so."""

    corner: Corner
    wheel: str
    tyre: Tyre
    wearing: Wearing
    used_up: Reached
    across: Across | None


def wear_of_set(garage: Garage, wheel_set: WheelSet, car: Car | None, today: date) -> tuple[TyreWear, ...]:
    """Those tyres at road corners whose tread was measured on two days at least, the one that is used up first before all others.

    `car`: the car that the set goes on, whose distance in a season counts as that of a year.
    """
    km = season_km(car) if car is not None else None
    found = []
    for corner, wheel in wheel_set.wheels:
        tyre = parts_on(garage, wheel, today).tyre
        if tyre is None or corner not in ROAD_CORNERS:
            continue
        rows = [row for row in tyre.measured if row.on <= today]
        depths = [_depths(row, row.least_mm) for row in rows if row.least_mm is not None]
        if km is not None and len({one.day for one in depths}) > 1:
            wears = wearing(depths, km, km_known=car is not None and car.season_distance is not None)
            found.append(TyreWear(corner, wheel, tyre, wears, reached(wears, worn_at(garage, tyre).mm), _across(rows)))
    return tuple(sorted(found, key=lambda one: (one.used_up.day, one.corner)))


def measured_by(tyre: Tyre, today: date) -> tuple[tuple[date, float], ...]:
    """What was measured of a tyre until today, by day: where its tread is least, in mm."""
    return tuple(sorted((row.on, mm) for row in tyre.measured if row.on <= today and (mm := row.least_mm) is not None))


def exchange_of(worn: tuple[TyreWear, ...], car: Car) -> WheelExchange | None:
    """The exchange of corners that evens the wear of a set; None where none does, or where a tyre of the four is not measured.

    Tyres of which it is not known whether they turn one way, or have one size, are taken as bound to side or axle.
    """
    at = {one.corner: one for one in worn}
    if set(at) != set(ROAD_CORNERS):
        return None
    sizes = {c: one.tyre.designation.size if one.tyre.designation else None for c, one in at.items()}
    return best_exchange(
        {c: one.wearing.line.at(one.wearing.last_km) for c, one in at.items()},
        {c: one.wearing.rate for c, one in at.items()},
        directional=any(one.tyre.direction is not Direction.NONE for one in worn),
        staggered=len(set(sizes.values())) > 1 or None in sizes.values(),
        corner_aware=car.corner_aware is not False,
    )


def tyres_due(garage: Garage, wheel_set: WheelSet, car: Car | None, today: date) -> date | None:
    """The day on which the first tyre of a set reaches the ceiling of its age, or is used up; None where neither is known, or is past."""
    tyres = (parts_on(garage, wheel, today).tyre for _, wheel in wheel_set.wheels)
    days = [too_old_on(made)[1] for tyre in tyres if (made := made_week(tyre)) is not None]
    days += [one.used_up.day for one in wear_of_set(garage, wheel_set, car, today)]
    return min((day for day in days if day > today), default=None)


def made_week(tyre: Tyre | None) -> MadeWeek | None:
    """The week in which a tyre was made; None where its date code is not known, or has two readings."""
    try:
        weeks = read_date_code(tyre.date_code) if tyre and tyre.date_code else ()
    except BadText:
        return None
    return weeks[0] if len(weeks) == 1 else None


def _depths(row: TreadMeasured, least_mm: float) -> Depths:
    return Depths(row.on, least_mm, row.driven.metres / 1000 if row.driven is not None else None)


def _across(rows: list[TreadMeasured]) -> Across | None:
    """By the newest row that has enough of them."""
    for row in sorted(rows, key=lambda one: one.on, reverse=True):
        found = across(_mm(row.inner), _mm(row.middle), _mm(row.outer))
        if found is not None:
            return found
    return None


def _mm(depth: Length | None) -> float | None:
    return depth.mm if depth is not None else None
