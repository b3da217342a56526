"""Who hears whom along the season line, as it is told to the owner."""

from __future__ import annotations

from datetime import date

import pytest

from garages import DAY, Table, bare_table, garage_of, row
from spoken import words
from wheelside.earshot.budget import RECEIVER_HAND, budget
from wheelside.earshot.report import Earshot, earshot
from wheelside.earshot.walls import wall
from wheelside.garage.season import horizon_end, spells
from wheelside.garage.words import Band, Heard


def report(table: Table) -> Earshot:
    garage = garage_of(table)
    return earshot(garage, spells(garage, DAY, horizon_end(garage, DAY)), DAY)


def far_table(distance: str = "60 m") -> Table:
    table = bare_table()
    table["path"] = [{"between": ["home", "away"], "distance": distance, "walls": ["brick"]}]
    return table


def test_each_whereabouts_is_told_once_with_its_first_day() -> None:
    heard = report(far_table()).heard
    assert [(h.what, h.since) for h in heard] == [("B", DAY), ("A", date(2026, 12, 1))]
    assert all(words(h.hearing.where) == "away, 60 m away behind brick" for h in heard)


def test_a_hand_held_receiver_is_told_by_its_own_need() -> None:
    found = report(far_table()).heard[0]
    alone = budget(Band.MHZ_433, 60.0, (wall("brick"),), receiver=RECEIVER_HAND).chance
    assert found.by_receiver == pytest.approx(alone)
    assert found.by_receiver is not None
    assert found.hearing.chance is not None
    assert found.by_receiver < found.hearing.chance


def test_sensors_silent_at_rest_are_told_as_such() -> None:
    table = far_table()
    for n in range(1, 5):
        row(table, "sensor", f"s B{n}")["at_rest"] = "silent"
    assert {h.what: h.silent for h in report(table).heard} == {"A": False, "B": True}


def test_distances_grow_with_caution_and_shrink_with_walls() -> None:
    far = report(far_table()).far
    assert all(row.half_m < row.tenth_m < row.hundredth_m for row in far)
    by_walls = {row.walls: row.hundredth_m for row in far}
    assert (
        by_walls[()]
        > by_walls[("brick",)]
        > by_walls[("concrete",)]
        > by_walls[("steel",)]
        > by_walls[("steel", "steel")]
    )
    assert not far[0].in_a_garden


def test_listening_is_advised_where_the_budget_leaves_it_open() -> None:
    table = far_table("400 m")
    unknown = report(table).listen
    assert {row.each for row in unknown} == {None}
    table["family"][0]["rest_interval"] = "1 h"
    known = report(table).listen[0]
    assert known.each is not None
    assert known.each.minutes == pytest.approx(8 * 60 / 4), "four wheels send eight bursts in two hours"
    assert report(far_table("20 km")).listen == ()
    assert {h.hearing.verdict for h in report(far_table("20 km")).heard} == {Heard.NO}


@pytest.mark.parametrize(("distance", "enough"), [("440 m", True), ("60 m", False)])
def test_as_many_spots_as_are_advised_are_enough(distance: str, enough: bool) -> None:
    """Near by no number is enough: a hand-held receiver hears less than a car."""
    table = far_table(distance)
    table["family"][0]["rest_interval"] = "1 h"
    advised = next(r for r in report(table).listen if r.set == "B")
    assert (advised.spots is not None) is enough
    if advised.spots is None or advised.each is None:
        return
    one = {"set": "B", "heard": False, "on": date(2026, 11, 1), "lasted": f"{advised.each.minutes:g} min"}
    for spots, verdict in ((advised.spots, Heard.NO), (advised.spots - 1, Heard.PERHAPS)):
        table["path"][0]["listened"] = [one] * spots
        found = next(h for h in report(table).heard if h.what == "B")
        assert found.hearing.verdict is verdict


def test_an_outing_is_told_of() -> None:
    table = far_table("20 km")
    table["outing"] = [{"cars": ["car"], "at": "away", "since": date(2027, 1, 5), "until": date(2027, 1, 9)}]
    told = {(h.what, h.since, h.hearing.verdict) for h in report(table).heard}
    assert ("A", date(2027, 1, 5), Heard.YES) in told


def test_what_is_not_known_about_paths_is_asked() -> None:
    table = far_table()
    table["path"][0]["walls"] = ["straw"]
    assert "wall" in {f.code for f in report(table).findings}
    table["path"] = [{"between": ["home", "away"]}]
    assert "distance" in {f.code for f in report(table).findings}
