"""How old a tyre is, and what is made of its age."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheelside.tyre.age import AgeStage, age_on, last_season_from, next_look, seasons_by_age, stage_of, too_old_on
from wheelside.tyre.date_code import MadeWeek, read_date_code


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


def test_columns_of_ages_give_what_each_age_gives_and_the_unknown_stays_unknown() -> None:
    young, old = [0.0, 3.0, 7.0, 11.0], [0.0, 13.0, 8.0, 12.0]
    early, late = seasons_by_age(np.array(young), np.array(old))
    assert list(zip(early, late, strict=True)) == [seasons_by_age(*row) for row in zip(young, old, strict=True)]
    unknown = np.array([np.nan])
    assert np.isnan(seasons_by_age(unknown, unknown)).all()


@pytest.mark.published
@pytest.mark.parametrize(
    ("years", "stage"),
    [
        (-0.1, AgeStage.YOUNG), (4.99, AgeStage.YOUNG), (5.0, AgeStage.YEARLY), (5.99, AgeStage.YEARLY), (6.0, AgeStage.OLD),
        (9.99, AgeStage.OLD), (10.0, AgeStage.TOO_OLD), (38.0, AgeStage.TOO_OLD),
    ],
)  # fmt: skip
def test_a_yearly_look_is_from_five_years_on_and_ten_are_the_ceiling(years: float, stage: AgeStage) -> None:
    """A tyre maker: a yearly check from 5 years, 10 years from manufacture as ceiling; NHTSA: some makers replace at six to ten."""
    assert stage_of(years) is stage


def test_the_last_whole_season_begins_a_year_before_the_ceiling() -> None:
    assert last_season_from() == 9.0


WEEK_35_OF_2019 = MadeWeek(date(2019, 9, 1), date(2019, 9, 7))
"""2019 began on a Tuesday: its first Sunday is 6 January; 34 weeks later it is 1 September."""


@pytest.mark.parametrize(
    ("today", "years", "day"),
    [
        (
            date(2020, 1, 1),
            5,
            date(2024, 9, 1),
        ),  # 5 × 365.25 = 1826.25: the 1827th day, two 29ths of February among them
        (date(2024, 8, 31), 5, date(2024, 9, 1)),
        (date(2024, 9, 1), 6, date(2025, 9, 1)),
        (
            date(2026, 11, 25),
            8,
            date(2027, 9, 1),
        ),  # 2922 days, with two 29ths of February
    ],
)
def test_a_tyre_is_looked_over_at_its_next_whole_year(today: date, years: int, day: date) -> None:
    assert read_date_code("3519") == (WEEK_35_OF_2019,)
    assert next_look(WEEK_35_OF_2019, today) == (years, day)


def test_no_look_is_due_once_only_the_ceiling_is_left() -> None:
    assert next_look(WEEK_35_OF_2019, date(2028, 12, 1)) is None
    years, day = too_old_on(WEEK_35_OF_2019)
    assert years == 10.0
    assert stage_of(age_on((WEEK_35_OF_2019,), day).most) is AgeStage.TOO_OLD
    assert stage_of(age_on((WEEK_35_OF_2019,), day - timedelta(days=1)).most) is AgeStage.OLD
