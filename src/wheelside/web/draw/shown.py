"""How much a speedometer shows above the true speed: what UN R39 allows, and what other tyres make of it."""

from __future__ import annotations

from collections.abc import Callable

from markupsafe import Markup

from wheelside.tyre.speedometer import may_show, shown_after
from wheelside.units import Speed, UnitChoice
from wheelside.units.quantity import KMH_PER_MPH
from wheelside.web.draw.svg import WIDTH, area, drawing, line, path, text

LEFT, RIGHT, TOP, FOOT = 34.0, WIDTH - 8.0, 34.0, 190.0
FASTEST = 160.0
STEPS = 16


def shown(ratio: float, compared: tuple[Speed, Speed] | None, units: UnitChoice) -> Markup:
    """The corridor as a filled wedge; the one that the new tyres make of it between broken lines; a comparison as a line.

    `compared`: what was shown at which true speed, on the tyres that are meant; None where nothing was.
    """
    per = KMH_PER_MPH if units.speed == "mph" else 1.0
    speeds = [FASTEST * n / STEPS for n in range(STEPS + 1)]
    after = [(v, shown_after(ratio, Speed(v))) for v in speeds]
    low = min([0.0, *(c.least.km_h - v for v, c in after)]) - 1
    high = max([20.0, *(c.most.km_h - v for v, c in after)]) + 1

    def x(v: float) -> float:
        return LEFT + v / FASTEST * (RIGHT - LEFT)

    def y(above: float) -> float:
        return FOOT - (above - low) / (high - low) * (FOOT - TOP)

    allowed = [(v, may_show(Speed(v))) for v in speeds]
    parts = [
        text(2, 12, "Shown above true, over the true speed", "b"),
        text(2, 27, units.speed, "s"),
        area(
            [*((x(v), y(c.most.km_h - v)) for v, c in allowed), *((x(v), y(0)) for v, _ in reversed(allowed))], "tint"
        ),
        *_axes(x, y, (low, high), per),
    ]
    parts.append(path([(x(v), y(c.least.km_h - v)) for v, c in after], "act", 2, "6 4"))
    parts.append(path([(x(v), y(c.most.km_h - v)) for v, c in after], "act", 2, "6 4"))
    told = f"With these tyres a turn goes {units.number(100 * (ratio - 1), 1)} % further."
    if compared is not None:
        factor = compared[0].km_h / compared[1].km_h / ratio
        parts.append(path([(x(v), y(v * (factor - 1))) for v in speeds], "ink", 2.5))
        at_100 = units.show_speed(Speed(100 * factor))
        told += f" By your comparison it would show {at_100} at a true {units.show_speed(Speed(100))}."
    return drawing(FOOT + 34, "Speedometer against UN R39", told, parts)


def _axes(
    x: Callable[[float], float], y: Callable[[float], float], span: tuple[float, float], per: float
) -> list[Markup]:
    parts = [line(LEFT, y(0), RIGHT, y(0), "ink", 1.5), line(LEFT, TOP, LEFT, FOOT, "ink", 1.5)]
    for n in range(0, int(FASTEST / per) + 1, 10):
        parts.append(line(x(n * per), FOOT, x(n * per), FOOT + (8 if n % 20 == 0 else 4), "ink"))
        if n % 40 == 0:
            parts.append(text(min(x(n * per), RIGHT - 8), FOOT + 21, str(n), "s", "middle"))
    for n in range(int(span[0] / per), int(span[1] / per) + 1):
        if n % 5 == 0:
            parts += [
                line(LEFT - 5, y(n * per), LEFT, y(n * per), "ink"),
                text(LEFT - 7, y(n * per) + 4, str(n).replace("-", "−"), "s", "end"),
            ]
    return parts
