"""Solving an identity plan to proven optimality. The one user of OR-tools.

One worker and a fixed seed, so that the same problem gives the same answer. First the least cost,
then, among the plans of that cost, in this order: fewest sensors changed, fewest IDs written, fewest
clones, earlier candidates, fewest teachings.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from ortools.sat.python import cp_model

from wheelside.errors import Outside
from wheelside.garage.words import WhenFull
from wheelside.identity.choice import Action, IdChoice
from wheelside.identity.costs import NOTHING, Price
from wheelside.identity.problem import Mount, Problem, SameAs

MOST_EFFORT = 120.0
"""Deterministic time of the solver, about seconds; the same on every machine, so that the same input gives the same plan."""


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
            if self.problem.mounts[mounts[0]].when_full is WhenFull.CHOSEN:
                self._picks_what_to_forget(mounts)
            else:
                self._forgets_the_oldest(mounts)

    def _forgets_the_oldest(self, mounts: list[int]) -> None:
        """A set is known while it was there at the start, or taught, and fewer than `slots` came after it; else taught."""
        for j, m in enumerate(mounts):
            mount = self.problem.mounts[m]
            ways = []
            for h, found in enumerate(mount.held):
                newer = len(mount.held) - 1 - h
                ways.append(self._all_of([*self._matches(found), self._few_since(mount, mounts[:j], newer)]))
            for i in range(j):
                same = mount.same[i]
                if same is not None:
                    alike = self._carries_the_same(same)
                    since = self._few_since(mount, mounts[i + 1 : j], 0)
                    ways.append(self._all_of([*alike, self.taught[mounts[i]], since]))
            self.model.add_bool_or([self.taught[m], *ways])
            for way in ways:
                self.model.add_implication(way, ~self.taught[m])

    def _picks_what_to_forget(self, mounts: list[int]) -> None:
        """A set is known where it was kept from the start or from an earlier mount; beside the fitted one, slots - 1 can be.

        What is kept from the start for several mounts takes one place, and none while it is itself fitted.
        """
        from_start: dict[tuple[int, int], cp_model.IntVar] = {}
        between: list[tuple[int, int, cp_model.IntVar]] = []
        for j, m in enumerate(mounts):
            mount = self.problem.mounts[m]
            ways: list[cp_model.IntVar] = [self.taught[m]]
            for h, found in enumerate(mount.held):
                from_start[h, j] = way = self._all_of(self._matches(found), exactly=False)
                ways.append(way)
            for i in range(j):
                same = mount.same[i]
                if same is not None:
                    alike = self._carries_the_same(same)
                    way = self._all_of(alike, exactly=False)
                    between.append((i, j, way))
                    ways.append(way)
            self.model.add_bool_or(ways)
        for m in range(len(mounts)):
            over = [way for i, j, way in between if i < m < j]
            over += [self._over(from_start, h, m, len(mounts)) for h in range(len(self.problem.mounts[mounts[0]].held))]
            self.model.add(sum(over) <= self.problem.mounts[mounts[m]].slots - 1)

    def _over(self, from_start: dict[tuple[int, int], cp_model.IntVar], h: int, m: int, count: int) -> cp_model.IntVar:
        """Whether group h of the start is kept over mount m for a later one, m itself being another set."""
        kept = self.model.new_bool_var("")
        for j in range(m + 1, count):
            self.model.add(kept >= from_start[h, j] - from_start[h, m])
        return kept

    def _all_of(self, literals: list[cp_model.IntVar], *, exactly: bool = True) -> cp_model.IntVar:
        """A literal that needs all of these; `exactly`: and is true whenever all of them are."""
        way = self.model.new_bool_var("")
        for literal in literals:
            self.model.add_implication(way, literal)
        if exactly:
            self.model.add_bool_or([way, *(~literal for literal in literals)])
        return way

    def _matches(self, found: tuple[tuple[int, ...], ...]) -> list[cp_model.IntVar]:
        """For each wheel, whether one of the candidates under which the list knows it is chosen."""
        out = []
        for own in found:
            match = self.model.new_bool_var("")
            self.model.add(sum(self.chosen[i] for i in own) == match)
            out.append(match)
        return out

    def _few_since(self, mount: Mount, between: list[int], newer: int) -> cp_model.IntVar:
        """Whether fewer than `slots` sets have come into the list since."""
        few = self.model.new_bool_var("")
        came = sum(self.taught[m] for m in between) + newer
        self.model.add(came <= mount.slots - 1).only_enforce_if(few)
        self.model.add(came >= mount.slots).only_enforce_if(~few)
        return few

    def _carries_the_same(self, same: SameAs) -> list[cp_model.IntVar]:
        """Literals that are all true just where both sets carry the same IDs."""
        out: list[cp_model.IntVar] = []
        for mine, theirs in same.rows:
            equal, less, more = (self.model.new_bool_var("") for _ in range(3))
            difference = sum(self.chosen[i] for i in mine) - sum(self.chosen[i] for i in theirs)
            self.model.add_exactly_one(equal, less, more)
            self.model.add(difference == 0).only_enforce_if(equal)
            self.model.add(difference <= -1).only_enforce_if(less)
            self.model.add(difference >= 1).only_enforce_if(more)
            out.append(equal)
        for i in same.never:
            known = self.model.new_bool_var("")
            self.model.add(known + self.chosen[i] == 1)
            out.append(known)
        return out

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
    """A solver that holds a solution, None where there is none. Raises Outside where the effort ran out first."""
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    solver.parameters.max_deterministic_time = MOST_EFFORT
    status = solver.solve(model)
    if status == cp_model.UNKNOWN:
        raise Outside(
            "planning: no plan was found, nor that there is none, within the effort allowed; shorten 'horizon_years'"
        )
    return solver if status in (cp_model.OPTIMAL, cp_model.FEASIBLE) else None
