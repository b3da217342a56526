"""What the way to a cure costs, against the optimum and other ways: a sample of what `benchmarks/why.py` does."""

from __future__ import annotations

import numpy as np
import pytest

from wheelside.why.belief import CaseSeen, believe
from wheelside.why.table import why_table
from why_play import DrawnCase, LampWorld, Playing, fixed_order, lookout, most_information, optimum, ours, sub_model

CASES = 50


def test_a_case_is_drawn_as_the_table_has_it() -> None:
    """Causes and outcomes as often as they are likely, those of tests that err together included: within four deviations."""
    table, rng = why_table(), np.random.default_rng(5)
    world = LampWorld(table)
    drawn = [world.draw(rng) for _ in range(2000)]
    for cause, chance in believe(table, CaseSeen()).causes.items():
        seen = sum(cause in one.causes for one in drawn) / len(drawn)
        assert abs(seen - chance) < 4 * (chance * (1 - chance) / len(drawn)) ** 0.5 + 1e-9, cause
    steady = [one for one in drawn if one.behaviour == "steady"]
    at = lookout(table)
    weight = at.weights({"lamp-at-start": "steady"})
    for outcome in table.test("drive").outcomes:
        chance = float(at.weights({"lamp-at-start": "steady", "drive": outcome}).sum() / weight.sum())
        seen = sum(one.outcomes["drive"] == outcome for one in steady) / len(steady)
        assert abs(seen - chance) < 4 * (chance * (1 - chance) / len(steady)) ** 0.5, outcome


@pytest.mark.parametrize("seed", [11, 12, 13])
def test_the_way_is_within_a_twentieth_of_the_optimum(seed: int) -> None:
    at = lookout(sub_model(why_table(), seed, most=20_000))
    best = optimum(at)
    way = Playing(at, lambda here, told: here.best(told).first).expected({})
    assert best - 1e-9 <= way <= 1.05 * best


def test_the_optimum_is_no_dearer_than_any_way_that_is_tried() -> None:
    at = lookout(sub_model(why_table(), 14, most=3_000))
    best = optimum(at)
    assert best <= at.cures(at.weights({}))[0] + 1e-9
    for test in at.open({}):
        assert best <= at.after(test, {}, 2) + 1e-9


def test_cases_cost_less_than_by_the_fixed_order_and_by_what_tells_most() -> None:
    table = why_table()
    world, at, rng = LampWorld(table), lookout(table), np.random.default_rng(3)
    cases = [world.draw(rng) for _ in range(CASES)]

    def mean(way: Playing, *, listed: bool = False) -> float:
        played = [way.play(case) for case in cases]
        return float(np.mean([one.list_end if listed else one.best_end for one in played]))

    mine = mean(Playing(at, ours))
    assert mine < mean(Playing(at, fixed_order), listed=True)
    assert mine < mean(Playing(at, most_information))


def test_a_case_is_played_to_its_end() -> None:
    """A dead battery, cured second: both cures and both drives are paid for; one that nothing cures goes to a workshop."""
    at = lookout(why_table())
    case = DrawnCase(("battery",), {t.code: t.outcomes[0] for t in why_table().tests})
    way = Playing(at, lambda _at, _told: "")
    prices = dict(zip(at.codes.tolist(), at.cost.tolist(), strict=True))
    start = way.play(case).tests
    assert way._cured(["leak", "battery", "spare"], case) == prices["leak"] + prices["battery"]
    assert way._cured(["leak"], case) == prices["leak"] + at.price(120, 250 + 60)
    assert start == pytest.approx(at.price(1, 0))
