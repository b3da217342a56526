"""Sets with one ID on a car that remembers sets apart: what is wrong with that, and what it costs to set them apart."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, product

from wheelside.finding import Basis, Finding, Ground, Way, WayKind, Weight
from wheelside.garage.ids import proven_different
from wheelside.garage.model import Car, Garage
from wheelside.identity.choice import Candidate
from wheelside.identity.costs import as_money
from wheelside.identity.naming import wheels_named
from wheelside.identity.roll import Key
from wheelside.identity.solution import Solution
from wheelside.identity.solve import PlanModel
from wheelside.identity.task import PlanProblem
from wheelside.said import Said, listed, say

_RESTS = (Basis(Ground.COMPUTED, "planned again with these IDs apart"),)


def mistaken_sets(garage: Garage, task: PlanProblem, model: PlanModel, best: Solution) -> Iterator[Finding]:
    """One finding for each car that would take one set for another under the plan, with the cost of the best plan in which it does not."""
    for car in garage.car:
        if not car.planned or max((m.slots for m in task.mounts if m.car == car.id), default=1) < 2:
            continue
        pairs = tuple(_pairs(garage, task, best, car))
        if not pairs:
            continue
        sets = listed(dict.fromkeys(garage.sets[task.members[n].set].name for pair in pairs for n in pair))
        text = "{car} remembers sets apart, and {sets} carry the same IDs: it takes the one for the other, and warns by its pressures. {cost}"
        alike = [both for a, b in pairs for both in _alike(task, a, b)]
        cost = _cost(task, best, model.best_apart(alike))
        wheels = wheels_named(garage, tuple(task.members[b].wheel for _, b in pairs))
        way = Way(WayKind.WORK, say("write fresh IDs to {wheels}, and note what they send", wheels=wheels))
        said = say(text, car=car.name, sets=sets, cost=cost)
        yield Finding(Weight.WARNING, "set-mistaken", car.name, said, _RESTS, way)


def _pairs(garage: Garage, task: PlanProblem, best: Solution, car: Car) -> Iterator[tuple[int, int]]:
    """Every two wheels of two sets that go on the car and surely carry one ID."""
    on = {m.set for m in task.mounts if m.car == car.id}
    there = [
        n
        for n, member in enumerate(task.members)
        if any(set_id in on and corner in car.monitored_corners for set_id, corner in member.serves)
    ]
    for a, b in combinations(there, 2):
        one, other = (task.candidates[best.chosen[n]] for n in (a, b))
        alike = bool(_carried(one) & _carried(other))
        apart = not {name for name, _ in task.members[a].serves} & {name for name, _ in task.members[b].serves}
        if alike and apart and not proven_different(garage, one.voice, other.voice):
            yield a, b


def _alike(task: PlanProblem, a: int, b: int) -> Iterator[tuple[int, int]]:
    """The candidates of two wheels under which both are sure to carry one ID, now or later."""
    yield from (
        (i, j)
        for i, j in product(task.of_member[a], task.of_member[b])
        if _carried(task.candidates[i]) & _carried(task.candidates[j])
    )


def _carried(c: Candidate) -> set[Key]:
    """What a wheel is sure to carry under a candidate, now or later."""
    return {ids[0].key for ids in (c.carries, c.until_then) if len(ids) == 1}


def _cost(task: PlanProblem, best: Solution, other: Solution | None) -> Said:
    if other is None:
        return say("No plan sets them apart.")
    more = as_money(other.weight - best.weight, task.tariff.currency)
    return say("To set them apart costs {money}, your time at its worth.", money=more)
