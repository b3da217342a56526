"""A second solver on the same problems: HiGHS, by a linear model written from the meaning of a problem."""

from __future__ import annotations

from dataclasses import dataclass, field
from random import Random

import highspy
import pytest
from hall import DAY, Size, hall

from wheelside.garage.file import read_garage
from wheelside.garage.order import in_order
from wheelside.garage.season import horizon_end, spells
from wheelside.garage.words import WhenFull
from wheelside.identity.problem import problem
from wheelside.identity.solve import PlanModel
from wheelside.identity.task import Mount, PlanProblem, SameAs

GARAGES, SEED = 50, 93
Sum = dict[int, float]


@dataclass
class Linear:
    """Rows and columns of a linear problem in nought and one."""

    cost: list[float] = field(default_factory=list)
    most: list[float] = field(default_factory=list)
    rows: list[tuple[Sum, float, float]] = field(default_factory=list)

    def var(self, cost: float = 0.0, most: float = 1.0) -> int:
        self.cost.append(cost)
        self.most.append(most)
        return len(self.cost) - 1

    def row(self, terms: Sum, least: float = -highspy.kHighsInf, most: float = highspy.kHighsInf) -> None:
        self.rows.append((terms, least, most))

    def all_of(self, literals: list[int]) -> int:
        """A variable that is one just where all of these are."""
        both = self.var()
        for x in literals:
            self.row({both: 1, x: -1}, most=0)
        self.row({both: -1, **dict.fromkeys(literals, 1.0)}, most=len(literals) - 1)
        return both

    def least(self) -> float:
        solver = highspy.Highs()  # type: ignore[no-untyped-call]  # HiGHS leaves it without annotations
        solver.silent()
        solver.setOptionValue("mip_rel_gap", 0.0)
        solver.setOptionValue("mip_abs_gap", 0.5)
        for cost, most in zip(self.cost, self.most, strict=True):
            solver.addVar(0.0, most)
            n = solver.getNumCol() - 1
            solver.changeColCost(n, cost)
            solver.changeColIntegrality(n, highspy.HighsVarType.kInteger)
        for terms, low, high in self.rows:
            solver.addRow(low, high, len(terms), list(terms), list(terms.values()))
        solver.run()
        assert solver.getModelStatus() == highspy.HighsModelStatus.kOptimal
        return float(solver.getInfo().objective_function_value)


