"""Where a fact stands on a car: small drawings of our own. Each is laid out for a narrow screen, its labels apart from each other."""

from __future__ import annotations

from collections.abc import Callable
from math import cos, pi, sin

from markupsafe import Markup

from wheelside.web.draw.svg import framed

WIDE, HIGH = 320, 150


def place_drawing(name: str) -> Markup:
    """The drawing for a place: 'sidewall', 'placard', 'sensor', 'date' or 'rim'; nothing for any other name."""
    draw = _DRAWN.get(name)
    if draw is None:
        return Markup()
    body, told = draw()
    svg = Markup(  # noqa: S704  nothing here comes from outside
        f'<svg class="drawing place" viewBox="0 0 {WIDE} {HIGH}" role="img" aria-label="{told}">{body}</svg>'
    )
    return framed("Where it stands", svg)


def _text(x: float, y: float, text: str, css: str = "", at: str = "start") -> str:
    return f'<text x="{x:g}" y="{y:g}" text-anchor="{at}" class="{css}">{text}</text>'


def _arc(cx: float, cy: float, r: float, begin: float, end: float) -> str:
    x1, y1 = cx + r * cos(begin * pi / 180), cy + r * sin(begin * pi / 180)
    x2, y2 = cx + r * cos(end * pi / 180), cy + r * sin(end * pi / 180)
    return f"M{x1:.1f} {y1:.1f}A{r:g} {r:g} 0 0 1 {x2:.1f} {y2:.1f}"


def _tyre(marked: str) -> str:
    """The upper part of a tyre, with a text along its sidewall."""
    cx, cy = WIDE / 2, 190.0
    arcs = "".join(f'<path class="ink" d="{_arc(cx, cy, r, 196, 344)}"/>' for r in (168, 96))
    tread = "".join(
        f'<path class="thin" d="M{cx + 168 * cos(a * pi / 180):.1f} {cy + 168 * sin(a * pi / 180):.1f}'
        f'L{cx + 160 * cos(a * pi / 180):.1f} {cy + 160 * sin(a * pi / 180):.1f}"/>'
        for a in range(200, 342, 6)
    )
    path = f'<path id="along" fill="none" d="{_arc(cx, cy, 122, 200, 340)}"/>'
    text = f'<text class="m"><textPath href="#along" startOffset="50%" text-anchor="middle">{marked}</textPath></text>'
    return arcs + tread + path + text


def _sidewall() -> tuple[str, str]:
    body = _tyre("205/60 R16 92V")
    return body + _text(
        WIDE / 2, 128, "size, then load and speed", "s", "middle"
    ), "A tyre from the side: the size stands on it."


def _date() -> tuple[str, str]:
    body = _tyre("DOT ···· ···· 3519")
    return body + _text(
        WIDE / 2, 128, "week 35 of 2019: the last four", "s", "middle"
    ), "A tyre from the side: its date code."


def _placard() -> tuple[str, str]:
    rows = (("205/60 R16", "2.3", "2.2"), ("195/65 R15", "2.4", "2.3"))
    body = '<rect class="ink" x="30" y="12" width="260" height="126" rx="6"/>'
    body += _text(46, 38, "tyre", "s") + _text(190, 38, "front", "s", "middle") + _text(252, 38, "rear", "s", "middle")
    for n, (size, front, rear) in enumerate(rows):
        y = 68 + 30 * n
        body += _text(46, y, size, "m") + _text(190, y, front, "m", "middle") + _text(252, y, rear, "m", "middle")
    return body + _text(46, 126, "door frame or fuel flap", "s"), "The label with the tyre pressures."


def _sensor() -> tuple[str, str]:
    body = '<rect class="ink" x="118" y="42" width="150" height="62" rx="8"/>'
    body += '<path class="ink" d="M118 64H84l-30-22M118 82H92l-30-22M54 42l8 18"/><path class="thin" d="M250 42v62"/>'
    body += (
        _text(132, 70, "ID 1893077246", "m") + _text(132, 94, "the ID on its case", "s") + _text(20, 128, "valve", "s")
    )
    return body, "A sensor: its ID is printed on the case."


def _rim() -> tuple[str, str]:
    cx, cy = 84.0, 76.0
    body = f'<circle class="ink" cx="{cx:g}" cy="{cy:g}" r="64"/><circle class="ink" cx="{cx:g}" cy="{cy:g}" r="16"/>'
    for n in range(5):
        a = (n * 72 - 90) * pi / 180
        body += f'<circle class="ink" cx="{cx + 34 * cos(a):.1f}" cy="{cy + 34 * sin(a):.1f}" r="5"/>'
    lines = (("6.5J", "width"), ("ET46", "inset"), ("5x112", "bolt circle"), ("66.6", "centre bore"))
    for n, (mark, what) in enumerate(lines):
        body += _text(172, 34 + 30 * n, mark, "m") + _text(232, 34 + 30 * n, what, "s")
    return body, "A rim from inside, and what is cast in it."


_DRAWN: dict[str, Callable[[], tuple[str, str]]] = {
    "sidewall": _sidewall, "date": _date, "placard": _placard, "sensor": _sensor, "rim": _rim,
}  # fmt: skip
