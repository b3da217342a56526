"""How deep a tread is to be, and how long it lasts."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheelside.tyre.wear import LEGAL_MM, seasons_by_tread


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


def test_columns_of_numbers_give_what_each_number_gives_and_the_unknown_stays_unknown() -> None:
    treads, worns, km = [8.0, 1.0, 3.0, 5.5], [3.0, 3.0, 3.0, 4.0], [10_000.0, 5_000.0, 7_500.0, 12_000.0]
    least, most = seasons_by_tread(np.array(treads), np.array(worns), np.array(km))
    assert list(zip(least, most, strict=True)) == [
        seasons_by_tread(*row) for row in zip(treads, worns, km, strict=True)
    ]
    unknown = np.array([np.nan])
    assert np.isnan(seasons_by_tread(unknown, np.array([3.0]), np.array([10_000.0]))).all()


@pytest.mark.published
def test_the_legal_tread_is_1_6_mm() -> None:
    """Directive 89/459/EEC; Construction and Use Regulations 1986, regulation 27(4)(f)."""
    assert LEGAL_MM == 1.6
