"""The identity plan against an enumeration of every plan, on small random garages.

The rules and the costs are told a second time in `oracle` and its parts, the garages are drawn in `sketch`. The least
cost of all combinations must be that of the plan; where there is no plan, the facts that the plan names
must be enough to rule out every combination, and none of them may be spared.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from random import Random

import pytest
from oracle import Enumeration
from oracle_desk import decisions
from oracle_parts import Fact, Facts
from oracle_world import World
from sketch import Case, draw_case

from sampled import sampled
from wheelside.identity.choice import IdChoice
from wheelside.identity.plan import IdentityPlan, identity_plan

SEED = 20261125
GARAGES = sampled(150, 250)


@dataclass(frozen=True, slots=True)
class Trial:
    """One garage, its plan, and the least weight of all combinations; None where none is allowed."""

    number: int
    case: Case
    plan: IdentityPlan
    best: int | None

    def told(self, what: str) -> str:
        return f"# garage {self.number} on {self.case.world.day}: {what}\n{self.case.text}"


def trials() -> Iterator[Trial]:
    random = Random(SEED)
    for number in range(GARAGES):
        case = draw_case(random)
        plan = identity_plan(case.world.garage, case.world.day, (), Random(1).getrandbits)
        yield Trial(number, case, plan, Enumeration(case.world, case.wheels).run())


def shortest(wrong: list[str]) -> str:
    return f"{len(wrong)} of {GARAGES} differ, the shortest of them:\n{min(wrong, key=len)}"


@pytest.mark.timeout(1200)
def test_no_plan_is_cheaper_none_is_overlooked_and_conflicts_name_just_what_rules_them_out() -> None:
    wrong, seen, kinds = list[str](), Counter[str](), Counter[str]()
    for trial in trials():
        plan, best = trial.plan, trial.best
        if (plan.possible, plan.weight, plan.bound) != (best is not None, best or 0, best or 0):
            planned = f"{plan.weight} (bound {plan.bound})" if plan.possible else "nothing"
            wrong.append(trial.told(f"planned {planned}, enumerated {best}"))
        if best is None:
            conflict = frozenset((fact.kind, fact.about) for fact in plan.conflict)
            kinds.update({kind for kind, _ in conflict})
            wrong += [
                trial.told(f"{what}; the conflict is {sorted(conflict)}") for what in faults(trial.case, conflict)
            ]
        seen["infeasible"] += best is None
        seen["clone"] += any(w.choice is IdChoice.CLONE for w in plan.wheels)
        seen["not free"] += plan.weight > 0
    assert not wrong, shortest(wrong)
    assert seen["infeasible"] >= GARAGES // 4, seen
    assert seen["clone"] >= GARAGES // 4, seen
    assert seen["not free"] >= GARAGES // 2, seen
    assert len(kinds) >= 15, kinds


def faults(case: Case, conflict: frozenset[Fact]) -> Iterator[str]:
    """What is wrong with a conflict."""
    if not conflict:
        yield "no conflict is named"
    elif possible(case, conflict):
        yield "a plan is possible with no other facts than these"
    else:
        yield from (
            f"no plan without {fact} either" for fact in sorted(conflict) if not possible(case, conflict - {fact})
        )


def possible(case: Case, kept: frozenset[Fact]) -> bool:
    """Whether any plan is allowed where only these facts hold."""
    world = World(case.world.garage, case.world.day, Facts(kept))
    return Enumeration(world, decisions(world)).possible()
