"""How fast a tread wears, and when it is down to a depth."""

from __future__ import annotations

import math
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from wheelside.tyre import tread
from wheelside.tyre.tread import Depths, Wearing, reached, straight_line, wearing

START = date(2024, 4, 1)
NORRIS = (
    (0.2, 0.1), (337.4, 338.8), (118.2, 118.1), (884.6, 888.0), (10.1, 9.2), (226.5, 228.1), (666.3, 668.5), (996.3, 998.5),
    (448.6, 449.1), (777.0, 778.9), (558.2, 559.2), (0.4, 0.3), (0.6, 0.1), (775.5, 778.1), (666.9, 668.8), (338.0, 339.3),
    (447.5, 448.9), (11.6, 10.8), (556.0, 557.7), (228.1, 228.3), (995.8, 998.0), (887.6, 888.8), (120.2, 119.6), (0.3, 0.3),
    (0.3, 0.6), (556.8, 557.6), (339.1, 339.3), (887.2, 888.0), (999.0, 998.5), (779.0, 778.9), (11.1, 10.2), (118.3, 117.6),
    (229.2, 228.9), (669.1, 668.4), (448.9, 449.2), (0.5, 0.2),
)  # fmt: skip


def after(days: float, mm: float, km: float | None = None) -> Depths:
    return Depths(START + timedelta(days=days), mm, km)


@pytest.mark.published
def test_a_line_is_that_of_the_certified_data_set() -> None:
    """NIST Statistical Reference Datasets, linear regression, Norris: certified slope, intercept, their deviations and the residual's."""
    xs, ys = zip(*NORRIS, strict=True)
    line = straight_line(xs, ys)
    assert line.slope == pytest.approx(1.00211681802045, rel=1e-12)
    assert line.at(0.0) == pytest.approx(-0.262323073774029, rel=1e-10)
    assert line.residual is not None
    assert line.residual == pytest.approx(0.884796396144373, rel=1e-10)
    assert line.residual / math.sqrt(line.sxx) == pytest.approx(0.429796848199937e-3, rel=1e-10)
    assert line.spread_at(0.0, line.residual) == pytest.approx(0.232818234301152, rel=1e-10)


def test_a_line_and_its_spread_are_scipys() -> None:
    xs, ys = [0.0, 5200.0, 9800.0, 16000.0, 21500.0], [8.0, 7.2, 6.7, 5.6, 5.1]
    line, other = straight_line(xs, ys), stats.linregress(xs, ys)
    assert line.slope == pytest.approx(other.slope)
    assert line.at(0.0) == pytest.approx(other.intercept)
    assert line.residual is not None
    assert line.spread_at(0.0, line.residual) == pytest.approx(other.intercept_stderr)
    assert line.residual / math.sqrt(line.sxx) == pytest.approx(other.stderr)
    further = line.spread_at(30_000.0, line.residual, of_one=True)
    assert further**2 == pytest.approx(line.residual**2 + line.spread_at(30_000.0, line.residual) ** 2)


def test_below_three_points_nothing_lies_beside_the_line() -> None:
    assert straight_line([0, 1], [8, 7]).residual is None
    one = straight_line([3], [8])
    assert (one.slope, one.sxx, one.at(99)) == (0.0, 0.0, 8.0)
    assert one.spread_at(99, 0.2) == 0.2


