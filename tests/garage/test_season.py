"""The season line."""

from __future__ import annotations

from datetime import date

from garages import DAY, demo_table, garage_of
from wheelside.garage.season import moments, set_on, spells, where

END = date(2029, 11, 25)


def test_yearly_stays_come_back() -> None:
    line = spells(garage_of(demo_table()), DAY, END)
    assert [(s.since, s.set) for s in line if s.on == "estate"] == [
        (date(2026, 4, 11), "summer"), (date(2026, 11, 28), "winter"), (date(2027, 4, 11), "summer"), (date(2027, 11, 28), "winter"),
        (date(2028, 4, 11), "summer"), (date(2028, 11, 28), "winter"), (date(2029, 4, 11), "summer"),
    ]  # fmt: skip


def test_the_day_of_a_swap_belongs_to_the_coming_set() -> None:
    line = spells(garage_of(demo_table()), DAY, END)
    assert set_on(line, "estate", date(2026, 11, 27)) == "summer"
    assert set_on(line, "estate", date(2026, 11, 28)) == "winter"
    away = where(line, "summer", date(2026, 11, 28))
    assert away is not None
    assert away.at == "shed"


def test_moments_are_the_days_on_which_something_moves() -> None:
    line = spells(garage_of(demo_table()), DAY, date(2027, 6, 1))
    assert moments(line, DAY, date(2027, 6, 1)) == (DAY, date(2026, 11, 28), date(2027, 4, 11))


def test_a_leap_day_falls_on_the_28th_in_other_years() -> None:
    table = demo_table()
    table["stay"] = [
        {"set": "winter", "on": "estate", "since": date(2024, 2, 29), "until": date(2024, 10, 1), "yearly": True}
    ]
    line = spells(garage_of(table), DAY, END)
    assert [s.since for s in line] == [date(2027, 2, 28), date(2028, 2, 29), date(2029, 2, 28)]


def test_a_set_that_the_line_does_not_name_is_nowhere() -> None:
    table = demo_table()
    table["stay"] = []
    assert where(spells(garage_of(table), DAY, END), "winter", DAY) is None
