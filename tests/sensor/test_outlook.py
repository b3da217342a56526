"""The chance that sensors fail, each and any of a set's."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats
from scipy.integrate import quad

from wheelside.sensor import outlook as rule
from wheelside.sensor.life import fails_within
from wheelside.sensor.outlook import (
    Batch,
    Departed,
    LifeScale,
    Serving,
    lasts_for,
    new_fails,
    nodes_of,
    outlook,
    use_of,
)

LIFE = 9.0
ONE_NODE = (LifeScale(LIFE, 1.0),)
DRAWS = 1_000_000


def alive(age: float, use: float = 1.0, silences: int = 0) -> Serving:
    return Serving(age, age, use, silences=silences)


def four(age: float) -> Batch:
    return Batch((alive(age),) * 4)


def scales_drawn(rng: np.random.Generator) -> np.ndarray:
    """Scales as sensors of one set have them before any record; the grid ends at three sigma."""
    z = stats.truncnorm.rvs(-3, 3, size=DRAWS, random_state=rng)
    return np.asarray(LIFE * np.exp(0.2 * z))


def lives_drawn(rng: np.random.Generator, scales: np.ndarray, n: int) -> np.ndarray:
    shared = scales * np.exp(0.1 * rng.standard_normal(len(scales)))
    return shared[:, None] * rng.weibull(5, (len(scales), n))


@pytest.mark.pinned
@pytest.mark.parametrize(
    ("age", "share"), [(5, 0.95), (6, 0.88), (7, 0.75), (8, 0.57), (9, 0.37), (10, 0.18), (11, 0.07)]
)
def test_of_new_sensors_with_one_scale_so_many_are_alive(age: int, share: float) -> None:
    """The table of the prior: shape 5 and 9 years, both judgement."""
    assert 1 - new_fails(1.0, ONE_NODE, age) == pytest.approx(share, abs=0.005)
    assert stats.weibull_min.sf(age, 5, scale=LIFE) == pytest.approx(share, abs=0.005)


@given(st.floats(0, 12), st.floats(0, 6), st.floats(5, 14), st.floats(0.8, 1.2))
def test_a_sensor_at_one_scale_is_weibull_from_its_age_on(age: float, years: float, scale: float, use: float) -> None:
    law = stats.weibull_min(5, scale=scale)
    expected = law.sf(use * (age + years)) / law.sf(use * age)
    assert lasts_for(alive(age, use), scale, years) == pytest.approx(expected, rel=1e-9)
    if use == 1.0:
        assert 1 - expected == pytest.approx(fails_within(age, years, scale), abs=1e-9)


def test_the_nine_points_are_those_of_gauss_and_hermite() -> None:
    x, w = np.polynomial.hermite.hermgauss(9)
    ours = sorted(rule._SHARED)
    assert [a for a, _ in ours] == pytest.approx(list(x * math.sqrt(2)), abs=1e-14)
    assert [b for _, b in ours] == pytest.approx(list(w / math.sqrt(math.pi)), rel=1e-12)


def test_any_of_four_is_as_often_as_in_sets_drawn_at_random() -> None:
    """Four sensors of seven years, all alive: how often one at least fails within a year, and how often each does."""
    rng = np.random.default_rng(20261130)
    lives = lives_drawn(rng, scales_drawn(rng), 4)
    kept = lives[(lives > 7).all(axis=1)]
    batch = four(7)
    (nodes,) = nodes_of((batch,), LIFE)
    found = outlook(batch, nodes, 1.0)
    any_, each = (kept < 8).any(axis=1).mean(), (kept[:, 0] < 8).mean()
    assert len(kept) > 300_000
    assert found.any == pytest.approx(any_, abs=0.004)  # 4 standard errors of 300,000 draws are 0.0036
    assert found.each == pytest.approx((each,) * 4, abs=0.004)
    assert found.any < 1 - (1 - found.each[0]) ** 4 - 0.03, "what they share makes it rarer than four by themselves"


def test_what_another_set_has_shown_counts_as_in_sets_drawn_at_random() -> None:
    """Another set of two lives on at eleven years: then those of eight years fail less often."""
    rng = np.random.default_rng(7)
    scales = scales_drawn(rng)
    old, mine = lives_drawn(rng, scales, 2), lives_drawn(rng, scales, 4)
    kept = (old > 11).all(axis=1) & (mine > 8).all(axis=1)
    batches = (Batch((alive(11),) * 2), four(8))
    found = outlook(batches[1], nodes_of(batches, LIFE)[1], 1.5)
    assert kept.sum() > 30_000
    assert found.any == pytest.approx((mine[kept] < 9.5).any(axis=1).mean(), abs=0.01)
    alone = outlook(batches[1], nodes_of(batches[1:], LIFE)[0], 1.5)
    assert found.any < alone.any - 0.03


def test_a_silence_counts_as_in_sensors_drawn_at_random() -> None:
    """In its last year a sensor is silent on 30 mornings of 100, before that on 10: one morning, one silence."""
    rng = np.random.default_rng(3)
    lives = lives_drawn(rng, scales_drawn(rng), 1)[:, 0] - 7
    silent = rng.random(DRAWS) < np.where(lives < 1, 0.3, 0.1)
    kept = lives[(lives > 0) & silent]
    batch = Batch((alive(7, silences=1),))
    (nodes,) = nodes_of((batch,), LIFE)
    for years in (0.25, 0.5, 1.0, 2.0):
        assert outlook(batch, nodes, years).any == pytest.approx((kept < years).mean(), abs=0.007)


def test_only_the_first_four_silences_count() -> None:
    chances = [1 - lasts_for(alive(6, silences=n), LIFE, 0.5) for n in range(7)]
    assert chances[:5] == sorted(set(chances[:5]))
    assert chances[4] == chances[5] == chances[6]


def test_of_low_batteries_a_quarter_lasts_under_a_month_and_a_quarter_over_nine() -> None:
    low = Serving(4, 4, battery_low=True)
    law = stats.lognorm(rule.LOW_SIGMA, scale=0.25)
    for months, share in ((1, 0.25), (3, 0.5), (9, 0.75)):
        assert 1 - lasts_for(low, LIFE, months / 12) == pytest.approx(share, abs=1e-5)
        assert lasts_for(low, LIFE, months / 12) == pytest.approx(law.sf(months / 12), abs=1e-6)
    assert lasts_for(low, LIFE, 0.0) == 1.0


def test_where_only_the_year_is_known_the_chance_lies_between_those_of_its_ends() -> None:
    chances = [1 - lasts_for(Serving(*ages), LIFE, 1.0) for ages in ((6, 6), (6, 7), (7, 7))]
    assert chances == sorted(set(chances))
    law = stats.weibull_min(5, scale=LIFE)
    share = quad(lambda a: law.sf(a + 1), 6, 7)[0] / quad(law.sf, 6, 7)[0]
    assert 1 - chances[1] == pytest.approx(share, abs=2e-4)


def test_a_long_record_gives_the_scale_of_greatest_likelihood(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without a prior to speak of and without anything shared: scipy's fit of censored lives with the shape held."""
    monkeypatch.setattr(rule, "SPREAD", 0.35)
    monkeypatch.setattr(rule, "FRAILTY", 0.0)
    failed, living = [6.1, 7.4, 7.9, 8.2, 9.0, 9.6, 10.3] * 6, [4.0, 7.0, 8.5, 10.0] * 6
    lives = stats.CensoredData(uncensored=failed, right=living)
    _, _, scale = stats.weibull_min.fit(lives, f0=5, floc=0)
    assert scale == pytest.approx((sum(t**5 for t in (*failed, *living)) / len(failed)) ** 0.2, rel=1e-4)
    ended = tuple(Departed(t, t, True) for t in failed) + tuple(Departed(t, t, False) for t in living)
    (nodes,) = nodes_of((Batch((), ended),), LIFE)
    mean = sum(n.scale * n.weight for n in nodes)
    assert mean == pytest.approx(scale, rel=0.01)


