"""The air card. Scenarios computed by hand are pinned; the formula itself is held by the gas-law tests."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from garages import DAY, Table, bare_table, garage_of
from spoken import words
from wheelside.air.gas import gauge_elsewhere
from wheelside.fill.bounds import wanted
from wheelside.fill.card import AirCard, air_card, expanded, uncertainty
from wheelside.fill.situation import Situation, situation
from wheelside.finding import Weight
from wheelside.units import GaugePressure, UnitChoice, read_gauge_pressure


def table_with(**conditions: Any) -> Table:
    table = bare_table()
    table["conditions"] = {"tyre_temperature": "20 °C", "temperature_of_use": "-12 °C", **conditions}
    return table


def card_of(table: Table) -> AirCard:
    garage = garage_of(table)
    return air_card(garage, garage.cars["car"], garage.sets["A"], DAY)


def codes(card: AirCard, weight: Weight | None = None) -> set[str]:
    return {f.code for f in card.findings if weight in (None, f.weight)}


@pytest.mark.pinned
def test_warm_garage_cold_street() -> None:
    """2.4 bar in use at -12 °C is 2.82 bar in a garage at 20 °C; set to 2.4 there it would be 2.03 outside."""
    card = card_of(table_with())
    assert [round(w.set_to.kpa / 100, 2) for w in card.wheels] == [2.82] * 4
    s = card.situation
    assert s is not None
    outside = gauge_elsewhere(GaugePressure(240), s.now, s.air_here, s.use, s.air_there)
    assert outside.kpa == pytest.approx(203, abs=0.5)


@pytest.mark.pinned
def test_alpine_morning() -> None:
    """33 psi set at 20 °C at sea level, 2 psi lost, then 1800 m and -18 °C: a fixed-offset dash shows 25.1, a gauge 28.0."""
    psi = read_gauge_pressure("1 psi").kpa
    table = table_with(temperature_of_use="-18 °C", height_here="0 m", height_there="1800 m")
    table["car"][0] |= {"dash_shows": True, "dash_offset": "101.325 kPa"}
    s = situation(garage_of(table), garage_of(table).cars["car"])
    assert isinstance(s, Situation)
    there = gauge_elsewhere(GaugePressure(31 * psi), s.now, s.air_here, s.use, s.air_there)
    assert there.kpa / psi == pytest.approx(28.0, abs=0.05)
    assert there.absolute(s.air_there).kpa / psi == pytest.approx(39.8, abs=0.05)
    assert (there.absolute(s.air_there).kpa - 101.325) / psi == pytest.approx(25.1, abs=0.06)


def test_the_dash_with_a_fixed_offset_and_the_gauge_part_with_height() -> None:
    table = table_with(height_here="0 m", height_there="2000 m")
    table["car"][0] |= {"dash_shows": True, "dash_offset": "101.325 kPa"}
    reads = card_of(table).wheels[0].reads
    assert reads.dash_here is not None
    assert reads.dash_there is not None
    assert reads.dash_here.kpa == pytest.approx(reads.gauge_here.kpa)
    assert reads.gauge_there.kpa - reads.dash_there.kpa == pytest.approx(21.8, abs=0.1)  # standard air, 2000 m


def test_the_placard_is_the_floor_when_going_somewhere_warmer() -> None:
    card = card_of(table_with(tyre_temperature="0 °C", temperature_of_use="25 °C"))
    wheel = card.wheels[0]
    assert wheel.set_to == read_gauge_pressure("2.4 bar")
    assert wheel.limited_by == "placard"
    assert wheel.reads.gauge_there.kpa > 260
    assert "placard-floor" in codes(card)


def test_the_placard_is_the_floor_when_going_higher() -> None:
    card = card_of(table_with(temperature_of_use="20 °C", height_here="0 m", height_there="2500 m"))
    assert card.wheels[0].set_to == read_gauge_pressure("2.4 bar")
    assert card.wheels[0].reads.gauge_there.kpa == pytest.approx(240 + 26.6, abs=0.1)


def test_the_marked_maximum_is_the_ceiling() -> None:
    table = table_with()
    for tyre in table["tyre"]:
        tyre["max_pressure"] = "2.7 bar"
    card = card_of(table)
    assert card.wheels[0].set_to.kpa == pytest.approx(270)
    assert card.wheels[0].limited_by == "maximum"
    assert "over-maximum" in codes(card, Weight.WARNING)


def test_the_maximum_holds_at_the_warmest_cold_reading_to_come() -> None:
    """Right at -12 °C, a tyre reads 3.01 bar once it stands cold at 35 °C: a maximum of 3.0 bar forbids it, of 3.1 not."""
    table = table_with(warmest="35 °C", coldest="-15 °C")
    for tyre in table["tyre"]:
        tyre["max_pressure"] = "3.0 bar"
    card = card_of(table)
    assert card.wheels == ()
    assert "over-maximum" in codes(card, Weight.FORBIDDEN)
    for tyre in table["tyre"]:
        tyre["max_pressure"] = "3.1 bar"
    assert [w.limited_by for w in card_of(table).wheels] == [""] * 4


def test_a_figure_below_the_placard_is_never_given() -> None:
    """A cold tyre of 40 °C would pass the maximum unless it were set far below the placard now: nothing is set."""
    table = table_with(tyre_temperature="0 °C", temperature_of_use="10 °C", warmest="40 °C")
    for tyre in table["tyre"]:
        tyre["max_pressure"] = "2.5 bar"
    assert card_of(table).wheels == ()


def test_a_setting_near_its_maximum_is_pointed_out() -> None:
    table = table_with()
    for tyre in table["tyre"]:
        tyre["max_pressure"] = "2.83 bar"
    assert "near-maximum" in codes(card_of(table))
    assert "near-maximum" not in codes(card_of(table_with()))


def test_the_lamp_may_be_due_by_cold_and_loss_together() -> None:
    """At -19 °C it reads 194.6 kPa, above the 192 of its rule; with four weeks of loss, up to 5.5 kPa, no more."""
    table = table_with(temperature_of_use="20 °C", coldest="-19 °C", warmest="20 °C", next_check="4 weeks")
    table["car"][0]["warns_at"] = "20 % below placard"
    table["car"][0]["standard"] = "49 CFR 571.138"
    assert "lamp-soon" in codes(card_of(table), Weight.WARNING)
    table["conditions"]["next_check"] = "1 day"
    assert "lamp-soon" not in codes(card_of(table))


def test_the_placard_as_a_setting_is_as_sure_as_the_gauge() -> None:
    card = card_of(table_with(tyre_temperature="0 °C", temperature_of_use="25 °C"))
    assert [p.source for p in card.wheels[0].parts] == ["gauge"]


def test_ratings_are_held_though_the_placard_lacks_the_size() -> None:
    table = table_with()
    table["car"][0]["load_index"] = 110
    table["tyre"][0]["designation"] = "205/65 R16C 107/105T"
    assert {"load-index", "no-size-row"} <= codes(card_of(table))


def test_van_and_p_metric_tyres_are_not_reckoned_by_the_wrong_rule() -> None:
    table = table_with()
    table["car"][0]["placard"][0] |= {"tyre": "215/65 R16C 109/107T", "front": "3.4 bar", "rear": "3.4 bar"}
    for tyre in table["tyre"]:
        tyre |= {"designation": "215/65 R16C 107/105T", "max_pressure": "4.75 bar"}
    card = card_of(table)
    assert "unlike-tyre" in codes(card, Weight.ASK)
    assert not codes(card, Weight.FORBIDDEN)


def test_the_thermometer_is_corrected_for_its_bias() -> None:
    table = table_with(thermometer="t")
    table["instrument"] = [{"id": "t", "kind": "thermometer", "temperature_bias": "2 °C", "temperature_spread": "1 °C"}]
    s = card_of(table).situation
    assert s is not None
    assert s.now.celsius == pytest.approx(18)
    assert s.spread_now.half_width == pytest.approx(1)


def test_the_gauge_in_hand_shows_its_bias_there_too_and_the_dash_its_steps() -> None:
    table = table_with(gauge="g")
    table["instrument"] = [{"id": "g", "kind": "gauge", "pressure_bias": "0.05 bar"}]
    table["car"][0] |= {"dash_shows": True, "dash_offset": "101.325 kPa", "dash_step": "0.1 bar"}
    reads = card_of(table).wheels[0].reads
    assert (reads.gauge_there - reads.true_there).kpa == pytest.approx(5)
    assert reads.dash_here is not None
    assert reads.dash_here.kpa == pytest.approx(280)


def test_the_rim_counts_as_the_tyre_does() -> None:
    table = table_with()
    table["rim"] = [{"id": "r", "max_pressure": "2.6 bar"}]
    table["wheel"][0]["joined"][0]["rim"] = "r"
    card = card_of(table)
    assert [w.set_to.kpa for w in card.wheels] == [pytest.approx(260), *[pytest.approx(281.8, abs=0.1)] * 3]


def test_a_maximum_below_the_placard_forbids() -> None:
    table = table_with()
    for tyre in table["tyre"]:
        tyre["max_pressure"] = "2.3 bar"
    assert "over-maximum" in codes(card_of(table), Weight.FORBIDDEN)


def test_an_unknown_maximum_is_asked_for() -> None:
    table = table_with()
    del table["tyre"][0]["max_pressure"]
    card = card_of(table)
    assert "no-maximum" in codes(card, Weight.ASK)
    assert card.wheels[0].highest is None


def test_a_hot_tyre_gets_no_figure() -> None:
    card = card_of(table_with(tyres="hot"))
    assert card.wheels == ()
    assert codes(card, Weight.FORBIDDEN) == {"hot-tyre"}
    assert "three hours" in words(card.findings[0].way_out)


@pytest.mark.parametrize(
    ("key", "code"), [("tyre_temperature", "no-tyre-temperature"), ("temperature_of_use", "no-temperature-of-use")]
)
def test_a_missing_temperature_is_asked_for_not_guessed(key: str, code: str) -> None:
    table = table_with()
    del table["conditions"][key]
    card = card_of(table)
    assert card.wheels == ()
    assert codes(card) == {code}


def test_an_unnamed_load_is_asked_for() -> None:
    table = table_with()
    table["car"][0]["placard"].append({"tyre": "205/55 R16 91V", "load": "full", "front": "2.6 bar", "rear": "3.0 bar"})
    assert "which-load" in codes(card_of(table), Weight.ASK)
    table["conditions"]["load"] = "FULL"
    assert card_of(table).wheels[2].target.placard == read_gauge_pressure("3.0 bar")


def test_a_size_that_the_placard_lacks_is_not_guessed() -> None:
    table = table_with()
    table["tyre"][0]["designation"] = "195/65 R15 91V"
    card = card_of(table)
    assert "no-size-row" in codes(card)
    assert len(card.wheels) == 3


@pytest.mark.published
def test_an_extra_load_tyre_of_higher_index_is_raised_to_carry_the_same() -> None:
    """94 XL against 91 SL at 250 kPa: about 10 kPa more (ETRTO exponent 0.8, from memory)."""
    table = table_with(temperature_of_use="20 °C")
    table["car"][0]["placard"][0]["front"] = "2.5 bar"
    for tyre in table["tyre"]:
        tyre["designation"] = "205/55 R16 94V XL"
    card = card_of(table)
    assert card.wheels[0].target.pressure.kpa == pytest.approx(260.5, abs=0.5)
    assert card.wheels[0].target.placard == read_gauge_pressure("2.5 bar")
    assert "raised" in codes(card)


def test_too_low_an_index_is_forbidden() -> None:
    table = table_with()
    table["car"][0]["load_index"] = 92
    assert "load-index" in codes(card_of(table), Weight.FORBIDDEN)


def test_just_the_required_index_and_symbol_do() -> None:
    table = table_with()
    table["car"][0] |= {"load_index": 91, "speed_symbol": "V"}
    assert not codes(card_of(table)) & {"load-index", "speed-symbol"}


def test_the_height_of_the_place_counts_where_no_other_is_given() -> None:
    table = table_with()
    table["place"][0]["height"] = "1500 m"
    s = card_of(table).situation
    assert s is not None
    assert s.air_here.kpa == pytest.approx(84.556, abs=0.01)  # standard air, 1500 m
    assert s.air_there == s.air_here


def test_a_tyre_that_never_carries_the_placards_load_is_forbidden() -> None:
    table = table_with()
    table["tyre"][0]["designation"] = "205/55 R16 87V"
    table["car"][0]["placard"][0]["front"] = "2.5 bar"
    assert "load-capacity" in codes(card_of(table), Weight.FORBIDDEN)


@pytest.mark.parametrize(("season", "weight"), [("summer", Weight.FORBIDDEN), ("winter", Weight.WARNING)])
def test_too_slow_a_tyre_depends_on_the_season(season: str, weight: Weight) -> None:
    table = table_with()
    table["car"][0]["speed_symbol"] = "W"
    for tyre in table["tyre"]:
        tyre["season"] = season
    assert "speed-symbol" in codes(card_of(table), weight)


def test_the_gauge_in_hand_is_corrected_for_its_bias() -> None:
    table = table_with(gauge="g")
    table["instrument"] = [{"id": "g", "kind": "gauge", "pressure_bias": "0.05 bar", "pressure_spread": "0.03 bar"}]
    wheel = card_of(table).wheels[0]
    assert (wheel.gauge_shows - wheel.set_to).kpa == pytest.approx(5.0)


@pytest.mark.published
def test_uncertainty_is_that_of_a_simulation() -> None:
    """JCGM 101 (propagation by Monte Carlo): 200 000 draws from the same rectangular inputs agree within 3 %."""
    import random

    s = card_of(table_with()).situation
    assert s is not None
    rng = random.Random(5)
    in_use = 240.0
    air = s.air_there.kpa

    def draw() -> float:
        now = s.now.kelvin + rng.uniform(-1, 1) * s.spread_now.half_width
        use = s.use.kelvin + rng.uniform(-1, 1) * s.spread_use.half_width
        there = air + rng.uniform(-1, 1) * s.spread_air_there.half_width
        here = air + rng.uniform(-1, 1) * s.spread_air_here.half_width
        return (in_use + there) * now / use - here + rng.uniform(-1, 1) * s.spread_gauge.half_width

    values = [draw() for _ in range(200_000)]
    mean = sum(values) / len(values)
    spread = math.sqrt(sum((v - mean) ** 2 for v in values) / len(values))
    assert expanded(uncertainty(s, GaugePressure(in_use))).kpa == pytest.approx(2 * spread, rel=0.03)
    assert mean == pytest.approx(wanted(s, GaugePressure(in_use)).kpa, abs=0.1)


def test_each_input_adds_its_part() -> None:
    parts = {p.source: p.standard.kpa for p in card_of(table_with()).wheels[0].parts}
    assert set(parts) == {
        "tyre temperature now",
        "temperature of use",
        "gauge",
        "air pressure here",
        "air pressure there",
    }
    tighter = card_of(table_with(tyre_temperature_spread="1 °C")).wheels[0]
    assert tighter.spread < card_of(table_with()).wheels[0].spread


@given(st.integers(-25, 35), st.integers(-25, 35), st.integers(0, 2500), st.integers(0, 2500))
def test_a_setting_is_never_below_the_placard_nor_above_the_maximum(now: int, use: int, here: int, there: int) -> None:
    card = card_of(table_with(
        tyre_temperature=f"{now} °C", temperature_of_use=f"{use} °C", height_here=f"{here} m", height_there=f"{there} m",
    ))  # fmt: skip
    s = card.situation
    assert s is not None
    for wheel in card.wheels:
        assert 240 - 1e-9 <= wheel.set_to.kpa <= 350 + 1e-9
        for t in (s.coldest, s.warmest):
            reads = gauge_elsewhere(wheel.set_to, s.now, s.air_here, t, s.air_there)
            assert reads.kpa <= 350 + 1e-6
        if not wheel.limited_by:
            assert wheel.reads.gauge_there.kpa == pytest.approx(240)


def test_an_indirect_car_gets_pressures_too() -> None:
    table = table_with()
    table["car"][0] = {k: v for k, v in table["car"][0].items() if k in ("id", "placard", "stands_at")} | {
        "monitor": "indirect"
    }
    assert len(card_of(table).wheels) == 4
    assert card_of(table).wheels[0].lamp
    table["car"][0]["monitor"] = "none"
    assert card_of(table).wheels[0].lamp == ()


def test_texts_are_in_the_units_of_the_person() -> None:
    table = table_with(tyre_temperature="0 °C", temperature_of_use="25 °C")
    table["units"] = {"pressure": "psi", "decimal_mark": ","}
    reads = UnitChoice(pressure="psi", decimal_mark=",")
    text = words(next(f.text for f in card_of(table).findings if f.code == "placard-floor"), reads)
    assert "34,8 psi" in text
    assert "kPa" not in text


@pytest.mark.published
@pytest.mark.parametrize(("index", "forbidden"), [(85, True), (86, False), (87, False)])
def test_two_tyres_bear_the_axle(index: int, forbidden: bool) -> None:
    """A worked German reading of the rule: with 1060 kg on the axle index 87 (2 x 545 kg) is enough by 30 kg."""
    table = table_with()
    table["car"][0]["axle_load_front"] = "1060 kg"
    for tyre in table["tyre"]:
        tyre["designation"] = f"205/55 R16 {index}V"
    assert ("capacity" in codes(card_of(table), Weight.FORBIDDEN)) is forbidden


def test_the_rim_bears_its_half_of_the_axle() -> None:
    table = table_with()
    table["car"][0]["axle_load_rear"] = "1200 kg"
    table["rim"] = [{"id": "r", "max_load": "590 kg"}]
    table["wheel"][3]["joined"][0]["rim"] = "r"
    found = [f for f in card_of(table).findings if f.code == "rim-load"]
    assert [words(f.about) for f in found] == ["rear right, wheel A4"]
    table["car"][0]["axle_load_rear"] = "1180 kg"
    assert "rim-load" not in codes(card_of(table))
