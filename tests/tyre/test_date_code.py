"""Date codes. Source: 49 CFR 574.5, with its worked example; further rows computed by its rule."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheelside.errors import BadText
from wheelside.tyre.date_code import read_date_code


@pytest.mark.published
@pytest.mark.parametrize(
    ("code", "first", "last"),
    [
        ("0109", date(2009, 1, 4), date(2009, 1, 10)),  # the worked example of 49 CFR 574.5
        ("0308", date(2008, 1, 20), date(2008, 1, 26)),  # NHTSA: third week of 2008
        ("2501", date(2001, 6, 24), date(2001, 6, 30)),
        ("0123", date(2023, 1, 1), date(2023, 1, 7)),
        ("5222", date(2022, 12, 25), date(2022, 12, 31)),
        ("5323", date(2023, 12, 31), date(2024, 1, 6)),
        ("0100", date(2000, 1, 2), date(2000, 1, 8)),
    ],
)
def test_four_digits_name_one_week(code: str, first: date, last: date) -> None:
    (week,) = read_date_code(code)
    assert (week.first, week.last) == (first, last)


@pytest.mark.published
def test_it_is_not_the_iso_week() -> None:
    """ISO 8601 week 1 of 2009 begins on 29 December 2008; 49 CFR 574.5 has 4 January 2009."""
    assert read_date_code("0109")[0].first != date.fromisocalendar(2009, 1, 1)


@pytest.mark.published
def test_three_digits_leave_the_decade_open() -> None:
    """NHTSA: '031' is week 3 of 1981 or of 1991."""
    assert [week.first.year for week in read_date_code("031")] == [1981, 1991]
    assert {week.first.year for week in read_date_code("317")} == {1987, 1997}


@pytest.mark.published
@pytest.mark.parametrize("code", ["5322", "0009", "5409", "9999", "00", "12345", "35I9", "", "-109", "१२३४"])
def test_impossible_codes_are_refused(code: str) -> None:
    """5322: week 53 of 2022 would begin on 1 January 2023 (49 CFR 574.5)."""
    with pytest.raises(BadText, match="date code"):
        read_date_code(code)


@given(st.dates(date(2000, 1, 2), date(2099, 12, 26)))
def test_every_day_lies_in_one_week_of_its_year_or_the_last_one_before(day: date) -> None:
    hits = []
    for year in (day.year - 1, day.year):
        for week in range(1, 54):
            try:
                (made,) = read_date_code(f"{week:02d}{year % 100:02d}") if year >= 2000 else ()
            except (BadText, ValueError):
                continue
            if made.first <= day <= made.last:
                hits.append(made)
    assert len(hits) == 1
    assert hits[0].last - hits[0].first == timedelta(days=6)
    assert hits[0].first.weekday() == 6