def test_how_likely_lives_are_goes_with_scipys_likelihood() -> None:
    """Ratios between two scales, for constants are left out."""
    batch = Batch((alive(8),), (Departed(7.5, 7.5, True), Departed(6, 6, False), Departed(9.5, 9.5, True)))

    def log_likelihood(scale: float) -> float:
        law = stats.weibull_min(5, scale=scale)
        return float(law.logsf(8) + law.logsf(6) + law.logpdf(7.5) + law.logpdf(9.5))

    for scale in (7.0, 8.0, 10.0, 12.0):
        (ours, base) = rule._grid(batch, [[scale, 9.0]])[0]
        assert ours - base == pytest.approx(log_likelihood(scale) - log_likelihood(9.0), abs=1e-9)


def test_early_failures_shorten_what_is_expected_of_the_others_and_long_lives_lengthen_it() -> None:
    batch = four(6)
    base = outlook(batch, nodes_of((batch,), LIFE)[0], 1.0).any
    early = Batch((), (Departed(5, 5, True),) * 2)
    late = Batch((alive(11),) * 4)
    assert outlook(batch, nodes_of((batch, early), LIFE)[0], 1.0).any > base + 0.03
    assert outlook(batch, nodes_of((batch, late), LIFE)[0], 1.0).any < base - 0.03
    own = Batch(batch.serving, early.ended)
    assert outlook(own, nodes_of((own,), LIFE)[0], 1.0).any > outlook(batch, nodes_of((batch, early), LIFE)[0], 1.0).any


