"""The pressure ruler of one axle: placard, setting, what was read, tonight's forecast and the lamp's limit on one scale."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from wheelside.units import GaugePressure, UnitChoice
from wheelside.web.draw.svg import WIDTH, box, drawing, line, mark, text

LEFT, RIGHT = 14.0, WIDTH - 14.0
_STEPS = {"bar": (10.0, 5), "psi": (6.894757 * 1, 5), "kPa": (10.0, 5)}
"""In each unit: the small step in kPa, and how many make a large one."""


@dataclass(frozen=True, slots=True)
class Mark:
    """One pressure on the scale: what it is, and the sign that stands for it."""

    what: str
    pressure: GaugePressure
    sign: str
    kind: str = "fill"


@dataclass(frozen=True, slots=True)
class Axle:
    """One axle: its name, its marks, and the highest pressure of tyre or rim, None where that is not known."""

    name: str
    marks: tuple[Mark, ...]
    highest: GaugePressure | None


def ruler(axles: Sequence[Axle], units: UnitChoice) -> Markup:
    """All axles under one another, on the same scale."""
    every = [m.pressure.kpa for a in axles for m in a.marks]
    every += [a.highest.kpa for a in axles if a.highest and a.highest.kpa <= max(every, default=0) + 80]
    small, many = _STEPS[units.pressure]
    large = small * many
    low = math.floor((min(every, default=200) - small) / large) * large
    high = math.ceil((max(every, default=300) + small) / large) * large
    parts: list[Markup] = []
    y = 0.0
    for axle in axles:
        drawn, tall = _axle(axle, y, low, high, units)
        parts += drawn
        y += tall
    told = "; ".join(
        f"{a.name}: " + ", ".join(f"{m.what} {units.show_pressure(m.pressure)}" for m in a.marks) for a in axles
    )
    return drawing(max(y, 1), "Pressures on one scale", told, parts)


def _axle(axle: Axle, y: float, low: float, high: float, units: UnitChoice) -> tuple[list[Markup], float]:
    def at(kpa: float) -> float:
        return LEFT + (kpa - low) / (high - low) * (RIGHT - LEFT)

    rows = sorted(axle.marks, key=lambda m: -m.pressure.kpa)
    base = y + 22
    parts = [text(LEFT, y + 13, axle.name, "b"), *_scale(at, base, low, high, units)]
    if axle.highest is not None and axle.highest.kpa < high:
        x = at(axle.highest.kpa)
        parts += [
            box(x, base - 7, RIGHT - x, 7, "stopfill", 0),
            text(RIGHT, base - 10, "above the maximum", "s", "end"),
        ]
    below = base + 38
    for n, one in enumerate(rows):
        x, row = at(one.pressure.kpa), below + 17 * n
        parts.append(line(x, base + 10, x, row - 4, "thin", 1))
        parts.append(mark(x, base + 1, one.sign, one.kind, 5))
        words = f"{one.what} {units.show_pressure(one.pressure)}"
        room = len(words) * 6.2
        parts.append(_label(words, x, row, room))
    return parts, 22 + 38 + 17 * len(rows) + 12


def _label(words: str, x: float, row: float, room: float) -> Markup:
    """Words beside a leader: on its right, else on its left, else from the edge on."""
    if x + room + 5 <= WIDTH:
        return text(x + 5, row, words)
    if x - room - 5 >= 0:
        return text(x - 5, row, words, "", "end")
    return text(2, row, words)


def _scale(at: object, base: float, low: float, high: float, units: UnitChoice) -> list[Markup]:
    assert callable(at), "a scale has a rule"
    small, many = _STEPS[units.pressure]
    parts = [line(LEFT, base, RIGHT, base, "ink", 2)]
    for n in range(round((high - low) / small) + 1):
        kpa = low + n * small
        large = n % many == 0
        parts.append(line(at(kpa), base, at(kpa), base + (11 if large else 6), "ink", 1.5 if large else 0.8))
        if large:
            parts.append(text(at(kpa), base + 23, units.show_pressure(GaugePressure(kpa)).split()[0], "s", "middle"))
    return parts
