"""The season line: where each set is, month by month."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from markupsafe import Markup

from wheelside.web.draw.svg import WIDTH, box, drawing, fitted, line, text

ROW = 40
EACH = 6.6
"""How wide a letter is, on average, in the drawing's units."""


@dataclass(frozen=True, slots=True)
class Bar:
    """One stretch of days in one whereabouts; `on_car` ones are drawn dark."""

    since: date
    until: date
    where: str
    on_car: bool


@dataclass(frozen=True, slots=True)
class Track:
    """One set with its bars."""

    name: str
    bars: tuple[Bar, ...]


def season(tracks: Sequence[Track], today: date, start: date, end: date) -> Markup:
    """One track a set, from `start` to `end`, with today marked."""
    days = (end - start).days

    def at(day: date) -> float:
        return max(0.0, min(1.0, (day - start).days / days)) * WIDTH

    parts = [*_months(at, start, end), line(at(today), 16, at(today), 32 + ROW * len(tracks), "stop", 2)]
    y = 30.0
    for track in tracks:
        parts.append(text(2, y + 12, fitted(track.name, WIDTH - 10), "b"))
        for bar in track.bars:
            x, wide = at(bar.since), at(bar.until) - at(bar.since)
            parts.append(box(x + 0.5, y + 17, wide - 1, 17, "tint" if bar.on_car else "box", 1))
            if bar.on_car:
                parts.append(line(x + 0.5, y + 34, x + wide - 0.5, y + 34, "act", 4))
            if len(bar.where) * EACH <= wide - 8:  # a name that does not fit is left out: cut, two could read alike
                parts.append(text(x + 4, y + 30, bar.where, ""))
        y += ROW
    parts += [
        text(min(at(today) + 4, WIDTH - 34), y + 12, "today", "s"),
    ]
    told = "; ".join(
        f"{t.name}: " + ", ".join(f"{b.where} from {b.since} to {b.until}" for b in t.bars) for t in tracks
    )
    return drawing(y + 16, "Season line", told + ". Dark bars with a thick foot are on a car.", parts)


def _months(at: object, start: date, end: date) -> list[Markup]:
    assert callable(at), "a line has a scale"
    parts = [line(0, 20, WIDTH, 20, "ink", 2)]
    year, month = start.year, start.month
    while date(year, month, 1) <= end:
        day = date(year, month, 1)
        if day >= start:
            large = month in (1, 4, 7, 10)
            parts.append(line(at(day), 20, at(day), 12 if large else 16, "ink", 1))
            if large and at(day) < WIDTH - (56 if month == 1 else 30):
                parts.append(text(at(day) + 2, 11, f"{day:%b}{f' {year}' if month == 1 else ''}", "s"))
        year, month = (year, month + 1) if month < 12 else (year + 1, 1)
    return parts
