"""What a speedometer may show, and what tyres of another circumference do to that: UN R39 paragraph 5.3.

Shown V1, true V2: 0 <= V1 - V2 <= 0.1 V2 + 4 km/h. The shown speed is never below the true one.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from wheelside.finding import Basis, Ground
from wheelside.units import Speed

R39 = Basis(Ground.STANDARD, "UN R39 paragraph 5.3: shown not below true, nor above it by more than 10 % + 4 km/h")
SHARE, MORE_KMH = 0.1, 4.0
TEST_SPEEDS_KMH = (40.0, 80.0, 120.0)
"""Speeds at which the regulation tests; from memory."""


class Allowed(StrEnum):
    """Whether what is shown stays allowed: whatever the speedometer's own error is, for some, or for none."""

    ALWAYS = "always"
    DEPENDS = "depends"
    NEVER = "never"


@dataclass(frozen=True, slots=True)
class Corridor:
    """From the least to the most, in km/h."""

    least: Speed
    most: Speed


def may_show(true: Speed) -> Corridor:
    """What a speedometer may show at a true speed.

    >>> may_show(Speed(120)).most.km_h
    136.0
    """
    return Corridor(true, Speed(true.km_h + SHARE * true.km_h + MORE_KMH))


def may_be_true(shown: Speed) -> Corridor:
    """The true speeds at which a speedometer may show this."""
    return Corridor(Speed(max(0.0, (shown.km_h - MORE_KMH) / (1 + SHARE))), shown)


def shown_after(ratio: float, true: Speed) -> Corridor:
    """What may be shown at a true speed with tyres whose circumference is `ratio` times the former one.

    With those the speedometer kept within UN R39; its own error is not known. At the same turns of the wheel the car is `ratio` times
    as fast, so at this true speed the speedometer shows what it showed at true / ratio.
    """
    return may_show(Speed(true.km_h / ratio))


def stays_allowed(ratio: float) -> Allowed:
    """Whether UN R39 is still kept at all its test speeds, the speedometer's own error unknown.

    >>> stays_allowed(1.0), stays_allowed(1.02), stays_allowed(1.3)
    (<Allowed.ALWAYS: 'always'>, <Allowed.DEPENDS: 'depends'>, <Allowed.NEVER: 'never'>)
    """
    always, never = True, False
    for true in TEST_SPEEDS_KMH:
        may, might = may_show(Speed(true)), shown_after(ratio, Speed(true))
        always &= may.least <= might.least and might.most <= may.most
        never |= might.most < may.least or might.least > may.most
    return Allowed.NEVER if never else Allowed.ALWAYS if always else Allowed.DEPENDS


def stays_with(ratio: float, shown: Speed, true: Speed) -> bool:
    """The same for a speedometer that was seen to show `shown` at a true speed with the former tyres, its error in proportion."""
    reads = shown.km_h / true.km_h / ratio
    return all(may_show(Speed(v)).least.km_h <= v * reads <= may_show(Speed(v)).most.km_h for v in TEST_SPEEDS_KMH)


def must_show_now(ratio: float, true: Speed) -> Corridor:
    """What a speedometer must show at a true speed with the former tyres, so that it keeps the rule with the others.

    >>> must_show_now(1.02, Speed(100)).least.km_h
    102.0
    """
    after = may_show(Speed(true.km_h * ratio))
    return Corridor(max(after.least, true), min(after.most, may_show(true).most))
