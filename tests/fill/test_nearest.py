"""How far the lamp is from the tyre that is nearest to it, held against figures worked out by hand."""

from __future__ import annotations

from typing import Any

import pytest

from garages import DAY, Table, bare_table, demo_table, garage_of
from wheelside.fill.card import air_card
from wheelside.fill.nearest import Nearest, nearest_lamp
from wheelside.garage.words import Corner


def nearest(table: Table, car: str = "car", wheel_set: str = "A") -> Nearest | None:
    garage = garage_of(table)
    return nearest_lamp(garage.cars[car], air_card(garage, garage.cars[car], garage.sets[wheel_set], DAY))


def bare(car: dict[str, Any] | None = None, **conditions: Any) -> Table:
    table = bare_table()
    table["conditions"] = {"tyre_temperature": "20 °C", "temperature_of_use": "20 °C", **conditions}
    table["car"][0] |= car or {}
    if table["car"][0]["monitor"] != "direct":
        for key in ("family", "remembers_sets", "taught_by", "holds", "corner_aware", "spare_counted"):
            del table["car"][0][key]
    return table


def found(near: Nearest | None) -> Nearest:
    assert near is not None
    return near


@pytest.mark.pinned
def test_the_winter_set_is_nearest_at_the_rear() -> None:
    """Label 2.2: 2.20 at -9 °C, limit 1.65. At -15 °C: 319.9 kPa x 258.15/264.15 - 99.9 = 212.7, the gauge shows 5 more; four weeks lose
    6.9 x 0.92 x 258.15/294.15 = 5.6 of that."""
    near = found(nearest(demo_table(), "estate", "winter"))
    assert near.corners == (Corner.REAR_LEFT, Corner.REAR_RIGHT)
    assert near.wheels == ("W3", "W4")
    assert (near.own, near.all_alike, near.later_due) == (True, False, False)
    assert near.above.kpa == pytest.approx(55, abs=0.01)
    assert near.limit.kpa == pytest.approx(170, abs=0.01)
    assert near.reads.kpa == pytest.approx(225, abs=0.01)
    assert near.later.kpa == pytest.approx(212.2, abs=0.1)


def test_without_a_rule_of_its_own_the_earliest_that_may_be_the_cars_counts() -> None:
    """240 kPa stands 60 above the 180 of 49 CFR 571.138 and, cold, 49.3 above UN R141: see the lamp's tests."""
    assert found(nearest(bare())).above.kpa == pytest.approx(49.3, abs=0.1)
    assert found(nearest(bare({"standard": "49 CFR 571.138"}))).above.kpa == pytest.approx(60)
    assert not found(nearest(bare())).own
    assert found(nearest(bare({"warns_at": "2.1 bar"}))).above.kpa == pytest.approx(30)


def test_all_alike_are_named_by_no_corner_and_a_spare_that_is_not_counted_is_left_out() -> None:
    table = bare()
    assert found(nearest(table)).all_alike
    table["car"][0]["placard"][0]["rear"] = "2.6 bar"
    assert found(nearest(table)).corners == (Corner.FRONT_LEFT, Corner.FRONT_RIGHT)


def test_cold_and_loss_bring_it_below_its_limit() -> None:
    due = bare({"warns_at": "20 % below placard", "standard": "49 CFR 571.138"}, coldest="-19 °C", warmest="20 °C")
    assert not found(nearest(due)).later_due
    due["conditions"]["next_check"] = "4 weeks"
    near = found(nearest(due))
    assert near.later_due
    assert near.later.kpa < 192 < near.reads.kpa


@pytest.mark.parametrize("monitor", ["indirect", "none"])
def test_a_car_that_knows_no_pressures_has_no_such_line(monitor: str) -> None:
    assert nearest(bare({"monitor": monitor})) is None
