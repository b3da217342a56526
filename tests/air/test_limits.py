"""Warning limits: 49 CFR 571.138 and UN R141."""

from __future__ import annotations

import pytest

from wheelside.air.atmosphere import SEA_LEVEL
from wheelside.air.limits import TyreClass, un_limit, us_limit
from wheelside.air.loss import weeks_to_lose
from wheelside.units import GaugePressure, PressureSpan, Temperature

AT_21 = Temperature.from_celsius(21)


@pytest.mark.published
@pytest.mark.parametrize(
    ("placard", "tyre", "limit"),
    [
        (180, TyreClass.STANDARD, 140), (200, TyreClass.STANDARD, 150), (210, TyreClass.EXTRA, 160), (220, TyreClass.STANDARD, 165),
        (230, TyreClass.STANDARD, 172.5), (240, TyreClass.STANDARD, 180), (250, TyreClass.STANDARD, 187.5), (300, TyreClass.EXTRA, 225),
        (240, None, 180), (186.67, TyreClass.STANDARD, 140), (213.33, TyreClass.EXTRA, 160),
    ],
)  # fmt: skip
def test_us_limit(placard: float, tyre: TyreClass | None, limit: float) -> None:
    """49 CFR 571.138 S4.2(a): 25 % below the placard (seen), or Table 1 if that is higher (from memory)."""
    assert us_limit(GaugePressure(placard), tyre).kpa == pytest.approx(limit, abs=0.005)


@pytest.mark.published
@pytest.mark.parametrize(
    ("placard", "limit"), [(180, 158.4), (200, 176), (220, 193.6), (240, 211.2), (250, 220), (300, 264)]
)
def test_un_limit(placard: float, limit: float) -> None:
    """UN R141 by its 2009 draft: warm = 1.1 times cold, lit at 20 % below."""
    un = un_limit(GaugePressure(placard), SEA_LEVEL)
    assert un.floor_as_gauge.kpa == pytest.approx(limit)
    assert un.floor_as_absolute.kpa == pytest.approx(limit)


@pytest.mark.published
def test_the_two_readings_of_the_un_floor_part_at_low_placards() -> None:
    """150 kPa as gauge binds below a placard of 170.5 kPa; as absolute it never binds here."""
    un = un_limit(GaugePressure(160), SEA_LEVEL)
    assert un.floor_as_gauge.kpa == 150
    assert un.floor_as_absolute.kpa == pytest.approx(140.8)


@pytest.mark.published
def test_the_un_limit_lies_far_above_the_us_one() -> None:
    """At 240 kPa: 211.2 of a warm tyre against 180 of a cold one."""
    assert un_limit(GaugePressure(240), SEA_LEVEL).floor_as_gauge > us_limit(GaugePressure(240), TyreClass.STANDARD)


@pytest.mark.published
@pytest.mark.parametrize(("months", "end"), [(17.6, "latest"), (8.7, "soonest")])
def test_weeks_of_normal_loss(months: float, end: str) -> None:
    """From 240 to 180 kPa at 21 °C: 17.6 months at 3.4 kPa a month, 8.7 at 6.9 (Tire Sci. Technol. 13(1))."""
    weeks = weeks_to_lose(PressureSpan(60), AT_21, AT_21)
    assert getattr(weeks, end) / (365.25 / 12 / 7) == pytest.approx(months, abs=0.06)


def test_a_tyre_that_is_low_already_has_no_weeks_left() -> None:
    assert weeks_to_lose(PressureSpan(-5), Temperature.from_celsius(0), AT_21).latest == 0
