"""A temperature is asked for in the scale in which it is read: that of the garage, with either decimal mark."""

from __future__ import annotations

import pytest

from garages import DAY, Table, bare_table, garage_of
from wheelside.inquiry.climate import climate_query
from wheelside.inquiry.course import answered
from wheelside.inquiry.facts import WEATHER_KEYS, today_query
from wheelside.inquiry.given import once_more
from wheelside.inquiry.query import AnswerRefused, Gap, Occasion
from wheelside.units import UnitChoice, read_tyre_temperature

TODAY = "today/car"


def table_in(scale: str) -> Table:
    table = bare_table()
    table["units"] = {"temperature": scale, "decimal_mark": ","}
    return table


def gaps_in(scale: str) -> tuple[Gap, ...]:
    garage = garage_of(table_in(scale))
    return (*today_query(garage.car[0], garage.units.choice).gaps, *climate_query(garage).gaps)


@pytest.mark.parametrize(("scale", "examples"), [("°C", ["12", "0", "-2", "14"]), ("°F", ["54", "32", "28", "57"])])
def test_the_gap_names_the_scale_and_its_example_is_of_it(scale: str, examples: list[str]) -> None:
    assert [g.unit for g in gaps_in(scale)] == [scale] * 4
    assert [g.example for g in gaps_in(scale)] == examples


@pytest.mark.parametrize(("scale", "celsius"), [("°C", [53.5, -2.5]), ("°F", [11.9, -19.2])])
def test_a_bare_figure_is_of_the_scale_that_the_gap_names(scale: str, celsius: list[float]) -> None:
    given = {"pick": "false", "tyre_temperature": "53,5", "temperature_of_use": "−2,5"}
    made = answered(table_in(scale), TODAY, given, Occasion(DAY, UnitChoice(temperature=scale)))
    read = [read_tyre_temperature(made["conditions"][key]).celsius for key in WEATHER_KEYS]
    assert read == pytest.approx(celsius, abs=0.06)
    other = answered(
        table_in("°F"), TODAY, {**given, "tyre_temperature": "53,5 °C"}, Occasion(DAY, UnitChoice(temperature="°F"))
    )
    assert read_tyre_temperature(other["conditions"]["tyre_temperature"]).celsius == pytest.approx(53.5)


def test_what_is_refused_is_told_with_an_example_of_the_scale() -> None:
    given = {"pick": "false", "tyre_temperature": "warm", "temperature_of_use": "0"}
    with pytest.raises(AnswerRefused) as refused:
        answered(table_in("°F"), TODAY, given, Occasion(DAY, UnitChoice(temperature="°F")))
    assert refused.value.wrong == {"tyre_temperature": "write a figure, such as 54"}


def test_an_answer_that_is_given_once_more_is_asked_for_in_the_same_scale() -> None:
    table = table_in("°F")
    table["conditions"] = {"tyre_temperature": "50 °F"}
    query = once_more(garage_of(table), table, "top/conditions/tyre_temperature", DAY)
    assert query is not None
    assert [(g.unit, g.value) for g in query.gaps] == [("°F", "50 °F")]
