"""The chance that the sensors of a set still work over the years to come: each of them, and all."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, timedelta

from markupsafe import Markup

from wheelside.units.quantity import DAYS_PER_YEAR
from wheelside.web.draw.several import EACH, ROW, apart
from wheelside.web.draw.svg import WIDTH, drawing, line, path, text

LEFT, RIGHT, TALL = 60.0, WIDTH - 96.0, 150.0
ROOM = WIDTH - RIGHT - 14
"""For what stands behind a line."""
ALL = "all"
EACH_ONE = "each"


def lasting(
    each: Mapping[str, Sequence[float]], together: Sequence[float], today: date, changes: Sequence[tuple[date, str]]
) -> Markup:
    """Chances from 0 to 1, today first, a year apart. `each`: by what a sensor's wheel is called; `changes`: days that are marked,
    with what is done then.

    Sensors that stand alike have one line.
    """
    years = len(together) - 1
    head = 22 + ROW * len(changes)
    foot = head + TALL

    def x(year: float) -> float:
        return LEFT + min(max(year, 0), years) / years * (RIGHT - LEFT)

    def y(chance: float) -> float:
        return foot - chance * TALL

    lines = dict(each)
    if len({tuple(round(c, 3) for c in one) for one in lines.values()}) == 1:
        lines = {EACH_ONE if len(lines) > 1 else next(iter(lines)): next(iter(lines.values()))}
    if len(each) > 1:
        lines[ALL] = together
    parts = [text(2, 14, "Chance that it still works", "b")]
    for share in (0.0, 0.5, 1.0):
        parts += [line(LEFT, y(share), RIGHT, y(share), "thin"), line(LEFT - 5, y(share), LEFT, y(share))]
        parts.append(text(LEFT - 8, y(share) + 5, f"{100 * share:.0f} %", "", "end"))
    for n, (day, what) in enumerate(changes):
        at, row = x((day - today).days / DAYS_PER_YEAR), 22 + ROW * (n + 1) - 5
        parts += [line(at, row - 4, at, foot, "soft", 1, "2 3"), text(at + 5, row, f"{what} {day:%Y-%m}")]
    for name, chances in lines.items():
        kind, width = ("act", 3) if name == ALL else ("ink", 1.5)
        parts.append(path([(x(n), y(c)) for n, c in enumerate(chances)], kind, width))
    ends = [y(one[-1]) for one in lines.values()]
    for name, end, place in zip(lines, ends, apart(ends, ROW - 1, head + 6, foot - 4), strict=True):
        parts += [line(RIGHT, end, RIGHT + 9, place), text(RIGHT + 12, place + 5, name, "b" if name == ALL else "")]
    parts += [line(LEFT, foot, RIGHT, foot, "ink", 1.5), line(LEFT, head, LEFT, foot, "ink", 1.5)]
    parts += _years(x, years, today, foot)
    told = "; ".join(f"{name}: " + ", ".join(_told(chances)) for name, chances in lines.items())
    if changes:
        told += "; next changes " + ", ".join(f"{what} {day}" for day, what in changes)
    return drawing(foot + ROW + 6, "Chance that the sensors still work", told, parts, kind="large")


def _years(x: object, years: int, today: date, foot: float) -> list[Markup]:
    assert callable(x), "an axis has a scale"
    parts = [text(x(0), foot + ROW, "today", "", "middle")]
    wide, taken = 5 * EACH, x(0) + 5 * EACH / 2
    for n in range(1, years + 1):
        parts.append(line(x(n), foot, x(n), foot + 5))
        if x(n) - wide / 2 > taken:
            parts.append(text(x(n), foot + ROW, (today + timedelta(days=round(DAYS_PER_YEAR * n))).year, "", "middle"))
            taken = x(n) + wide / 2
    return parts


def _told(chances: Sequence[float]) -> list[str]:
    return [
        f"in {n} years {100 * c:.0f} %" if n > 1 else f"in a year {100 * c:.0f} %" for n, c in enumerate(chances) if n
    ]
