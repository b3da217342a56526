"""Normal loss of pressure over a time."""

from __future__ import annotations

import pytest

from wheelside.air.loss import normal_loss, times_as_fast, weeks_to_lose
from wheelside.units import Duration, PressureSpan, Temperature

MONTH = Duration(365.25 / 12 * 86400)


AT_21, AT_32 = Temperature.from_celsius(21), Temperature.from_celsius(32)


@pytest.mark.published
def test_a_month_at_21_c() -> None:
    """Tire Science and Technology 13(1): 0.5 to 1.0 psi (3.4 to 6.9 kPa) a month at 21 °C."""
    least, most = normal_loss(MONTH, AT_21, AT_21)
    assert (round(least.kpa, 6), round(most.kpa, 6)) == (3.4, 6.9)


@pytest.mark.published
def test_a_month_at_32_c() -> None:
    """The same: about 1.5 psi (10.3 kPa) a month at 32 °C."""
    least, most = normal_loss(MONTH, AT_32, AT_32)
    assert least.kpa < 10.3
    assert most.kpa == pytest.approx(10.3)


@pytest.mark.parametrize("celsius", [-30, 0, 20.9, 21])
def test_a_tyre_kept_colder_is_not_taken_to_lose_more_than_at_21_c(celsius: float) -> None:
    kept = Temperature.from_celsius(celsius)
    assert times_as_fast(kept) == 1
    assert normal_loss(MONTH, AT_21, kept) == normal_loss(MONTH, AT_21, AT_21)


@pytest.mark.parametrize("kept", [-10, 21, 32, 45])
@pytest.mark.parametrize("celsius", [-10, 0, 21, 30])
def test_what_is_lost_in_the_weeks_that_it_takes_is_what_was_to_be_lost(celsius: float, kept: float) -> None:
    at, kept_at = Temperature.from_celsius(celsius), Temperature.from_celsius(kept)
    weeks = weeks_to_lose(PressureSpan(20), at, kept_at)
    assert normal_loss(Duration(weeks.latest * 604800), at, kept_at)[0].kpa == pytest.approx(20)
    assert normal_loss(Duration(weeks.soonest * 604800), at, kept_at)[1].kpa == pytest.approx(20)


def test_the_same_loss_of_air_shows_as_less_on_a_colder_tyre() -> None:
    assert normal_loss(MONTH, Temperature(273.15), AT_21)[1].kpa == pytest.approx(6.9 * 273.15 / 294.15)
    assert normal_loss(MONTH, AT_21, AT_32)[1].kpa == pytest.approx(10.3 * 294.15 / 305.15)
