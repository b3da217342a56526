"""The chance that sensors fail, each and any of a set's, from what is known of them and from how long others have lasted.

A sensor of age a alive in a year's time h: exp(−(u (a + h) / s)^5) over exp(−(u a / s)^5), the law of `life`. Its scale s is not known:
around the life that is reckoned with it is spread by `SPREAD`, and all sensors of a set share a factor on it, spread by `FRAILTY`; both are
lognormal. So s is a grid of nodes, each weighed by what sensors have shown: those that failed, and those that are alive (right-censored).
At a node lives are independent; "any of the set" is reckoned at each node and then averaged.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from wheelside.sensor.life import SHAPE

SPREAD = 0.2
"""How sure the life is before any record: one sigma of its logarithm; judgement."""
FRAILTY = 0.1
"""What sensors of a set have in common, their batch and their use: one sigma of the scale's logarithm; judgement."""
HALF_YEAR_USE, HOT, GARAGE_KEPT = 0.9, 1.15, 0.95
"""By how much faster or slower sensors age: in a set used half the year, in a hot climate, on a car kept in a garage; judgement."""
LOW_MEDIAN_YEARS = 3 / 12
"""How long a sensor lasts that says that its battery is low, the median; a quarter last under one month, a quarter over nine; judgement."""
LOW_SIGMA = math.log(9.0) / (2 * 0.674490)
"""Sigma of the lognormal law of that: the quartiles of a normal law lie 0.674490 sigma from its median."""
SILENCE_RATIO, MOST_SILENCES = 3.0, 4
"""How much likelier a silence on a cold morning is in a sensor's last year than before; how many count, for they are alike; judgement."""
LAST_YEARS = 1.0
"""The last year of a sensor's life, in which cold mornings find it silent; judgement."""

_HERMITE = (
    (0.0, 0.7202352156060510), (0.7235510187528376, 0.4326515590025558), (1.468553289216668, 0.08847452739437657),
    (2.266580584531843, 0.004943624275536947), (3.190993201781528, 3.960697726326439e-05),
)  # fmt: skip
"""Abscissas and weights of Gauss-Hermite integration with nine points (Abramowitz and Stegun, table 25.10)."""
_SHARED = tuple((s * x * math.sqrt(2), w / math.sqrt(math.pi)) for x, w in _HERMITE for s in ((1, -1) if x else (1,)))
_STEPS = 30
_BIRTHS = 8
_LEAST_LOG = -20.0
"""Scales that are less likely than the likeliest by e to the power of this are left out."""


@dataclass(frozen=True, slots=True)
class Serving:
    """A sensor that works. `least_years`, `most_years`: its age, 0 or more; evenly likely between them where only the year is known.
    `use`: how fast it ages (see `use_of`). `silences`: cold mornings on which it was not heard, and was heard later. `low_years`: for how
    long it has said that its battery is low, nought where that is not known."""

    least_years: float
    most_years: float
    use: float = 1.0
    battery_low: bool = False
    silences: int = 0
    low_years: float = 0.0


@dataclass(frozen=True, slots=True)
class Departed:
    """A sensor that works for its owner no more, and at which age. `failed`: its battery ended; else it was sold, lost or scrapped alive."""

    least_years: float
    most_years: float
    failed: bool
    use: float = 1.0


@dataclass(frozen=True, slots=True)
class Batch:
    """The sensors of one set, which have something in common: those that work, and those that were in it."""

    serving: tuple[Serving, ...]
    ended: tuple[Departed, ...] = ()


@dataclass(frozen=True, slots=True)
class LifeScale:
    """One scale that the sensors of a set may have, in years, and how likely it is; the weights of all nodes sum to 1."""

    scale: float
    weight: float


@dataclass(frozen=True, slots=True)
class Outlook:
    """The chance from 0 to 1 that each sensor of a set fails within a time, in their order, and that any of them does."""

    each: tuple[float, ...]
    any: float


def use_of(*, half_year: bool = False, hot: bool = False, garage_kept: bool = False) -> float:
    """How fast a sensor ages against one that is used all the year in mild weather and stands outside; judgement.

    >>> round(use_of(half_year=True, hot=True), 3)
    1.035
    """
    return (HALF_YEAR_USE if half_year else 1.0) * (HOT if hot else 1.0) * (GARAGE_KEPT if garage_kept else 1.0)


def nodes_of(batches: Sequence[Batch], life: float) -> tuple[tuple[LifeScale, ...], ...]:
    """For each set the scales that its sensors may have, after all that the record shows: its own sensors and those of the others.

    `life`: the age in years by which 63 of 100 have failed, as it is reckoned with beforehand.
    """
    steps = [3 * k / _STEPS for k in range(-_STEPS, _STEPS + 1)]
    scales = [[life * math.exp(SPREAD * step + FRAILTY * z) for z, _ in _SHARED] for step in steps]
    grids = [_grid(batch, scales) for batch in batches]
    logs = [[_log_mean(row) for row in grid] for grid in grids]
    whole = [math.fsum(column) for column in zip(*logs, strict=True)]
    # of one set: the prior, what all other sets show, and what its own sensors show at each node
    before = [[w - o - z * z / 2 for w, o, z in zip(whole, own, steps, strict=True)] for own in logs]
    return tuple(_nodes(scales, grid, prior) for grid, prior in zip(grids, before, strict=True))


