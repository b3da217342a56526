"""How long sensors last, and from when on one plans for new ones."""

from __future__ import annotations

import math
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheelside.sensor import life
from wheelside.sensor.life import age_years, fails_within, near_end, near_end_on, plan_from


@pytest.mark.pinned
@pytest.mark.parametrize(
    ("age", "alive"), [(5, 0.95), (6, 0.88), (7, 0.75), (8, 0.57), (9, 0.37), (10, 0.18), (11, 0.07)]
)
def test_so_many_are_alive_at_each_age(age: int, alive: float) -> None:
    """Weibull with shape 5 and scale 9 years, both judgement; exp(-(7/9)^5) = exp(-0.2846) = 0.752, and so on."""
    assert 1 - fails_within(0.0, age, 9.0) == pytest.approx(alive, abs=0.005)


def test_half_have_failed_by_eight_to_nine_years() -> None:
    """The median that the trade speaks of, from memory."""
    assert fails_within(0.0, 8.0, life.LIFE_YEARS) < 0.5 < fails_within(0.0, 9.0, life.LIFE_YEARS)


def test_one_plans_for_new_ones_once_a_quarter_has_failed() -> None:
    """9 (ln 4/3)^(1/5) = 9 × 0.7794 = 7.015; of a life of 12 years it is 9.35."""
    assert 9 * math.log(4 / 3) ** 0.2 == pytest.approx(7.015, abs=0.001)
    assert plan_from() == plan_from(9.0) == 7
    assert plan_from(12.0) == 9
    assert plan_from(1.0) == 1


@given(st.floats(0, 15), st.floats(0, 5), st.floats(0, 5))
def test_who_lives_on_has_lived_through_both_spans(age: float, first: float, then: float) -> None:
    alive = (1 - fails_within(age, first, 9.0)) * (1 - fails_within(age + first, then, 9.0))
    assert alive == pytest.approx(1 - fails_within(age, first + then, 9.0))


def test_a_sensor_is_near_its_end_from_that_day_on() -> None:
    first = date(2019, 3, 1)
    day = near_end_on(first)
    assert day == date(2026, 3, 1)  # 7 × 365.25 = 2556.75: the 2557th day, with 29 February 2020 and 2024
    assert near_end(age_years(first, day))
    assert not near_end(age_years(first, day - timedelta(days=1)))
    assert age_years(first, first - timedelta(days=9)) == 0.0
