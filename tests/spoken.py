"""What is said, in the words of a test."""

from __future__ import annotations

from wheelside.finding import Way
from wheelside.sheet.step import Step
from wheelside.speech.speech import Speech
from wheelside.units import UnitChoice


def words(said: object, units: UnitChoice | None = None) -> str:
    """Something said, or a way out, in English; '' for None."""
    speech = Speech(units or UnitChoice())
    return speech.way(said) if isinstance(said, Way) or said is None else speech.text(said)


def lines(step: Step) -> tuple[str, ...]:
    """What is to be done at a step, in English, line by line."""
    return tuple(words(line) for line in step.what)
