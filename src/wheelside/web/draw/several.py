"""Several tyres beside one another, each with a small plot of its own, all on one scale; and the rule by which labels keep apart."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from markupsafe import Markup

from wheelside.web.draw.svg import area, drawn_alone, fitted, line, mark, path, text

LEFT, ROW = 44.0, 19.0
WIDE, TALL = 118.0, 84.0
OUT = 14.0
"""So far the words below begin left of the axis, that they keep apart."""
EACH = 8.4
"""How wide a letter is at most, on average, in the drawing's units: 15 px on a narrow phone."""
EVERY = 3.0
"""Of dots that are nearer to one another than that only the last is drawn."""

Points = tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class SmallPlot:
    """One tyre. `shown`: its figure in words; `band`: for places along the axis the least and the most; `limits`: dashed lines."""

    name: str
    shown: str
    dots: Points
    line: Points
    band: tuple[tuple[float, float, float], ...]
    limits: tuple[Points, ...] = ()


@dataclass(frozen=True, slots=True)
class PlotScale:
    """What all have in common: from where to where along the axis and upwards, what is marked upwards, and what both ends are called.

    `now`: where today is.
    """

    along: tuple[float, float]
    up: tuple[float, float]
    ticks: tuple[tuple[float, str], ...]
    now: float
    begin: str
    end: str


def apart(wanted: Sequence[float], least: float, low: float, high: float) -> tuple[float, ...]:
    """Places as near to those wanted as may be, none nearer to another than `least`, in their order between `low` and `high`.

    Where there is no room for all of them they are as far apart as the room allows.

    >>> apart((10, 11, 40), 5, 0, 100)
    (8.0, 13.0, 40.0)
    """
    order = sorted(range(len(wanted)), key=lambda n: wanted[n])
    least = min(least, (high - low) / max(len(order) - 1, 1))
    groups: list[tuple[float, int]] = []
    for n in order:
        groups.append((min(max(wanted[n], low), high), 1))
        while len(groups) > 1 and _foot(groups[-1], least) - _top(groups[-2], least) < least:
            (a, many), (b, more) = groups[-2:]
            groups[-2:] = [(_within((a * many + b * more) / (many + more), many + more, least, low, high), many + more)]
    places = [_foot(g, least) + least * k for g in groups for k in range(g[1])]
    return tuple(places[order.index(n)] for n in range(len(wanted)))


def _foot(group: tuple[float, int], least: float) -> float:
    return group[0] - least * (group[1] - 1) / 2


def _top(group: tuple[float, int], least: float) -> float:
    return group[0] + least * (group[1] - 1) / 2


def _within(middle: float, many: int, least: float, low: float, high: float) -> float:
    half = least * (many - 1) / 2
    return min(max(middle, low + half), high - half)


def names_for(names: Mapping[str, str], corners: Mapping[str, str], room: float) -> dict[str, str]:
    """What wheels are called where there is little room, by id: their names where all fit, else their corners."""
    fits = all(len(name) * EACH <= room for name in names.values())
    return {wheel: name if fits else corners.get(wheel, fitted(name, room, EACH)) for wheel, name in names.items()}


def several(title: str, plots: Sequence[SmallPlot], scale: PlotScale, told: str) -> Markup:
    """Small plots in their order, each a drawing: two beside one another, or with large letters on a narrow screen one below the other."""
    each = Markup("").join(_plot(one, scale) for one in plots)
    frame = Markup('<div class="several" role="group" aria-label="{}"><p class="small"><b>{}</b></p>{}</div>')
    return frame.format(f"{title}. {told}", title, each)


def _plot(one: SmallPlot, scale: PlotScale) -> Markup:
    left, head = LEFT, 2 * ROW + 8
    foot = head + TALL
    (first, last), (low, high) = scale.along, scale.up

    def x(at: float) -> float:
        return left + (min(max(at, first), last) - first) / (last - first) * WIDE

    def y(value: float) -> float:
        return foot - (min(max(value, low), high) - low) / (high - low) * TALL

    parts = [text(left, ROW - 4, one.name, "b"), text(left, 2 * ROW - 2, one.shown)]
    parts += [line(left, y(value), left + WIDE, y(value), "thin") for value, _ in scale.ticks]
    parts += _ticks(scale, y, left, head, foot)
    if one.band:
        upper = [(x(at), y(most)) for at, _, most in reversed(one.band)]
        parts.append(area([(x(at), y(least)) for at, least, _ in one.band] + upper))
    parts += [path([(x(at), y(value)) for at, value in limit], "stop", 1.5, "6 4") for limit in one.limits]
    parts.append(line(x(scale.now), head, x(scale.now), foot, "soft", 1, "2 3"))
    if one.line:
        parts.append(path([(x(at), y(value)) for at, value in one.line], "ink", 2))
    parts += [mark(at, up, "dot", "fill", 2.5) for at, up in thinned_dots([(x(a), y(v)) for a, v in one.dots])]
    parts += [line(left, foot, left + WIDE, foot, "ink", 1.5), line(left, head, left, foot, "ink", 1.5)]
    parts += [text(left - OUT, foot + ROW - 2, scale.begin), text(left + WIDE, foot + ROW - 2, scale.end, "", "end")]
    return drawn_alone(foot + ROW + 4, one.name, one.shown, parts, left + WIDE + 4, kind="large")


def _ticks(scale: PlotScale, y: Callable[[float], float], left: float, head: float, foot: float) -> list[Markup]:
    wanted = [y(value) for value, _ in scale.ticks]
    places = apart(wanted, ROW - 2, head, foot)
    parts = [text(left - 8, place + 5, said, "", "end") for place, (_, said) in zip(places, scale.ticks, strict=True)]
    return parts + [line(left - 5, at, left, at, "ink") for at in wanted]


def thinned_dots(dots: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Dots as they are drawn: of those within `EVERY` along the axis the last one, and the very last always."""
    kept = [a for a, b in pairwise(dots) if b[0] // EVERY != a[0] // EVERY]
    return [*kept, *dots[-1:]]
