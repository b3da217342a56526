"""The practising car as the demo household tells of it: the estate, winter wheels just fitted."""

from __future__ import annotations

from wheelside.demo.practice.brake import BrakeUnit
from wheelside.demo.practice.car import PracticeCar
from wheelside.demo.practice.engine import EngineUnit
from wheelside.demo.practice.habits import Habits
from wheelside.demo.practice.unit import NO_SIGNAL, UNTROUBLED, PracticeUnit
from wheelside.demo.practice.wheels import SEA_LEVEL_KPA, Around, Ids, PractisedWheel, Wheels

VIN = "XWSKE16EXTA004217"
SUMMER: Ids = (742500339, 742500417, 742501162, 742498790)
"""Front left, front right, rear right, rear left of the summer set, which set 1 holds."""
WINTER: Ids = (1893077246, 1893078003, 1893078216, 1893078530)
"""What is fitted: two sensors of the winter set, and two new ones behind."""
STORED = 0x28
"""Confirmed and failed since the last clear; the last test found nothing."""


def winter_wheels() -> Wheels:
    """The fitted wheels, filled and cold."""
    front, rear = SEA_LEVEL_KPA + 240, SEA_LEVEL_KPA + 230
    first, second, third, fourth = WINTER
    return (
        PractisedWheel(first, front, 6),
        PractisedWheel(second, front, 6),
        PractisedWheel(third, rear, 6),
        PractisedWheel(fourth, rear, 5),
    )


def practice_car(habits: Habits | None = None) -> PracticeCar:
    """A car that stands with the ignition on, set 1 watched, one old code stored."""
    around = Around()
    unit = PracticeUnit(
        VIN,
        around,
        lists={1: SUMMER},
        fitted=winter_wheels(),
        codes={**UNTROUBLED, NO_SIGNAL[2]: STORED},
        habits=habits,
    )
    unit.codes.snapshots[NO_SIGNAL[2]] = bytes.fromhex("03 F40D 2F F442 3796 2140 02")
    return PracticeCar(unit, EngineUnit(VIN, around), BrakeUnit(VIN, around))
