"""How fast a tread wears, from several times that it was measured, and when it is down to a depth, with an interval.

A tread of y mm after x km is taken as a straight line with the gauge's spread s about each figure: least squares give the rate and its
variance s² / Σ(x − x̄)². What the trade says of rates goes before: lognormal, 8 of 10 tyres between 1 mm for 5,000 and for 10,000 km. Both
together are a grid of rates with weights (Bayes). One figure alone leaves what the trade says.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from wheelside.tyre.wear import FAST_MM_PER_KM, SLOW_MM_PER_KM
from wheelside.units.quantity import DAYS_PER_YEAR

GAUGE_MM = 0.2
"""Spread (one sigma) of one figure of a tread gauge, from groove to groove included; judgement."""
TRADE_SIGMA = math.log(FAST_MM_PER_KM / SLOW_MM_PER_KM) / 2 / 1.281552
"""So that 8 of 10 lie between the trade's two rates; that it is 8 is judgement."""
DRIVEN_SIGMA = 0.4
"""How far the distance of a year may be off where nobody has named it: one sigma of its logarithm; judgement."""
WITHIN = 0.9
"""How sure the interval is: 9 of 10."""
_STEPS, _SIGMAS = 200, 5.0
_FAR_KM = 1e7


@dataclass(frozen=True, slots=True)
class Depths:
    """One time that a tread was measured: the day, the depth in mm, and how far it had run by then in km; None where not known."""

    day: date
    mm: float
    km: float | None = None


@dataclass(frozen=True, slots=True)
class StraightLine:
    """A least-squares line y = mean_y + slope (x − mean_x). `residual`: the standard deviation about it, of n − 2 degrees of freedom,
    None below three points. `sxx`: Σ(x − mean_x)²."""

    mean_x: float
    mean_y: float
    slope: float
    sxx: float
    n: int
    residual: float | None

    def at(self, x: float) -> float:
        return self.mean_y + self.slope * (x - self.mean_x)

    def spread_at(self, x: float, sigma: float, *, of_one: bool = False) -> float:
        """Standard error of the line at x for points of spread `sigma`; `of_one`: of one further point there."""
        return sigma * math.sqrt(of_one + 1 / self.n + ((x - self.mean_x) ** 2 / self.sxx if self.sxx else 0.0))


@dataclass(frozen=True, slots=True)
class Wearing:
    """How a tread wears. `line`: mm by km; `rates`: mm per km with weights that sum to 1; `last`, `last_km`: when it was measured last,
    and where on the line; `km_a_day`: how fast it runs."""

    line: StraightLine
    gauge_mm: float
    rates: tuple[tuple[float, float], ...]
    last: date
    last_km: float
    km_a_day: float

    @property
    def rate(self) -> float:
        """The mean rate, in mm per km."""
        return sum(rate * weight for rate, weight in self.rates)

    def worn_by(self, mm: float, km: float) -> float:
        """The chance that it is down to so many mm by a point of the line."""
        spread = self.gauge_mm / math.sqrt(self.line.n)
        above, run = self.line.mean_y - mm, km - self.line.mean_x
        return sum(w * 0.5 * math.erfc((above - rate * run) / (spread * math.sqrt(2))) for rate, w in self.rates)


@dataclass(frozen=True, slots=True)
class Reached:
    """When a tread is down to a depth: as likely before as after `day`; 9 of 10 between `earliest` and `latest`. `km`: the same in km
    after it was last measured, negative where it was down to it before."""

    mm: float
    earliest: date
    day: date
    latest: date
    km: tuple[float, float, float]


def straight_line(xs: Sequence[float], ys: Sequence[float]) -> StraightLine:
    """The line of least squares through at least one point; level where all x are one.

    >>> straight_line([0, 1, 2], [8, 7, 6]).slope
    -1.0
    """
    n = len(xs)
    mean_x, mean_y = math.fsum(xs) / n, math.fsum(ys) / n
    sxx = math.fsum((x - mean_x) ** 2 for x in xs)
    slope = math.fsum((x - mean_x) * (y - mean_y) for x, y in zip(xs, ys, strict=True)) / sxx if sxx else 0.0
    off = math.fsum((y - mean_y - slope * (x - mean_x)) ** 2 for x, y in zip(xs, ys, strict=True))
    return StraightLine(mean_x, mean_y, slope, sxx, n, math.sqrt(off / (n - 2)) if n > 2 else None)


