"""The six lines of judgement by which people look for what lights the lamp, held against what is believed: the same model as words.

Each line: what is seen, the causes that it names, and whether their order is part of it. The causes named have to have most of the chance together,
all tests that were not made left open; the first one has to be the likeliest where a line puts one first. Judgement, as the table is; no source.
"""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from wheelside.why.belief import CaseSeen, believe
from wheelside.why.table import why_table

DIRECT = ("no-wheel-sensors",)


@dataclass(frozen=True)
class RoutingLine:
    """`first`: the cause that is the likeliest, '' where the line names none first; `least`: the chance that all named have together."""

    name: str
    seen: dict[str, str]
    named: tuple[str, ...]
    first: str = ""
    contexts: tuple[str, ...] = ()
    excluded: tuple[str, ...] = DIRECT
    least: float = 0.5


STEADY = {"lamp-at-start": "steady"}
FLASHES = {"lamp-at-start": "flashes"}
LINES = (
    RoutingLine("steady, one low", {**STEADY, "gauge": "one-low"}, ("puncture", "leak"), least=0.8),
    RoutingLine(
        "bubbles in the tread", {**STEADY, "gauge": "one-low", "soap": "tread"}, ("puncture",), "puncture", least=0.9
    ),
    RoutingLine(
        "bubbles at the valve", {**STEADY, "gauge": "one-low", "soap": "valve-bead"}, ("leak",), "leak", least=0.9
    ),
    RoutingLine(
        "steady, all low", {**STEADY, "gauge": "several-low"}, ("low-all", "set-wrongly"), "low-all", least=0.9
    ),
    RoutingLine(
        "steady, all right",
        {**STEADY, "gauge": "right"},
        ("reference", "spare", "clone-near", "corners", "no-wheel-sensors"),
        "reference",
        excluded=(),
        least=0.4,
    ),
    RoutingLine(
        "flashes, worked on this week",
        FLASHES,
        ("not-taught", "half-taught", "asleep", "no-sensor", "other-kind", "broken", "wrong-id"),
        "not-taught",
        ("changed-lately",),
        least=0.85,
    ),
    RoutingLine(
        "flashes, no recent work",
        {**FLASHES, "last-work": "longer"},
        ("battery", "receiver", "disturbed"),
        "battery",
        least=0.75,
    ),
    RoutingLine(
        "flashes after some minutes",
        {"lamp-at-start": "comes-goes", "pattern": "after-driving", "gauge": "right"},
        ("battery", "asleep", "not-taught", "disturbed", "other-kind"),
        "battery",
        least=0.7,
    ),
    RoutingLine("cold mornings, steady", {**STEADY, "pattern": "cold-only"}, ("low-all",), "low-all"),
    RoutingLine("cold mornings, flashing", {**FLASHES, "pattern": "cold-only"}, ("battery",), "battery"),
    RoutingLine(
        "another corner moves",
        {"gauge": "right", "dash": "mismatch", "corner-test": "wrong-corner"},
        ("corners",),
        "corners",
    ),
    RoutingLine(
        "nothing moves, a figure is lively",
        {"gauge": "right", "dash": "mismatch", "corner-test": "nothing"},
        ("clone-near", "others-taught"),
        "others-taught",
        least=0.3,
    ),
    RoutingLine(
        "nothing at all", {"gauge": "right", "dash": "one-blank", "corner-test": "nothing"}, ("battery", "broken"), "battery"
    ),
    RoutingLine(
        "any set, flashing",
        {**FLASHES, "other-set": "stays", "gauge": "right"},
        ("receiver", "disturbed", "reference", "spare"),
        "receiver",
        least=0.45,
    ),
    RoutingLine(
        "any set, steady",
        {**STEADY, "other-set": "stays", "gauge": "right"},
        ("receiver", "disturbed", "reference", "spare"),
        "reference",
        least=0.65,
    ),
)  # fmt: skip


@pytest.mark.parametrize("line", LINES, ids=lambda line: line.name)
def test_what_is_believed_goes_the_way_of_the_words(line: RoutingLine) -> None:
    seen = CaseSeen({t: {o: 1.0} for t, o in line.seen.items()}, line.contexts, line.excluded)
    found = believe(why_table(), seen)
    # two at once may both be named: the chance that at least one of them is there
    together = sum(p for mine, p in found.several.items() if set(mine) & set(line.named))
    assert together >= line.least, together
    if line.first:
        assert found.likeliest == line.first
