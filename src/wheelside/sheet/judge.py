"""Judging answers by other answers: a pressure by the tyre's temperature, or by what the gauge read before."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from wheelside.said import say
from wheelside.sheet.answers import ReadAnswer, judged
from wheelside.sheet.ask import Tells
from wheelside.sheet.warmth import figure_at
from wheelside.units import PressureSpan, Temperature

Answers = tuple[ReadAnswer, ...]


def by_temperature(answers: Answers) -> Answers:
    """A step's answers, those pressures judged again whose figure depends on the temperature that the step asked for.

    Where it was left out, the one that was planned for counts.
    """
    told = next((a for a in answers if a.ask.tells is Tells.TYRE_TEMPERATURE), None)
    unread = told is not None and bool(told.said) and told.temperature is None
    shown = told.temperature if told else None
    return tuple(_at(a, None if unread else shown or a.ask.temperature) if a.ask.by_temperature else a for a in answers)


def _at(answer: ReadAnswer, at: Temperature | None) -> ReadAnswer:
    """A pressure judged at a temperature, which is None where it could not be read."""
    if answer.pressure is None or at is None:
        return judged(answer, None)
    figure = figure_at(answer.ask.by_temperature, at)
    if figure is None:
        text = "{label}: there is no figure for a tyre this warm or cold; see that it is cold, or set it outside"
        problem = say(text, label=answer.ask.label)
        return replace(judged(answer, None), problem=problem)
    return judged(answer, figure, figure_at(answer.ask.least_by_temperature, at))


FOLLOWS = PressureSpan(20.0)
"""By so much at the least a figure on the dash has to follow its wheel: a tenth of what is set, and well beyond the step in which a dash shows."""


def by_dash(answers: Answers) -> Answers:
    """A step's answers, one that names a corner not as planned where the dash's own figures say that nothing moved."""
    said = {a.ask.id: a for a in answers}
    return tuple(_moved(a, said) if a.ask.moved and a.as_planned else a for a in answers)


def _moved(answer: ReadAnswer, said: Mapping[str, ReadAnswer]) -> ReadAnswer:
    assert answer.ask.moved is not None, "only asks that name the dash's figures are held against them"
    before, now = (said[name].pressure if name in said else None for name in answer.ask.moved)
    still = before is not None and now is not None and abs((now - before).kpa) < FOLLOWS.kpa
    return replace(answer, as_planned=False) if still and answer.said == answer.ask.expect else answer


def by_other_steps(answers: Answers, said: Mapping[str, ReadAnswer]) -> Answers:
    """A step's answers, those pressures judged that are compared with another; `said` has every answer by 'step/ask'."""
    return tuple(_beside(a, said.get(a.ask.beside)) if a.ask.beside else a for a in answers)


def _beside(answer: ReadAnswer, other: ReadAnswer | None) -> ReadAnswer:
    return judged(answer, other.pressure if other else None)
