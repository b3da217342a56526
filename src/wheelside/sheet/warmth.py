"""Figures that depend on the temperature of the tyre: at the step, and when its answer is judged."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

from wheelside.fill.card import AirCard
from wheelside.sheet.ask import Ask, Tells
from wheelside.sheet.step import Step
from wheelside.units import GaugePressure, Temperature, UnitChoice

Curve = tuple[tuple[float, float], ...]
"""Kelvin and kilopascals, coldest first."""
NEAR_K = 16.0
"""So far from the temperature planned for, rows are shown."""
STEPS = {"°C": 5, "°F": 10}
"""The rows stand this far apart."""
_SAME = 0.02


def figure_at(curve: Curve, kelvin: float) -> float | None:
    """The kilopascals at a temperature, straight between the rows; None beyond them.

    >>> figure_at(((280.0, 240.0), (290.0, 250.0)), 285.0)
    245.0
    """
    for (low, before), (high, after) in pairwise(curve):
        if low <= kelvin <= high:
            return before + (after - before) * (kelvin - low) / (high - low)
    return None


def shown_rows(curve: Iterable[tuple[float, float]], planned: float, units: UnitChoice) -> tuple[tuple[str, str], ...]:
    """Temperature and figure of the rows that a person reads: whole steps near the one planned for, and that one."""
    near = [(kelvin, kpa) for kelvin, kpa in curve if abs(kelvin - planned) <= NEAR_K]
    kept = [(k, kpa) for k, kpa in near if abs(k - planned) < _SAME or _whole(k, units)]
    rows = {units.show_temperature(Temperature(k)): units.show_pressure(GaugePressure(kpa)) for k, kpa in kept}
    return tuple(rows.items())


def _whole(kelvin: float, units: UnitChoice) -> bool:
    value, step = units.degrees(Temperature(kelvin)), STEPS[units.temperature]
    return abs(value - round(value / step) * step) < _SAME


def temperature_ask(step: Step) -> Ask | None:
    """The ask for the tyre's own temperature at a step, if it has one."""
    return next((one for one in step.asks if one.tells is Tells.TYRE_TEMPERATURE), None)


def curve_of(step: Step) -> Curve:
    """The figure to set by the tyre's temperature; () where a step has none."""
    return next((one.by_temperature for one in step.asks if one.by_temperature), ())


def table_of(step: Step, units: UnitChoice) -> tuple[tuple[str, str], ...]:
    """Temperature of the tyre and figure to set, as a step shows them; () where its figure depends on none."""
    asked = temperature_ask(step)
    return shown_rows(curve_of(step), asked.kelvin, units) if asked and asked.kelvin else ()


@dataclass(frozen=True, slots=True)
class Together:
    """The figures of a whole air card: the corners of each column, and by temperature the figure of each column."""

    columns: tuple[str, ...]
    rows: tuple[tuple[str, tuple[str, ...]], ...]


def table_of_card(card: AirCard, units: UnitChoice) -> Together:
    """What the gauge in hand has to show at each temperature; wheels that are alike share a column."""
    if card.situation is None:
        return Together((), ())
    planned = card.situation.thermometer_now
    columns: dict[tuple[tuple[str, str], ...], list[str]] = {}
    for w in card.wheels:
        curve = [(row.thermometer_shows.kelvin, row.gauge_shows.kpa) for row in w.by_temperature]
        columns.setdefault(shown_rows(curve, planned.kelvin, units), []).append(w.corner.value)
    figures = [dict(rows) for rows in columns]
    longest = max(columns, key=len, default=())
    return Together(
        tuple(", ".join(corners) for corners in columns.values()),
        tuple((at, tuple(one.get(at, "none") for one in figures)) for at, _ in longest),
    )
