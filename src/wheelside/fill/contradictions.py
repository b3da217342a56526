"""Conditions that can't all be so: asked about before any figure."""

from __future__ import annotations

from collections.abc import Iterator
from enum import StrEnum

from wheelside.finding import Basis, Finding, Ground, Weight
from wheelside.garage.wishes import Conditions
from wheelside.units import Temperature, UnitChoice

WARM = Temperature.from_celsius(40.0)
"""A tyre above this was most likely driven or stood in the sun. Judgement."""


_WHICH = "correct '{0}' or 'temperature_of_use' in [conditions], or --{0}, or --use"


class AskFirst(StrEnum):
    """What is to be answered before a figure is trusted: the codes of these findings."""

    COLDEST = "coldest-above-use"
    WARMEST = "warmest-below-use"
    WARM = "cold-but-warm"
    HEIGHT = "height"


_FIRST = frozenset(one.value for one in AskFirst)


def stands_first(finding: Finding) -> bool:
    """Whether a finding stands before any figure: what must not be done, and what makes the figures doubtful."""
    return finding.weight is Weight.FORBIDDEN or finding.code in _FIRST


def contradictions(c: Conditions, now: Temperature, use: Temperature, units: UnitChoice) -> Iterator[Finding]:
    """Every pair of conditions that contradict each other; `now` is the tyre's true temperature."""
    show = units.show_temperature
    if c.coldest and c.coldest > use:
        text = (
            f"The coldest tyre to come, {show(c.coldest)}, is warmer than the tyre in use, {show(use)}. "
            f"{show(use)} is counted as the coldest until you say which is right."
        )
        yield _ask(
            AskFirst.COLDEST, text, (c.basis("coldest"), c.basis("temperature_of_use")), _WHICH.format("coldest")
        )
    if c.warmest and c.warmest < use:
        text = (
            f"The warmest tyre to come, {show(c.warmest)}, is colder than the tyre in use, {show(use)}. "
            f"{show(use)} is counted as the warmest until you say which is right."
        )
        yield _ask(
            AskFirst.WARMEST, text, (c.basis("warmest"), c.basis("temperature_of_use")), _WHICH.format("warmest")
        )
    if now > WARM:
        text = f"The tyres are called cold, yet are at {show(now)}: were they driven, or in the sun?"
        basis = (c.basis("tyre_temperature"), Basis(Ground.JUDGEMENT, f"seldom above {show(WARM)} without either"))
        way = "if so, let no air out, wait three hours and ask again; else correct 'tyre_temperature' in [conditions], or --tyre"
        yield _ask(AskFirst.WARM, text, basis, way)


def _ask(code: AskFirst, text: str, basis: tuple[Basis, ...], way_out: str) -> Finding:
    return Finding(Weight.ASK, code.value, "Conditions", text, tuple(dict.fromkeys(basis)), way_out)
