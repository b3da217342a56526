"""The grid of sets and corners: which wheel is where, what it sends, and which wheels carry one ID."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from wheelside.web.draw.svg import WIDTH, box, drawing, fitted, line, text

HEAD, CELL = 24, 56
SIGNS = {"keep": "=", "fresh": "+", "clone": "≡"}
"""What becomes of an ID, as a sign beside it."""


@dataclass(frozen=True, slots=True)
class Cell:
    """One wheel at its corner: its name, its ID, what becomes of it, and a letter that it shares with a wheel of the same ID."""

    corner: str
    wheel: str
    hex: str
    choice: str
    refit: bool
    pair: str = ""


@dataclass(frozen=True, slots=True)
class Strip:
    """One set: its name, where it is, and its wheels."""

    name: str
    where: str
    cells: tuple[Cell, ...]


def grid(strips: Sequence[Strip]) -> Markup:
    """One strip a set, one cell a corner."""
    parts: list[Markup] = []
    y = 0.0
    for strip in strips:
        parts += _strip(strip, y)
        y += HEAD + CELL + 10
    told = "; ".join(f"{s.name}, {s.where}: " + ", ".join(_told(c) for c in s.cells) for s in strips)
    return drawing(max(y - 8, 1), "Sets and corners", told, parts)


def _told(c: Cell) -> str:
    shared = f", shares its ID with the other {c.pair}" if c.pair else ""
    return f"{c.corner} {c.wheel} {c.hex or 'ID not known'}{shared}"


def _strip(strip: Strip, y: float) -> list[Markup]:
    where = fitted(strip.where, WIDTH * 0.55, 6)
    parts = [
        line(0.5, y + 1, WIDTH - 0.5, y + 1, "ink", 2),
        text(2, y + 17, fitted(strip.name, WIDTH * 0.43), "b"),
        text(WIDTH - 2, y + 17, where, "s", "end"),
    ]
    width = WIDTH / max(len(strip.cells), 4)
    for n, cell in enumerate(strip.cells):
        parts += _cell(cell, n * width, y + HEAD, width)
    return parts


def _cell(c: Cell, x: float, y: float, width: float) -> list[Markup]:
    sign = SIGNS.get(c.choice, "")
    parts = [
        box(x + 0.5, y + 0.5, width - 1, CELL - 1, "ink" if c.refit else "box", 2 if c.refit else 1),
        text(x + 5, y + 14, fitted(_short(c.corner), width - 34, 6), "s"),
        text(x + width - 5, y + 14, f"{sign}{' refit' if c.refit else ''}", "s", "end"),
        text(x + 5, y + 31, fitted(c.wheel, width - 10 - (16 if c.pair else 0), 7), "b"),
        text(x + 5, y + 48, c.hex or "to be noted" if c.hex or width < 80 else "to be noted", "m" if c.hex else "s"),
    ]
    if c.pair:
        parts.append(text(x + width - 5, y + 31, f"({c.pair})", "b", "end"))
    return parts


def _short(corner: str) -> str:
    """FL for front left: as the trade writes it."""
    return "".join(word[0].upper() for word in corner.split()) if " " in corner else corner
