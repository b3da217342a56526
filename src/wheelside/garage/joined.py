"""What a wheel is made of on a day."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from wheelside.garage.model import Garage, Joining, Rim, Sensor, Tyre, Wheel


@dataclass(frozen=True, slots=True)
class Parts:
    """A wheel and its rim, tyre and sensor on one day; None where the file does not say."""

    wheel: Wheel
    rim: Rim | None
    tyre: Tyre | None
    sensor: Sensor | None


def joining_on(wheel: Wheel, day: date) -> Joining | None:
    """The joining that lasts on a day; None between joinings."""
    for joining in wheel.joined:
        begun = joining.since is None or joining.since <= day
        if begun and (joining.until is None or day < joining.until):
            return joining
    return None


def parts_on(garage: Garage, wheel_id: str, day: date) -> Parts:
    """The parts of one wheel on a day."""
    wheel = garage.wheels[wheel_id]
    joining = joining_on(wheel, day)
    if joining is None:
        return Parts(wheel, None, None, None)
    return Parts(
        wheel,
        garage.rims.get(joining.rim or ""),
        garage.tyres.get(joining.tyre or ""),
        garage.sensors.get(joining.sensor or ""),
    )


def loose_sensors(garage: Garage, day: date) -> tuple[Sensor, ...]:
    """The sensors that are in no wheel of any set on a day: loose ones, and those in wheels on their own.

    Those that are gone by then are left out.
    """
    grouped = {wheel for wheel_set in garage.set for _, wheel in wheel_set.wheels}
    joinings = [joining_on(wheel, day) for wheel in garage.wheel if wheel.id in grouped]
    fitted = {joining.sensor for joining in joinings if joining is not None}
    there = [sensor for sensor in garage.sensor if sensor.gone is None or day < sensor.gone]
    return tuple(sensor for sensor in there if sensor.id not in fitted)
