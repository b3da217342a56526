"""The corners of one pair, each as it is looked at and told."""

from __future__ import annotations

from datetime import date

from wheelside.fit.gather import present_parts
from wheelside.fit.match import SideBySide
from wheelside.fit.rule import View
from wheelside.garage.joined import parts_on
from wheelside.garage.model import Car, Garage, WheelSet


def views(
    garage: Garage, car: Car, wheel_set: WheelSet, on: WheelSet | None, day: date, numbers: SideBySide
) -> tuple[View, ...]:
    """One for each corner that has a wheel. `on`: the set that is on the car now."""
    named = dict(wheel_set.wheels)
    return tuple(
        View(
            garage, car, wheel_set, day, corner, parts_on(garage, named[corner], day), present_parts(garage, on, corner, day), match,
            numbers.four,
        )
        for corner, match in numbers.matches.items()
    )  # fmt: skip
