"""Pressure against temperature: one tyre's air, and the reading from which the lamp must be lit."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from wheelside.units import GaugePressure, Temperature, UnitChoice
from wheelside.units.quantity import KELVIN_AT_0_C
from wheelside.web.draw.svg import WIDTH, drawing, line, mark, path, text

LEFT, RIGHT, TOP, FOOT = 46.0, WIDTH - 10.0, 20.0, 216.0


@dataclass(frozen=True, slots=True)
class ShownLimit:
    """A reading at which a rule wants the lamp lit."""

    what: str
    pressure: GaugePressure


@dataclass(frozen=True, slots=True)
class Point:
    """A temperature that is marked on the curve."""

    what: str
    at: Temperature


def warmth(
    name: str,
    reads: Callable[[Temperature], GaugePressure],
    points: Sequence[Point],
    limits: Sequence[ShownLimit],
    units: UnitChoice,
) -> Markup:
    """The curve of one tyre. `reads`: what a gauge reads there at a temperature of the tyre."""
    coldest, warmest = min(p.at.kelvin for p in points) - 6, max(p.at.kelvin for p in points) + 6
    curve = [(k, reads(Temperature(k)).kpa) for k in _between(coldest, warmest, 24)]
    every = [kpa for _, kpa in curve] + [limit.pressure.kpa for limit in limits]
    low, high = min(every) - 8, max(every) + 8

    def x(kelvin: float) -> float:
        return LEFT + (kelvin - coldest) / (warmest - coldest) * (RIGHT - LEFT)

    def y(kpa: float) -> float:
        return FOOT - (kpa - low) / (high - low) * (FOOT - TOP)

    parts = [
        text(2, 12, f"{name}: reading over the tyre's temperature", "b"),
        *_axes(x, y, (coldest, warmest), (low, high), units),
    ]
    parts += [p for n, limit in enumerate(limits) for p in _limit(limit, y, n, units)]
    parts.append(path([(x(k), y(kpa)) for k, kpa in curve], "act", 2.5))
    parts += [p for n, point in enumerate(points) for p in _point(point, reads, (x, y), n, units)]
    told = ", ".join(f"{p.what} at {units.show_temperature(p.at)} {units.show_pressure(reads(p.at))}" for p in points)
    told += (
        "; lamp due at " + ", ".join(f"{units.show_pressure(one.pressure)} ({one.what})" for one in limits)
        if limits
        else ""
    )
    return drawing(FOOT + 34, f"{name}: pressure against temperature", told, parts)


def _between(low: float, high: float, n: int) -> list[float]:
    return [low + (high - low) * i / n for i in range(n + 1)]


def _axes(
    x: Callable[[float], float], y: Callable[[float], float], warm: tuple[float, float], press: tuple[float, float],
    units: UnitChoice,
) -> list[Markup]:  # fmt: skip
    parts = [line(LEFT, FOOT, RIGHT, FOOT, "ink", 1.5), line(LEFT, TOP, LEFT, FOOT, "ink", 1.5)]
    celsius = range(int((warm[0] - KELVIN_AT_0_C) // 5) * 5 + 5, int(warm[1] - KELVIN_AT_0_C) + 1, 5)
    for n, c in enumerate(celsius):
        at = x(c + KELVIN_AT_0_C)
        parts.append(line(at, FOOT, at, FOOT + (8 if n % 2 == 0 else 4), "ink"))
        if n % 2 == 0:
            parts.append(text(at, FOOT + 21, units.show_temperature(Temperature(c + KELVIN_AT_0_C)), "s", "middle"))
    for kpa in range(int(press[0] // 10) * 10 + 10, int(press[1]) + 1, 10):
        parts.append(line(LEFT - (7 if kpa % 20 == 0 else 4), y(kpa), LEFT, y(kpa), "ink"))
        if kpa % 20 == 0:
            parts.append(text(LEFT - 9, y(kpa) + 4, units.show_pressure(GaugePressure(kpa)).split()[0], "s", "end"))
    return parts


def _limit(limit: ShownLimit, y: Callable[[float], float], n: int, units: UnitChoice) -> list[Markup]:
    at = y(limit.pressure.kpa)
    words = f"lamp due {units.show_pressure(limit.pressure)}: {limit.what}"
    return [line(LEFT, at, RIGHT, at, "stop", 1.5, "6 4"), text(RIGHT, at + (13 if n % 2 else -4), words, "s", "end")]


def _point(
    point: Point, reads: Callable[[Temperature], GaugePressure], to: tuple[Callable[[float], float], Callable[[float], float]],
    n: int, units: UnitChoice,
) -> list[Markup]:  # fmt: skip
    x, y = to[0](point.at.kelvin), to[1](reads(point.at).kpa)
    words = f"{point.what} {units.show_pressure(reads(point.at))}"
    left = n > 0 and x - 6.4 * len(words) > LEFT
    up = -9 if n > 0 else 17
    said = text(x - 6 if left else x + 6, y + up, words, "", "end" if left else "start")
    return [line(x, y, x, FOOT, "thin", 1, "2 3"), mark(x, y, "dot", "actfill", 4), said]
