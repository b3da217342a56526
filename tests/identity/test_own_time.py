"""Work in its own time, wheels of several sets, blanks of several kinds and the price of a proof, each by variations drawn at random.

What a variation must come to is worked out beside it from docs/deciding.md and the default rates that stand there.
"""

from __future__ import annotations

from datetime import date, timedelta
from random import Random
from typing import Any

import pytest

from garages import CORNERS, DAY, NO_RISK, Table, bare_table, codes_of, garage_of, of_wheel, plan_of, row
from spoken import words
from wheelside.identity.choice import Action, IdChoice
from wheelside.identity.costs import as_money
from wheelside.identity.plan import IdentityPlan
from wheelside.identity.roll import Roll

DRAWN = range(20)
MINUTE = 15 / 60
"""EUR a minute, at the default worth of an hour."""
REFIT, VISIT, BENCH, MOUNTED, TEACH = 45 + 5 + 20, 60 * MINUTE, 4 * MINUTE, 12 * MINUTE, 15 * MINUTE
LOCKED = 60 * MINUTE + 60


def cost(plan: IdentityPlan) -> float:
    return float(as_money(plan.weight, plan.currency).amount)


def taught(plan: IdentityPlan) -> int:
    return sum(t.needed for t in plan.teachings)


def safe() -> Table:
    """The bare household; what may go wrong costs nothing, so that sums can be done by hand."""
    table = bare_table()
    table["odds"] = dict(NO_RISK)
    return table


def pair_until(sold: date) -> Table:
    """B carries A's IDs, is kept out of earshot and sold one day; A's sensors can't be written, and teaching is paid for."""
    table = safe()
    table["car"][0]["taught_by"] = "locked"
    for n in range(1, 5):
        row(table, "sensor", f"s A{n}")["writing"] = "fixed"
        row(table, "sensor", f"s B{n}")["printed"] = row(table, "sensor", f"s A{n}")["printed"]
    row(table, "set", "B")["sold"] = sold
    return table


def a_summer_day(random: Random) -> date:
    """A day between spring, when B comes off the car, and autumn, when it would go on again."""
    return date(random.choice((2027, 2028, 2029)), 4, 3) + timedelta(days=random.randrange(200))


# --- in its own time ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", DRAWN)
def test_a_pair_is_kept_until_it_came_off_for_the_last_time_before_the_sale(seed: int) -> None:
    """No car is taught; four sensors are written in their wheels, in the spring of the year in which B is sold."""
    sold = a_summer_day(Random(seed))
    plan = plan_of(pair_until(sold))
    waiting = {w.wheel: w.when for w in plan.wheels if w.when}
    assert waiting == {f"B{n}": date(sold.year, 4, 1) for n in range(1, 5)}
    assert cost(plan) == pytest.approx(4 * MOUNTED)
    assert taught(plan) == 0
    (told,) = [words(f.text) for f in plan.findings if f.code == "written-later"]
    assert told.startswith(f"Write the sensors of B1, B2, B3 and B4 on {sold.year}-04-01, when B comes off car.")


@pytest.mark.parametrize("seed", DRAWN)
def test_a_plan_made_on_that_day_or_later_asks_for_it_now(seed: int) -> None:
    random = Random(seed)
    sold = a_summer_day(random)
    table = pair_until(sold)
    day = min(date(sold.year, 4, 1) + timedelta(days=random.randrange(20)), sold - timedelta(days=1))
    table["seen"] = [{"set": "A", "on": "car", "as_of": day}, {"set": "B", "at": "away", "as_of": day}]
    plan = plan_of(table, day)
    assert all((w.when, w.writes) == (None, w.set == "B") for w in plan.wheels)


@pytest.mark.parametrize("seed", DRAWN)
def test_a_set_that_is_never_sold_keeps_its_pair_and_one_sold_today_is_written_now(seed: int) -> None:
    table = pair_until(a_summer_day(Random(seed)))
    del row(table, "set", "B")["sold"]
    plan = plan_of(table)
    assert cost(plan) == 0
    row(table, "set", "B")["sold"] = DAY + timedelta(days=1)
    plan = plan_of(table)
    assert {w.when for w in plan.wheels} == {None}
    assert all(of_wheel(plan, f"B{n}").writes for n in range(1, 5))


@pytest.mark.parametrize("seed", DRAWN)
def test_nothing_waits_where_waiting_saves_nothing(seed: int) -> None:
    """B gets new IDs whatever happens, for its sensors were never written; when that is done changes no teaching."""
    random, table = Random(seed), safe()
    table["car"][0]["taught_by"] = random.choice(["locked", "port", "step by step", "driving"])
    for n in range(1, 5):
        row(table, "sensor", f"s A{n}")["writing"] = "fixed"
        one = row(table, "sensor", f"s B{n}")
        del one["printed"]
        one |= {"written": False, "writing": random.choice(["rewritable", "write once"])}
    if random.random() < 0.5:
        row(table, "set", "B")["sold"] = a_summer_day(random)
    plan = plan_of(table)
    assert {w.when for w in plan.wheels} == {None}
    assert all(of_wheel(plan, f"B{n}").writes for n in range(1, 5))