@dataclass
class Written:
    """A problem written out as a linear one."""

    task: PlanProblem
    linear: Linear = field(default_factory=Linear)

    def least(self) -> float:
        p, lin = self.task, self.linear
        weigh, risk = p.tariff.weigh, p.tariff.weigh_risk
        self.x = [lin.var(weigh(c.price) + sum(map(risk, c.risks))) for c in p.candidates]
        for own in p.of_member:
            lin.row(dict.fromkeys((self.x[i] for i in own), 1.0), 1, 1)
        self.pick = {
            (c.stay, s): lin.var(weigh(c.price) if n else 0) for c in p.choices for n, s in enumerate(c.places)
        }
        for choice in p.choices:
            lin.row({self.pick[choice.stay, place]: 1.0 for place in choice.places}, 1, 1)
        for clash in p.clashes:
            met = [self.x[i] for i in clash.candidates] + [self.pick[q] for q in clash.picks]
            lin.row(dict.fromkeys(met, 1.0), most=len(met) - 1)
        for room in p.rooms:
            there = {self.pick[q]: 1.0 for q, _ in room.tenants if q}
            lin.row(there, most=room.room - sum(q is None for q, _ in room.tenants))
        self.shared()
        by_car: dict[str, list[Mount]] = {}
        for mount in p.mounts:
            by_car.setdefault(mount.car, []).append(mount)
        for mounts in by_car.values():
            taught = [lin.var(weigh(m.teach) + risk(m.risk)) for m in mounts]
            (self.chosen if mounts[0].when_full is WhenFull.CHOSEN else self.oldest)(mounts, taught)
        return lin.least()

    def shared(self) -> None:
        p, lin = self.task, self.linear
        goes = [lin.var(p.tariff.weigh(p.tariff.shop_trip)) for _ in p.trips]
        for i in {i for trip in p.trips for i in trip.refits}:
            by = {g: 1.0 for g, trip in zip(goes, p.trips, strict=True) if i in trip.refits}
            lin.row({**by, self.x[i]: -1}, least=0)
        for proof in p.proofs:
            shown = lin.var(p.tariff.weigh(proof.price))
            for i in proof.carried:
                lin.row({shown: 1, self.x[i]: -1}, least=0)
        for stock in p.stocks:
            assert not stock.only
            assert not stock.silent
            used = lin.var(-3600.0 * stock.saving, stock.count)
            lin.row({used: 1, **{self.x[i]: -1.0 for i in stock.written}}, most=0)
        for pairing in p.pairings:
            levels = [(p.tariff.weigh_risk(risk), pairs) for risk, pairs in pairing.lasting]
            for n, (weight, _) in enumerate(levels):
                meets = lin.var(weight - (levels[n - 1][0] if n else 0))
                for mine, theirs in (both for _, pairs in levels[n:] for both in pairs):
                    x = {self.x[i]: 1.0 for i in (*mine, *(theirs or ()))}
                    lin.row({meets: -1, **x}, most=0 if theirs is None else 1)

    def known(self, found: tuple[tuple[int, ...], ...]) -> int:
        """Whether every wheel is as one group of the list has it."""
        matches = []
        for own in found:
            match = self.linear.var()
            self.linear.row({match: -1, **{self.x[i]: 1.0 for i in own}}, 0, 0)
            matches.append(match)
        return self.linear.all_of(matches)

    def alike(self, same: SameAs) -> int:
        """Whether two sets carry just the same."""
        lin, equal = self.linear, []
        for mine, theirs in same.rows:
            e, less, more = lin.var(), lin.var(), lin.var()
            lin.row({e: 1, less: 1, more: 1}, 1, 1)
            gap = {self.x[i]: float((i in mine) - (i in theirs)) for i in (*mine, *theirs)}
            lin.row({**gap, more: -5, less: 1}, most=0)
            lin.row({**gap, less: 5, more: -1}, least=0)
            equal.append(e)
        for i in same.none_of:
            other = lin.var()
            lin.row({other: 1, self.x[i]: 1}, 1, 1)
            equal.append(other)
        return lin.all_of(equal)

    def few(self, taught: list[int], newer: int, slots: int) -> int:
        """Whether fewer than `slots` came into the list."""
        few, many = self.linear.var(), len(taught) + 1
        came = dict.fromkeys(taught, 1.0)
        self.linear.row({**came, few: many}, most=slots - 1 - newer + many)
        self.linear.row({**came, few: slots}, least=slots - newer)
        return few

    def oldest(self, mounts: list[Mount], taught: list[int]) -> None:
        lin = self.linear
        for j, mount in enumerate(mounts):
            ways = [
                lin.all_of([self.known(found), self.few(taught[:j], len(mount.held) - 1 - h, mount.slots)])
                for h, found in enumerate(mount.held)
            ]
            for i, same in enumerate(mount.same):
                if same is not None:
                    since = self.few(taught[i + 1 : j], 0, mount.slots)
                    ways.append(lin.all_of([self.alike(same), taught[i], since]))
            lin.row({taught[j]: 1, **dict.fromkeys(ways, 1.0)}, least=1)
            for way in ways:
                lin.row({taught[j]: 1, way: 1}, most=1)

    def chosen(self, mounts: list[Mount], taught: list[int]) -> None:
        """Groups of the start and earlier sets are kept as the owner likes, so many at a time beside the one that is on."""
        lin, start, later = self.linear, {}, {}
        for j, mount in enumerate(mounts):
            for h, found in enumerate(mount.held):
                start[h, j] = lin.var()
                lin.row({start[h, j]: 1, self.known(found): -1}, most=0)
            for i, same in enumerate(mount.same):
                if same is not None:
                    later[i, j] = lin.var()
                    lin.row({later[i, j]: 1, self.alike(same): -1}, most=0)
            ways = [x for (_, k), x in (*start.items(), *later.items()) if k == j]
            lin.row({taught[j]: 1, **dict.fromkeys(ways, 1.0)}, least=1)
        for m, mount in enumerate(mounts):
            over = [x for (i, j), x in later.items() if i < m < j]
            for h in range(len(mount.held)):
                kept = lin.var()
                for j in range(m + 1, len(mounts)):
                    lin.row({kept: 1, start[h, j]: -1, start[h, m]: 1}, least=0)
                over.append(kept)
            lin.row(dict.fromkeys(over, 1.0), most=mount.slots - 1)


def task_of(wheels: int, seed: int, when_full: str) -> PlanProblem:
    text = hall(Size(wheels), seed).replace(
        "spare_counted = false", f'spare_counted = false\nwhen_full = "{when_full}"'
    )
    if when_full == "all":
        text = text.replace("remembers_sets = 2", "remembers_sets = 1")
    garage = in_order(read_garage(text.encode(), "hall.toml"))
    end = horizon_end(garage, DAY)
    return problem(garage, DAY, end, spells(garage, DAY, end))


@pytest.mark.parametrize("number", range(GARAGES))
def test_two_solvers_find_the_same_least_cost(number: int) -> None:
    draw = Random(SEED + number)
    task = task_of(draw.choice((20, 40, 60)), draw.randrange(10**6), draw.choice(("oldest", "oldest", "chosen", "all")))
    best = PlanModel(task).best()
    assert best is not None
    assert best.proven
    assert Written(task).least() == pytest.approx(best.weight, rel=1e-9, abs=1.0)
