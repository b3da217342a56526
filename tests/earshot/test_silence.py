"""What listening says: something heard settles it, silence is weighed by the rest interval."""

from __future__ import annotations

from datetime import date
from random import Random
from typing import Any

import pytest

from garages import Table, bare_table, garage_of, plan_of, row
from wheelside.earshot.budget import RECEIVER_HAND, budget
from wheelside.earshot.hearing import heard_at
from wheelside.earshot.silence import BURST_MISSED, SPOT_DB, bursts, weighed
from wheelside.garage.model import Garage
from wheelside.garage.words import Band, Heard
from wheelside.identity.choice import IdChoice


def listening_table(distance: str = "700 m", times: int = 1, **changes: Any) -> Table:
    """The bare table with a path of some length along which was listened for set A, six hours each time."""
    table = bare_table()
    listened = {"set": "A", "heard": False, "lasted": "6 h", "on": date(2026, 3, 1), **changes}
    listened = {k: v for k, v in listened.items() if v is not None}
    table["path"] = [{"between": ["home", "away"], "distance": distance, "listened": [dict(listened)] * times}]
    table["family"][0]["rest_interval"] = "30 min"
    return table


def chance(garage: Garage, set_id: str = "A") -> float:
    found = heard_at(garage, garage.cars["car"], "away", None, set_id).chance
    assert found is not None
    return found


def test_bursts_are_counted_over_all_wheels() -> None:
    garage = garage_of(listening_table())
    assert bursts(garage, garage.path[0].listened[0]) == 4 * 12


def test_silence_is_weighed_as_by_drawing() -> None:
    """The same question by drawing levels: what share of those in which a receiver stays silent does the car hear?"""
    link = budget(Band.MHZ_433, 80.0)
    shared, car = link.terms[:-1], link.terms[-1]
    random, heard, silent = Random(4), 0, 0
    for _ in range(60_000):
        level = sum(random.gauss(t.db, t.spread_db) for t in shared)
        need = random.gauss(RECEIVER_HAND.db, RECEIVER_HAND.spread_db)
        caught = any(
            level + need + random.gauss(0, SPOT_DB) > 0 and random.random() > BURST_MISSED**sent for sent in (2.0, 0.5)
        )
        if not caught:
            silent += 1
            heard += level + random.gauss(car.db, car.spread_db) > 0
    assert weighed(link, (2.0, 0.5)) == pytest.approx(heard / silent, abs=0.01)


def test_no_silence_leaves_the_budget_as_it_is() -> None:
    link = budget(Band.MHZ_433, 80.0)
    assert weighed(link, ()) == link.chance
    assert weighed(link, (0.0,)) == pytest.approx(link.chance, abs=0.002), "nothing was sent meanwhile"


def test_silence_can_tell_no_more_than_the_receiver_could_have_heard() -> None:
    """At 60 m a hand-held receiver hears less than a car does: however long it is silent, the car may well hear."""
    link = budget(Band.MHZ_433, 60.0)
    assert weighed(link, (1000.0,) * 12) > 0.05


@pytest.mark.parametrize("change", [{"lasted": None}, {"on": None}, {"interval": None}])
def test_what_is_not_known_proves_nothing(change: dict[str, Any]) -> None:
    table = listening_table(**{k: v for k, v in change.items() if k != "interval"})
    if "interval" in change:
        del table["family"][0]["rest_interval"]
    garage = garage_of(table)
    assert bursts(garage, garage.path[0].listened[0]) is None
    assert chance(garage) == chance(garage, "B")


def test_silence_lowers_the_chance_for_the_set_listened_for_only() -> None:
    garage = garage_of(listening_table("100 m"))
    assert chance(garage) < 0.7 * chance(garage, "B")
    assert chance(garage_of(listening_table("100 m", times=2))) < chance(garage)


def test_a_short_silence_says_less_than_a_long_one() -> None:
    assert chance(garage_of(listening_table("100 m", lasted="1 min"))) > chance(
        garage_of(listening_table("100 m", lasted="3 h"))
    )


def test_what_was_heard_once_is_heard_whatever_the_budget_says() -> None:
    garage = garage_of(listening_table("5 km", heard=True))
    for set_id in ("A", "B"):
        assert heard_at(garage, garage.cars["car"], "away", None, set_id).verdict is Heard.YES


def test_one_silence_does_not_outweigh_a_near_place() -> None:
    garage = garage_of(listening_table("6 m", lasted="48 h"))
    assert heard_at(garage, garage.cars["car"], "away", None, "A").verdict is Heard.YES


def test_the_word_that_nothing_is_heard_is_doubted_where_the_budget_speaks_against_it() -> None:
    table = bare_table()
    table["path"][0]["distance"] = "6 m"
    garage = garage_of(table)
    hearing = heard_at(garage, garage.cars["car"], "away")
    assert hearing.verdict is Heard.PERHAPS
    assert hearing.heard
    assert "silence-doubted" in {f.code for f in plan_of(table).findings}
    table["path"][0]["distance"] = "5 km"
    garage = garage_of(table)
    assert heard_at(garage, garage.cars["car"], "away").verdict is Heard.NO


def test_listening_decides_a_plan() -> None:
    """Just too near by the budget a clone is not allowed beside sensors that can't be written, until silences have been noted."""
    table = listening_table("700 m", times=0)
    for n in range(1, 5):
        row(table, "sensor", f"s A{n}")["writing"] = "fixed"
    table["car"][0] |= {"taught_by": "locked"}
    del table["path"][0]["listened"]
    assert IdChoice.CLONE not in {w.choice for w in plan_of(table).wheels}
    silent = listening_table("700 m", times=3)
    silent["path"][0]["listened"] += [{**one, "set": "B"} for one in silent["path"][0]["listened"]]
    silent["car"][0] |= {"taught_by": "locked"}
    for n in range(1, 5):
        row(silent, "sensor", f"s A{n}")["writing"] = "fixed"
    assert IdChoice.CLONE in {w.choice for w in plan_of(silent).wheels}
