"""The setting between its floor and its ceiling, for any temperature of the tyre: numbers only."""

from __future__ import annotations

from dataclasses import dataclass, replace

from wheelside.air.gas import gauge_elsewhere
from wheelside.fill.situation import Situation
from wheelside.finding import Ground
from wheelside.units import GaugePressure, Temperature

NOISE_KPA = 1e-6
"""Differences below this come from floating-point arithmetic, not from physics."""
PLACARD, MAXIMUM = "placard", "maximum"
"""What bounds a setting."""


@dataclass(frozen=True, slots=True)
class Bounded:
    """One setting after its floor and its ceiling, all true gauge pressures where it is set.

    `rule`: by the gas law alone. `floored`: that, never below what is wanted in use. `set_to`: None where no figure may be
    given. `limited_by`: 'placard', 'maximum' or ''. `highest`: the most here, None where no maximum is known;
    `highest_outside`: the most when set outside instead.
    """

    rule: GaugePressure
    floored: GaugePressure
    set_to: GaugePressure | None
    limited_by: str
    highest: GaugePressure | None
    highest_outside: GaugePressure | None


def wanted(s: Situation, in_use: GaugePressure) -> GaugePressure:
    """The gauge pressure to set now so that the tyre reads `in_use` there: (in use + air there) T now / T use - air here."""
    return gauge_elsewhere(in_use, s.use, s.air_there, s.now, s.air_here)


def bounded(s: Situation, in_use: GaugePressure, most: GaugePressure | None) -> Bounded:
    """The setting that reads `in_use` in use, between that as its floor and `most`, the marked maximum, as its ceiling."""
    rule = wanted(s, in_use)
    low = rule.kpa < in_use.kpa - NOISE_KPA
    floored = max(rule, in_use)
    if most is None:
        return Bounded(rule, floored, floored, PLACARD if low else "", None, None)
    here, outside = _ceilings(s, most)
    if floored.kpa <= here.kpa + NOISE_KPA:
        return Bounded(rule, floored, min(floored, here), PLACARD if low else "", here, outside)
    fits = in_use.kpa <= min(outside, here).kpa + NOISE_KPA
    return Bounded(rule, floored, here if fits else None, MAXIMUM, here, outside)


def _ceilings(s: Situation, most: GaugePressure) -> tuple[GaugePressure, GaugePressure]:
    """The highest pressures, here and outside, at which every cold reading to come stays within the marked maximum.

    The second counts a warmest tyre only where one is stated.
    """
    warmest = s.warmest if warmest_is_stated(s) else s.use
    return (
        min(most, gauge_elsewhere(most, s.warmest, s.air_there, s.now, s.air_here)),
        min(most, gauge_elsewhere(most, warmest, s.air_there, s.use, s.air_there)),
    )


def warmest_is_stated(s: Situation) -> bool:
    """Whether the owner said how warm a cold tyre gets before the next check."""
    return dict(s.bases)["warmest"].ground is not Ground.DEFAULT


def with_tyre_at(s: Situation, now: Temperature) -> Situation:
    """The same situation with the tyre at another temperature now."""
    warmest = s.warmest if warmest_is_stated(s) else max(now, s.use)
    return replace(s, now=now, warmest=warmest)


def bends(s: Situation, in_use: GaugePressure, most: GaugePressure | None) -> tuple[Temperature, ...]:
    """The tyre temperatures at which the setting passes from one bound to another; between them it is a straight line."""
    slope = (in_use.kpa + s.air_there.kpa) / s.use.kelvin
    found = [(in_use.kpa + s.air_here.kpa) / slope]
    if most is not None:
        at_most = (most.kpa + s.air_there.kpa) / (s.warmest if warmest_is_stated(s) else s.use).kelvin
        same_temperature = most.kpa + s.air_there.kpa - s.air_here.kpa
        found += [(kpa + s.air_here.kpa) / slope for kpa in (most.kpa, same_temperature)]
        found.append(s.use.kelvin)
        found += [(kpa + s.air_here.kpa) / at_most for kpa in (most.kpa, in_use.kpa)]
    return tuple(Temperature(k) for k in sorted(found))