def test_why_it_waits_is_told_with_what_writing_now_would_cost() -> None:
    """B is sold before its second winter: on the car once more, and A after it, so that both would have to be taught."""
    plan = plan_of(pair_until(date(2027, 9, 1)))
    told = words(of_wheel(plan, "B1").why)
    assert "writing it now: it would add" in told
    other = plan_of({**pair_until(date(2027, 9, 1)), "writer": []})
    assert not any(w.when for w in other.wheels if not w.writes)


# --- a wheel of several sets --------------------------------------------------------------------------------------


def with_spare(**sensor: Any) -> Table:
    """A spare that is in both sets; the car counts it, and its list has it."""
    table = safe()
    common = {"family": "f", "answers": True, "at_rest": "transmits", "writing": "fixed", "printed": "C3000021"}
    table["sensor"].append({"id": "s S", **common, **sensor})
    table["wheel"].append({"id": "S", "joined": [{"sensor": "s S"}]})
    for name in "AB":
        row(table, "set", name)["wheels"]["spare"] = "S"
    table["car"][0]["spare_counted"] = True
    for name in "AB":
        for n in range(1, 5):
            row(table, "sensor", f"s {name}{n}")["writing"] = "fixed"
    return table


def test_a_counted_spare_is_planned_once_and_taught_with_each_of_its_sets() -> None:
    plan = plan_of(with_spare())
    assert [w.wheel for w in plan.wheels].count("S") == 1
    assert of_wheel(plan, "S").serves == (("A", of_wheel(plan, "S").corner), ("B", of_wheel(plan, "S").corner))
    assert [(t.set, t.needed) for t in plan.teachings][:2] == [("A", False), ("B", True)]
    assert cost(plan) == pytest.approx(taught(plan) * TEACH)
    left_out = with_spare()
    del row(left_out, "set", "B")["wheels"]["spare"]
    assert of_wheel(plan_of(left_out), "S").serves == (("A", of_wheel(plan, "S").corner),)


@pytest.mark.parametrize("seed", DRAWN)
def test_its_sensor_is_changed_on_a_visit_with_any_of_its_sets(seed: int) -> None:
    """The spare and so many wheels of one set gave no answer: one visit."""
    random = Random(seed)
    table, set_id = with_spare(answers=False), random.choice("AB")
    silent = random.sample(range(1, 5), random.randrange(5))
    for n in silent:
        row(table, "sensor", f"s {set_id}{n}")["answers"] = False
        row(table, "sensor", f"s {set_id}{n}")["battery_low"] = True
    plan = plan_of(table)
    refits = [w.wheel for w in plan.wheels if w.action is Action.REFIT]
    assert sorted(refits) == sorted(["S", *(f"{set_id}{n}" for n in silent)])
    assert cost(plan) == pytest.approx(len(refits) * (REFIT + BENCH) + VISIT + taught(plan) * TEACH)


@pytest.mark.parametrize("seed", DRAWN)
def test_it_leaves_with_the_last_of_its_sets(seed: int) -> None:
    """B is sold and the spare stays with A: another wheel may not carry B's IDs, but the spare's sensor is not sold."""
    sold = a_summer_day(Random(seed))
    table = with_spare()
    row(table, "set", "B")["sold"] = sold
    table["sensor"].append({"id": "twin", "family": "f", "sends": "0xC3000021", "at_rest": "silent", "kept_at": "away"})
    assert of_wheel(plan_of(table), "S").choice is IdChoice.KEEP
    row(table, "set", "A")["sold"] = sold + timedelta(days=1)
    plan = plan_of(table)
    assert not plan.possible or of_wheel(plan, "S").choice is not IdChoice.KEEP


# --- blanks -------------------------------------------------------------------------------------------------------


def wrong_sensors() -> Table:
    """Set B has sensors of another family, which can't be written; the car remembers both sets."""
    table = safe()
    table["family"] += [{"id": "g", "bits": 28, "band": "433.92 MHz", "printed": "hex"}]
    table["car"][0]["remembers_sets"] = 2
    for n in range(1, 5):
        row(table, "sensor", f"s B{n}").update(family="g", printed=f"6B20F1{n}", writing="fixed")
    return table


