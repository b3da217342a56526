"""Tipping points: on this side the plan is the best, on that side another one is."""

from __future__ import annotations

import pytest

from garages import DAY, Table, bare_table, garage_of, plan_of
from wheelside.identity.costs import tariff
from wheelside.identity.plan import IdentityPlan
from wheelside.identity.tipping import MOST_TIMES, rate_names, tipping_points


def learned(table: Table) -> Table:
    table["car"][0]["taught_by"] = "step by step"
    return table


UNITS = {"money": 100.0, "minutes": 60.0, "share": 0.01, "years": 1.0}
KINDS = {
    "hour": "money", "sensor": "money", "kit": "money", "fitting": "money", "write": "minutes", "write_mounted": "minutes",
    "shop_trip": "minutes", "move": "minutes", "fault": "minutes", "pair_meets": "share", "write_wrong": "share",
    "teach_fails": "share", "sensor_life": "years",
}  # fmt: skip
WORDS = {"money": "EUR", "minutes": "min", "share": "%", "years": "years"}


def at(name: str, value: float) -> IdentityPlan:
    """The plan with one rate written into the file, in its own unit."""
    table = learned(bare_table())
    where = "odds" if KINDS[name] in ("share", "years") else "costs"
    table[where] = {name: f"{value / UNITS[KINDS[name]]:.4f} {WORDS[KINDS[name]]}"}
    return plan_of(table)


def choices(plan: IdentityPlan) -> list[tuple[str, str]]:
    return [(w.action.value, w.choice.value) for w in plan.wheels]


POINTS = tipping_points(garage_of(learned(bare_table())), DAY)


def test_there_are_points_to_speak_of() -> None:
    assert len(POINTS) >= 4
    assert {p.name for p in POINTS} <= set(rate_names(tariff(garage_of(bare_table()))))


@pytest.mark.parametrize("point", [p for p in POINTS if p.name in KINDS], ids=lambda p: f"{p.name} {p.factor:.2f}")
def test_the_plan_changes_just_there(point) -> None:  # type: ignore[no-untyped-def]
    step = 0.01 if point.factor > 1 else -0.01
    here = choices(plan_of(learned(bare_table())))
    near, far = (point.now * (point.factor + s) for s in (-step, step))
    if min(near, far) > 0:
        assert choices(at(point.name, near)) == here
        assert choices(at(point.name, far)) != here
    assert 0 <= point.factor <= MOST_TIMES
    assert point.changes


def test_where_nothing_is_possible_there_is_nothing_to_tip() -> None:
    table = bare_table()
    table["place"][1]["room"] = 0
    assert tipping_points(garage_of(table), DAY) == ()
