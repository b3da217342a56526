"""What is named for a wheel of a size on a car's axle, and which pressure it will have there."""

from __future__ import annotations

import numpy as np

from wheelside.fit.facts import UNKNOWN, Array, NamedFacts, Scene, spread
from wheelside.fit.rule import View
from wheelside.garage.words import ROAD_CORNERS


def at_corner(column: Array, v: View) -> float:
    """One pair's number at one corner."""
    return float(np.broadcast_to(column, (1, 1, len(ROAD_CORNERS)))[0, 0, ROAD_CORNERS.index(v.corner)])


def own_named(s: Scene) -> NamedFacts[Array]:
    """The tyre of a wheel's own size that is named for the car's axle; NaN where none is."""
    held = s.once.get("named")
    if not isinstance(held, NamedFacts):
        held = NamedFacts(*(spread(column, s.wheels.size, np.float64(UNKNOWN)) for column in s.tables.named))
        s.once["named"] = held
    return held


def own_pressure(s: Scene) -> Array:
    """The highest placard pressure for a wheel's own size, NaN where the placard has no row for it."""
    held = s.once.get("placard")
    if not isinstance(held, np.ndarray):
        held = spread(s.tables.placard, s.wheels.size, np.float64(UNKNOWN))
        s.once["placard"] = held
    return held


def pressure_of_use(s: Scene) -> Array:
    """The placard pressure that a wheel will have at most: for its own size, else the highest of the axle."""
    own = own_pressure(s)
    return np.where(np.isnan(own), s.cars.placard, own)


def wanted_pressure(v: View) -> str:
    """What the placard wants of a wheel, in words that say where it speaks of another size."""
    used = v.kpa(at_corner(pressure_of_use(v.scene), v))
    if np.isnan(at_corner(own_pressure(v.scene), v)):
        return f"the placard has no pressure for its size, and up to {used} for others on this axle"
    return f"the placard wants up to {used}"
