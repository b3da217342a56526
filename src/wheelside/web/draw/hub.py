"""The hub's axis as one ruler: rim edges and tyre sides now and then, as bars to scale, with how far they are uncertain."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from wheelside.units import UnitChoice
from wheelside.web.draw.svg import WIDTH, box, drawing, line, text

LEFT, RIGHT = 10.0, WIDTH - 10.0
ROW, BAR = 34.0, 11.0


@dataclass(frozen=True, slots=True)
class Bar:
    """Something that lies along the axis, in mm, positive outward; `less` and `more`: how far each end may lie further out than drawn."""

    what: str
    inner_mm: float
    outer_mm: float
    spread_mm: float
    kind: str


@dataclass(frozen=True, slots=True)
class ShownLimit:
    """Where something stands in the way, measured on the present wheel."""

    what: str
    at_mm: float


def hub(name: str, bars: Sequence[Bar], limits: Sequence[ShownLimit], units: UnitChoice) -> Markup:
    """One axle: bars under one another on one scale, the mounting face as a line through all of them."""
    every = (
        [edge for b in bars for edge in (b.inner_mm - b.spread_mm, b.outer_mm + b.spread_mm)]
        + [one.at_mm for one in limits]
        + [0.0]
    )
    low, high = math.floor(min(every) / 20 - 0.2) * 20, math.ceil(max(every) / 20 + 0.2) * 20

    def at(mm: float) -> float:
        return LEFT + (mm - low) / (high - low) * (RIGHT - LEFT)

    foot = 44 + ROW * len(bars) + 6
    parts = [
        text(2, 12, f"{name}: along the hub, in mm", "b"),
        text(2, 27, "← inside of the car", "s"),
        text(WIDTH - 2, 27, "outside →", "s", "end"),
    ]
    parts += [p for one in limits for p in _limit(one, at(one.at_mm), foot)]
    parts += [line(at(0), 32, at(0), foot, "ink", 1, "3 3"), text(at(0), foot + 42, "mounting face", "s", "middle")]
    for n, bar in enumerate(bars):
        parts += _bar(bar, at, 46 + ROW * n, units)
    parts += _scale(at, foot, low, high)
    told = "; ".join(f"{b.what} from {units.number(b.inner_mm, 1)} to {units.number(b.outer_mm, 1)}" for b in bars)
    told += "".join(f"; {one.what} at {units.number(one.at_mm, 1)}" for one in limits)
    return drawing(foot + 48, f"{name}: along the hub, in mm from the mounting face, outward positive", told, parts)


def _bar(bar: Bar, at: object, y: float, units: UnitChoice) -> list[Markup]:
    assert callable(at), "a scale has a rule"
    x, end = at(bar.inner_mm), at(bar.outer_mm)
    low, high = at(bar.inner_mm - bar.spread_mm), at(bar.outer_mm + bar.spread_mm)
    label = f"{bar.what} {_signed(bar.inner_mm, units)} to {_signed(bar.outer_mm, units)}"
    middle = min(max((x + end) / 2, 3.1 * len(label)), WIDTH - 3.1 * len(label))
    parts = [text(middle, y + 7, label, "", "middle"), box(x, y + 12, end - x, BAR, bar.kind, 1.5)]
    if bar.spread_mm:
        parts += [
            line(low, y + 12 + BAR / 2, x, y + 12 + BAR / 2, "ink", 2),
            line(end, y + 12 + BAR / 2, high, y + 12 + BAR / 2, "ink", 2),
        ]
        parts += [line(edge, y + 13, edge, y + 11 + BAR, "ink", 2) for edge in (low, high)]
    return parts


def _signed(mm: float, units: UnitChoice) -> str:
    return units.number(mm, 1).replace("-", "−")


def _limit(one: ShownLimit, x: float, foot: float) -> list[Markup]:
    anchor = "start" if one.at_mm < 0 else "end"
    return [line(x, 32, x, foot, "stop", 2), text(x + (3 if one.at_mm < 0 else -3), foot + 42, one.what, "s", anchor)]


def _scale(at: object, foot: float, low: float, high: float) -> list[Markup]:
    assert callable(at), "a scale has a rule"
    parts = [line(LEFT, foot, RIGHT, foot, "ink", 2)]
    for mm in range(int(low), int(high) + 1, 10):
        large = mm % 50 == 0
        parts.append(line(at(mm), foot, at(mm), foot + (11 if large else 6), "ink", 1.5 if large else 0.8))
        if large:
            parts.append(text(at(mm), foot + 24, str(mm).replace("-", "−"), "s", "middle"))
    return parts
