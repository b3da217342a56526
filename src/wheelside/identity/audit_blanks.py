"""New sensors in hand, counted anew: whether there are enough for the wheels that get one, and what they save at the most."""

from __future__ import annotations

from collections import Counter
from itertools import chain, combinations
from typing import TypeVar

from wheelside.garage.model import Blank, Garage
from wheelside.garage.words import AtRest

_T = TypeVar("_T")


def shortage(garage: Garage, wants: Counter[str], *, silent: bool) -> bool:
    """Whether there are too few for so many wheels of each family; `silent`: those that are noted as silent at rest, else the others."""
    rows = rows_of(garage, silent=silent)
    return any(
        sum(wants[f] for f in some) > sum(row.count for row in rows if set(some) & set(row.families))
        for some in _subsets(sorted(wants))
    )


def rows_of(garage: Garage, *, silent: bool) -> list[Blank]:
    """The rows that are noted as silent at rest, or the others."""
    return [row for row in garage.blank if (row.at_rest is AtRest.SILENT) is silent]


def most_saved(garage: Garage, wants: Counter[str], sensor: int, *, silent: bool) -> int:
    """The most, in hundredths, that just so many sensors from hand save against bought ones at `sensor` hundredths each."""
    rows = sorted(rows_of(garage, silent=silent), key=lambda row: row.each.hundredths if row.each else 0)
    used, saved = [0] * len(rows), 0
    for n, row in enumerate(rows):
        while used[n] < row.count and _fits(rows, [u + (m == n) for m, u in enumerate(used)], wants):
            used[n] += 1
            saved += sensor - (row.each.hundredths if row.each else 0)
    return saved


def _fits(rows: list[Blank], used: list[int], wants: Counter[str]) -> bool:
    """Whether so many of each row find a wheel."""
    taken = [n for n, u in enumerate(used) if u]
    return all(
        sum(used[n] for n in some) <= sum(wants[f] for f in set(chain.from_iterable(rows[n].families for n in some)))
        for some in _subsets(taken)
    )


def _subsets(of: list[_T]) -> list[tuple[_T, ...]]:
    """Every choice of one or more."""
    return [some for n in range(1, len(of) + 1) for some in combinations(of, n)]
