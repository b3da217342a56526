"""What readings say of a loss and a leak, held against likelihoods of a general library."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import multivariate_normal

from wheelside.watch.columns import Gaugings
from wheelside.watch.estimate import losses
from wheelside.watch.line import candidates, leak_columns, model, one_leak, reduced, whitened
from wheelside.watch.prior import Mixture


def drawn(seed: int, shared: float = 2.0) -> Gaugings:
    """Twelve occasions of three wheels by two gauges, one wheel filled once, any amounts."""
    rng = np.random.default_rng(seed)
    month = np.repeat(np.cumsum(rng.uniform(0.1, 0.5, 12)), 3)
    wheel = np.tile(np.arange(3), 12)
    level = np.where((wheel == 1) & (month > month[15]), 3, wheel)
    gauge = (month > month[24]).astype(np.int64)
    kpa = 335.0 - 5.0 * month + rng.normal(0.0, 3.0, 36)
    occasion = np.repeat(np.arange(12), 3)
    spread = np.repeat(rng.uniform(0.5, shared, 12), 3)
    return Gaugings(wheel, month, kpa, rng.uniform(1.0, 3.0, 36), spread, occasion, level, gauge, (5.0, 7.0))


def covariance_of(g: Gaugings) -> np.ndarray:
    same = g.occasion[:, None] == g.occasion[None, :]
    return np.diag(g.own_kpa**2) + np.where(same, g.shared_kpa[:, None] * g.shared_kpa[None, :], 0.0)


def likelihood(g: Gaugings, wheel: int, normal: float, leak: float, since: float) -> float:
    """The logarithm of the density of all readings for one normal loss and one leak, everything else integrated out: scipy."""
    m = model(g)
    mean, precision, columns = m.mean.copy(), m.precision.copy(), m.columns
    n = m.losses[wheel]
    rest = [i for i in range(len(mean)) if i != n]
    prior = columns[:, rest] @ np.diag(1.0 / precision[rest]) @ columns[:, rest].T
    at = columns[:, rest] @ mean[rest] + columns[:, n] * normal
    at = at + leak_columns(g, one_leak(wheel, since))[:, 0] * leak
    return float(multivariate_normal(at, covariance_of(g) + prior, allow_singular=False).logpdf(g.kpa))


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_what_is_left_of_the_model_is_the_whole_likelihood(seed: int) -> None:
    # oracle: scipy.stats.multivariate_normal with the covariance written out
    g = drawn(seed)
    for wheel in range(3):
        since = 1.1
        r = reduced(g, model(g), one_leak(wheel, since))

        def ours(normal: float, leak: float, r=r) -> float:  # type: ignore[no-untyped-def]
            x = np.array([normal, leak, 0.0])
            return float(r.h[0, :, 0] @ x - x @ r.s[0] @ x / 2)

        base = likelihood(g, wheel, 4.0, 0.0, since)
        for normal, leak in ((0.0, 0.0), (9.0, 12.0), (3.0, 60.0)):
            told = likelihood(g, wheel, normal, leak, since) - base
            assert ours(normal, leak) - ours(4.0, 0.0) == pytest.approx(told, rel=1e-6, abs=1e-6)


def test_the_shared_error_is_taken_off_as_its_covariance_says() -> None:
    g = drawn(4)
    x = np.random.default_rng(5).normal(size=(36, 2))
    assert np.allclose(whitened(g, x), np.linalg.solve(covariance_of(g), x))


def test_the_chance_of_a_leak_is_bayes_rule_with_all_integrated_out() -> None:
    # one leak of known rate and day, one normal loss: the odds are the ratio of two densities times the odds before
    g = drawn(6)
    c = one_leak(0, 1.3)
    found = losses(reduced(g, model(g), c), c, 0, Mixture(np.array([1.0]), np.array([30.0]), np.array([1e-4])))
    from wheelside.watch.prior import LEAKS_PER_YEAR, normal_loss_parts

    normal = normal_loss_parts()

    def evidence(leak: float) -> float:
        m = model(g)
        n = m.losses[0]
        rest = [i for i in range(len(m.mean)) if i != n]
        total = 0.0
        for weight, mean, sd in zip(normal.weight, normal.mean, normal.sd, strict=True):
            prior = m.columns[:, rest] @ np.diag(1.0 / m.precision[rest]) @ m.columns[:, rest].T
            prior = prior + np.outer(m.columns[:, n], m.columns[:, n]) * sd**2
            at = m.columns[:, rest] @ m.mean[rest] + m.columns[:, n] * mean + leak_columns(g, c)[:, 0] * leak
            total += weight * float(multivariate_normal(at, covariance_of(g) + prior).pdf(g.kpa))
        return total

    odds = evidence(30.0) / evidence(0.0) * LEAKS_PER_YEAR / 12 * 1e-4
    assert float(found.chance[0]) == pytest.approx(odds / (1 + odds), rel=1e-3)


def test_quantiles_are_those_of_the_mixture() -> None:
    g = drawn(7)
    c = candidates(g)
    found = losses(reduced(g, model(g), c), c, 1)
    for share in (0.05, 0.5, 0.9):
        assert float(found.below(found.quantile(share))[0]) == pytest.approx(share, abs=1e-3)
    rng = np.random.default_rng(8)
    which = rng.choice(len(found.weight), 200_000, p=found.weight[:, 0])
    samples = rng.normal(found.mean[which, 0], found.sd[which, 0])
    assert float(np.quantile(samples, 0.9)) == pytest.approx(float(found.quantile(0.9)[0]), abs=0.15)
