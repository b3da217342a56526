"""What a car does not warn of where its list has a wheel at another corner: it goes by that corner's pressures."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from wheelside.air.atmosphere import standard_air
from wheelside.air.limits import un_limit, us_limit
from wheelside.fill.lamp import own_limit
from wheelside.fill.target import Target, target
from wheelside.finding import Basis, Ground
from wheelside.garage.joined import parts_on
from wheelside.garage.model import Car, Garage, WheelSet
from wheelside.garage.words import Corner, Standard
from wheelside.said import quoted
from wheelside.units import GaugePressure, Length, PressureSpan


@dataclass(frozen=True, slots=True)
class Unwarned:
    """A wheel that goes unwarned from `upper`, where its own corner's limit is, down to `lower`, that of the corner it is listed at."""

    wheel: str
    corner: Corner
    listed: Corner
    upper: GaugePressure
    lower: GaugePressure
    basis: Basis


def staggered(garage: Garage, wheel_set: WheelSet, day: date) -> bool:
    """Whether front and rear tyres of a set have different sizes, so that its wheels are never swapped front to rear."""
    sizes: dict[str, set[str]] = {}
    for corner, wheel in wheel_set.wheels:
        tyre = parts_on(garage, wheel, day).tyre
        if corner is not Corner.SPARE and tyre is not None and tyre.designation is not None:
            sizes.setdefault(corner.axle, set()).add(tyre.designation.size)
    return len({frozenset(own) for own in sizes.values()}) > 1


def unwarned(
    garage: Garage, car: Car, wheel_set: WheelSet, places: tuple[tuple[str, Corner, Corner], ...], day: date
) -> Iterator[Unwarned]:
    """The wheels of a set that warn too late where the list has them: (wheel, its corner, the corner it is listed at) each.

    Nothing for a wheel whose limit at either corner is not known.
    """
    at = dict(wheel_set.wheels)
    for wheel, corner, listed in places:
        own = _limit(garage, car, corner, at.get(corner), day)
        other = _limit(garage, car, listed, at.get(listed), day)
        if own and other and other[0].kpa < own[0].kpa:
            yield Unwarned(wheel, corner, listed, own[0], other[0], own[1])


def _limit(
    garage: Garage, car: Car, corner: Corner, wheel: str | None, day: date
) -> tuple[GaugePressure, Basis] | None:
    """From where the car warns at a corner: by its own rule, else by the standard at the latest; None where the placard is not known."""
    wanted = target(garage, car, corner, parts_on(garage, wheel, day), quoted(""), PressureSpan(0.0)) if wheel else ()
    if not isinstance(wanted, Target):
        return None
    if car.warns_at is not None:
        return own_limit(car.warns_at, wanted.placard, wanted.pressure), car.basis("warns_at")
    if car.standard is Standard.UN:
        return un_limit(wanted.placard, standard_air(Length(0.0))).floor_as_gauge, Basis(
            Ground.STANDARD, "UN R141, of a warm tyre"
        )
    return us_limit(wanted.placard, None), Basis(
        Ground.STANDARD, "49 CFR 571.138 S4.2(a): lit at 75 % of the placard at the latest"
    )
