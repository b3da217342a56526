"""The pressures that a car's unit tells of the wheels on it, for somebody to look at before they are kept."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass

from wheelside.air.atmosphere import standard_air
from wheelside.air.plausible import odd_temperature
from wheelside.car.card import Holds
from wheelside.errors import BadFile, BadRequest
from wheelside.fill.situation import home_height
from wheelside.garage.model import Car, Garage
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.car.port import fitted_set, known_of, lined
from wheelside.jobs.car.pressures import wheel_readings
from wheelside.jobs.car.visit import Visit, kept_card
from wheelside.units import AbsolutePressure, GaugePressure, Length, Temperature


def car_tells_pressures(desk: Desk, car: str) -> bool:
    """Whether a car's port card says how its pressures are asked for or heard. Raises Outside."""
    with suppress(BadFile):
        kept = kept_card(desk, car)
        if kept is not None:
            return Holds.PRESSURE in {*(v.holds for v in kept.card.values), *(b.holds for b in kept.card.broadcasts)}
    return False


@dataclass(frozen=True, slots=True)
class WheelTold:
    """What a car says of one wheel: its pressure, as a gauge would show it, and how warm the air in its tyre is, None where it says nothing."""

    pressure: GaugePressure
    tyre: Temperature | None


def pressures_told(visit: Visit, link: str) -> dict[str, WheelTold]:
    """What the car says of the wheels on it, by wheel; only reads, and keeps nothing.

    A figure is taken for a wheel only where the list that the car goes by has that wheel's ID for its corner. One that is told against vacuum is
    taken against the standard atmosphere at the owner's height, or the pressure of the air that is noted.

    Raises BadRequest where the car has no port card, or tells of none of these wheels; NoAnswer, LinkLost, Outside.
    """
    kept = kept_card(visit.desk, visit.car)
    if kept is None:
        raise BadRequest("this car has no port card yet: give it one on its page", expected="a port card")
    garage, at = visit.desk.loaded().garage, visit.desk.clock()
    car = garage.cars[visit.car]
    with lined(kept.card, link) as line:
        known = known_of(line, kept.card)
    readings = wheel_readings(garage, fitted_set(garage, car, at.day), kept.card, known, at)
    found = {
        r.subject[1]: WheelTold(_by_gauge(r.pressure, garage, car), _likely(r.tyre))
        for r in readings
        if r.pressure is not None
    }
    if not found:
        raise BadRequest(
            "the car told no pressure of these wheels: drive a few minutes and ask again, or type them",
            expected="pressures by corner",
        )
    return found


def _likely(tyre: Temperature | None) -> Temperature | None:
    """A temperature that a tyre can have; None for one that it can't, which stands for none in many cars."""
    return None if tyre is None or odd_temperature(tyre.celsius, "°C", outside=False) else tyre


def _by_gauge(told: GaugePressure | AbsolutePressure, garage: Garage, car: Car) -> GaugePressure:
    if isinstance(told, GaugePressure):
        return told
    return told.gauge(garage.conditions.air_here or standard_air(home_height(garage, car) or Length(0.0)))
