"""What is taken of tyres before anything was read: how fast sound ones lose air, how often leaks begin, and how fast those are."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from math import exp, log
from typing import TYPE_CHECKING

from wheelside.finding import Basis, Ground

if TYPE_CHECKING:
    from wheelside.watch.columns import Floats

MOST_NORMAL = 14.0
"""Up to here a loss is published as normal, kPa a month: 2 psi, GAO-07-246R."""
NORMAL_MEDIAN, NORMAL_LOG_SD = 3.45, 0.569
"""Normal loss in kPa a month: lognormal, 0.5 psi in the middle, nine in ten from 0.2 to 1.3 psi. Judgement."""
NORMAL_MOST = NORMAL_MEDIAN * exp(2 * NORMAL_LOG_SD)
"""Hardly any sound tyre loses more, kPa a month: one in 44 of these."""
LEVEL_KPA, LEVEL_SD_KPA = 330.0, 200.0
"""What an amount of air may be before it was read: next to nothing is taken of it."""
LEAK_LEAST, LEAK_MOST = 4.0, 3000.0
"""The rates of leaks that are looked for, in kPa a month, each power of ten as likely as another. Judgement."""
LEAKS_PER_YEAR = 0.1
"""How many leaks begin on one tyre a year. Judgement."""
LEAKING_AT_FIRST = 0.02
"""How likely a tyre leaks when it is read first. Judgement."""
PRIOR = Basis(
    Ground.JUDGEMENT,
    "normal loss 0.2 to 1.3 psi (1.4 to 9 kPa) a month; one leak a tyre in ten years; one tyre in fifty leaks when it is read first",
)


@dataclass(frozen=True, slots=True)
class Mixture:
    """A distribution as a few normal ones: (k,) weights, means and standard deviations."""

    weight: Floats
    mean: Floats
    sd: Floats


@cache
def normal_loss_parts() -> Mixture:
    """The normal loss of sound tyres, kPa a month: the lognormal law cut at four of its quantiles, each piece by its two moments."""
    import numpy as np
    from scipy.special import ndtri

    cuts = np.array([0.0, 0.3, 0.62, 0.88, 1.0])
    z = np.linspace(0.0005, 0.9995, 4000)
    values = np.exp(log(NORMAL_MEDIAN) + NORMAL_LOG_SD * ndtri(z))
    pieces = [values[(z >= a) & (z < b)] for a, b in pairwise(cuts)]
    weights = np.diff(cuts)
    return Mixture(weights, np.array([p.mean() for p in pieces]), np.array([p.std() * 1.1 for p in pieces]))


@cache
def leak_parts() -> Mixture:
    """The loss by a leak, kPa a month, beside the normal one: bell curves a factor apart, so wide that they overlap."""
    import numpy as np

    step, n = 1.9, int(log(LEAK_MOST / LEAK_LEAST) / log(1.9)) + 1
    mean = np.array([LEAK_LEAST * 1.3 * step**i for i in range(n)])
    return Mixture(np.full(n, 1.0 / n), mean, 0.33 * mean)


def normal_moments() -> tuple[float, float]:
    """Mean and standard deviation of the normal loss of a sound tyre, kPa a month."""
    mean = NORMAL_MEDIAN * exp(NORMAL_LOG_SD**2 / 2)
    return mean, mean * (exp(NORMAL_LOG_SD**2) - 1.0) ** 0.5
