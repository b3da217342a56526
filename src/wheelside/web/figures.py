"""What a step shows about pressures that depend on something else: on the tyre's temperature, or on what was read before."""

from __future__ import annotations

import json
from dataclasses import dataclass

from wheelside.jobs.doing import Doing
from wheelside.sheet.answers import ReadAnswer
from wheelside.sheet.progress import StepState
from wheelside.sheet.step import Step
from wheelside.sheet.warmth import curve_of, figure_at, table_of, temperature_ask
from wheelside.units import GaugePressure, Temperature, UnitChoice


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
    if asked is None or asked.kelvin is None:
        return Figures((), {}, "", _before(state, now))
    told = _told_last(state, now)
    kelvin = told.kelvin if told and told.kelvin else asked.kelvin
    text = told.said if told else units.plain(round(units.degrees(Temperature(kelvin)), 1))
    return Figures(table_of(step, units), {asked.id: text}, _figure(step, kelvin, units), "")


def _told_last(state: StepState, now: Doing) -> ReadAnswer | None:
    """The temperature said at this step, else the one said last where other wheels of this job were set."""
    every = [(s, a) for s in now.states if s.kept for a in s.answers if a.ask.kelvin and a.kelvin]
    mine = [a for s, a in every if s.step.id == state.step.id]
    newest = max(every, key=lambda pair: pair[0].kept.num if pair[0].kept else 0, default=None)
    return mine[0] if mine else newest[1] if newest else None


def _figure(step: Step, kelvin: float, units: UnitChoice) -> str:
    """'At 17 °C: set 2.67 bar'; '' where there is no figure."""
    kpa = figure_at(curve_of(step), kelvin)
    if kpa is None:
        return ""
    return f"At {units.show_temperature(Temperature(kelvin))}: set {units.show_pressure(GaugePressure(kpa))}"


def _before(state: StepState, now: Doing) -> str:
    """What the gauge read at the step that this one is compared with."""
    beside = next((one.beside for one in state.step.asks if one.beside), "")
    found = (a for s in now.states for a in s.answers if f"{s.step.id}/{a.ask.id}" == beside and a.kpa is not None)
    kpa = next((a.kpa for a in found), None)
    return now.start.units.show_pressure(GaugePressure(kpa)) if kpa is not None else ""


def short_curve(curve: tuple[tuple[float, float], ...]) -> str:
    """A curve for the page, as JSON: temperatures to 0.01 K and pressures to 0.01 kPa, far finer than any gauge."""
    return json.dumps([[round(k, 2), round(p, 2)] for k, p in curve], separators=(",", ":"))
