"""Normal loss of pressure over a time."""

from __future__ import annotations

import pytest

from wheelside.air.loss import normal_loss, weeks_to_lose
from wheelside.units import Duration, PressureSpan, Temperature

MONTH = Duration(365.25 / 12 * 86400)


@pytest.mark.published
def test_a_month_at_21_c() -> None:
    """Tire Science and Technology 13(1): 0.5 to 1.0 psi (3.4 to 6.9 kPa) a month at 21 °C."""
    least, most = normal_loss(MONTH, Temperature.from_celsius(21))
    assert (round(least.kpa, 6), round(most.kpa, 6)) == (3.4, 6.9)


@pytest.mark.parametrize("celsius", [-10, 0, 21, 30])
def test_what_is_lost_in_the_weeks_that_it_takes_is_what_was_to_be_lost(celsius: float) -> None:
    at = Temperature.from_celsius(celsius)
    weeks = weeks_to_lose(PressureSpan(20), at)
    assert normal_loss(Duration(weeks.latest * 604800), at)[0].kpa == pytest.approx(20)
    assert normal_loss(Duration(weeks.soonest * 604800), at)[1].kpa == pytest.approx(20)


def test_the_same_loss_of_air_shows_as_less_on_a_colder_tyre() -> None:
    assert normal_loss(MONTH, Temperature(273.15))[1].kpa == pytest.approx(6.9 * 273.15 / 294.15)
