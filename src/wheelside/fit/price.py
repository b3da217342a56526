"""What a set costs until it runs, and what that is for each season that is left in it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

import numpy as np
import numpy.typing as npt

from wheelside.finding import Basis
from wheelside.fit.screen import PARTS, Counts
from wheelside.fit.verdict import Part
from wheelside.garage import acts
from wheelside.garage.model import Garage, WheelSet
from wheelside.garage.rates import DEFAULT_RATE, FIT_MONEY, PLAN_MONEY, money_of, rate_basis
from wheelside.said import Figure, Joined, Said, listed, say
from wheelside.units import Money
from wheelside.units.quantity import MINUTES_PER_HOUR

SENSOR_IS = ("sensor", "kit", "fitting")
_MADE_OF = {
    Part.SENSOR: SENSOR_IS, Part.VALVE: ("kit", "fitting"), Part.TURNING: ("fitting",), Part.RINGS: ("ring_set",),
    Part.FASTENERS: ("fastener_set",), Part.REWRITING: (),
}  # fmt: skip
_SHOP = (Part.SENSOR, Part.VALVE, Part.TURNING)


@dataclass(frozen=True, slots=True)
class Need:
    """So many of one part, what they cost together, and what that rests on."""

    part: Part
    count: int
    money: Money
    basis: tuple[Basis, ...]


@dataclass(frozen=True, slots=True)
class Spread:
    """From the least to the most; None where there is no most (or no least), as where no season is certain."""

    least: Money | None
    most: Money | None


@dataclass(frozen=True, slots=True)
class Bill:
    """What one set comes to: asked, parts, minutes of the owner's, all together with time at its worth, and for each season.

    `seasons`: least and most that are left, None where tread or age is not known. `off`: what sensors that can't be used take off the
    price; `asked` is None where no price is known, and so is everything that rests on it.
    """

    asked: Money | None
    needs: tuple[Need, ...]
    parts: Money
    minutes: float
    time: Money
    total: Money | None
    seasons: tuple[float, float] | None
    each_season: Spread | None
    off: Money


def part_money(garage: Garage) -> dict[Part, Money]:
    """What one of each part costs, fitting included."""
    rates = money_of(garage, {**PLAN_MONEY, **FIT_MONEY})
    currency = rates["hour"].currency
    return {
        part: Money(sum((rates[n].amount for n in names), Decimal(0)), currency) for part, names in _MADE_OF.items()
    }


def _part_basis(garage: Garage, part: Part) -> tuple[Basis, ...]:
    return tuple(dict.fromkeys(rate_basis(garage, name) for name in _MADE_OF[part])) or (DEFAULT_RATE,)


def minutes_for(garage: Garage, counts: dict[Part, int]) -> float:
    """The owner's own time: one visit to the tyre shop where a tyre comes off, and writing sensors where they sit."""
    trip = garage.costs.shop_trip.minutes if garage.costs.shop_trip else acts.SHOP_VISIT
    each = garage.costs.write_mounted.minutes if garage.costs.write_mounted else acts.IN_WHEEL
    return (trip if any(counts.get(part) for part in _SHOP) else 0.0) + each * counts.get(Part.REWRITING, 0)


def bill(garage: Garage, wheel_set: WheelSet, counts: dict[Part, int], seasons: tuple[float, float] | None) -> Bill:
    """What a set comes to. `counts`: how many of each part; `seasons`: least and most."""
    each, rates = part_money(garage), money_of(garage, PLAN_MONEY)
    currency = rates["hour"].currency
    needs = tuple(
        Need(part, counts[part], Money(each[part].amount * counts[part], currency), _part_basis(garage, part))
        for part in PARTS
        if counts.get(part)
    )
    minutes = minutes_for(garage, counts)
    parts = sum((need.money.amount for need in needs), Decimal(0))
    time = (rates["hour"].amount * Decimal(minutes) / MINUTES_PER_HOUR).quantize(Decimal("0.01"))
    total = None if wheel_set.price is None else Money(wheel_set.price.amount + parts + time, currency)
    return Bill(
        asked=wheel_set.price,
        needs=needs,
        parts=Money(parts, currency),
        minutes=minutes,
        time=Money(time, currency),
        total=total,
        seasons=seasons,
        each_season=None if total is None or seasons is None else _each(total, seasons),
        off=Money(each[Part.SENSOR].amount * counts.get(Part.SENSOR, 0), currency),
    )


def _each(total: Money, seasons: tuple[float, float]) -> Spread:
    least, most = seasons

    def share(n: float) -> Money | None:
        return Money((total.amount / Decimal(n)).quantize(Decimal(1)), total.currency) if n > 0 else None

    return Spread(share(most), share(least))


def totals(garage: Garage, sets: Sequence[WheelSet], parts: Counts) -> npt.NDArray[np.float64]:
    """What every pair comes to, in the garage's currency; NaN without a price. Shape (cars, sets)."""
    each, rates = part_money(garage), money_of(garage, PLAN_MONEY)
    unit = np.array([float(each[part].amount) for part in PARTS])
    asked = np.array([float(one.price.amount) if one.price else np.nan for one in sets])
    shop = (parts[[PARTS.index(part) for part in _SHOP]] > 0).any(axis=0)
    minutes = (
        minutes_for(garage, {Part.SENSOR: 1}) * shop
        + minutes_for(garage, {Part.REWRITING: 1}) * parts[PARTS.index(Part.REWRITING)]
    )
    return np.asarray(
        asked + np.tensordot(unit, parts, axes=1) + float(rates["hour"].amount) * minutes / MINUTES_PER_HOUR
    )


def needs_said(bill: Bill) -> Said:
    """What a set needs, in a few words."""
    if not bill.needs:
        return say("nothing known")
    needs = listed((say("{n} × {part}", n=need.count, part=need.part) for need in bill.needs), Joined.COMMA)
    return say("{needs}", needs=needs)


def seasons_said(bill: Bill) -> Said:
    """The seasons left, from the least to the most."""
    if bill.seasons is None:
        return say("not known")
    least, most = bill.seasons
    return say("{least} to {most}", least=Figure(least, 1), most=Figure(most, 1))


def each_said(bill: Bill) -> Said:
    """What a season costs, from the least to the most."""
    if bill.each_season is None:
        return say("not known")
    least, most = bill.each_season.least, bill.each_season.most
    if least is None:
        return say("no season is left")
    if most is None:
        return say("{least} or more; no season is certain", least=least)
    return say("{least} to {most}", least=least, most=most)