@pytest.mark.parametrize("seed", DRAWN)
def test_blanks_of_two_families_serve_a_car_of_either(seed: int) -> None:
    random, table = Random(seed), wrong_sensors()
    count, each = random.randrange(7), random.randrange(0, 40)
    table["blank"] = [{"family": "g", "or_families": ["f"], "count": count, "each": f"{each} EUR"}]
    if more := random.randrange(3):
        table["blank"].append({"family": "f", "count": more, "each": "1 EUR"})
    used_dear = max(0, min(count, 4 - more)) if each >= 1 else min(count, 4)
    used_cheap = min(more, 4 - (0 if each >= 1 else used_dear))
    saved = used_dear * (45 - each) + used_cheap * (45 - 1)
    plan = plan_of(table)
    assert cost(plan) == pytest.approx(4 * (REFIT + BENCH) + VISIT + TEACH - saved)
    del table["blank"][0]["or_families"]
    assert cost(plan_of(table)) == pytest.approx(4 * (REFIT + BENCH) + VISIT + TEACH - min(more, 4) * (45 - 1))


@pytest.mark.parametrize("seed", DRAWN)
def test_blanks_that_rest_silent_make_clones_possible_where_the_set_is_kept_within_earshot(seed: int) -> None:
    """B is kept where its car stands. A clone that transmits there would be heard beside A; a silent one is not."""
    random, table = Random(seed), wrong_sensors()
    table["car"][0] |= {"remembers_sets": 1, "taught_by": "locked"}
    for stay in table["stay"]:
        if stay["set"] == "B" and "at" in stay:
            stay["at"] = "home"
    for n in range(1, 5):
        row(table, "sensor", f"s A{n}").update(at_rest="silent", writing="fixed")
        row(table, "sensor", f"s B{n}").update(at_rest="silent")
    count, each = random.randrange(4, 9), random.randrange(0, 45)
    table["blank"] = [{"family": "f", "count": count, "at_rest": "silent", "each": f"{each} EUR"}]
    plan = plan_of(table)
    new = [of_wheel(plan, f"B{n}") for n in range(1, 5)]
    assert all((w.action, w.choice, w.in_hand, w.silent) == (Action.REFIT, IdChoice.CLONE, True, True) for w in new)
    assert cost(plan) == pytest.approx(4 * (REFIT - 45 + each + BENCH) + VISIT)
    del table["blank"][0]["at_rest"]
    other = plan_of(table)
    assert cost(other) > cost(plan)
    assert not any(w.silent for w in other.wheels)


# --- what a proof costs -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", DRAWN)
def test_a_clone_costs_the_showing_of_its_corners_where_the_dash_shows_them(seed: int) -> None:
    """B is cloned to spare teaching that is paid for; at so many minutes a corner that is dearer, or too dear."""
    random, table = Random(seed), safe()
    table["car"][0] |= {"taught_by": "locked", "holds": [{"set": "A"}]}
    table["stay"] = [s for s in table["stay"] if s["set"] == "B"]
    table["stay"].append({"set": "A", "at": "away", "since": date(2026, 4, 1)})
    free = cost(plan_of(table))
    assert free == pytest.approx(4 * MOUNTED), "four clones, and nobody is paid"
    minutes = random.randrange(1, 120)
    table["car"][0]["dash_shows"], table["costs"] = True, {"show_corner": f"{minutes} min"}
    plan = plan_of(table)
    assert cost(plan) == pytest.approx(min(4 * MOUNTED + 4 * minutes * MINUTE, LOCKED))
    assert (taught(plan) == 0) is (4 * MOUNTED + 4 * minutes * MINUTE <= LOCKED)
    for n, corner in enumerate(CORNERS, start=1):
        if corner.startswith("rear"):
            row(table, "tyre", f"t B{n}")["designation"] = "225/50 R16 92V"
    assert cost(plan_of(table)) == pytest.approx(free), "with other tyres at the rear they are shown in any case"


def test_the_codes_say_what_is_written_later() -> None:
    assert "written-later" in codes_of(plan_of(pair_until(date(2028, 9, 1))))
    assert "written-later" not in codes_of(plan_of(safe()))


@pytest.mark.parametrize("seed", DRAWN)
def test_a_set_goes_by_the_entry_of_another_where_it_carries_just_those_ids(seed: int) -> None:
    """Then that entry is not taught over when the other set gets new IDs."""
    random, table = Random(seed), safe()
    alike = random.randrange(5)
    for n in range(1, 1 + alike):
        row(table, "sensor", f"s B{n}")["printed"] = row(table, "sensor", f"s A{n}")["printed"]
    garage = garage_of(table)
    assert Roll(garage, DAY).goes_by(garage.cars["car"], 0, "A") == ("B" if alike == 4 else None)
    assert Roll(garage, DAY).goes_by(garage.cars["car"], 1, "A") is None
