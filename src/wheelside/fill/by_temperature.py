"""The figure to set for each temperature that the tyre may turn out to have."""

from __future__ import annotations

from dataclasses import dataclass

from wheelside.air.gas import gauge_elsewhere
from wheelside.fill.bounds import bends, bounded, with_tyre_at
from wheelside.fill.situation import Situation
from wheelside.units import GaugePressure, Temperature

_LEAST_C, _MOST_C, _STEP_C = -40, 50, 5
_LEAST_F, _MOST_F, _STEP_F = -40, 120, 10
_SAME_K = 0.01


@dataclass(frozen=True, slots=True)
class SettingAt:
    """One row: the tyre's temperature as the thermometer in hand shows it, and the setting then.

    `least`: on the gauge in hand, below which the tyre does not carry its share of the axle's load in use; None where
    that is not known.
    """

    thermometer_shows: Temperature
    set_to: GaugePressure
    gauge_shows: GaugePressure
    least: GaugePressure | None


def by_temperature(
    s: Situation, in_use: GaugePressure, most: GaugePressure | None, need: GaugePressure | None
) -> tuple[SettingAt, ...]:
    """The settings around the temperature planned for, coldest first, as far as there is a figure without a gap.

    Whole steps of the owner's scale, the temperature planned for, and those at which a floor or a ceiling begins to
    hold: straight lines between them are exact. `need`: the cold pressure in use that the axle's load needs.
    """
    planned = s.now.kelvin
    temperatures = _temperatures(s, in_use, most)
    warmer = _run(s, in_use, most, need, [t for t in temperatures if t.kelvin >= planned - _SAME_K])
    colder = _run(s, in_use, most, need, [t for t in reversed(temperatures) if t.kelvin < planned - _SAME_K])
    return (*reversed(colder), *warmer) if warmer else ()


def _temperatures(s: Situation, in_use: GaugePressure, most: GaugePressure | None) -> list[Temperature]:
    """The tyre's true temperatures for which there are rows, coldest first, none twice."""
    bias = s.thermometer_bias.kelvin
    if s.units.temperature == "°C":
        whole = [Temperature.from_celsius(c).kelvin for c in range(_LEAST_C, _MOST_C + 1, _STEP_C)]
    else:
        whole = [Temperature.from_celsius((f - 32) / 1.8).kelvin for f in range(_LEAST_F, _MOST_F + 1, _STEP_F)]
    ends = whole[0] - bias, whole[-1] - bias
    bent = [t.kelvin for t in bends(s, in_use, most) if ends[0] < t.kelvin < ends[1]]
    found: list[float] = []
    for kelvin in (s.now.kelvin, *(k - bias for k in whole), *bent):
        if all(abs(kelvin - other) > _SAME_K for other in found):
            found.append(kelvin)
    return [Temperature(k) for k in sorted(found)]


def _run(
    s: Situation, in_use: GaugePressure, most: GaugePressure | None, need: GaugePressure | None,
    temperatures: list[Temperature],
) -> list[SettingAt]:  # fmt: skip
    """The rows for temperatures in this order, up to the first for which no figure may be given."""
    rows = []
    for now in temperatures:
        here = with_tyre_at(s, now)
        set_to = bounded(here, in_use, most).set_to
        if set_to is None:
            break
        carries = gauge_elsewhere(need, s.use, s.air_there, now, s.air_here) if need else None
        least = min(carries, set_to) + s.gauge_bias if carries else None
        rows.append(SettingAt(now + s.thermometer_bias, set_to, set_to + s.gauge_bias, least))
    return rows
