"""A wheel's own old ID in its new sensor is carried on, not cloned, and the plan says whether that may be."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from random import Random

from oracle_desk import Desk
from oracle_prices import Prices
from oracle_world import World
from sketch import draw_case

from garages import DAY, Table, bare_table, plan_of, row, seeded
from spoken import words
from wheelside.garage.file import read_garage
from wheelside.identity.choice import Action, IdChoice, id_words
from wheelside.identity.plan import IdentityPlan, Reasons, WheelPlan, identity_plan

HOUSEHOLDS = Path(__file__).parent / "households"
SEED, DRAWN = 4711, 200


def answers(plan: IdentityPlan) -> list[str]:
    return [words(f.text) for f in plan.findings if f.code == "carry-on"]


def test_no_word_of_a_clone_where_a_wheel_gets_its_own_old_id() -> None:
    garage = read_garage((HOUSEHOLDS / "blanks-with-old-ids.toml").read_bytes(), "blanks")
    plan = identity_plan(garage, DAY, (), seeded())
    winter = [w for w in plan.wheels if w.set == "winter"]
    assert {(w.action, w.choice, w.own) for w in winter} == {(Action.REFIT, IdChoice.CLONE, True)}
    assert {words(id_words(w.choice, w.source, own=w.own)) for w in winter} == {"its own old ID, which the car knows"}
    assert not any("clone" in words(line.what) for line in plan.costs)
    assert not any("clone" in words(n.text) for w in winter for n in w.not_taken)
    (answer,) = answers(plan)
    assert answer.startswith("May the old IDs of W1, W2, W3 and W4 be carried on? Yes: the car knows them")


def locked_with_silent_a() -> Table:
    """The sensors of set A give no answer and are changed; the car is locked and holds their IDs."""
    table = bare_table()
    table["car"][0] |= {"taught_by": "locked"}
    for n in range(1, 5):
        row(table, "sensor", f"s A{n}")["answers"] = False
    return table


def test_the_answer_is_no_with_its_reason() -> None:
    table = locked_with_silent_a()
    assert "Yes: the car knows them" in answers(plan_of(table))[0]
    table["retired"] = [{"id": "0xA1000001", "family": "f"}]
    assert any("A1 be carried on? No: A1000001 is retired" in a for a in answers(plan_of(table)))
    table = locked_with_silent_a()
    del row(table, "sensor", "s A1")["printed"]
    assert any("A1 be carried on? No: the old ID is not known" in a for a in answers(plan_of(table)))
    table = locked_with_silent_a()
    table["car"][0]["holds"] = []
    assert "No: no car of this set holds it" in answers(plan_of(table))[0]
    table = locked_with_silent_a()
    table["writer"], table["plan"] = [], {"get_writer": False}
    assert "No: no writer" in answers(plan_of(table))[0]


def test_an_old_sensor_that_is_kept_has_to_be_silent_or_out_of_earshot() -> None:
    table = locked_with_silent_a()
    table["plan"] = {"taken_out": "keep", "keep_at": "away"}
    assert "silent, or kept where no car of the set hears it" in answers(plan_of(table))[0]
    table["plan"]["keep_at"] = "home"
    assert "No: the old sensor would be kept within earshot" in answers(plan_of(table))[0]


def test_where_nothing_is_changed_nothing_is_asked() -> None:
    assert answers(plan_of(bare_table())) == []


def expected(world: World, w: WheelPlan) -> str:
    """The answer by the rules told apart: which own IDs a new sensor could be given, and what facts refuse."""
    wheels = world.garage.sets[w.set]
    desk = Desk(world, Prices(world.garage), wheels, w.corner, w.wheel)
    own = [why for o, why in desk.refits() if o.choice == "clone" and o.known in desk.present]
    if w.own:
        return "Yes:"
    return "Yes, but|No:" if any(not why for why in own) else "No:"


def test_random_plans_say_own_of_just_those_that_are_and_answer_by_the_rule() -> None:
    random, seen = Random(SEED), Counter[str]()
    for _ in range(DRAWN):
        case = draw_case(random)
        garage = case.world.garage
        plan = identity_plan(garage, case.world.day, (), seeded(), reasons=Reasons.NONE)
        for w in plan.wheels:
            sensor = case.world.sensor(w.wheel)
            desk = Desk(case.world, Prices(garage), garage.sets[w.set], w.corner, w.wheel)
            assert w.own == (w.action is Action.REFIT and w.choice is IdChoice.CLONE and w.id is not None and w.id.key in desk.present)  # fmt: skip
            if w.action is not Action.REFIT or sensor is None:
                continue
            wants = expected(case.world, w)
            told = [t for t in answers(plan) if garage.wheels[w.wheel].name in t.split(" be carried")[0]]
            assert len(told) == 1, case.text
            assert any(told[0].split("? ", 1)[1].startswith(start) for start in wants.split("|")), (
                wants,
                told,
                case.text,
            )
            seen[wants] += 1
    assert min(seen["Yes:"], seen["No:"], seen["Yes, but|No:"]) >= 5, seen
