"""What texts name: corners, figures, IDs, names."""

from __future__ import annotations

import re

from things import ROAD, SPARE

CORNERS = (*ROAD, SPARE)
PER_UNIT = {"bar": 100.0, "psi": 6.894757, "kPa": 1.0}
_FIGURE = re.compile(r"(\d+(?:[.,]\d+)?)\s*(bar|psi|kPa)\b")
_ID = re.compile(r"\b((?:[0-9A-F]{1,4} )?[0-9A-F]{4}(?: [0-9A-F]{4})*) \(decimal")

Moved = list[tuple[str, str | None, str, str | None]]
"""What was moved at a step: the wheel, the car and corner where it is now, or the place."""


class SaysOtherwise(Exception):
    """A text and what the program takes to be done are not the same."""


def named(name: str, text: str) -> int:
    """Where a text names something; -1 where it does not."""
    found = re.search(rf"(?<![\w-]){re.escape(name)}(?![\w-])", text)
    return found.start() if found else -1


def corner_in(text: str) -> set[str]:
    """The corners that a text names."""
    text = text.replace("the spare's place", SPARE)
    return {c for c in CORNERS if re.search(rf"\b{c}\b", text)}


def figures_in(text: str) -> list[float]:
    """The pressures that a text names, kPa."""
    return [float(n.replace(",", ".")) * PER_UNIT[unit] for n, unit in _FIGURE.findall(text)]


def figure_in(text: str) -> float | None:
    """The first pressure that a text names, kPa."""
    return next(iter(figures_in(text)), None)


def id_in(text: str, where: str) -> int:
    """The ID that a text names. Raises SaysOtherwise."""
    found = _ID.search(text)
    if not found:
        raise SaysOtherwise(f"{where}: it names no ID: '{text}'")
    return int(found[1].replace(" ", ""), 16)