def test_use_makes_sensors_older_or_younger() -> None:
    assert use_of() == 1.0
    assert use_of(half_year=True) == 0.9
    assert use_of(hot=True) == 1.15
    assert use_of(garage_kept=True) == 0.95
    assert lasts_for(alive(7, use_of(hot=True)), LIFE, 1) < lasts_for(alive(7), LIFE, 1)
    assert lasts_for(alive(7, 0.9), LIFE, 1) == pytest.approx(lasts_for(alive(6.3), LIFE, 0.9))


@given(
    st.lists(
        st.builds(
            Serving,
            st.floats(0, 8),
            st.floats(8, 9),
            st.sampled_from((0.9, 1.0, 1.15)),
            st.booleans(),
            st.integers(0, 5),
        ),
        min_size=1,
        max_size=4,
    ),
    st.floats(0, 5),
    st.floats(0, 3),
)
@settings(max_examples=25)
def test_any_is_at_least_the_likeliest_and_at_most_all_together_and_grows(
    serving: list[Serving], years: float, more: float
) -> None:
    batch = Batch(tuple(serving))
    (nodes,) = nodes_of((batch,), LIFE)
    assert sum(n.weight for n in nodes) == pytest.approx(1)
    found, later = outlook(batch, nodes, years), outlook(batch, nodes, years + more)
    assert max(found.each) <= found.any + 1e-9
    assert found.any <= min(1.0, sum(found.each)) + 1e-9
    assert later.any >= found.any - 1e-9
    assert all(0 <= p <= 1 for p in found.each)


def test_a_set_of_no_sensor_has_no_chance() -> None:
    (nodes,) = nodes_of((Batch(()),), LIFE)
    assert outlook(Batch(()), nodes, 5).any == pytest.approx(0, abs=1e-12)
    assert nodes_of((), LIFE) == ()


def test_a_low_battery_that_has_lasted_longer_lasts_longer() -> None:
    """Half last three months; of those that did, a quarter of all is gone at nine months: half of them last six months more."""

    def fails(low_years: float, years: float) -> float:
        batch = Batch((Serving(4.0, 4.0, battery_low=True, low_years=low_years),))
        return outlook(batch, (LifeScale(9.0, 1.0),), years).any

    assert fails(0.0, 3 / 12) == pytest.approx(0.5, abs=1e-6)
    assert fails(3 / 12, 6 / 12) == pytest.approx(0.5, abs=1e-6)
    assert fails(2.0, 3 / 12) < fails(1.0, 3 / 12) < fails(0.25, 3 / 12)
