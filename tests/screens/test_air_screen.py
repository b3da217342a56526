"""What the air card says of the lamp and of normal loss."""

from __future__ import annotations

from typing import Any

import pytest

from garages import DAY, Table, bare_table, demo_table, garage_of
from spoken import words
from wheelside.fill.card import air_card
from wheelside.screens.air import air_screen
from wheelside.screens.screen import Screen, Section, Sentence, ShownTable


def screen_of(table: Table, car: str = "car", wheel_set: str = "A") -> Screen:
    garage = garage_of(table)
    return air_screen(garage, air_card(garage, garage.cars[car], garage.sets[wheel_set], DAY))


def bare(car: dict[str, Any] | None = None, **conditions: Any) -> Table:
    table = bare_table()
    table["conditions"] = {"tyre_temperature": "20 °C", "temperature_of_use": "20 °C", **conditions}
    table["car"][0] |= car or {}
    if table["car"][0]["monitor"] != "direct":
        for key in ("family", "remembers_sets", "taught_by", "holds", "corner_aware", "spare_counted"):
            del table["car"][0][key]
    return table


def said(section: Section | None) -> tuple[str, ...]:
    assert section is not None
    return tuple(words(block.said) for block in section.blocks if isinstance(block, Sentence))


def grid(section: Section | None) -> list[list[str]]:
    assert section is not None
    (table,) = (block for block in section.blocks if isinstance(block, ShownTable))
    return [[words(cell) for cell in row.cells] for row in table.rows]


def everything(screen: Screen) -> str:
    return " ".join(text for part in screen.parts for text in said(part))


def lamp_line(table: Table, car: str = "car", wheel_set: str = "A") -> str:
    return said(screen_of(table, car, wheel_set).part("settings"))[-1]


@pytest.mark.pinned
def test_the_lamp_in_one_line() -> None:
    """Figures by hand: see the tests of what is nearest."""
    line = lamp_line(demo_table(), "estate", "winter")
    assert line == "Rear wheels: 0.55 bar above the lamp at -9 °C; after 4 weeks on a -15 °C morning still 2.12 bar."


@pytest.mark.parametrize(
    ("conditions", "line"),
    [
        ({}, "0.60 bar above the lamp at 20 °C."),
        (
            {"coldest": "0 °C", "warmest": "20 °C"},
            "0.60 bar above the lamp at 20 °C; on a 0 °C morning still 2.17 bar.",
        ),
        ({"next_check": "10 days"}, "0.60 bar above the lamp at 20 °C; after 10 days still 2.38 bar."),
        ({"next_check": "1 week"}, "0.60 bar above the lamp at 20 °C; after 1 week still 2.38 bar."),
        (
            {"coldest": "-30 °C", "warmest": "20 °C", "next_check": "4 weeks"},
            "0.60 bar above the lamp at 20 °C; after 4 weeks on a -30 °C morning 1.77 bar: it may be lit then.",
        ),
    ],
)
def test_the_line_says_what_is_known_of_the_time_to_come(conditions: dict[str, Any], line: str) -> None:
    assert lamp_line(bare({"warns_at": "1.8 bar", "standard": "49 CFR 571.138"}, **conditions)) == line


def test_a_standard_says_where_the_lamp_must_be_lit_not_where_it_is() -> None:
    assert lamp_line(bare({"standard": "49 CFR 571.138"})) == "0.60 bar above where the lamp must be lit at 20 °C."
    unknown = bare({"standard": "49 CFR 571.138"})
    del unknown["car"][0]["monitor"]
    assert lamp_line(unknown).startswith("If the car listens to sensors: 0.60 bar above where")


def test_a_lamp_that_may_be_lit_at_once_is_said_to_be() -> None:
    line = lamp_line(bare({"warns_at": "2.5 bar"}))
    assert line == "At 20 °C the lamp may be lit: they read 2.40 bar, and its limit is 2.50 bar."


def test_a_wheel_that_is_nearest_alone_is_named() -> None:
    table = bare({"warns_at": "2.0 bar"})
    table["car"][0]["placard"].append(
        {"tyre": "225/45 R17 91V", "load": "normal", "front": "2.3 bar", "rear": "2.3 bar"}
    )
    table["tyre"] = table.get("tyre", [])
    first = next(w for w in table["wheel"] if w["id"] == "A1")
    table["tyre"].append({"id": "odd", "designation": "225/45 R17 91V", "max_pressure": "3.5 bar"})
    first["joined"][0]["tyre"] = "odd"
    assert lamp_line(table).startswith("Front left, wheel A1: 0.30 bar above the lamp")


def test_one_row_for_limits_that_agree_and_the_table_behind_more() -> None:
    limits = screen_of(demo_table(), "estate", "winter").part("limits")
    assert limits is not None
    assert limits.folded
    assert [row[:2] + row[-1:] for row in grid(limits)] == [
        ["49 CFR 571.138, the car's own rule", "1.72 bar of a cold tyre", "front"],
        ["UN R141 (this car's)", "2.02 bar of a warm tyre", "front"],
        ["49 CFR 571.138, the car's own rule", "1.65 bar of a cold tyre", "rear"],
        ["UN R141 (this car's)", "1.94 bar of a warm tyre", "rear"],
    ]
    assert not any("floor of 150 kPa" in line for line in said(limits))


def test_readings_of_the_floor_that_part_have_a_row_each() -> None:
    table = bare()
    table["car"][0]["placard"][0] |= {"front": "1.6 bar", "rear": "1.6 bar"}
    limits = screen_of(table).part("limits")
    assert [row[:2] for row in grid(limits)] == [
        ["49 CFR 571.138", "1.40 bar of a cold tyre"],
        ["UN R141, floor as gauge", "1.50 bar of a warm tyre"],
        ["UN R141, floor as absolute", "1.41 bar of a warm tyre"],
    ]
    assert any("floor of 150 kPa" in line for line in said(limits))


def test_no_rate_is_called_a_leak_and_a_tyre_that_loses_is_held_against_its_fellows() -> None:
    """Normal loss by Tire Science and Technology 13(1); GAO-07-246R has up to 2 psi (13.8 kPa) a month as normal."""
    text = everything(screen_of(demo_table(), "estate", "winter"))
    assert "leak" not in text
    assert "3.4 to 6.9 kPa a month at 21 °C, about 10.3 at 32 °C" in text
    assert "faster than its fellows" in text
    assert "corrected for temperature" in text


def test_a_car_that_goes_by_wheel_speed_has_no_limits_in_pressures() -> None:
    screen = screen_of(bare({"monitor": "indirect", "standard": "UN R141", "warns_at": "25 % below reference"}))
    line = said(screen.part("settings"))[-1]
    for part in ("knows no pressures", "only warn while it rolls", "all four lose alike", "every month"):
        assert part in line
    assert screen.part("limits") is None
    assert "lamp" not in everything(screen)
    assert "lit" not in everything(screen).split()
    columns = next(b for b in screen.part("readings").blocks if isinstance(b, ShownTable)).columns  # type: ignore[union-attr]
    assert not any("dash" in words(column) for column in columns)


def test_a_car_that_does_not_watch_its_tyres_is_told_of() -> None:
    assert "does not watch its tyres" in lamp_line(bare({"monitor": "none"}))
