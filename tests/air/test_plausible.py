"""Which figures of a wheel are asked about."""

from __future__ import annotations

from typing import Any

import pytest
from pint import UnitRegistry

from wheelside.air.atmosphere import standard_air
from wheelside.air.plausible import ABSOLUTE_LEAST_KPA, KPA, Oddness, fahrenheit_kelvin, odd_pressure, odd_temperature
from wheelside.units import Length

REAL = [
    (0, "kPa"), (0, "bar"), (0, "psi"), (95, "kPa"), (180, "kPa"), (240, "kPa"), (550, "kPa"), (1000, "kPa"), (0.3, "bar"), (0.7, "bar"),
    (2.4, "bar"), (10, "bar"), (15, "psi"), (35, "psi"), (80, "psi"), (145, "psi"),
]  # fmt: skip


@pytest.mark.parametrize(("figure", "unit"), REAL)
def test_a_pressure_that_a_wheel_can_have_is_not_asked_about(figure: float, unit: str) -> None:
    assert odd_pressure(figure, unit, absolute=False) is None


@pytest.mark.parametrize("figure", [1, 2.4, 3.5, 9, 10])
@pytest.mark.parametrize("unit", ["kPa", "psi"])
def test_a_figure_that_is_one_in_bar_is_asked_about_elsewhere(figure: float, unit: str) -> None:
    odd = odd_pressure(figure, unit, absolute=False)
    assert odd is not None
    assert (odd.why, "bar" in odd.meant) == (Oddness.OTHER_UNIT, True)


@pytest.mark.parametrize("figure", range(20, 81))
def test_a_figure_that_is_one_in_psi_is_asked_about_in_a_column_of_kpa_or_bar(figure: int) -> None:
    for unit in ("kPa", "bar"):
        odd = odd_pressure(figure, unit, absolute=False)
        assert odd is not None
        assert "psi" in odd.meant
    assert odd_pressure(240 + figure, "bar", absolute=False) is not None


@pytest.mark.parametrize("figure", range(1, 16))
def test_single_figures_in_a_column_of_kpa_are_asked_about(figure: int) -> None:
    assert odd_pressure(figure, "kPa", absolute=False) is not None


@pytest.mark.parametrize(
    ("figure", "unit", "why"),
    [(-1, "kPa", Oddness.TOO_LOW), (1001, "kPa", Oddness.TOO_HIGH), (146, "psi", Oddness.TOO_HIGH)],
)
def test_a_pressure_that_no_wheel_has_is_asked_about(figure: float, unit: str, why: Oddness) -> None:
    odd = odd_pressure(figure, unit, absolute=False)
    assert odd is not None
    assert odd.why is why


def test_an_absolute_pressure_is_not_below_that_of_the_air() -> None:
    odd = odd_pressure(3.4, "kPa", absolute=True)
    assert odd is not None
    assert (odd.why, odd.meant) == (Oddness.TOO_LOW, ("bar",))
    assert odd_pressure(89.9, "kPa", absolute=True) is not None
    assert odd_pressure(90, "kPa", absolute=True) is None
    assert odd_pressure(3.4, "bar", absolute=True) is None
    assert odd_pressure(1101, "kPa", absolute=True) is not None


@pytest.mark.published  # ISO 2533: 89 876 Pa at 1,000 m
def test_the_air_at_a_thousand_metres_has_what_the_limit_rests_on() -> None:
    assert standard_air(Length(1_000_000.0)).kpa == pytest.approx(ABSOLUTE_LEAST_KPA, abs=0.2)


@pytest.mark.parametrize(
    ("figure", "unit", "meant"),
    [(-51, "°C", ("°F",)), (151, "°C", ("°F",)), (290, "°C", ("°F",)), (-60, "°F", ()), (303, "°F", ())],
)
def test_a_temperature_that_no_wheel_has_is_asked_about(figure: float, unit: str, meant: tuple[str, ...]) -> None:
    odd = odd_temperature(figure, unit)
    assert odd is not None
    assert odd.meant == (("°F",) if unit == "°C" and -58 <= figure <= 302 else ())
    assert odd.meant == meant


def test_a_temperature_of_a_wheel_is_not_asked_about() -> None:
    assert all(odd_temperature(t, "°C") is None for t in (-50, 0, 20, 150))
    assert all(odd_temperature(t, "°F") is None for t in (-58, 0, 68, 302))


@pytest.mark.published  # pint, as an oracle for conversions
def test_units_are_what_they_are_elsewhere() -> None:
    units: Any = UnitRegistry()
    for name, factor in KPA.items():
        assert units.Quantity(1.0, name).to("kPa").magnitude == pytest.approx(factor, rel=1e-9)
    for figure in (-58.0, 0.0, 68.0, 302.0):
        assert units.Quantity(figure, units.degF).to("kelvin").magnitude == pytest.approx(fahrenheit_kelvin(figure))
