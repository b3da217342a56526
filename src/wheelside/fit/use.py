"""Which pressure a wheel will have in use on a car, and at which it carries what it has to."""

from __future__ import annotations

import math

from wheelside.fit.facts import UNKNOWN, N
from wheelside.fit.match import Match, once
from wheelside.fit.number import choose, either, higher, no
from wheelside.fit.rule import View
from wheelside.said import Said, say

ROUNDING_KG, ROUNDING_KPA = 1e-9, 1e-6
"""Differences below these are of reckoning alone."""


def raised(m: Match[N]) -> N:
    """The pressure at which a tyre carries what the placard's tyre of its size does; unknown where it never does, or its rule is another."""
    w = m.wheel
    never = w.load < m.both.carried_most - ROUNDING_KG
    needed = w.reference * (m.both.carried_most / w.load) ** (1.0 / w.exponent)
    ruled: N = choose((w.iso == 1) & no(never), needed, UNKNOWN)
    return ruled


@once
def pressure_of_use(m: Match[N]) -> N:
    """The highest pressure that a wheel will have: for its own size as the placard wants it, or raised for another tyre; else the axle's."""
    own: N = choose(m.both.placard > 0, higher(m.both.placard, raised(m)), UNKNOWN)
    used: N = either(own, m.car.placard)
    return used


def wanted_pressure(v: View) -> Said:
    """What the placard wants of a wheel, in words that say where it speaks of another size or the tyre is another one."""
    used, own = pressure_of_use(v.match), v.match.both.placard
    if math.isnan(own):
        return say(
            "the placard has no pressure for its size, and up to {used} for others on this axle", used=v.kpa(used)
        )
    if used > own + ROUNDING_KPA:
        return say(
            "the placard wants up to {own}, and this tyre {used} to carry what the placard's does",
            own=v.kpa(own),
            used=v.kpa(used),
        )
    return say("the placard wants up to {used}", used=v.kpa(used))
