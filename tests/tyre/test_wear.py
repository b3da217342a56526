"""How long a tyre lasts."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheelside.tyre.date_code import read_date_code
from wheelside.tyre.wear import LEGAL_MM, age_on, seasons_by_age, seasons_by_tread


def test_the_age_counts_from_the_first_and_last_day_of_the_week() -> None:
    """49 CFR 574.5: 0109 is 4 to 10 January 2009; ten years later that is 3,652 days and six fewer."""
    age = age_on(read_date_code("0109"), date(2019, 1, 4))
    assert age.most == pytest.approx(3652 / 365.25)
    assert age.least == pytest.approx(3646 / 365.25)


def test_an_open_decade_leaves_ten_years_open() -> None:
    """49 CFR 574.5 and NHTSA: 031 is week 3 of 1981 or of 1991: 18 to 24 January 1981, 20 to 26 January 1991."""
    age = age_on(read_date_code("031"), date(2001, 1, 26))
    assert age.most == pytest.approx((date(2001, 1, 26) - date(1981, 1, 18)).days / 365.25)
    assert age.least == pytest.approx((date(2001, 1, 26) - date(1991, 1, 26)).days / 365.25)
    assert age.most - age.least == pytest.approx(10, abs=0.05)


def test_a_week_that_is_yet_to_come_gives_an_age_below_nothing() -> None:
    weeks = read_date_code("0109")
    assert age_on(weeks, date(2009, 1, 3)).most < 0
    within = age_on(weeks, date(2009, 1, 6))
    assert within.least < 0
    assert within.most == pytest.approx(2 / 365.25)


@given(st.dates(date(2010, 1, 1), date(2060, 1, 1)), st.integers(0, 5000))
def test_a_tyre_ages_by_a_day_a_day(day: date, days: int) -> None:
    weeks = read_date_code("0109")
    before, after = age_on(weeks, day), age_on(weeks, day + timedelta(days=days))
    assert after.least - before.least == pytest.approx(days / 365.25)
    assert after.most - before.most == pytest.approx(days / 365.25)


@pytest.mark.pinned
def test_seasons_by_tread_count_a_millimetre_for_5_000_to_10_000_km() -> None:
    """8 mm to 3 mm are 5 mm: 25,000 to 50,000 km, at 10,000 km a season 2.5 to 5 seasons."""
    assert seasons_by_tread(8.0, 3.0, 10_000.0) == pytest.approx((2.5, 5.0))
    assert seasons_by_tread(8.0, 4.0, 5_000.0) == pytest.approx((4.0, 8.0))


def test_a_worn_tyre_has_no_seasons_left() -> None:
    assert seasons_by_tread(3.0, 3.0, 10_000.0) == (0.0, 0.0)
    assert seasons_by_tread(1.0, 3.0, 10_000.0) == (0.0, 0.0)


@given(st.floats(1.6, 12), st.floats(1.6, 12), st.floats(500, 60_000))
def test_wear_over_the_seasons_comes_to_the_tread_that_was_left(tread: float, worn: float, km: float) -> None:
    least, most = seasons_by_tread(tread, worn, km)
    left = max(0.0, tread - worn)
    assert least * km / 5_000 == pytest.approx(left)
    assert most * km / 10_000 == pytest.approx(left)


@pytest.mark.pinned
def test_seasons_by_age_run_to_six_and_to_ten_years() -> None:
    """NHTSA: some makers say six to ten years."""
    assert seasons_by_age(2.0, 2.0) == (4.0, 8.0)
    assert seasons_by_age(3.0, 13.0) == (0.0, 7.0)
    assert seasons_by_age(7.0, 7.5) == (0.0, 3.0)
    assert seasons_by_age(11.0, 12.0) == (0.0, 0.0)


@given(st.floats(0, 40), st.floats(0, 40))
def test_the_fewest_seasons_are_never_more_than_the_most(one: float, other: float) -> None:
    least, most = seasons_by_age(min(one, other), max(one, other))
    assert 0.0 <= least <= most <= 10.0


def test_columns_of_numbers_give_what_each_number_gives_and_the_unknown_stays_unknown() -> None:
    treads, worns, km = [8.0, 1.0, 3.0, 5.5], [3.0, 3.0, 3.0, 4.0], [10_000.0, 5_000.0, 7_500.0, 12_000.0]
    least, most = seasons_by_tread(np.array(treads), np.array(worns), np.array(km))
    assert list(zip(least, most, strict=True)) == [
        seasons_by_tread(*row) for row in zip(treads, worns, km, strict=True)
    ]
    young, old = [0.0, 3.0, 7.0, 11.0], [0.0, 13.0, 8.0, 12.0]
    early, late = seasons_by_age(np.array(young), np.array(old))
    assert list(zip(early, late, strict=True)) == [seasons_by_age(*row) for row in zip(young, old, strict=True)]
    unknown = np.array([np.nan])
    assert np.isnan(seasons_by_tread(unknown, np.array([3.0]), np.array([10_000.0]))).all()
    assert np.isnan(seasons_by_age(unknown, unknown)).all()


@pytest.mark.published
def test_the_legal_tread_is_1_6_mm() -> None:
    """Directive 89/459/EEC; Construction and Use Regulations 1986, regulation 27(4)(f)."""
    assert LEGAL_MM == 1.6
