"""A garage with its rows in an order of their own, so that nothing hangs on the order in the file."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from wheelside.garage.model import Garage
from wheelside.garage.rows import NAMED


def in_order(garage: Garage) -> Garage:
    """The same garage, every table sorted by what its rows are about."""
    things: dict[str, Any] = {name: tuple(sorted(getattr(garage, name), key=lambda row: str(row.id))) for name in NAMED}
    return replace(
        garage,
        path=tuple(sorted(garage.path, key=lambda row: sorted(row.between))),
        stay=tuple(sorted(garage.stay, key=lambda row: (row.set, row.since))),
        seen=tuple(sorted(garage.seen, key=lambda row: (row.as_of, row.time or "", row.set or "", row.wheel or ""))),
        outing=tuple(sorted(garage.outing, key=lambda row: (row.since, row.at, sorted(row.cars)))),
        stand_in=tuple(sorted(garage.stand_in, key=lambda row: (row.wheel, row.since))),
        blank=tuple(sorted(garage.blank, key=lambda row: row.key)),
        retired=tuple(sorted(garage.retired, key=lambda row: (row.id, row.family or ""))),
        **things,
    )
