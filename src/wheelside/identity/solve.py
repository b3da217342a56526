"""Solving an identity plan to proven optimality, by OR-tools.

One worker and a fixed seed, so that the same problem gives the same answer. First the least cost,
then, among the plans of that cost, in this order: fewest sensors changed, fewest IDs written, fewest
clones, earlier candidates, fewest teachings, first-named places.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field, replace

from ortools.sat.python import cp_model

from wheelside.errors import Outside
from wheelside.identity.car_lists import CarLists, all_of
from wheelside.identity.choice import Action, IdChoice, PlanFact
from wheelside.identity.exclusive import exclusive
from wheelside.identity.meeting import Pick
from wheelside.identity.solution import Solution, risks_of, sure_price
from wheelside.identity.task import PlanProblem

MOST_EFFORT = 120.0
"""Deterministic time of the solver, about seconds; the same on every machine, so that the same input gives the same plan."""
MANY_CANDIDATES = 2000
"""From here on the effort is bounded and ties are left as they fall; the plan says how far it may be from the best."""
EFFORT_FOR_MANY = 6.0
MANY_VARIABLES = 3000
"""From here on a model is solved by way of its linear problem."""
_NO_ANSWER = "planning: no plan was found, nor that there is none, within the effort allowed; shorten 'horizon_years', or split the garage"


@dataclass(slots=True)
class PlanModel:
    """One problem as a model, which can be asked more than once. `facts`: whether each holds, in a loosened problem."""

    problem: PlanProblem
    loosened: bool = False
    model: cp_model.CpModel = field(default_factory=cp_model.CpModel)
    chosen: list[cp_model.IntVar] = field(default_factory=list)
    picks: dict[Pick, cp_model.IntVar] = field(default_factory=dict)
    taught: list[cp_model.IntVar] = field(default_factory=list)
    blanks: list[cp_model.IntVar] = field(default_factory=list)
    facts: dict[PlanFact, cp_model.IntVar] = field(default_factory=dict)
    cost: list[cp_model.LinearExprT] = field(default_factory=list)
    _begin_at: cp_model.CpSolver | None = None
    effort: float = 0.0
    """What asking has taken so far, in the solver's own units, which are the same on every machine."""
    _highest_rank: int = 0

    def __post_init__(self) -> None:
        p = self.problem
        self._highest_rank = max((c.rank for c in p.candidates), default=0)
        self.chosen = [self.model.new_bool_var(f"c{i}") for i in range(len(p.candidates))]
        for own in p.of_member:
            self.model.add_exactly_one(self.chosen[i] for i in own)
        for choice in p.choices:
            for place in choice.places:
                self.picks[choice.stay, place] = self.model.new_bool_var("")
            self.model.add_exactly_one(self.picks[choice.stay, place] for place in choice.places)
        if self.loosened:
            self._forbid()
        self._keep_apart()
        self._make_room()
        self._share_out()
        if self.loosened:
            # it is asked which facts stand in the way, never what a plan costs
            self._remember(untaught=True)
            return
        self._add_cost()
        self._remember()
        self.model.minimize(sum(self.cost))

    def _held_to(self, facts: Collection[PlanFact]) -> list[cp_model.IntVar]:
        """Literals of facts; none where the problem is not loosened, for then all of them hold."""
        if not self.loosened:
            return []
        for fact in facts:
            if fact not in self.facts:
                self.facts[fact] = self.model.new_bool_var("")
        return [self.facts[fact] for fact in facts]

    # --- what must not be

    def _forbid(self) -> None:
        for i, c in enumerate(self.problem.candidates):
            for holds in self._held_to([r.fact for r in c.refusals if r.fact is not None]):
                self.model.add_implication(self.chosen[i], ~holds)

    def _keep_apart(self) -> None:
        if self.loosened:
            for clash in self.problem.clashes:
                together = [self.chosen[i] for i in clash.candidates] + [self.picks[p] for p in clash.picks]
                self.model.add_bool_or([~x for x in (*together, *self._held_to(clash.facts))])
            return
        for group in exclusive(self.problem):
            there = sum(self.chosen[i] for i in group.candidates)
            elsewhere = sum(1 - self.picks[p] for p in group.picks)
            self.model.add(there <= group.most + group.slack * elsewhere)

    def _make_room(self) -> None:
        for room in self.problem.rooms:
            there = []
            for pick, fact in room.tenants:
                given = ([self.picks[pick]] if pick else []) + self._held_to([fact])
                there.append(self._all_of(given) if len(given) > 1 else given[0] if given else 1)
            limit = self._held_to([PlanFact("room", room.place)])
            self.model.add(sum(there) <= room.room).only_enforce_if(limit)

    def _share_out(self) -> None:
        stocks = self.problem.stocks
        self.blanks = [self.model.new_int_var(0, stock.count, "") for stock in stocks]
        of_row, of_family = _numbered((s.row for s in stocks), but=-1), defaultdict[str, list[int]](list)
        for n, stock in enumerate(stocks):
            if stock.silent:
                limit = self._held_to([PlanFact("blanks", stock.family)])
                taken = sum(self.chosen[i] for i in stock.written)
                self.model.add(self.blanks[n] == taken).only_enforce_if(limit)
            else:
                of_family[stock.family].append(n)
        for own in of_row:
            self.model.add(sum(self.blanks[n] for n in own) <= stocks[own[0]].count)
        for family, own in of_family.items():
            first, used = stocks[own[0]], sum(self.blanks[n] for n in own)
            if first.only:
                refits = sum(self.chosen[i] for i in first.refits)
                limit = self._held_to([PlanFact("blanks", family), PlanFact("not-bought", "")])
                self.model.add(used == refits).only_enforce_if(limit)
            self.model.add(used <= sum(self.chosen[i] for i in first.written))

    # --- cost

    def _add_cost(self) -> None:
        p, weigh, weigh_risk = self.problem, self.problem.tariff.weigh, self.problem.tariff.weigh_risk
        for i, c in enumerate(p.candidates):
            self.cost.append((weigh(c.price) + sum(weigh_risk(r) for r in c.risks)) * self.chosen[i])
        self._add_visits()
        for proof in p.proofs:
            self.cost.append(weigh(proof.price) * self._any_of([self.chosen[i] for i in proof.carried]))
        if p.got:
            gets = self._any_of([self.chosen[i] for i in p.got])
            self.cost.append(weigh(p.tariff.writer) * gets)
        for choice in p.choices:
            self.cost += [weigh(choice.price) * self.picks[choice.stay, place] for place in choice.places[1:]]
        self.cost += [-3600 * s.saving * used for s, used in zip(p.stocks, self.blanks, strict=True)]
        for pairing in p.pairings:
            before, shorter = 0, None
            for risk, pairs in pairing.lasting:
                meets = self.model.new_bool_var("")
                for mine, theirs in pairs:
                    given = 0 if theirs is None else 1
                    self.model.add(sum(self.chosen[i] for i in (*mine, *(theirs or ()))) <= given + meets)
                if shorter is not None:
                    self.model.add_implication(meets, shorter)
                self.cost.append((weigh_risk(risk) - before) * meets)
                before, shorter = weigh_risk(risk), meets

    def _add_visits(self) -> None:
        """A visit to the shop for each set with a refit; one of a wheel of several sets is done on any of theirs."""
        ways: dict[int, list[cp_model.IntVar]] = defaultdict(list)
        for trip in self.problem.trips:
            goes = self.model.new_bool_var("")
            for i in trip.refits:
                ways[i].append(goes)
            self.cost.append(self.problem.tariff.weigh(self.problem.tariff.shop_trip) * goes)
        for i, any_of in ways.items():
            self.model.add_bool_or([~self.chosen[i], *any_of])

    def _any_of(self, literals: list[cp_model.IntVar]) -> cp_model.IntVar:
        """A literal that is true at least where one of these is."""
        some = self.model.new_bool_var("")
        for literal in literals:
            self.model.add_implication(literal, some)
        return some

    # --- what cars remember

    def _remember(self, *, untaught: bool = False) -> None:
        """What has to be taught when. `untaught`: of the cars alone that can't be taught."""
        lists = CarLists(self.problem, self.model, self.chosen)
        tariff = self.problem.tariff
        self.taught = lists.taught
        for taught, mount in zip(self.taught, self.problem.mounts, strict=True):
            self.cost.append((tariff.weigh(mount.teach) + tariff.weigh_risk(mount.risk)) * taught)
            if mount.untaught:
                self.model.add(taught == 0).only_enforce_if(self._held_to([PlanFact("untaught", mount.car)]))
        lists.remember(untaught=untaught)

    def _all_of(self, literals: list[cp_model.IntVar]) -> cp_model.IntVar:
        """A literal that is true just where all of these are."""
        return all_of(self.model, literals)

    # --- asking

    def _ask(self, model: cp_model.CpModel) -> cp_model.CpSolver | None:
        """A solver that holds a solution, None where there is none; what it took is added to `effort`. Raises Outside."""
        solver, spent = _run(model)
        self.effort += spent
        return solver

    def best(self) -> Solution | None:
        """The best plan, ties broken; None where no plan is possible."""
        if self.many:
            return self._best_of_many()
        first = self._ask(self.model)
        if first is None:
            return None
        bound = round(first.best_objective_bound)
        second = self.model.clone()
        second.clear_objective()  # type: ignore[no-untyped-call]  # OR-tools leaves it without annotations
        second.add(sum(self.cost) == round(first.objective_value))
        ties = [self._tie(i) * chosen for i, chosen in enumerate(self.chosen)]
        others = [self.picks[c.stay, place] for c in self.problem.choices for place in c.places[1:]]
        minor = (len(others) + 1) * sum(self.taught) + sum(others)
        second.minimize((len(self.taught) + 1) * (len(others) + 1) * sum(ties) + minor)
        return self._solution(self._ask(second) or first, bound)

    @property
    def many(self) -> bool:
        return len(self.chosen) > MANY_CANDIDATES

    def _best_of_many(self) -> Solution | None:
        """The best plan found with a bounded effort, begun from one in which every set is at its first-named place."""
        easy = self.model.clone()
        for choice in self.problem.choices:
            easy.add(self.picks[choice.stay, choice.places[0]] == 1)
        start, _, _ = _solve(easy, EFFORT_FOR_MANY)
        model = self.model.clone()
        if start is not None:
            _begin(model, start)
        found, bound, _ = _solve(model, EFFORT_FOR_MANY)
        if bound is None:
            return None
        plans = [s for s in (found, start) if s is not None]
        if not plans:
            raise Outside(_NO_ANSWER)
        self._begin_at = min(plans, key=lambda s: s.objective_value)
        return self._solution(self._begin_at, round(bound))

    def best_with(self, some_of: Sequence[int]) -> Solution | None:
        """A least-cost plan with one of these candidates chosen; None where there is none."""
        return self._best_under([[self.chosen[i] for i in some_of]], begin_at=self._begin_at)

    def best_but(self, plan: Solution) -> Solution | None:
        """A least-cost plan that does something else about a wheel, not only on another day, or keeps a set elsewhere; None where there is none."""
        model, other = self.model.clone(), [~self.picks[p] for p in plan.picked]
        for own, i in zip(self.problem.of_member, plan.chosen, strict=True):
            same = replace(self.problem.candidates[i], when=None).mark
            alike = [j for j in own if replace(self.problem.candidates[j], when=None).mark == same]
            something_else = ~self.chosen[i]
            if len(alike) > 1:
                something_else = model.new_bool_var("")
                for j in alike:
                    model.add_implication(something_else, ~self.chosen[j])
            other.append(something_else)
        return self._best_under([other], model=model)

    def best_otherwise(self, plan: Solution) -> Solution | None:
        """A least-cost plan that teaches otherwise, or keeps a set elsewhere; None where there is none."""
        taught = [~t if was else t for t, was in zip(self.taught, plan.taught, strict=True)]
        return self._best_under([[*taught, *(~self.picks[p] for p in plan.picked)]])

    def best_apart(self, pairs: Sequence[tuple[int, int]]) -> Solution | None:
        """A least-cost plan in which no two candidates of a pair are chosen together; None where there is none."""
        return self._best_under([[~self.chosen[a], ~self.chosen[b]] for a, b in pairs])

    def best_as(self, plan: Solution) -> Solution | None:
        """The least cost with just the candidates and places of `plan`."""
        return self._best_under(
            [[x] for x in (*(self.chosen[i] for i in plan.chosen), *(self.picks[p] for p in plan.picked))]
        )

    def _best_under(
        self,
        clauses: Iterable[Sequence[cp_model.LiteralT]],
        begin_at: cp_model.CpSolver | None = None,
        model: cp_model.CpModel | None = None,
    ) -> Solution | None:
        """A least-cost plan in which one literal of each clause is true; None where there is none. `model`: with more variables."""
        model = model or self.model.clone()
        if begin_at is not None:
            _begin(model, begin_at)
        for clause in clauses:
            model.add_bool_or(clause)
        solver = self._ask(model)
        return None if solver is None else self._solution(solver, round(solver.best_objective_bound))

    def _solution(self, solver: cp_model.CpSolver, bound: int) -> Solution:
        p = self.problem
        chosen = tuple(next(i for i in own if solver.boolean_value(self.chosen[i])) for own in p.of_member)
        picked = tuple(
            next((c.stay, place) for place in c.places if solver.boolean_value(self.picks[c.stay, place]))
            for c in p.choices
        )
        taught = tuple(solver.boolean_value(t) for t in self.taught)
        blanks = tuple(solver.value(b) for b in self.blanks)
        price, risks = sure_price(p, chosen, picked, taught, blanks), risks_of(p, chosen, taught)
        weight = p.tariff.weigh(price) + sum(p.tariff.weigh_risk(r) for r in risks)
        return Solution(chosen, picked, taught, blanks, price, risks, weight, bound)

    def _tie(self, i: int) -> int:
        c = self.problem.candidates[i]
        wheels, ranks = len(self.problem.members) + 1, 1 + self._highest_rank
        order = (c.action is Action.REFIT, c.writes, c.choice is IdChoice.CLONE)
        return ((order[0] * wheels + order[1]) * wheels + order[2]) * wheels * ranks + c.rank

    # --- asking a loosened problem

    def fewest_dropped(
        self,
        kept: Collection[PlanFact],
        *,
        cost: dict[PlanFact, int] | None = None,
        but: Collection[frozenset[PlanFact]] = (),
        some_of: Sequence[int] = (),
    ) -> frozenset[PlanFact] | None:
        """The facts to be dropped, `kept` not among them, so that a plan is possible; None where nothing helps.

        The fewest; with `cost`, those of the least cost together, a fact without cost not being dropped at all.
        `but`: none of these sets whole. `some_of`: with one of these candidates chosen.
        """
        model = self.model.clone()
        model.clear_objective()  # type: ignore[no-untyped-call]
        may_go = sorted(f for f in self.facts if f not in kept and (cost is None or f in cost))
        for fact in sorted(set(self.facts) - set(may_go)):
            model.add(self.facts[fact] == 1)
        for whole in but:
            model.add_bool_or(self.facts[f] for f in sorted(whole))
        if some_of:
            model.add_bool_or(self.chosen[i] for i in some_of)
        model.minimize(sum((1 if cost is None else cost[f]) * (1 - self.facts[f]) for f in may_go))
        solver = self._ask(model)
        if solver is None:
            return None
        return frozenset(f for f in may_go if not solver.boolean_value(self.facts[f]))


