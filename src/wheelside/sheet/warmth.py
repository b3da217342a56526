"""Figures that depend on the temperature of the tyre: at the step, and when its answer is judged."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from wheelside.fill.card import AirCard
from wheelside.garage.words import Corner
from wheelside.sheet.ask import Ask, Curve, Tells
from wheelside.sheet.step import Step
from wheelside.units import GaugePressure, PressureSpan, Temperature, UnitChoice

NEAR_K = 16.0
"""So far from the temperature planned for, rows are shown."""
STEPS = {"°C": 5, "°F": 10}
"""The rows stand this far apart."""
_SAME = 0.02


def figure_at(curve: Curve, at: Temperature) -> GaugePressure | None:
    """The pressure at a temperature, straight between the rows; None beyond them.

    >>> rows = ((280.0, 240.0), (290.0, 250.0))
    >>> figure_at(tuple((Temperature(k), GaugePressure(p)) for k, p in rows), Temperature(285.0))
    GaugePressure(kpa=245.0)
    """
    for (low, before), (high, after) in pairwise(curve):
        if low <= at <= high:
            more = (after - before).kpa * (at - low).kelvin / (high - low).kelvin
            return before + PressureSpan(more)
    return None


def shown_rows(curve: Curve, planned: Temperature, units: UnitChoice) -> tuple[tuple[str, str], ...]:
    """Temperature and figure of the rows that a person reads: whole steps near the one planned for, and that one."""
    off = [(abs((at - planned).kelvin), at, pressure) for at, pressure in curve]
    kept = [(at, pressure) for away, at, pressure in off if away < _SAME or (away <= NEAR_K and _whole(at, units))]
    return tuple({units.show_temperature(at): units.show_pressure(pressure) for at, pressure in kept}.items())


def _whole(at: Temperature, units: UnitChoice) -> bool:
    value, step = units.degrees(at), STEPS[units.temperature]
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
    return shown_rows(curve_of(step), asked.temperature, units) if asked and asked.temperature else ()


@dataclass(frozen=True, slots=True)
class Together:
    """The figures of a whole air card: the corners of each column, and by temperature the figure of each column."""

    corners: tuple[tuple[Corner, ...], ...]
    rows: tuple[tuple[str, tuple[str, ...]], ...]

    @property
    def columns(self) -> tuple[str, ...]:
        """What each column is headed with."""
        return tuple(", ".join(corner.value for corner in own) for own in self.corners)


def table_of_card(card: AirCard, units: UnitChoice) -> Together:
    """What the gauge in hand has to show at each temperature; wheels that are alike share a column."""
    if card.situation is None:
        return Together((), ())
    planned = card.situation.thermometer_now
    columns: dict[tuple[tuple[str, str], ...], list[Corner]] = {}
    for w in card.wheels:
        curve = tuple((row.thermometer_shows, row.gauge_shows) for row in w.by_temperature)
        columns.setdefault(shown_rows(curve, planned, units), []).append(w.corner)
    figures = [dict(rows) for rows in columns]
    longest = max(columns, key=len, default=())
    return Together(
        tuple(map(tuple, columns.values())),
        tuple((at, tuple(one.get(at, "none") for one in figures)) for at, _ in longest),
    )
