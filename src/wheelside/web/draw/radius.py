"""Radii on one ruler, from the hub's middle outward: rim and tyre, now and then, to scale, with what a new tyre may measure."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from wheelside.units import UnitChoice
from wheelside.web.draw.svg import WIDTH, box, drawing, line, text

LEFT, RIGHT = 6.0, WIDTH - 10.0
ROW = 34.0


@dataclass(frozen=True, slots=True)
class Radius:
    """One wheel: rim radius, tyre radius, and the least and most that a new tyre of this size may have, in mm."""

    what: str
    rim_mm: float
    tyre_mm: float
    least_mm: float
    most_mm: float
    kind: str


def radius(name: str, rows: Sequence[Radius], units: UnitChoice) -> Markup:
    """One axle: wheels under one another, rim as a frame, tyre as a filled bar from there on."""
    high = math.ceil(max(r.most_mm for r in rows) / 20 + 0.2) * 20

    def at(mm: float) -> float:
        return LEFT + mm / high * (RIGHT - LEFT)

    foot = 32 + ROW * len(rows) + 4
    parts = [text(2, 12, f"{name}: from the hub's middle, in mm", "b")]
    for n, row in enumerate(rows):
        y = 28 + ROW * n
        label = f"{row.what}: rim {units.number(row.rim_mm, 0)}, tyre {units.number(row.tyre_mm, 1)}"
        parts += [text(LEFT, y + 4, label), box(at(0), y + 10, at(row.rim_mm) - at(0), 11, "box", 1.5)]
        parts.append(box(at(row.rim_mm), y + 10, at(row.tyre_mm) - at(row.rim_mm), 11, row.kind, 1.5))
        parts += [line(at(row.least_mm), y + 24, at(row.most_mm), y + 24, "ink", 2)]
        parts += [line(at(mm), y + 20, at(mm), y + 27, "ink", 2) for mm in (row.least_mm, row.most_mm)]
    parts += _scale(at, foot, high)
    told = "; ".join(
        f"{r.what}: rim {units.number(r.rim_mm, 0)}, tyre {units.number(r.tyre_mm, 1)}, new from {units.number(r.least_mm, 1)} "
        f"to {units.number(r.most_mm, 1)}"
        for r in rows
    )
    return drawing(foot + 32, f"{name}: radii in mm", told, parts)


def _scale(at: object, foot: float, high: float) -> list[Markup]:
    assert callable(at), "a scale has a rule"
    parts = [line(LEFT, foot, RIGHT, foot, "ink", 2)]
    for mm in range(0, int(high) + 1, 10):
        large = mm % 100 == 0
        parts.append(
            line(at(mm), foot, at(mm), foot + (11 if large else 7 if mm % 50 == 0 else 5), "ink", 1.5 if large else 0.8)
        )
        if large:
            parts.append(text(max(at(mm), 8), foot + 24, str(mm), "s", "middle"))
    return parts
