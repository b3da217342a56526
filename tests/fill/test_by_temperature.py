"""The figure to set follows the tyre's own temperature, held against the gas law written out by hand here."""

from __future__ import annotations

import random
from itertools import pairwise
from typing import Any

import pytest

from garages import DAY, Table, bare_table, demo_table, garage_of
from wheelside.fill.card import AirCard, air_card
from wheelside.sheet.ask import Curve
from wheelside.sheet.warmth import figure_at, shown_rows, table_of_card
from wheelside.units import Temperature

ZERO_C = 273.15


def table_with(**conditions: Any) -> Table:
    table = bare_table()
    table["conditions"] = {"height_here": "0 m", **conditions}
    return table


def card_of(table: Table) -> AirCard:
    garage = garage_of(table)
    return air_card(garage, garage.cars["car"], garage.sets["A"], DAY)


def curve(card: AirCard) -> Curve:
    return tuple((r.thermometer_shows, r.gauge_shows) for r in card.wheels[0].by_temperature)


def figure_kpa(rows: Curve, kelvin: float) -> float | None:
    """The kilopascals of a curve at a temperature."""
    found = figure_at(rows, Temperature(kelvin))
    return found.kpa if found else None


def by_hand(
    placard: float, at_c: float, use_c: float, air: tuple[float, float], most: float, warmest_c: float | None
) -> float:
    """Gay-Lussac in absolute pressures and kelvin; never below the placard, never over the marked maximum, now or later."""
    here, there = air
    at, use = at_c + ZERO_C, use_c + ZERO_C
    warmest = max(at, use) if warmest_c is None else max(warmest_c + ZERO_C, use)
    law = (placard + there) * at / use - here
    later = (most + there) * at / warmest - here
    return min(max(law, placard), most, later)


@pytest.mark.parametrize("seed", range(40))
def test_between_its_rows_the_table_is_the_gas_law_with_floor_and_ceiling(seed: int) -> None:
    rng = random.Random(seed)
    placard, most = rng.randrange(200, 300, 5), rng.randrange(310, 460, 10)
    now, use = rng.randrange(-25, 36), rng.randrange(-25, 36)
    warmest = rng.choice([None, rng.randrange(use, use + 25)])
    air = (rng.uniform(80, 103), rng.uniform(80, 103))
    more = {} if warmest is None else {"warmest": f"{warmest} °C"}
    table = table_with(
        tyre_temperature=f"{now} °C", temperature_of_use=f"{use} °C", air_here=f"{air[0]:.3f} kPa",
        air_there=f"{air[1]:.3f} kPa", **more,
    )  # fmt: skip
    table["car"][0]["placard"][0]["front"] = f"{placard} kPa"
    for tyre in table["tyre"]:
        tyre["max_pressure"] = f"{most} kPa"
    card = card_of(table)
    if not card.wheels:
        assert by_hand(placard, now, use, air, most, warmest) < placard
        return
    rows = curve(card)
    assert rows[0][0].kelvin <= now + ZERO_C <= rows[-1][0].kelvin
    rounded = round(air[0], 3), round(air[1], 3)
    for _ in range(60):
        kelvin = rng.uniform(rows[0][0].kelvin, rows[-1][0].kelvin)
        wanted = by_hand(placard, kelvin - ZERO_C, use, rounded, most, warmest)
        assert figure_kpa(rows, kelvin) == pytest.approx(wanted, abs=0.02), kelvin - ZERO_C
    assert figure_kpa(rows, now + ZERO_C) == pytest.approx(card.wheels[0].gauge_shows.kpa, abs=0.02)


@pytest.mark.parametrize("at", range(-35, 50, 7))
def test_a_row_is_what_a_card_for_that_temperature_says(at: int) -> None:
    rows = curve(card_of(table_with(tyre_temperature="17 °C", temperature_of_use="-9 °C")))
    other = card_of(table_with(tyre_temperature=f"{at} °C", temperature_of_use="-9 °C"))
    assert figure_kpa(rows, at + ZERO_C) == pytest.approx(other.wheels[0].gauge_shows.kpa, abs=1e-6)


