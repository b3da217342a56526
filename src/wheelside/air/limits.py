"""From which pressure a low-pressure telltale must be lit.

A standard says when the lamp must be lit at the latest; a car may light it earlier.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from wheelside.units import AbsolutePressure, GaugePressure

WARM_FACTOR = 1.10
"""Warm in-use pressure over cold recommended pressure: worked assumption in GRRF-65-35 (2009)."""
UN_FALL = 0.20
US_FALL = 0.25
UN_FLOOR_KPA = 150.0


class TyreClass(StrEnum):
    """The tyre types of 49 CFR 571.138 Table 1 that a designation tells apart; light truck load ranges it does not."""

    STANDARD = "standard load"
    EXTRA = "extra load"


_US_FLOOR_KPA = {TyreClass.STANDARD: 140.0, TyreClass.EXTRA: 160.0}


@dataclass(frozen=True, slots=True)
class UnLimit:
    """UN R141: the warm pressure from which the lamp must be lit, under both readings of its floor."""

    warm: GaugePressure
    floor_as_gauge: GaugePressure
    floor_as_absolute: GaugePressure


def us_limit(placard: GaugePressure, tyre: TyreClass | None) -> GaugePressure:
    """49 CFR 571.138 S4.2(a): the higher of 75 % of the recommended cold pressure and Table 1.

    Table 1 is from memory: 140 kPa standard load, 160 kPa extra load. None, a
    tyre of unknown type, leaves the table out.
    """
    share = (1 - US_FALL) * placard.kpa
    return GaugePressure(share if tyre is None else max(share, _US_FLOOR_KPA[tyre]))


def un_limit(placard: GaugePressure, air: AbsolutePressure) -> UnLimit:
    """UN R141: 20 % below the warm in-use pressure, not under 150 kPa.

    The warm pressure is taken as 1.1 times the cold recommended one. Whether the 150 kPa are gauge or
    absolute differs between the texts, so both results are given.
    """
    warm = WARM_FACTOR * placard.kpa
    fallen = (1 - UN_FALL) * warm
    return UnLimit(
        warm=GaugePressure(warm),
        floor_as_gauge=GaugePressure(max(fallen, UN_FLOOR_KPA)),
        floor_as_absolute=GaugePressure(max(fallen, UN_FLOOR_KPA - air.kpa)),
    )
