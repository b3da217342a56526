"""A wheel's history in words."""

from __future__ import annotations

from collections.abc import Iterable

from wheelside.jobs.book.kept import Line
from wheelside.jobs.book.told import told
from wheelside.units import UnitChoice


def history_rows(lines: Iterable[Line], units: UnitChoice) -> list[tuple[str, str, str, str]]:
    """When, what, who, by which way."""
    return [(line.at.short(), told(line, units, {}), line.person, line.via) for line in lines]
