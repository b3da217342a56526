"""Quantities as people write them. Oracle for conversions: pint, a reference library."""

from __future__ import annotations

import contextlib

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheelside import units as u
from wheelside.errors import BadQuantity

ORACLE: pint.UnitRegistry[float] = pint.UnitRegistry()


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        ("36 psi", 36, "psi"), ("2,5 bar", 2.5, "bar"), ("250 kPa", 250, "kPa"), ("2.4 Bar", 2.4, "bar"),
        ("1 atm", 1, "atm"), ("2400 mbar", 2400, "mbar"), ("2.4kgf/cm2", 2.4, "kgf/cm**2"), ("0.24 MPa", 0.24, "MPa"),
        ("36psig", 36, "psi"), ("2.40 bar", 2.4, "bar"), ("2.400 bar", 2.4, "bar"), ("2 500 hPa", 2500, "hPa"),
        ("1.234,5 hPa", 1234.5, "hPa"), (".24 MPa", 0.24, "MPa"), ("2.4 bar (gauge)", 2.4, "bar"),
    ],
)  # fmt: skip
def test_gauge_pressures_convert_as_pint_has_it(text: str, value: float, unit: str) -> None:
    assert u.read_gauge_pressure(text).kpa == pytest.approx(ORACLE.Quantity(value, unit).m_as("kPa"), rel=1e-9)


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        ("-12 °C", -12, "degC"), ("10F", 10, "degF"), ("10 °F", 10, "degF"), ("\u221212 °C", -12, "degC"),
        ("\u20135,5 C", -5.5, "degC"), ("300 K", 300, "kelvin"), ("20 degC", 20, "degC"),
    ],
)  # fmt: skip
def test_temperatures_convert_as_pint_has_it(text: str, value: float, unit: str) -> None:
    assert u.read_temperature(text).kelvin == pytest.approx(ORACLE.Quantity(value, unit).m_as("kelvin"), rel=1e-9)


@pytest.mark.parametrize(
    ("text", "mm"),
    [("7/32 in", 7 / 32 * 25.4), ("5 mm", 5.0), ('7/32"', 7 / 32 * 25.4), ("7 32nds", 7 / 32 * 25.4), ("0,8 cm", 8.0)],
)
def test_tread_depths_are_read(text: str, mm: float) -> None:
    assert u.read_tread(text).mm == pytest.approx(mm)


@pytest.mark.parametrize(
    ("read", "text", "oracle"),
    [
        (lambda t: u.read_mass(t).kg, "2 337 lb", ORACLE.Quantity(2337, "lb").m_as("kg")),
        (lambda t: u.read_speed(t).km_h, "62 mph", ORACLE.Quantity(62, "mph").m_as("km/h")),
        (lambda t: u.read_torque(t).nm, "90 lb-ft", ORACLE.Quantity(90, "lbf*ft").m_as("N*m")),
        (lambda t: u.read_distance(t).mm, "20 ft", ORACLE.Quantity(20, "ft").m_as("mm")),
        (lambda t: u.read_driven(t).mm, "4500 mi", ORACLE.Quantity(4500, "mile").m_as("mm")),
        (lambda t: u.read_driven(t).mm, "7500 km", ORACLE.Quantity(7500, "km").m_as("mm")),
        (lambda t: u.read_duration(t).seconds, "2 h", 7200.0),
        (lambda t: u.read_share(t).fraction, "25 %", 0.25),
        (lambda t: u.read_temperature_span(t).kelvin, "9 °F", 5.0),
    ],
)
def test_other_quantities_convert_as_pint_has_it(read: object, text: str, oracle: float) -> None:
    assert callable(read)
    assert read(text) == pytest.approx(oracle, rel=1e-9)


@pytest.mark.parametrize(
    ("text", "offers"),
    [("36", ["36 psi"]), ("2.4", ["2.4 bar"]), ("250", ["250 kpa"]), ("7", ["'2.5 bar'"])],
)
def test_a_pressure_without_a_unit_is_refused_with_what_it_could_mean(text: str, offers: list[str]) -> None:
    with pytest.raises(BadQuantity) as caught:
        u.read_gauge_pressure(text)
    assert all(offer in caught.value.message for offer in offers)