def wearing(
    measured: Sequence[Depths], km_a_year: float, *, km_known: bool = True, gauge_mm: float = GAUGE_MM
) -> Wearing:
    """How a tread wears, from at least one time that it was measured.

    The line goes by distance where that is noted each time, and else by days, each the same part of `km_a_year`. Where its own distances are a
    year apart or more, they say how fast it runs. `km_known`: whether somebody has named `km_a_year`; if not, the trade's rates are spread more.
    """
    rows = sorted(measured, key=lambda one: one.day)
    first, last = rows[0], rows[-1]
    km_a_day = km_a_year / DAYS_PER_YEAR
    noted = [one.km for one in rows if one.km is not None]
    by_km = len(noted) == len(rows)
    if by_km and (days := (last.day - first.day).days) >= DAYS_PER_YEAR - 1 and noted[-1] > noted[0]:
        km_a_day = (noted[-1] - noted[0]) / days
    xs = noted if by_km else [(one.day - first.day).days * km_a_day for one in rows]
    line = straight_line(xs, [one.mm for one in rows])
    sigma = TRADE_SIGMA if by_km or km_known else math.hypot(TRADE_SIGMA, DRIVEN_SIGMA)
    return Wearing(line, gauge_mm, _rates(line, sigma, gauge_mm), last.day, xs[-1], km_a_day)


def _rates(line: StraightLine, sigma: float, gauge_mm: float) -> tuple[tuple[float, float], ...]:
    """What the trade says of rates, weighed by what the line says."""
    middle = math.sqrt(FAST_MM_PER_KM * SLOW_MM_PER_KM)
    steps = [_SIGMAS * (2 * k / _STEPS - 1) for k in range(_STEPS + 1)]
    rates = [middle * math.exp(sigma * z) for z in steps]
    logs = [
        -z * z / 2 - line.sxx * (rate + line.slope) ** 2 / (2 * gauge_mm**2)
        for z, rate in zip(steps, rates, strict=True)
    ]
    top = max(logs)
    weights = [math.exp(log - top) for log in logs]
    total = sum(weights)
    return tuple((rate, w / total) for rate, w in zip(rates, weights, strict=True) if w > total * 1e-12)


def reached(one: Wearing, mm: float) -> Reached:
    """When a tread is down to a depth, driven on as so far."""
    early, middle, late = (_km_at(one, mm, share) for share in ((1 - WITHIN) / 2, 0.5, (1 + WITHIN) / 2))
    days = [one.last + timedelta(days=_days(km / one.km_a_day)) for km in (early, middle, late)]
    return Reached(mm, days[0], days[1], days[2], (early, middle, late))


def depth_on(one: Wearing, day: date, share: float) -> float:
    """The depth in mm, at least 0, to 0.02, that a tread is below on a day with the chance `share`, driven on as so far; from `last` on."""
    km, low, high = one.last_km + (day - one.last).days * one.km_a_day, 0.0, one.line.mean_y + 1.0
    while high - low > 0.02:
        middle = (low + high) / 2
        low, high = (middle, high) if one.worn_by(middle, km) < share else (low, middle)
    return (low + high) / 2 if low > 0 else 0.0


def _days(days: float) -> int:
    """Whole days, of a time that a calendar has."""
    return round(max(-36_500.0, min(36_500.0, days)))


def _km_at(one: Wearing, mm: float, share: float) -> float:
    """How far after it was last measured the chance of being down to a depth is `share`."""
    low, high = one.line.mean_x - _FAR_KM, one.line.mean_x + _FAR_KM
    while high - low > 0.5:
        middle = (low + high) / 2
        low, high = (middle, high) if one.worn_by(mm, middle) < share else (low, middle)
    return high - one.last_km
