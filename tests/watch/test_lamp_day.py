"""When the lamp's limit is met: by hand, against a great many draws, and with the cold of the year."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest

from wheelside.watch.columns import AS_IF_AT_K, DAYS_PER_MONTH
from wheelside.watch.estimate import Losses
from wheelside.watch.lamp_day import lamp_days, temperatures_ahead

TODAY = date(2026, 11, 21)
AIR = 101.325


def losing(month: float, sd: float) -> Losses:
    """One bell curve."""
    column = np.array([[1.0]])
    return Losses(column, column * month, column * sd, np.array([1.0]), np.array([0.0]))


def days(one: date | None) -> int:
    assert one is not None
    return (one - TODAY).days


def test_a_sure_loss_meets_the_limit_on_the_day_that_division_gives() -> None:
    # 29.5 kPa above the limit, a kPa a day: on the thirtieth day
    mornings = temperatures_ahead(TODAY, (), AS_IF_AT_K)
    found = lamp_days(TODAY, (190.0 + AIR + 29.5, 1e-6), losing(DAYS_PER_MONTH, 1e-6), 190.0, AIR, mornings)
    assert (days(found.early), days(found.late), found.chance) == (30, 30, 1.0)


def test_the_days_are_those_of_a_great_many_draws() -> None:
    mornings = temperatures_ahead(TODAY, (), AS_IF_AT_K)
    found = lamp_days(TODAY, (330.0, 2.0), losing(12.0, 2.5), 190.0, AIR, mornings)
    rng = np.random.default_rng(1)
    rate = np.maximum(rng.normal(12.0, 2.5, 200_000), 0.01) / DAYS_PER_MONTH
    first = np.ceil((rng.normal(330.0, 2.0, 200_000) - 190.0 - AIR) / rate)
    assert days(found.early) == pytest.approx(float(np.quantile(first, 0.1)), abs=4)
    assert days(found.late) == pytest.approx(float(np.quantile(first, 0.9)), abs=8)


def test_a_tyre_that_does_not_get_there_within_a_year_has_no_day() -> None:
    mornings = temperatures_ahead(TODAY, (), AS_IF_AT_K)
    found = lamp_days(TODAY, (345.0, 1.0), losing(1.0, 0.1), 190.0, AIR, mornings)
    assert (found.early, found.late, found.chance) == (None, None, 0.0)


def test_the_cold_of_the_year_brings_it_forward() -> None:
    mild = temperatures_ahead(TODAY, (), 283.15)
    winter = temperatures_ahead(TODAY, tuple(273.15 + c for c in (-6, -5, 0, 5, 10, 14, 16, 16, 12, 8, 3, -3)), 283.15)
    assert winter[(date(2027, 1, 15) - TODAY).days] == pytest.approx(267.15)
    assert winter[(date(2027, 7, 15) - TODAY).days] == pytest.approx(289.15)
    early = lamp_days(TODAY, (316.0, 1.0), losing(8.0, 0.5), 190.0, AIR, winter)
    later = lamp_days(TODAY, (316.0, 1.0), losing(8.0, 0.5), 190.0, AIR, mild)
    assert days(early.early) < days(later.early)
    assert (TODAY + timedelta(days=366)) > (early.late or TODAY)
