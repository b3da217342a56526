"""Which question is worth asking: what its answers would change, against what it takes to find it out."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any

from wheelside.garage.file import complaints_of
from wheelside.identity.costs import WEIGHT
from wheelside.inquiry.course import answered
from wheelside.inquiry.draft import Table
from wheelside.inquiry.outcome import OutcomeSeen, outcome
from wheelside.inquiry.query import AnswerRefused, Errand, Given, Occasion, Query

CHANGED = 500
"""What one wheel that is dealt with otherwise, one teaching more or less, or one figure that differs counts beside the plan's price,
in hundredths of its money: two minutes of work at the usual worth of an hour. Judgement."""
WEIGHT_PER_HUNDREDTH = WEIGHT / 100
REVALUED = "top/costs/"
"""Questions whose answers put another price on the same work: that alone changes nothing."""


@dataclass(frozen=True, slots=True)
class Rated:
    """One question with what its answers would change: how far what comes out then is from what comes out now, in hundredths of
    money, on average over its answers; 0 for nothing.
    """

    query: Query
    change: float

    @property
    def worth(self) -> float:
        """By which questions are put in order."""
        return self.change / self.query.effort


def tries(query: Query) -> Iterator[Given]:
    """The answers by which it is tried out what a question would change."""
    for pick in (p for p in query.picks if not p.rare):
        yield {"pick": pick.code}
    trials = [gap for gap in query.gaps if gap.trials]
    if not query.picks and trials:
        for n in range(max(len(gap.trials) for gap in trials)):
            yield {gap.name: gap.trials[min(n, len(gap.trials) - 1)] for gap in trials}


def distance(one: OutcomeSeen, other: OutcomeSeen, *, priced: bool = True) -> float:
    """How far two outcomes are from each other, in hundredths of money. `priced` False: their prices aside."""
    price = abs(one.weight - other.weight) / WEIGHT_PER_HUNDREDTH if priced else 0.0
    parts = (
        (one.choices, other.choices), (one.taught, other.taught), (one.figures, other.figures), (one.verdicts, other.verdicts),
    )  # fmt: skip
    return price + CHANGED * sum(len(set(a) ^ set(b)) / 2 for a, b in parts)


def change_of(
    table: Table, query: Query, day: date, errand: Errand, now: OutcomeSeen, until: Callable[[], bool] = lambda: False
) -> float | None:
    """What the answers to a question change on average; None where there was no time to see."""
    changes = []
    for given in tries(query):
        if until():
            return None
        try:
            garage, _ = complaints_of(answered(table, query.code, given, Occasion(day)))
        except AnswerRefused:
            continue
        changes.append(distance(now, outcome(garage, day, errand), priced=not query.code.startswith(REVALUED)))
    return sum(changes) / len(changes) if changes else 0.0


Weighed = dict[tuple[str, str], float]
"""What was weighed already, by what is known and the question's code. That something is not known changes nothing of it."""


def rated(
    table: Table,
    queries: Iterable[Query],
    day: date,
    errand: Errand,
    until: Callable[[], bool] = lambda: False,
    weighed: Weighed | None = None,
) -> Iterator[Rated]:
    """Every question with what it would change, one after the other, as long as there is time.

    `weighed`: what is known of them from before, to which this is added.
    """
    known = weighed if weighed is not None else {}
    state = what_is_known(table, day, errand)
    now: OutcomeSeen | None = None
    for query in queries:
        change: float | None = known.get((state, query.code))
        if change is None:
            now = now or outcome(complaints_of(table)[0], day, errand)
            change = change_of(table, query, day, errand, now, until)
        if change is None:
            return
        known[state, query.code] = change
        yield Rated(query, change)


def what_is_known(table: Table, day: date, errand: Errand) -> str:
    """A digest of all that a table says, without what it says is not known."""
    text = json.dumps([str(day), errand.value, _bare(table)], sort_keys=True, default=str)
    return hashlib.sha256(text.encode()).hexdigest()


def _bare(value: Any) -> Any:
    if isinstance(value, dict):
        return {k: _bare(v) for k, v in value.items() if k != "not_known"}
    return [_bare(v) for v in value] if isinstance(value, list) else value


def best(found: Iterable[Rated]) -> Query | None:
    """The question that is worth most; None where none would change anything. Of equals the first one."""
    worth = [one for one in found if one.change > 0]
    return max(worth, key=lambda one: one.worth).query if worth else None
