"""What listening says: something heard settles it, silence is weighed by the rest interval."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from garages import Table, bare_table, garage_of, plan_of
from wheelside.earshot.hearing import heard_at
from wheelside.earshot.silence import BURST_MISSED, DEAD_SPOT, bursts, silence_weight, weighed
from wheelside.garage.model import Garage
from wheelside.garage.words import Heard
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


def test_silence_is_weighed_as_by_hand() -> None:
    garage = garage_of(listening_table(lasted="15 min"))
    one = garage.path[0].listened[0]
    assert silence_weight(garage, one) == pytest.approx(DEAD_SPOT + (1 - DEAD_SPOT) * BURST_MISSED**2)
    before = 0.3
    silence = silence_weight(garage, one)
    assert weighed(garage, before, (one,)) == pytest.approx(before * silence / (before * silence + 0.7))


@pytest.mark.parametrize("change", [{"lasted": None}, {"on": None}, {"interval": None}])
def test_what_is_not_known_proves_nothing(change: dict[str, Any]) -> None:
    table = listening_table(**{k: v for k, v in change.items() if k != "interval"})
    if "interval" in change:
        del table["family"][0]["rest_interval"]
    garage = garage_of(table)
    assert silence_weight(garage, garage.path[0].listened[0]) == 1.0
    assert chance(garage) == chance(garage, "B")


def test_silence_lowers_the_chance_for_the_set_listened_for_only() -> None:
    garage = garage_of(listening_table())
    assert chance(garage) < 0.3 * chance(garage, "B")
    assert chance(garage_of(listening_table(times=2))) < 0.3 * chance(garage)


def test_a_short_silence_says_less_than_a_long_one() -> None:
    assert chance(garage_of(listening_table(lasted="10 min"))) > chance(garage_of(listening_table(lasted="3 h")))


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
    """Behind a far wall a clone is not allowed until two silences have been noted."""
    table = listening_table("550 m", times=0)
    table["car"][0] |= {"taught_by": "locked"}
    del table["path"][0]["listened"]
    assert IdChoice.CLONE not in {w.choice for w in plan_of(table).wheels}
    heard = listening_table("550 m", times=2)
    heard["path"][0]["listened"] += [{**row, "set": "B"} for row in heard["path"][0]["listened"]]
    heard["car"][0] |= {"taught_by": "locked"}
    assert IdChoice.CLONE in {w.choice for w in plan_of(heard).wheels}
