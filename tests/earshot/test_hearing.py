"""Who hears whom by what the owner states."""

from __future__ import annotations

from datetime import date

import pytest

from garages import bare_table, garage_of
from wheelside.earshot.hearing import heard_at, may_transmit, set_heard
from wheelside.garage.season import Spell
from wheelside.garage.words import AtRest


def spell(**where: str) -> Spell:
    given = {"on": None, "at": None, "riding_in": None, **where}
    return Spell(date(2026, 1, 1), date(2027, 1, 1), "A", given["on"], given["at"], given["riding_in"])


@pytest.mark.parametrize(("stated", "heard"), [("no", False), ("perhaps", True), ("yes", True), (None, True)])
def test_only_a_stated_no_is_silence(stated: str | None, heard: bool) -> None:
    table = bare_table()
    table["path"] = [{"between": ["away", "home"], **({"heard": stated} if stated else {})}]
    garage = garage_of(table)
    assert heard_at(garage, garage.cars["car"], "away").heard is heard


def test_unknown_places_and_paths_count_as_heard() -> None:
    table = bare_table()
    table["path"] = []
    garage = garage_of(table)
    assert heard_at(garage, garage.cars["car"], "away").heard
    assert heard_at(garage, garage.cars["car"], None).heard
    del table["car"][0]["stands_at"]
    garage = garage_of(table)
    assert heard_at(garage, garage.cars["car"], "home").heard


def test_a_set_where_the_car_stands_is_heard_whatever_is_stated() -> None:
    garage = garage_of(bare_table())
    assert heard_at(garage, garage.cars["car"], "home").heard


def test_sets_on_and_in_cars() -> None:
    table = bare_table()
    table["car"].append({"id": "other", "stands_at": "away", "monitor": "none"})
    garage = garage_of(table)
    car = garage.cars["car"]
    assert set_heard(garage, car, spell(on="car")).heard
    assert set_heard(garage, car, spell(riding_in="car")).heard
    assert not set_heard(garage, car, spell(on="other")).heard
    assert not set_heard(garage, car, spell(riding_in="other")).heard
    assert set_heard(garage, car, None).heard


def test_a_sensor_silent_at_rest_speaks_when_it_moves() -> None:
    assert not may_transmit(AtRest.SILENT, spell(at="home"))
    assert may_transmit(AtRest.SILENT, spell(riding_in="car"))
    assert may_transmit(AtRest.SILENT, spell(on="car"))
    assert may_transmit(AtRest.TRANSMITS, spell(at="home"))
    assert may_transmit(None, spell(at="home"))
    assert may_transmit(AtRest.SILENT, None)
