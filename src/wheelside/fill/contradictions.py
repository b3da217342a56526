"""Conditions that can't all be so: asked about before any figure."""

from __future__ import annotations

from collections.abc import Iterator

from wheelside.finding import Basis, Finding, Ground, Way, WayKind, Weight, note
from wheelside.fit.may import to_be_settled
from wheelside.garage.wishes import Conditions
from wheelside.said import Coded, Key, Option, Said, say
from wheelside.units import Temperature

WARM = Temperature.from_celsius(40.0)
"""A tyre above this was most likely driven or stood in the sun. Judgement."""


def _which(key: str) -> Way:
    this, use = Key("conditions", key), Key("conditions", "temperature_of_use")
    return note(say("correct {this} or {use}{option}", this=this, use=use, option=Option(f"--{key}, or --use")))


class AskFirst(Coded):
    """What is to be answered before a figure is trusted: the codes of these findings."""

    COLDEST = "coldest-above-use"
    WARMEST = "warmest-below-use"
    WARM = "cold-but-warm"
    HEIGHT = "height"


_FIRST = frozenset(one.value for one in AskFirst)


def stands_first(finding: Finding) -> bool:
    """Whether a finding stands before any figure: what must not be done, and what makes the figures doubtful."""
    return to_be_settled(finding) or finding.code in _FIRST


def contradictions(c: Conditions, now: Temperature, use: Temperature) -> Iterator[Finding]:
    """Every pair of conditions that contradict each other; `now` is the tyre's true temperature."""
    if c.coldest and c.coldest > use:
        text = say(
            "The coldest tyre to come, {coldest}, is warmer than the tyre in use, {use}. "
            "{use} is counted as the coldest until you say which is right.",
            coldest=c.coldest, use=use,
        )  # fmt: skip
        yield _ask(AskFirst.COLDEST, text, (c.basis("coldest"), c.basis("temperature_of_use")), _which("coldest"))
    if c.warmest and c.warmest < use:
        text = say(
            "The warmest tyre to come, {warmest}, is colder than the tyre in use, {use}. "
            "{use} is counted as the warmest until you say which is right.",
            warmest=c.warmest, use=use,
        )  # fmt: skip
        yield _ask(AskFirst.WARMEST, text, (c.basis("warmest"), c.basis("temperature_of_use")), _which("warmest"))
    if now > WARM:
        text = say("The tyres are called cold, yet are at {now}: were they driven, or in the sun?", now=now)
        seldom = say("seldom above {warm} without either", warm=WARM)
        basis = (c.basis("tyre_temperature"), Basis(Ground.JUDGEMENT, seldom))
        way = Way(
            WayKind.WAIT,
            say(
                "if so, let no air out, wait three hours and ask again; else correct {key}{option}",
                key=Key("conditions", "tyre_temperature"), option=Option("--tyre"),
            ),
        )  # fmt: skip
        yield _ask(AskFirst.WARM, text, basis, way)


def _ask(code: AskFirst, text: Said, basis: tuple[Basis, ...], way_out: Way) -> Finding:
    return Finding(Weight.ASK, code.value, "Conditions", text, tuple(dict.fromkeys(basis)), way_out)
