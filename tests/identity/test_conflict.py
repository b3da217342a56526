"""Where no plan is possible: the facts in conflict in words, and ways out that hold when they are taken in the file."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from garages import CORNERS, DAY, Table, bare_table, garage_of, plan_of, row
from spoken import words
from wheelside.garage.order import in_order
from wheelside.garage.season import horizon_end, spells
from wheelside.identity.conflict import _shrunk, smallest_conflict
from wheelside.identity.plan import IdentityPlan
from wheelside.identity.problem import problem
from wheelside.identity.solve import PlanModel


def deadlock(**sensor: Any) -> Table:
    """A stored set C that goes on no car carries A's first ID, and no sensor of either can be changed."""
    table = bare_table()
    table["car"][0]["taught_by"] = "driving"
    table["plan"] = {"buy_sensors": False, "get_writer": False}
    table["writer"] = []
    table["sensor"].append(
        {"id": "s C1", "printed": "A1000001", "family": "f", "at_rest": "transmits", "writing": "fixed", **sensor}
    )
    table["wheel"].append({"id": "C1", "joined": [{"sensor": "s C1"}]})
    table["set"].append({"id": "C", "wheels": {CORNERS[0]: "C1"}})
    table["stay"].append({"set": "C", "at": "home", "since": date(2026, 1, 1)})
    return table


def kinds(plan: IdentityPlan) -> set[str]:
    return {f.kind for f in plan.conflict}


def test_the_facts_are_told_in_words() -> None:
    plan = plan_of(deadlock())
    assert not plan.possible
    texts = [words(f.text) for f in plan.conflict]
    assert any("s A1 carries A1000001" in t for t in texts)
    assert any("s C1 carries A1000001" in t for t in texts)
    assert any("C is kept at home from 2026-01-01" in t for t in texts)
    assert all(words(f.basis.said) for f in plan.conflict)


def test_a_way_out_taken_in_the_file_costs_what_was_said() -> None:
    """Each way, done by hand in the file, gives a plan of the promised weight, the way's own price taken off."""
    plan = plan_of(deadlock())
    told = {words(way.text): way for way in plan.ways_out}
    hour, move = 1500, 20 * 60
    away = deadlock()
    away["stay"][-1]["at"] = "away"
    for text, table, own in (
        ("keep C out of earshot of the cars, in place of home", away, move * hour),
        ("allow sensors to be bought", {**deadlock(), "plan": {"get_writer": False}}, 0),
    ):
        assert text in told, list(told)
        after = plan_of(table)
        assert after.possible
        assert after.weight == told[text].weight - own


def test_ways_are_told_cheapest_first() -> None:
    weights = [way.weight for way in plan_of(deadlock()).ways_out]
    assert weights == sorted(weights)
    assert len(weights) > 1


CHANGES = (
    ("carries", lambda t: row(t, "sensor", "s C1").update(printed="C0FFEE01")),
    ("stay", lambda t: t["stay"][-1].update(at="away")),
    ("not-bought", lambda t: t["plan"].update(buy_sensors=True)),
    ("no-writer", lambda t: (t.update(writer=[{"id": "w", "can": ["given"]}]), t.update(blank=[{"family": "f", "count": 9}]))),
)  # fmt: skip


@pytest.mark.parametrize(("kind", "change"), CHANGES, ids=[k for k, _ in CHANGES])
def test_changing_a_fact_of_the_conflict_makes_a_plan_possible(kind: str, change: Any) -> None:
    table = deadlock()
    assert kind in kinds(plan_of(table))
    change(table)
    assert plan_of(table).possible


def test_the_conflict_found_by_hitting_sets_is_no_larger_than_one_found_by_leaving_out() -> None:
    garage = in_order(garage_of(deadlock()))
    end = horizon_end(garage, DAY)
    model = PlanModel(problem(garage, DAY, end, spells(garage, DAY, end), loosened=True), loosened=True)
    smallest, shrunk = smallest_conflict(model), _shrunk(model, ())
    assert 0 < len(smallest) <= len(shrunk)
    assert model.fewest_dropped(shrunk) is None
    assert all(model.fewest_dropped([f for f in shrunk if f != fact]) for fact in shrunk)


def test_too_little_room_is_a_conflict_of_its_own() -> None:
    table = bare_table()
    table["place"][1]["room"] = 0
    plan = plan_of(table)
    assert not plan.possible
    assert kinds(plan) == {"room", "stay"}
    assert any(words(f.text) == "away has room for 0 sets" for f in plan.conflict)
    table["stay"] = [{**s, "or_at": ["home"]} if "at" in s else s for s in table["stay"]]
    again = plan_of(table)
    assert again.possible
    assert {p.place for p in again.picked} == {"home"}


def test_selling_a_set_whose_ids_live_on_is_refused() -> None:
    table = bare_table()
    for n in range(1, 5):
        row(table, "sensor", f"s B{n}").update(printed=f"A100000{n}", writing="fixed")
        row(table, "sensor", f"s A{n}")["writing"] = "fixed"
    row(table, "set", "A")["sold"] = date(2028, 4, 2)
    table["plan"] = {"buy_sensors": False}
    plan = plan_of(table)
    assert not plan.possible
    assert "sold" in kinds(plan)
    assert any("A is sold on 2028-04-02" in words(f.text) for f in plan.conflict)
    del row(table, "set", "A")["sold"]
    assert plan_of(table).possible
