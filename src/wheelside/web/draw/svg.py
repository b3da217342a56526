"""Putting drawings together: every word escaped, every drawing with a title and a description for those who don't see it."""

from __future__ import annotations

from collections.abc import Iterable

from markupsafe import Markup

WIDTH = 336
"""Drawings are this wide in their own units: as wide as the column of a narrow phone, so that words keep their size there."""


def num(value: float) -> str:
    """A coordinate, no longer than it has to be."""
    return f"{value:.1f}".rstrip("0").rstrip(".")


def text(x: float, y: float, said: object, kind: str = "", anchor: str = "start") -> Markup:
    """Words at a place; `kind` is one of the classes of the style sheet."""
    at = Markup("") if anchor == "start" else Markup(' text-anchor="{}"').format(anchor)
    cls = Markup(' class="{}"').format(kind) if kind else Markup("")
    return Markup('<text x="{}" y="{}"{}{}>{}</text>').format(num(x), num(y), at, cls, said)


def line(x1: float, y1: float, x2: float, y2: float, kind: str = "ink", width: float = 1, dash: str = "") -> Markup:
    """A straight stroke."""
    dashed = Markup(' stroke-dasharray="{}"').format(dash) if dash else Markup("")
    return Markup('<path d="M{} {}L{} {}" class="{}" stroke-width="{}"{}/>').format(
        num(x1), num(y1), num(x2), num(y2), kind, num(width), dashed
    )


def box(x: float, y: float, w: float, h: float, kind: str = "box", width: float = 1) -> Markup:
    """An upright box."""
    return Markup('<rect x="{}" y="{}" width="{}" height="{}" class="{}" stroke-width="{}"/>').format(
        num(x), num(y), num(max(w, 0)), num(max(h, 0)), kind, num(width)
    )


def path(points: Iterable[tuple[float, float]], kind: str = "ink", width: float = 1.5, dash: str = "") -> Markup:
    """A line through points."""
    dashed = Markup(' stroke-dasharray="{}"').format(dash) if dash else Markup("")
    return Markup('<path d="{}" class="{}" stroke-width="{}"{}/>').format(_steps(points), kind, num(width), dashed)


def area(points: Iterable[tuple[float, float]], kind: str = "tint") -> Markup:
    """What lies between points, filled."""
    return Markup('<path d="{}z" class="{}"/>').format(_steps(points), kind)


def _steps(points: Iterable[tuple[float, float]]) -> str:
    return "".join(f"{'L' if i else 'M'}{num(x)} {num(y)}" for i, (x, y) in enumerate(points))


def mark(x: float, y: float, shape: str, kind: str = "fill", size: float = 5) -> Markup:
    """A sign at a place: 'up' and 'down' are arrowheads that point at it, 'diamond' and 'dot' lie on it."""
    s = size
    shapes = {
        "down": f"M{num(x)} {num(y)}l{num(-s)} {num(-1.6 * s)}h{num(2 * s)}z",
        "up": f"M{num(x)} {num(y)}l{num(-s)} {num(1.6 * s)}h{num(2 * s)}z",
        "diamond": f"M{num(x)} {num(y - s)}l{num(s)} {num(s)}l{num(-s)} {num(s)}l{num(-s)} {num(-s)}z",
        "dot": f"M{num(x - s)} {num(y)}a{num(s)} {num(s)} 0 1 0 {num(2 * s)} 0a{num(s)} {num(s)} 0 1 0 {num(-2 * s)} 0z",
    }
    return Markup('<path d="{}" class="{}"/>').format(shapes[shape], kind)


def drawing(height: float, title: str, description: str, parts: Iterable[Markup], *, kind: str = "") -> Markup:
    """The whole drawing in its frame. `kind`: 'large' for one whose words are as large as the page's."""
    return framed(title, drawn_alone(height, title, description, parts, kind=kind))


def drawn_alone(
    height: float, title: str, description: str, parts: Iterable[Markup], width: float = WIDTH, *, kind: str = ""
) -> Markup:
    """A drawing without a frame; `kind` as in `drawing`."""
    head = Markup('<svg class="{}" role="img" viewBox="0 0 {} {}" aria-label="{}">').format(
        f"drawing {kind}".strip(), num(width), num(height), f"{title}. {description}"
    )
    return head + Markup('<g class="over">') + Markup("").join(parts) + Markup("</g></svg>")


def framed(title: str, svg: Markup) -> Markup:
    """A drawing in its frame: it grows with the page's letters, and is moved within the frame where it gets wider than the screen."""
    return Markup('<div class="drawn" tabindex="0" role="region" aria-label="{}">{}</div>').format(title, svg)


def fitted(said: str, room: float, each: float = 6.4) -> str:
    """Words cut to a width, with an ellipsis where something is missing."""
    most = max(int(room / each), 1)
    return said if len(said) <= most else said[: most - 1] + "…"


__all__ = ["WIDTH", "area", "box", "drawing", "drawn_alone", "fitted", "framed", "line", "mark", "num", "path", "text"]