def _grid(batch: Batch, scales: list[list[float]]) -> list[list[float]]:
    """The logarithm of how likely all is that sensors of a set have shown, for each scale.

    Of ages that are known it is −Σ x⁵ / s⁵, and −5 ln s for each that failed; constants are left out.
    """
    plain = [s for s in batch.serving if _plain(s)]
    known = [d for d in batch.ended if d.most_years <= d.least_years]
    lived = [*(s.use * s.least_years for s in plain), *(d.use * d.least_years for d in known)]
    power = math.fsum(years**SHAPE for years in lived)
    failed = SHAPE * sum(one.failed and one.least_years > 0 for one in known)
    others = [one for one in batch.serving if not _plain(one)], [one for one in batch.ended if one not in known]
    return [
        [-power / scale**SHAPE - failed * math.log(scale) + _others(*others, scale) for scale in row] for row in scales
    ]


def _others(serving: list[Serving], ended: list[Departed], scale: float) -> float:
    if not serving and not ended:
        return 0.0
    return sum(_log(_weighed(one, scale, 0.0)) for one in serving) + sum(_log(_departed(one, scale)) for one in ended)


def _log_mean(row: list[float]) -> float:
    """The logarithm of the mean over what a set has in common."""
    top = max(row)
    return top + math.log(sum(w * math.exp(log - top) for (_, w), log in zip(_SHARED, row, strict=True)))


def _nodes(scales: list[list[float]], grid: list[list[float]], before: list[float]) -> tuple[LifeScale, ...]:
    logs = [
        (scale, math.log(w) + prior + log)
        for row, prior, shown in zip(scales, before, grid, strict=True)
        for (_, w), scale, log in zip(_SHARED, row, shown, strict=True)
    ]
    top = max(log for _, log in logs)
    found = [(scale, math.exp(log - top)) for scale, log in logs if log - top > _LEAST_LOG]
    total = math.fsum(weight for _, weight in found)
    return tuple(LifeScale(scale, weight / total) for scale, weight in found)


def outlook(batch: Batch, nodes: Iterable[LifeScale], years: float) -> Outlook:
    """The chance that each sensor of a set, and any of them, fails within so many years."""
    each, none = [0.0] * len(batch.serving), 0.0
    powers = [_power_in(one, years) for one in batch.serving]
    for node in nodes:
        by = node.scale**-SHAPE
        lasts = [
            lasts_for(one, node.scale, years) if power is None else math.exp(-power * by)
            for one, power in zip(batch.serving, powers, strict=True)
        ]
        each = [sum_ + node.weight * (1.0 - p) for sum_, p in zip(each, lasts, strict=True)]
        none += node.weight * math.prod(lasts)
    return Outlook(tuple(each), max(0.0, 1.0 - none))


def _power_in(one: Serving, years: float) -> float | None:
    """What a sensor whose age is known, and that shows nothing else, has more of Σ x⁵ in so many years; None for any other."""
    if one.battery_low or not _plain(one):
        return None
    return float((one.use * (one.least_years + years)) ** SHAPE - (one.use * one.least_years) ** SHAPE)


def _plain(one: Serving) -> bool:
    return not one.silences and one.most_years <= one.least_years


def lasts_for(one: Serving, scale: float, years: float) -> float:
    """The chance that a sensor that works lasts so many years more, of sensors with that scale.

    A battery that is low goes before its age: lognormal, from when it said so first, of those that have lasted since. Each silence of a cold
    morning counts `SILENCE_RATIO` times for an end within `LAST_YEARS` (Bayes); when in that year stays as it was.
    """
    if one.battery_low:
        return _low_lasts(one.low_years + years) / _low_lasts(one.low_years)
    return _weighed(one, scale, years) / _weighed(one, scale, 0.0)


def new_fails(use: float, nodes: Iterable[LifeScale], years: float) -> float:
    """The chance that a new sensor in a set with those nodes fails within so many years."""
    return sum(node.weight * (1.0 - math.exp(-((use * years / node.scale) ** SHAPE))) for node in nodes)


def _low_lasts(years: float) -> float:
    if years <= 0:
        return 1.0
    return 0.5 * math.erfc(math.log(years / LOW_MEDIAN_YEARS) / (LOW_SIGMA * math.sqrt(2)))


def _ages(least: float, most: float) -> tuple[float, ...]:
    """The ages that it may have, each as likely; the middles of equal parts."""
    if most <= least:
        return (least,)
    return tuple(least + (most - least) * (k + 0.5) / _BIRTHS for k in range(_BIRTHS))


def _alive(one: Serving, scale: float, years: float) -> float:
    """How many of all sensors as old as this one is in so many years are alive then."""
    ages = _ages(one.least_years, one.most_years)
    return sum(math.exp(-((one.use * (age + years) / scale) ** SHAPE)) for age in ages) / len(ages)


def _weighed(one: Serving, scale: float, years: float) -> float:
    """The same, weighed by how well its silences suit an end in the year to come, and one after it."""
    now = _alive(one, scale, years)
    ratio = SILENCE_RATIO ** min(one.silences, MOST_SILENCES)
    if ratio == 1.0 or years >= LAST_YEARS:
        return now
    later = _alive(one, scale, LAST_YEARS)
    return ratio * (now - later) + later


def _departed(one: Departed, scale: float) -> float:
    ages = [one.use * age / scale for age in _ages(one.least_years, one.most_years)]
    # a failure by the law's density, its constants left out; at age 0 it says nothing
    likely = [((x**SHAPE) if one.failed and x else 1.0) * math.exp(-(x**SHAPE)) for x in ages]
    return sum(likely) / len(likely)


def _log(value: float) -> float:
    return math.log(value) if value > 0 else -745.0