@pytest.mark.parametrize("text", ["10", "10°", "10 deg"])
def test_a_temperature_without_a_scale_could_be_either(text: str) -> None:
    with pytest.raises(BadQuantity, match=r"°C or .* °F"):
        u.read_temperature(text)


def test_a_mark_that_can_be_decimal_or_thousands_is_refused_with_both_ways() -> None:
    with pytest.raises(BadQuantity) as caught:
        u.read_gauge_pressure("1,234 kPa")
    assert "'1.2340 kPa'" in caught.value.message
    assert "'1234 kPa'" in caught.value.message
    assert u.read_gauge_pressure("1.2340 kPa").kpa == pytest.approx(1.234)


def test_gauge_and_absolute_marks_are_held_to_the_field() -> None:
    with pytest.raises(BadQuantity, match="marked absolute"):
        u.read_gauge_pressure("36 psia")
    with pytest.raises(BadQuantity, match="marked gauge"):
        u.read_absolute_pressure("14.7 psig")
    assert u.read_absolute_pressure("14.7 psia").kpa == pytest.approx(101.35, abs=0.01)


@pytest.mark.parametrize("text", ["20 m", "20m"])
def test_minutes_are_not_metres(text: str) -> None:
    with pytest.raises(BadQuantity, match="'min'"):
        u.read_duration(text)


@pytest.mark.parametrize(
    ("text", "hundredths"), [("45 EUR", 4500), ("€ 45", 4500), ("45,50 eur", 4550), ("GBP 12.5", 1250), ("£3", 300)]
)
def test_money_carries_its_currency(text: str, hundredths: int) -> None:
    money = u.read_money(text)
    assert money.hundredths == hundredths
    assert money.currency in ("EUR", "GBP")


@pytest.mark.parametrize("text", ["45", "$45", "45 $", "1,500 EUR", "-3 EUR", "x EUR"])
def test_money_without_a_sure_currency_or_amount_is_refused(text: str) -> None:
    with pytest.raises(BadQuantity):
        u.read_money(text)


@pytest.mark.parametrize(
    "text",
    ["", "bar", "2..4 bar", "2.4 bars of air", "1e3 kPa", "nan bar", "inf bar", "3/0 in", "2.4 furlong", "--2 bar"],
)
def test_what_is_no_quantity_is_refused(text: str) -> None:
    with pytest.raises(BadQuantity):
        u.read_gauge_pressure(text)


def test_an_impossible_size_is_refused() -> None:
    for text in ("-3 bar", "250 MPa", "99999999999 psi"):
        with pytest.raises(BadQuantity, match="can't be a gauge pressure"):
            u.read_gauge_pressure(text)
    with pytest.raises(BadQuantity):
        u.read_temperature("-300 °C")


@given(st.text(max_size=30))
def test_no_text_breaks_the_readers(text: str) -> None:
    readers = (
        u.read_gauge_pressure, u.read_absolute_pressure, u.read_temperature, u.read_tread, u.read_distance,
        u.read_mass, u.read_speed, u.read_torque, u.read_duration, u.read_money, u.read_share,
    )  # fmt: skip
    for read in readers:
        with contextlib.suppress(BadQuantity):
            read(text)


@given(st.integers(100, 600), st.sampled_from(["bar", "psi", "kPa"]), st.sampled_from([".", ","]))
def test_what_is_printed_is_read_back(kpa: int, unit: str, mark: str) -> None:
    choice = u.UnitChoice(pressure=unit, decimal_mark=mark)
    back = u.read_gauge_pressure(choice.show_pressure(u.GaugePressure(kpa)))
    assert back.kpa == pytest.approx(kpa, abs=0.51)


@given(st.integers(-50, 120), st.sampled_from(["°C", "°F"]))
def test_printed_temperatures_are_read_back(celsius: int, unit: str) -> None:
    choice = u.UnitChoice(temperature=unit)
    back = u.read_temperature(choice.show_temperature(u.Temperature.from_celsius(celsius)))
    assert back.celsius == pytest.approx(celsius, abs=0.51)
