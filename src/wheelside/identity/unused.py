"""Sensors in hand that a plan leaves unused, with the reason."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from wheelside.finding import Basis, Finding, Ground, Weight
from wheelside.garage.model import Garage
from wheelside.identity.choice import Action
from wheelside.identity.solution import Solution
from wheelside.identity.task import PlanProblem
from wheelside.said import Said, count, say

_PLAN = (Basis(Ground.COMPUTED, "this plan"),)


def unused_blanks(garage: Garage, task: PlanProblem, best: Solution) -> Iterator[Finding]:
    """One finding for each row of which sensors lie unused."""
    used: Counter[int] = Counter()
    for stock, n in zip(task.stocks, best.blanks, strict=True):
        used[stock.row] += n
    chosen = [c for c in (task.candidates[i] for i in best.chosen) if c.action is Action.REFIT]
    for n, row in enumerate(garage.blank):
        left = row.count - used[n]
        taken = sum(n for stock, n in zip(task.stocks, best.blanks, strict=True) if stock.family in row.families)
        if left > 0:
            fit = [c for c in chosen if c.voice in row.families]
            why = _why(garage, len(fit) - taken, sum(not c.writes for c in fit))
            name = garage.families[row.family].name
            one = "{n} sensor of {family} in hand stays unused: {why}."
            text = count(left, one, "{n} sensors of {family} in hand stay unused: {why}.", family=name, why=why)
            yield Finding(Weight.NOTE, "blanks-unused", say("in hand"), text, _PLAN)


def _why(garage: Garage, others: int, bought: int) -> Said:
    """`others`: new sensors of the family that are not from hand; `bought`: those of them that come with an ID."""
    if others <= 0:
        return say("no more wheels get a new one of that family")
    if bought and not garage.writer and not garage.plan.get_writer:
        return say("nothing that you have can write them, and none is to be got")
    if bought:
        return say("with what would write them they cost more than sensors that come with an ID")
    return say("a bought one works out cheaper")
