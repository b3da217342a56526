"""Reasons held to their word: every rejected choice is forced and solved again, by an enumeration that the planner knows nothing of."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from random import Random

import pytest
from oracle import Enumeration
from oracle_parts import Decision, Option
from sketch import Case, draw_case

from sampled import sampled
from wheelside.identity.choice import Action, IdChoice
from wheelside.identity.plan import IdentityPlan, Reasons, WheelPlan, identity_plan

SEED, GARAGES = 77, sampled(60, 110)


def planned(case: Case) -> IdentityPlan:
    return identity_plan(case.world.garage, case.world.day, (), Random(1).getrandbits, reasons=Reasons.ALL)


def forced(case: Case, wheel: str, action: Action, choice: IdChoice) -> int | None:
    """The least weight of all plans in which a wheel has this choice."""
    return restricted(case, wheel, lambda o: o.refit is (action is Action.REFIT) and o.choice == choice.value)


def restricted(case: Case, wheel: str, keep: object) -> int | None:
    wheels = tuple(
        replace(d, options=tuple(o for o in d.options if keep(o))) if d.wheel == wheel else d  # type: ignore[operator]
        for d in case.wheels
    )
    return Enumeration(case.world, wheels).run()


def taken(d: Decision, w: WheelPlan) -> list[Option]:
    """The options that are what the plan does about a wheel."""
    key = w.id.key if w.id and w.choice is not IdChoice.FRESH else None
    same = [o for o in d.options if o.refit is (w.action is Action.REFIT) and o.choice == w.choice.value]
    same = [o for o in same if o.on == w.when and o.at_rest is w.silent]
    same = [o for o in same if w.choice is not IdChoice.FRESH or o.written is w.writes]
    return [o for o in same if w.choice is not IdChoice.CLONE or o.known == key]


def same_but_for_the_day(one: Option, other: Option) -> bool:
    """Whether two options do the same about a wheel, if on other days."""
    return all(getattr(one, x) == getattr(other, x) for x in ("refit", "choice", "known", "written", "got", "at_rest"))


def test_each_choice_not_taken_costs_what_is_said_or_is_impossible() -> None:
    random, seen = Random(SEED), Counter[str]()
    for _ in range(GARAGES):
        case = draw_case(random)
        plan = planned(case)
        for w in plan.wheels:
            for n in w.not_taken:
                least = forced(case, w.wheel, n.action, n.choice)
                if n.extra_weight is None:
                    assert least is None, (w.wheel, n, case.text)
                    seen[n.rule] += 1
                else:
                    assert least == plan.weight + n.extra_weight, (w.wheel, n, case.text)
                    seen["dearer" if n.extra_weight else "as dear"] += 1
    assert seen["dearer"] > GARAGES, seen
    assert seen["one-car"] + seen["heard-twice"] > 0, seen
    assert seen["no-plan"] > GARAGES // 15, seen


def test_the_runner_up_is_the_best_of_all_other_plans() -> None:
    random, compared = Random(SEED + 1), 0
    for _ in range(GARAGES):
        case = draw_case(random)
        plan = planned(case)
        if not plan.possible or plan.picked:
            continue
        others = []
        for w in plan.wheels:
            d = next(d for d in case.wheels if d.wheel == w.wheel)
            same = taken(d, w)
            assert len(same) == 1, (w, d)
            day_apart = [o for o in d.options if same_but_for_the_day(o, same[0])]
            others.append(restricted(case, w.wheel, lambda o, but=day_apart: o not in but))
        possible = [o for o in others if o is not None]
        if plan.runner_up is None:
            assert not possible, case.text
        else:
            assert min(possible) == plan.weight + plan.runner_up.extra_weight, case.text
            compared += 1
    assert compared > GARAGES // 8


@pytest.mark.parametrize("seed", range(3))
def test_every_way_out_leads_out(seed: int) -> None:
    """Where no plan is possible the ways out are told, the cheapest first, each with the cost of a plan that there is then."""
    random, told = Random(seed), 0
    for _ in range(sampled(30, 60)):
        plan = planned(draw_case(random))
        if not plan.possible:
            weights = [way.weight for way in plan.ways_out]
            assert weights == sorted(weights)
            told += bool(weights)
    assert told > sampled(2, 5)
