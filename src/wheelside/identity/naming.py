"""How wheels, sets and rows are named in what the plan says."""

from __future__ import annotations

from collections.abc import Iterable

from wheelside.garage.model import Garage
from wheelside.said import Joined, Listing, Said, listed, say


def wheel_named(garage: Garage, wheel: str) -> Said:
    """A wheel by its name, as what something is about."""
    return say("wheel {wheel}", wheel=garage.wheels[wheel].name)


def wheels_named(garage: Garage, wheels: Iterable[str], by: Joined = Joined.AND) -> Listing:
    """The names of wheels in a row."""
    return listed((garage.wheels[w].name for w in wheels), by)


def family_named(garage: Garage, family: str) -> str | Said:
    """A family by its name, where the garage has it."""
    return garage.families[family].name if family in garage.families else say("this family")