def _numbered(names: Iterable[int], *, but: int) -> list[list[int]]:
    """The places at which each name stands, one list a name; `but` left out."""
    out: dict[int, list[int]] = defaultdict(list)
    for n, name in enumerate(names):
        if name != but:
            out[name].append(n)
    return list(out.values())


def fewest_hitting(groups: Sequence[frozenset[PlanFact]]) -> frozenset[PlanFact]:
    """A smallest set of facts that has one of each group."""
    model = cp_model.CpModel()
    taken = {fact: model.new_bool_var("") for fact in sorted({f for group in groups for f in group})}
    for group in groups:
        model.add_bool_or(taken[f] for f in sorted(group))
    model.minimize(sum(taken.values()))
    solver, _ = _run(model)
    assert solver is not None, "every group has a fact"
    return frozenset(f for f, var in taken.items() if solver.boolean_value(var))


def _begin(model: cp_model.CpModel, at: cp_model.CpSolver) -> None:
    """Has the solver begin at a plan found for a model with the same variables."""
    solution = at.response_proto.solution
    model.proto.solution_hint.vars.extend(range(len(solution)))
    model.proto.solution_hint.values.extend(solution)


def _run(model: cp_model.CpModel) -> tuple[cp_model.CpSolver | None, float]:
    """A solver that holds a solution, None where there is none, and the effort. Raises Outside where that ran out first."""
    found, bound, spent = _solve(model, MOST_EFFORT)
    if found is None and bound is not None:
        raise Outside(_NO_ANSWER)
    return found, spent


def _solve(model: cp_model.CpModel, effort: float) -> tuple[cp_model.CpSolver | None, float | None, float]:
    """A solver that holds a solution, if one was found, what none can be below, None where there is no solution, and the effort."""
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    many = len(model.proto.variables) > MANY_VARIABLES
    solver.parameters.linearization_level = (
        2 if many else 1
    )  # of many wheels, clashes and memory make a tight linear problem
    solver.parameters.max_deterministic_time = effort
    status = solver.solve(model)
    spent = solver.response_proto.deterministic_time
    if status == cp_model.INFEASIBLE:
        return None, None, spent
    has_plan = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    return solver if has_plan else None, solver.best_objective_bound, spent