def test_without_a_word_of_the_trade_rate_and_interval_are_those_of_least_squares(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """With known spread the depth at x is normal about the line; the interval in x is where its quantiles meet the depth (Fieller)."""
    monkeypatch.setattr(tread, "TRADE_SIGMA", 0.8)
    monkeypatch.setattr(tread, "_STEPS", 4000)
    rows = [
        after(n, mm, km) for n, (km, mm) in enumerate([(0, 8.0), (4000, 7.5), (9000, 6.6), (15000, 5.9), (20000, 5.1)])
    ]
    one = wearing(rows, 7500, gauge_mm=0.02)
    line = one.line
    assert one.rate == pytest.approx(-line.slope, rel=0.002)
    deviation = math.sqrt(sum(w * (r - one.rate) ** 2 for r, w in one.rates))
    assert deviation == pytest.approx(0.02 / math.sqrt(line.sxx), rel=0.01)
    found = reached(one, 3.0)
    for km, share in zip(found.km, (0.05, 0.5, 0.95), strict=True):
        at = one.last_km + km
        chance = stats.norm.cdf((3.0 - line.at(at)) / line.spread_at(at, 0.02))
        assert chance == pytest.approx(share, abs=0.004)


@pytest.mark.pinned
def test_of_one_figure_the_trade_tells() -> None:
    """8 mm to 4 mm at 1 mm for 5,000 to 10,000 km: 20,000 to 40,000 km, for 8 of 10; the middle is 4 × 7,071 km."""
    one = wearing([after(0, 8.0)], 7500, gauge_mm=0.001)
    assert one.worn_by(4.0, 20_000) == pytest.approx(0.1, abs=0.01)
    assert one.worn_by(4.0, 40_000) == pytest.approx(0.9, abs=0.01)
    assert reached(one, 4.0).km[1] == pytest.approx(4 * 7071, rel=0.01)
    unknown = reached(wearing([after(0, 8.0)], 7500, km_known=False, gauge_mm=0.001), 4.0)
    assert unknown.earliest < reached(one, 4.0).earliest
    assert unknown.latest > reached(one, 4.0).latest


def test_distances_go_before_days_and_say_how_fast_it_runs() -> None:
    rows = [after(0, 8.0, 1000.0), after(365, 6.5, 13_000.0), after(731, 5.0, 25_000.0)]
    one = wearing(rows, 7500)
    assert one.km_a_day == pytest.approx(24_000 / 731)
    assert one.rate == pytest.approx(1.5 / 12_000, rel=0.03)
    assert abs((reached(one, 3.5).day - (START + timedelta(days=731 + 366))).days) < 25
    lacking = wearing([*rows[:2], after(731, 5.0)], 7500)
    assert lacking.km_a_day == pytest.approx(7500 / 365.25)
    soon = wearing([after(0, 8.0, 0.0), after(60, 7.0, 8000.0)], 7500)
    assert soon.km_a_day == pytest.approx(7500 / 365.25), "two months are no year"


def drawn(rng: np.random.Generator) -> tuple[Wearing, float]:
    """A tyre with a rate as the trade has them, measured four times, and after how many km it is at 3 mm."""
    rate = math.sqrt(1 / 5000 / 10_000) * math.exp(tread.TRADE_SIGMA * rng.standard_normal())
    kms = [0.0, 4000.0, 9000.0, 13_000.0]
    rows = [after(n, float(8 - rate * km + 0.2 * rng.standard_normal()), km) for n, km in enumerate(kms)]
    return wearing(rows, 7500), 5 / rate - 13_000


def test_nine_of_ten_intervals_have_the_day_in_tyres_drawn_at_random() -> None:
    rng = np.random.default_rng(5)
    inside = below = 0
    for _ in range(600):
        one, true = drawn(rng)
        low, middle, high = reached(one, 3.0).km
        inside += low <= true <= high
        below += true <= middle
    assert inside / 600 == pytest.approx(0.9, abs=0.037)  # three standard errors
    assert below / 600 == pytest.approx(0.5, abs=0.061)


@given(st.lists(st.floats(3, 9), min_size=1, max_size=5), st.floats(2_000, 40_000))
def test_less_tread_comes_later_and_intervals_hold_their_middle(depths: list[float], km: float) -> None:
    one = wearing([after(180 * n, mm) for n, mm in enumerate(sorted(depths, reverse=True))], km)
    assert sum(w for _, w in one.rates) == pytest.approx(1)
    four, three, law = (reached(one, mm) for mm in (4.0, 3.0, 1.6))
    assert four.day <= three.day <= law.day
    for found in (four, three, law):
        assert found.km[0] <= found.km[1] <= found.km[2]
        assert found.earliest <= found.day <= found.latest
