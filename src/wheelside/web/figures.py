"""What a step shows about pressures that depend on something else: on the tyre's temperature, or on what was read before."""

from __future__ import annotations

import json
from dataclasses import dataclass

from wheelside.jobs.work.doing import Doing
from wheelside.sheet.answers import ReadAnswer
from wheelside.sheet.ask import Curve
from wheelside.sheet.progress import StepState
from wheelside.sheet.step import Step
from wheelside.sheet.warmth import curve_of, figure_at, table_of, temperature_ask
from wheelside.units import Temperature, UnitChoice


@dataclass(frozen=True, slots=True)
class Figures:
    """A step's table of temperature and figure; the temperature to begin with, by its ask; the figure at that; what was read before."""

    table: tuple[tuple[str, str], ...]
    suggested: dict[str, str]
    figure: str
    before: str


def figures_of(state: StepState, now: Doing) -> Figures:
    """What one step shows; each part is empty where it has nothing to show."""
    step, units = state.step, now.start.units
    asked = temperature_ask(step)
    if asked is None or asked.temperature is None:
        return Figures((), {}, "", _before(state, now))
    told = _told_last(state, now)
    at = told.temperature if told and told.temperature else asked.temperature
    text = told.said if told else units.plain(round(units.degrees(at), 1))
    return Figures(table_of(step, units), {asked.id: text}, _figure(step, at, units), "")


def _told_last(state: StepState, now: Doing) -> ReadAnswer | None:
    """The temperature said at this step, else the one said last where other wheels of this job were set."""
    every = [(s, a) for s in now.states if s.kept for a in s.answers if a.ask.temperature and a.temperature]
    mine = [a for s, a in every if s.step.id == state.step.id]
    newest = max(every, key=lambda pair: pair[0].kept.num if pair[0].kept else 0, default=None)
    return mine[0] if mine else newest[1] if newest else None


def _figure(step: Step, at: Temperature, units: UnitChoice) -> str:
    """'At 17 °C: set 2.67 bar'; '' where there is no figure."""
    pressure = figure_at(curve_of(step), at)
    return f"At {units.show_temperature(at)}: set {units.show_pressure(pressure)}" if pressure is not None else ""


def _before(state: StepState, now: Doing) -> str:
    """What the gauge read at the step that this one is compared with."""
    beside = next((one.beside for one in state.step.asks if one.beside), "")
    found = (
        a.pressure
        for s in now.states
        for a in s.answers
        if f"{s.step.id}/{a.ask.id}" == beside and a.pressure is not None
    )
    pressure = next(found, None)
    return now.start.units.show_pressure(pressure) if pressure is not None else ""


def short_curve(curve: Curve) -> str:
    """A curve for the page, as JSON: temperatures to 0.01 K and pressures to 0.01 kPa, far finer than any gauge."""
    return json.dumps([[round(at.kelvin, 2), round(p.kpa, 2)] for at, p in curve], separators=(",", ":"))
