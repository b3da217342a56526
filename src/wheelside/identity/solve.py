"""Solving an identity plan to proven optimality. The one user of OR-tools.

One worker and a fixed seed, so that the same problem gives the same answer. First the least cost,
then, among the plans of that cost, in this order: fewest sensors changed, fewest IDs written, fewest
clones, earlier candidates, fewest teachings.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from ortools.sat.python import cp_model

from wheelside.garage.words import WhenFull
from wheelside.identity.choice import Action, IdChoice
from wheelside.identity.costs import NOTHING, Price
from wheelside.identity.problem import Mount, Problem, SameAs

MOST_SECONDS = 60.0


@dataclass(frozen=True, slots=True)
class Solution:
    """The chosen candidate of each member, which mounts need teaching, the weight and its proven bound."""

    chosen: tuple[int, ...]
    taught: tuple[bool, ...]
    price: Price
    weight: int
    bound: int

    @property
    def proven(self) -> bool:
        return self.weight == self.bound


def total_price(problem: Problem, chosen: tuple[int, ...], taught: tuple[bool, ...]) -> Price:
    """What the chosen candidates, the visits to the shop and the teachings cost together."""
    prices = [problem.candidates[i].price for i in chosen]
    prices += [problem.tariff.shop_trip for trip in problem.trips if set(trip) & set(chosen)]
    prices += [mount.teach for mount, needed in zip(problem.mounts, taught, strict=True) if needed]
    return sum(prices, NOTHING)


@dataclass(slots=True)
class PlanModel:
    """One problem as a model, which can be asked more than once."""

    problem: Problem
    model: cp_model.CpModel = field(default_factory=cp_model.CpModel)
    chosen: list[cp_model.IntVar] = field(default_factory=list)
    taught: list[cp_model.IntVar] = field(default_factory=list)
    cost: list[cp_model.LinearExprT] = field(default_factory=list)

    def __post_init__(self) -> None:
        p = self.problem
        self.chosen = [self.model.new_bool_var(f"c{i}") for i in range(len(p.candidates))]
        for own in p.of_member:
            self.model.add_exactly_one(self.chosen[i] for i in own)
        for clash in p.clashes:
            self.model.add(sum(n * self.chosen[i] for i, n in clash.terms) <= clash.room)
        weigh = p.tariff.weigh
        self.cost = [weigh(c.price) * self.chosen[i] for i, c in enumerate(p.candidates)]
        for trip in p.trips:
            goes = self.model.new_bool_var("")
            for i in trip:
                self.model.add_implication(self.chosen[i], goes)
            self.cost.append(weigh(p.tariff.shop_trip) * goes)
        self._remember()
        self.model.minimize(sum(self.cost))

    # --- what cars remember

    def _remember(self) -> None:
        by_car: dict[str, list[int]] = {}
        for m, mount in enumerate(self.problem.mounts):
            self.taught.append(self.model.new_bool_var(f"t{m}"))
            self.cost.append(self.problem.tariff.weigh(mount.teach) * self.taught[m])
            by_car.setdefault(mount.car, []).append(m)
        for mounts in by_car.values():
            kept: list[tuple[int, int, cp_model.IntVar]] = []
            for j in range(len(mounts)):
                self._known_or_taught(mounts, j, kept)
            self._room_for(mounts, kept)

    def _known_or_taught(self, mounts: list[int], j: int, kept: list[tuple[int, int, cp_model.IntVar]]) -> None:
        """The car is taught at mount j, or its list still holds the set from the start or from an earlier mount.

        `kept` collects, for cars whose owner picks what is forgotten, the stretches over which a set is kept.
        """
        mount = self.problem.mounts[mounts[j]]
        ways: list[cp_model.IntVar] = [self.taught[mounts[j]]]
        for h, found in enumerate(mount.held):
            if all(found):
                way = self.model.new_bool_var("")
                for own in found:
                    self.model.add(sum(self.chosen[i] for i in own) >= 1).only_enforce_if(way)
                newer = len(mount.held) - 1 - h
                self._survives(mount, mounts[:j], newer, way)
                kept.append((-1, j, way))
                ways.append(way)
        for i in range(j):
            same = mount.same[i]
            if same is False:
                continue
            way = self.model.new_bool_var("")
            if isinstance(same, SameAs):
                self._carries_the_same(same, way)
            if mount.when_full is not WhenFull.CHOSEN:
                self.model.add_implication(way, self.taught[mounts[i]])
            self._survives(mount, mounts[i + 1 : j], 0, way)
            kept.append((i, j, way))
            ways.append(way)
        self.model.add_bool_or(ways)

    def _carries_the_same(self, same: SameAs, way: cp_model.IntVar) -> None:
        for mine, theirs in same.rows:
            difference = sum(self.chosen[i] for i in mine) - sum(self.chosen[i] for i in theirs)
            self.model.add(difference == 0).only_enforce_if(way)
        for i in same.never:
            self.model.add_implication(way, ~self.chosen[i])

    def _survives(self, mount: Mount, between: list[int], newer: int, way: cp_model.IntVar) -> None:
        """What a list of `slots` sets that forgets its oldest still holds after the teachings in between."""
        if mount.when_full is not WhenFull.CHOSEN:
            taught = sum(self.taught[m] for m in between)
            self.model.add(taught + newer <= mount.slots - 1).only_enforce_if(way)

    def _room_for(self, mounts: list[int], kept: list[tuple[int, int, cp_model.IntVar]]) -> None:
        """Where the owner picks what is forgotten: beside the fitted set, slots - 1 others can be kept over each mount."""
        mount = self.problem.mounts[mounts[0]]
        if mount.when_full is not WhenFull.CHOSEN:
            return
        for m in range(len(mounts)):
            over = [way for i, j, way in kept if i < m < j]
            if len(over) > mount.slots - 1:
                self.model.add(sum(over) <= mount.slots - 1)

    # --- asking

    def best(self) -> Solution | None:
        """The best plan, ties broken; None where no plan is possible."""
        first = _run(self.model)
        if first is None:
            return None
        second = self.model.clone()
        second.clear_objective()  # type: ignore[no-untyped-call]  # OR-tools leaves it without annotations
        second.add(sum(self.cost) == round(first.objective_value))
        ties = [self._tie(i) * chosen for i, chosen in enumerate(self.chosen)]
        second.minimize((len(self.taught) + 1) * sum(ties) + sum(self.taught))
        tied = _run(second) or first
        return self._solution(tied, round(first.best_objective_bound))

    def best_with(self, some_of: tuple[int, ...]) -> Solution | None:
        """A least-cost plan with one of these candidates chosen; None where there is none."""
        forced = self.model.clone()
        forced.add_bool_or(self.chosen[i] for i in some_of)
        solver = _run(forced)
        return None if solver is None else self._solution(solver, round(solver.best_objective_bound))

    def _solution(self, solver: cp_model.CpSolver, bound: int) -> Solution:
        chosen = tuple(next(i for i in own if solver.boolean_value(self.chosen[i])) for own in self.problem.of_member)
        taught = tuple(solver.boolean_value(t) for t in self.taught)
        price = total_price(self.problem, chosen, taught)
        return Solution(chosen, taught, price, self.problem.tariff.weigh(price), bound)

    def _tie(self, i: int) -> int:
        c = self.problem.candidates[i]
        wheels, ranks = len(self.problem.members) + 1, 1 + max(c.rank for c in self.problem.candidates)
        order = (c.action is Action.REFIT, c.writes, c.choice is IdChoice.CLONE)
        return ((order[0] * wheels + order[1]) * wheels + order[2]) * wheels * ranks + c.rank


def _run(model: cp_model.CpModel) -> cp_model.CpSolver | None:
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    solver.parameters.max_time_in_seconds = MOST_SECONDS
    status = solver.solve(model)
    return solver if status in (cp_model.OPTIMAL, cp_model.FEASIBLE) else None
