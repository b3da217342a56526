"""What is tried next, against every order of cures and every test written out."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import permutations

import pytest

from wheelside.why.belief import CaseSeen, WhyModel, believe
from wheelside.why.choose import (
    SHOWN_MIN,
    SHOWN_MONEY,
    WORKSHOP_MIN,
    WORKSHOP_MONEY,
    Lookout,
    NextBest,
    Owns,
    WayOn,
    choose,
)
from wheelside.why.table import LampCause, WhyTable, why_table
from why_cases import drawn

HOUR = 20.0


def price(minutes: float, money: float) -> float:
    return minutes / 60 * HOUR + money


def cost_of_order(several: dict[tuple[str, ...], float], order: tuple[str, ...], causes: dict[str, LampCause]) -> float:
    """What it costs to try cures in an order until the lamp is seen right, and to go to a workshop after the best number of them."""
    found = []
    for stop in range(len(order) + 1):
        cost = 0.0
        for mine, chance in several.items():
            left = set(mine)
            for cause in order[:stop]:
                if not left:
                    break
                cost += chance * price(causes[cause].minutes + SHOWN_MIN, causes[cause].money + SHOWN_MONEY)
                left.discard(cause)
            parts = sum(causes[c].money for c in mine if c not in order[:stop])
            cost += chance * (price(WORKSHOP_MIN, WORKSHOP_MONEY) + parts) if left else 0.0
        found.append(cost)
    return min(found)


def priced(rng: random.Random) -> tuple[WhyTable, CaseSeen, WhyModel]:
    table, seen, how = drawn(rng)
    causes = tuple(
        LampCause(c.code, "", "", c.prior, rng.uniform(5, 90), rng.choice((0.0, 40.0))) for c in table.causes[:5]
    )
    return WhyTable(causes, table.tests, table.contexts, table.together), seen, how


def plain_of(choice: NextBest) -> float:
    return next(w.cost for w in choice.ways if not w.test)


@pytest.mark.parametrize("seed", range(20))
def test_cures_go_in_the_best_order_where_one_thing_is_wrong(seed: int) -> None:
    table, seen, _ = priced(random.Random(seed))
    how = WhyModel(second=0.0, nothing=0.0)
    several = dict(believe(table, seen, how).several)
    causes = {c.code: c for c in table.causes}
    best = min(cost_of_order(several, order, causes) for order in permutations(causes))
    assert plain_of(choose(table, seen, Owns(HOUR), how, ahead=0)) == pytest.approx(best)


@pytest.mark.parametrize("seed", range(20))
def test_a_test_costs_itself_and_what_comes_after_each_outcome(seed: int) -> None:
    """Two at once as well, one test ahead and two; the chances of outcomes by what is believed, not by the same code."""
    table, seen, how = priced(random.Random(seed))

    def plain(told: CaseSeen) -> float:
        return plain_of(choose(table, told, Owns(HOUR), how, ahead=0))

    def chances(told: CaseSeen, test: str) -> dict[str, tuple[float, CaseSeen]]:
        """By the rule of total chance over all sets of causes: from beliefs after one outcome against those before."""
        before = believe(table, told, how).several
        found = {}
        for o in table.test(test).outcomes:
            after = CaseSeen({**told.outcomes, test: {o: 1.0}}, told.contexts, told.excluded)
            halves = CaseSeen(
                {**told.outcomes, test: dict.fromkeys(table.test(test).outcomes, 0.5) | {o: 1.0}},
                told.contexts,
                told.excluded,
            )
            # with p the chance of o, the half open answer's beliefs are (before + p sharp) / (1 + p)
            wide, sharp = believe(table, halves, how).several, believe(table, after, how).several
            mine = max(before, key=lambda m: abs(sharp[m] - before[m]))
            if abs(sharp[mine] - before[mine]) < 1e-9:
                return {}
            part = (wide[mine] - before[mine]) / (sharp[mine] - before[mine])
            found[o] = part / (1 - part) if part < 1 else 1.0, after
        return found

    def one_ahead(told: CaseSeen, test: str) -> float | None:
        by = chances(told, test)
        t = table.test(test)
        return price(t.minutes, t.money) + sum(p * plain(after) for p, after in by.values()) if by else None

    one = {w.test: w.cost for w in choose(table, seen, Owns(HOUR), how, ahead=1).ways}
    for test in (t for t in one if t):
        cost = one_ahead(seen, test)
        assert cost is None or one[test] == pytest.approx(cost, rel=1e-4), test
    two = {w.test: w.cost for w in choose(table, seen, Owns(HOUR), how, ahead=2).ways}
    assert all(two[t] <= one[t] + 1e-9 for t in one)


def test_a_tool_that_is_not_there_is_not_asked_for() -> None:
    seen = CaseSeen({"lamp-at-start": {"flashes": 1.0}})
    assert "wake" in {w.test for w in choose(why_table(), seen, ahead=1).ways}
    assert "wake" not in {w.test for w in choose(why_table(), seen, Owns(without=frozenset({"wake"})), ahead=1).ways}


@pytest.mark.parametrize("seed", range(10))
def test_what_is_chosen_goes_by_what_is_believed_with_temper_and_floor_too(seed: int) -> None:
    table, seen, how = drawn(random.Random(seed))
    how = replace(how, temper=0.7, floor=0.005)
    at = Lookout(table, seen, Owns(), how)
    weights = at.weights({})
    believed = believe(table, seen, how).several
    assert weights / weights.sum() == pytest.approx([believed[mine] for mine in at.sets])


@pytest.mark.parametrize("seed", range(6))
def test_a_cure_that_did_not_help_is_tried_no_more_and_counts_as_done(seed: int) -> None:
    """What is left after it costs as much as the same chances of what is left cost by themselves."""
    table, seen, how = priced(random.Random(seed))
    gone = table.causes[0].code
    later = replace(seen, cured=(gone,))
    choice, causes = choose(table, later, Owns(HOUR), how, ahead=0), {c.code: c for c in table.causes}
    several = believe(table, later, how).several
    assert gone not in choice.cures
    assert plain_of(choice) == pytest.approx(cost_of_order(dict(several), choice.cures, causes))


def test_where_nothing_is_open_the_cures_are_left() -> None:
    table = why_table()
    seen = CaseSeen({t.code: {t.outcomes[0]: 1.0} for t in table.tests})
    assert choose(table, seen).ways == (WayOn("", plain_of(choose(table, seen, ahead=0))),)
