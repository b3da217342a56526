"""Quantities keep gauge and absolute apart."""

from __future__ import annotations

import pytest

from wheelside.units import AbsolutePressure, GaugePressure, Length, Mass, PressureSpan, Speed, Temperature, UnitChoice


def test_gauge_becomes_absolute_only_with_the_air_around() -> None:
    air = AbsolutePressure(101.325)
    assert GaugePressure(240).absolute(air) == AbsolutePressure(341.325)
    assert AbsolutePressure(341.325).gauge(air).kpa == pytest.approx(240)


def test_gauge_and_absolute_do_not_mix() -> None:
    different: object = AbsolutePressure(240)
    assert GaugePressure(240) != different
    with pytest.raises(TypeError):
        GaugePressure(240) < AbsolutePressure(250)  # type: ignore[operator]  # noqa: B015  that is the point
    assert GaugePressure(240) - GaugePressure(200) == PressureSpan(40)


def test_numbers_are_printed_in_the_units_chosen() -> None:
    german = UnitChoice(pressure="bar", decimal_mark=",")
    assert german.show_pressure(GaugePressure(282.3)) == "2,82 bar"
    assert german.show_plus_minus(GaugePressure(282.3), PressureSpan(8.1)) == "2,82 bar ± 0,08"
    american = UnitChoice(pressure="psi", temperature="°F", tread="32nds", mass="lb", speed="mph", distance="ft")
    assert american.show_pressure(GaugePressure(248.2)) == "36.0 psi"
    assert american.show_temperature(Temperature.from_celsius(-12)) == "10 °F"
    assert american.show_tread(Length(5.55625)) == "7/32 in"
    assert american.show_mass(Mass(615)) == "1356 lb"
    assert american.show_speed(Speed(100)) == "62 mph"
    assert american.show_distance(Length(6000)) == "20 ft"
    assert UnitChoice(pressure="kPa").show_pressure(GaugePressure(-0.2)) == "0 kPa"
