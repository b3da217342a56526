"""The amount of air of a tyre over time: readings, the way that it goes, and the lamp's limit."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta

from markupsafe import Markup

from wheelside.units import GaugePressure, UnitChoice
from wheelside.watch.curve import TyreCurve, days_of
from wheelside.web.draw.svg import WIDTH, area, drawing, line, mark, path, text

LEFT, RIGHT, TOP, FOOT = 46.0, WIDTH - 10.0, 24.0, 200.0
MOST_MONTHS = 5
STEPS_KPA = (10, 20, 50, 100)
BELOW_KPA = 25.0
"""So far below readings and limit a tyre's way is drawn: nobody is to drive there."""


def amount(name: str, curve: TyreCurve, units: UnitChoice) -> Markup:
    """The curve of one tyre, weather out of it."""
    first, last = curve.read[0][0], curve.ahead[-1][0]
    every = [kpa for _, kpa, _ in curve.read] + list(curve.limit)
    low = max(min([*every, curve.ahead[-1][2]]) - 8, min(every) - BELOW_KPA)
    high = max(every) + 8
    ahead = [one for one in curve.ahead if one[2] >= low]

    def x(day: float) -> float:
        return LEFT + (day - first) / (last - first) * (RIGHT - LEFT)

    def y(kpa: float) -> float:
        return FOOT - (min(max(kpa, low), high) - low) / (high - low) * (FOOT - TOP)

    parts = [text(2, 12, f"{name}: as if at 15 °C", "b"), *_axes(x, y, curve, (low, high), units)]
    band = [(x(d), y(least)) for d, least, _, _ in ahead] + [(x(d), y(most)) for d, _, _, most in reversed(ahead)]
    parts += [area(band), path([(x(d), y(middle)) for d, _, middle, _ in ahead], "act", 2.5)]
    if curve.limit:
        days = [d for d, *_ in curve.ahead]
        parts.append(path([(x(d), y(k)) for d, k in zip(days, curve.limit, strict=True)], "stop", 1.5, "6 4"))
        parts.append(text(x(0) - 4, y(curve.limit[0]) + 4, "lamp", "s", "end"))
    parts += [mark(x(d), y(kpa), "dot", "actfill", 3) for d, kpa, _ in curve.read]
    parts.append(line(x(0), TOP, x(0), FOOT, "thin", 1, "2 3"))
    begin, end = days_of(curve)
    shown = units.show_pressure(GaugePressure(curve.read[-1][1]))
    told = f"{len(curve.read)} readings since {begin}, the last {shown}; from {curve.today} to {end} where it goes, and the lamp's limit"
    return drawing(FOOT + 26, f"{name}: amount of air", told, parts)


def _axes(
    x: Callable[[float], float], y: Callable[[float], float], curve: TyreCurve, press: tuple[float, float], units: UnitChoice
) -> list[Markup]:  # fmt: skip
    parts = [line(LEFT, FOOT, RIGHT, FOOT, "ink", 1.5), line(LEFT, TOP, LEFT, FOOT, "ink", 1.5)]
    step = next((s for s in STEPS_KPA if (press[1] - press[0]) / s <= 6), STEPS_KPA[-1])
    for kpa in range((int(press[0]) // step + 1) * step, int(press[1]) + 1, step):
        parts.append(line(LEFT - 7, y(kpa), LEFT, y(kpa), "ink"))
        parts.append(text(LEFT - 9, y(kpa) + 4, units.show_pressure(GaugePressure(kpa)).split()[0], "s", "end"))
    months = _months(curve)
    every = -(-len(months) // MOST_MONTHS)
    for n, (day, name) in enumerate(months):
        parts.append(line(x(day), FOOT, x(day), FOOT + 6, "ink"))
        if n % every == 0 and x(day) < RIGHT - 24:
            parts.append(text(x(day) + 2, FOOT + 18, name, "s"))
    return parts


def _months(curve: TyreCurve) -> list[tuple[float, str]]:
    """The first days of the months, as days from today, with what they are called: 2026-11."""
    begin, end = days_of(curve)
    found, at = [], date(begin.year, begin.month, 1)
    while at <= end:
        if at >= begin:
            found.append((float((at - curve.today).days), f"{at:%Y-%m}"))
        at = (at + timedelta(days=32)).replace(day=1)
    return found
