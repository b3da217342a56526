"""From when the lamp must be lit."""

from __future__ import annotations

import pytest

from garages import DAY, bare_table, garage_of
from wheelside.air.gas import gauge_elsewhere
from wheelside.fill.card import AirCard, air_card
from wheelside.fill.lamp import own_limit, tyre_class
from wheelside.garage.kinds import WarningRule
from wheelside.tyre.sidewall import read_designation
from wheelside.units import GaugePressure, Share, read_gauge_pressure


def card(placard: str = "2.4 bar", warns_at: str | None = None) -> AirCard:
    table = bare_table()
    table["conditions"] = {"tyre_temperature": "20 °C", "temperature_of_use": "20 °C"}
    table["car"][0]["placard"][0] |= {"front": placard, "rear": placard}
    if warns_at:
        table["car"][0]["warns_at"] = warns_at
    garage = garage_of(table)
    return air_card(garage, garage.cars["car"], garage.sets["A"], DAY)


@pytest.mark.published
def test_limits_at_a_placard_of_240_kpa() -> None:
    """49 CFR 571.138: 180 kPa; UN R141 by its draft: 211.2 kPa of a warm tyre."""
    limits = {d.rule: d.limit.kpa for d in card().wheels[0].lamp}
    assert limits["49 CFR 571.138"] == pytest.approx(180)
    assert limits["UN R141, floor as gauge"] == pytest.approx(211.2)
    assert limits["UN R141, floor as absolute"] == pytest.approx(211.2)


def test_both_readings_of_the_un_floor_are_shown() -> None:
    limits = {d.rule: d.limit.kpa for d in card("1.6 bar").wheels[0].lamp}
    assert limits["UN R141, floor as gauge"] == pytest.approx(150)
    assert limits["UN R141, floor as absolute"] == pytest.approx(140.8)


def test_at_the_stated_temperature_the_tyre_reads_the_limit() -> None:
    made = card()
    s = made.situation
    assert s is not None
    for due in made.wheels[0].lamp:
        assert due.tyre_temperature is not None
        reads = gauge_elsewhere(made.wheels[0].set_to, s.now, s.air_here, due.tyre_temperature, s.air_there)
        assert reads.kpa == pytest.approx(due.limit.kpa)


@pytest.mark.published
def test_a_healthy_tyre_takes_more_than_half_a_year() -> None:
    """240 to 180 kPa at 6.9 and 3.4 kPa a month (Tire Sci. Technol. 13(1)): 8.7 to 17.6 months at 21 °C."""
    weeks = card().wheels[0].lamp[0].weeks
    assert weeks is not None
    assert weeks.soonest / (365.25 / 12 / 7) == pytest.approx(8.7, abs=0.1)
    assert weeks.latest / (365.25 / 12 / 7) == pytest.approx(17.7, abs=0.1)


@pytest.mark.pinned
def test_a_clone_of_the_other_label_warns_too_late() -> None:
    """Labels 2.3 and 2.6 bar: 75 % of the wrong one is 1.73 instead of 1.95 bar, 0.22 bar too late."""
    rule = WarningRule(share=Share(0.25), of="placard")
    wrong = own_limit(rule, read_gauge_pressure("2.3 bar"), GaugePressure(0))
    right = own_limit(rule, read_gauge_pressure("2.6 bar"), GaugePressure(0))
    assert wrong.kpa == pytest.approx(172.5)
    assert right.kpa == pytest.approx(195)


@pytest.mark.pinned
def test_a_stored_reference_is_what_was_set_not_what_it_reads_outside() -> None:
    """2.82 bar stored in a warm garage for 2.4 at -12 °C: 20 % below is 225 kPa."""
    table = bare_table()
    table["conditions"] = {"tyre_temperature": "20 °C", "temperature_of_use": "-12 °C"}
    table["car"][0]["warns_at"] = "20 % below reference"
    garage = garage_of(table)
    made = air_card(garage, garage.cars["car"], garage.sets["A"], DAY)
    assert made.wheels[0].lamp[-1].limit.kpa == pytest.approx(0.8 * 281.8, abs=0.1)


@pytest.mark.parametrize(
    ("rule", "kpa"), [("25 % below placard", 180), ("1.9 bar", 190), ("20 % below reference", 192)]
)
def test_the_cars_own_rule_is_added(rule: str, kpa: float) -> None:
    own = card(warns_at=rule).wheels[0].lamp[-1]
    assert own.rule == "the car's own rule"
    assert own.limit.kpa == pytest.approx(kpa)


def test_a_van_tyre_leaves_the_us_table_out() -> None:
    assert tyre_class(read_designation("215/65 R16C 109/107T")) is None


def test_a_car_that_goes_by_wheel_speed_has_limits_for_one_tyre_alone_and_no_times() -> None:
    """Cold and normal loss take all four alike, and hardly show in wheel speeds."""
    table = bare_table()
    table["conditions"] = {
        "tyre_temperature": "20 °C", "temperature_of_use": "20 °C", "coldest": "-40 °C", "next_check": "52 weeks",
    }  # fmt: skip
    table["car"][0]["warns_at"] = "25 % below placard"

    def made() -> AirCard:
        garage = garage_of(table)
        return air_card(garage, garage.cars["car"], garage.sets["A"], DAY)

    direct = made()
    assert "lamp-soon" in {f.code for f in direct.findings}
    table["car"][0] = {k: v for k, v in table["car"][0].items() if k in ("id", "placard", "stands_at", "warns_at")}
    table["car"][0]["monitor"] = "indirect"
    indirect = made()
    lamp = indirect.wheels[0].lamp
    assert [d.limit for d in lamp] == [d.limit for d in direct.wheels[0].lamp]
    assert {(d.tyre_temperature, d.weeks, d.lowest) for d in lamp} == {(None, None, None)}
    assert "lamp-soon" not in {f.code for f in indirect.findings}


def test_a_cold_limit_is_what_a_tyre_reads_that_is_at_its_limit_once_warm() -> None:
    """By hand: warm is (264 + 101.325) / (240 + 101.325) of 293.15 K, 211.2 there is 190.7 kPa here; cold rules as they are."""
    cold = {d.rule: d.cold_limit.kpa for d in card(warns_at="1.9 bar").wheels[0].lamp}
    assert cold["UN R141, floor as gauge"] == pytest.approx(190.67, abs=0.05)
    assert cold["49 CFR 571.138"] == pytest.approx(180)
    assert cold["the car's own rule"] == pytest.approx(190)


def test_warm_weeks_count_with_the_loss_of_a_warm_tyre() -> None:
    table = bare_table()
    table["conditions"] = {
        "tyre_temperature": "20 °C",
        "temperature_of_use": "20 °C",
        "coldest": "0 °C",
        "warmest": "20 °C",
    }
    weeks = []
    for warmest in ("20 °C", "32 °C"):
        table["conditions"]["warmest"] = warmest
        garage = garage_of(table)
        found = air_card(garage, garage.cars["car"], garage.sets["A"], DAY).wheels[0].lamp[0].weeks
        assert found is not None
        weeks.append(found.soonest)
    assert weeks[0] / weeks[1] == pytest.approx(10.3 / 6.9 * 294.15 / 305.15, rel=1e-6)
