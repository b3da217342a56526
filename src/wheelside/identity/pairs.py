"""Wheels that carry one ID, and the rule that keeps them apart."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from typing import Protocol

from wheelside.finding import Basis, Finding, Ground, Weight
from wheelside.garage.ids import proven_different
from wheelside.garage.model import Garage
from wheelside.sensor.ident import SensorId


class Carrying(Protocol):
    """A wheel and the ID that it is to carry, None where that is not known."""

    @property
    def wheel(self) -> str: ...

    @property
    def id(self) -> SensorId | None: ...


def share_an_id(garage: Garage, a: Carrying, b: Carrying) -> bool:
    """Whether two wheels carry one ID that a receiver could take from either."""
    if a.id is None or b.id is None or a.id.key != b.id.key:
        return False
    return not proven_different(garage, a.id.family, b.id.family)


def pair_findings(garage: Garage, wheels: Sequence[Carrying]) -> Iterator[Finding]:
    """For wheels that carry one ID under a plan, new clones and old ones alike: they must never meet."""
    alike: dict[tuple[int, int], list[Carrying]] = defaultdict(list)
    for wheel in wheels:
        if wheel.id is not None:
            alike[wheel.id.key].append(wheel)
    for group in alike.values():
        first = group[0]
        for other in group[1:]:
            if first.id is None or not share_an_id(garage, first, other):
                continue
            names = garage.wheels[first.wheel].name, garage.wheels[other.wheel].name
            text = f"{names[0]} and {names[1]} are a pair: both carry {first.id.hex}. They must never be within earshot of one car."
            way = "keep to the places of the season line; before storing either elsewhere, selling or lending it, plan again"
            basis = (Basis(Ground.COMPUTED, "this plan"),)
            yield Finding(Weight.WARNING, "clone-pair", f"wheels {names[0]} and {names[1]}", text, basis, way)
