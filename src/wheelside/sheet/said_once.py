"""Cautions as they are read: each in full before its first act of a sitting; those that hold each time, each time."""

from __future__ import annotations

from collections.abc import Iterable

from wheelside.sheet.cautions import Clause, caution_of, stands_each_time
from wheelside.sheet.step import Card, Sitting

InFull = tuple[Clause | str, ...]
"""What is said, clause by clause; a text where an earlier job has one in place of a code."""


def cautions_before(cards: Iterable[Card]) -> tuple[tuple[InFull, ...], ...]:
    """For each of these cards what is said before it, one part a caution. Of a job that is taken up again, `cards` are those that are left.

    A sitting begins with its first card, and anew where another came between. Within it no clause is said twice, but those of a
    caution that holds each time, which stand whole on each card that it holds for.
    """
    found: list[tuple[InFull, ...]] = []
    sitting: Sitting | None = None
    said: set[Clause | str] = set()
    for card in cards:
        if card.sitting is not sitting:
            sitting, said = card.sitting, set()
        each = [
            one.clauses
            for code in card.cautions
            if (one := caution_of(code)) is not None and stands_each_time(one, card.of)
        ]
        said |= {clause for clauses in each for clause in clauses}
        parts: list[InFull] = []
        for code in card.cautions:
            one = caution_of(code)
            if one is None or not stands_each_time(one, card.of):
                clauses: InFull = (code,) if one is None else one.clauses
                parts.append(tuple(c for c in clauses if c not in said))
                said |= set(clauses)
        found.append(tuple(part for part in (*each, *parts) if part))
    return tuple(found)