@pytest.mark.pinned
def test_what_is_right_at_17_is_too_much_by_15_hundredths_at_5() -> None:
    """Front of the demo: 2.67 bar on its gauge at 17 °C, 2.52 at 5 °C."""
    garage = garage_of(demo_table())
    card = air_card(garage, garage.cars["estate"], garage.sets["winter"], DAY)
    rows = dict(shown_rows(curve(card), Temperature(17 + ZERO_C), garage.units.choice))
    assert (rows["17 °C"], rows["5 °C"]) == ("2.67 bar", "2.52 bar")


def test_where_no_figure_is_allowed_there_is_no_row() -> None:
    """With 2.5 bar marked, a tyre that may come to 20 °C can't be set to 2.4 bar much colder than that."""
    table = table_with(tyre_temperature="20 °C", temperature_of_use="20 °C", warmest="20 °C")
    for tyre in table["tyre"]:
        tyre["max_pressure"] = "2.5 bar"
    rows = curve(card_of(table))
    lowest = (240 + 101.325) / (250 + 101.325) * (20 + ZERO_C)
    assert rows[0][0].kelvin == pytest.approx(lowest, abs=0.02)
    assert figure_kpa(rows, lowest - 1) is None
    assert figure_kpa(rows, 60 + ZERO_C) is None


def test_the_rows_are_in_what_thermometer_and_gauge_in_hand_show() -> None:
    table = table_with(tyre_temperature="17 °C", temperature_of_use="-9 °C", thermometer="t", gauge="g")
    table["instrument"] = [
        {"id": "t", "kind": "thermometer", "temperature_bias": "2 °C"},
        {"id": "g", "kind": "gauge", "pressure_bias": "0.05 bar"},
    ]
    rows = curve(card_of(table))
    wanted = by_hand(240, 15, -9, (101.325, 101.325), 350, None) + 5
    assert figure_kpa(rows, 17 + ZERO_C) == pytest.approx(wanted, abs=1e-6)


def test_the_least_is_what_the_axles_load_needs() -> None:
    """Index 91 bears 615 kg at 250 kPa: half of 1060 kg needs 250 (530/615)^1.25 = 207.6 kPa in use, more when set warm."""
    table = table_with(tyre_temperature="17 °C", temperature_of_use="-9 °C")
    assert all(r.least is None for r in card_of(table).wheels[0].by_temperature)
    table["car"][0]["axle_load_front"] = "1060 kg"
    need = 250 * (530 / 615) ** 1.25
    for row in card_of(table).wheels[0].by_temperature:
        at = row.thermometer_shows.celsius
        wanted = (need + 101.325) * (at + ZERO_C) / (-9 + ZERO_C) - 101.325
        assert row.least is not None
        assert row.least.kpa == pytest.approx(min(wanted, row.gauge_shows.kpa), abs=1e-6)
    table["car"][0]["axle_load_front"] = "1220 kg"
    assert all(r.least is not None and r.least <= r.gauge_shows for r in card_of(table).wheels[0].by_temperature)


@pytest.mark.parametrize(("unit", "step", "planned"), [("°C", 5, "17 °C"), ("°F", 10, "63 °F")])
def test_a_person_reads_whole_steps_around_the_temperature_planned_for(unit: str, step: int, planned: str) -> None:
    table = table_with(tyre_temperature=planned, temperature_of_use="-9 °C", warmest="13 °C")
    table["units"] = {"temperature": unit}
    garage = garage_of(table)
    shown = table_of_card(card_of(table), garage.units.choice)
    found = [int(at.split()[0]) for at, _ in shown.rows]
    assert found == sorted(found)
    assert int(planned.split(maxsplit=1)[0]) in found
    assert all(t % step == 0 for t in found if t != int(planned.split(maxsplit=1)[0]))
    assert 6 <= len(found) <= 8
    assert shown.columns == ("front left, front right, rear left, rear right",)


def test_the_figures_rise_with_the_temperature() -> None:
    rows = curve(card_of(table_with(tyre_temperature="17 °C", temperature_of_use="-9 °C")))
    assert all(low[0] < high[0] and low[1].kpa <= high[1].kpa + 1e-9 for low, high in pairwise(rows))
