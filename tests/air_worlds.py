"""Worlds in which tyres lose air, with the truth beside the readings: one of straight lines, for which bounds are known."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Any

import numpy as np
from scipy.stats import norm

from wheelside.watch.columns import DAYS_PER_MONTH, Gaugings
from wheelside.watch.prior import NORMAL_LOG_SD, NORMAL_MEDIAN

WHEELS = 4
WARM_KPA = 3.0
"""How far all warm readings of a drive may be off together, standard deviation: the sensor is not as warm as the air."""
BANDS = ((5.0, 10.0), (10.0, 20.0), (20.0, 50.0), (50.0, 200.0))


class Schedule(StrEnum):
    """How often a car is read."""

    WEEKLY = "weekly"
    DAILY = "daily"
    DRIVING = "driving"


@dataclass(frozen=True)
class Plan:
    """When a car is read and how well: each row a reading of all four wheels. `minutes`: how many figures a row is the mean of."""

    day: Any
    own: Any
    shared: Any
    step: float
    minutes: Any


def plan_of(schedule: Schedule, days: int) -> Plan:
    """The readings of one schedule, the last one on the last day or just before it.

    By gauge each week, shown to 1 kPa; by the dash each day, shown to 2.75 kPa; one figure a minute in an hour's drive a day, of which
    the program keeps the first, cold, and the mean of the others.
    """
    if schedule is Schedule.WEEKLY:
        day = np.arange(0.0, days, 7.0)
        return Plan(day, np.full(len(day), 2.0), np.full(len(day), 0.01), 1.0, np.ones(len(day)))
    if schedule is Schedule.DAILY:
        day = np.arange(0.0, days, 1.0)
        return Plan(day, np.full(len(day), 1.5), np.full(len(day), 0.01), 2.75, np.ones(len(day)))
    day = np.repeat(np.arange(0.0, days, 1.0), 2) + np.tile([0.0, 0.02], days)
    return Plan(day, np.full(len(day), 1.5), np.tile([0.01, WARM_KPA], days), 2.75, np.tile([1.0, 59.0], days))


@dataclass(frozen=True)
class Truth:
    """What is so in cars read alike: (4, c) normal losses, and of the first wheel its leak and the day on which that begins, (c,)."""

    normal: Any
    leak: Any
    start: Any


def sound(rng: np.random.Generator, cars: int) -> Truth:
    """Cars without a leak."""
    return Truth(normals(rng, cars), np.zeros(cars), np.full(cars, 1e9))


def normals(rng: np.random.Generator, cars: int) -> Any:
    """Normal losses as the population has them, kPa a month."""
    return NORMAL_MEDIAN * np.exp(NORMAL_LOG_SD * rng.standard_normal((WHEELS, cars)))


def rounded(value: Any, step: float) -> Any:
    """To the next step."""
    return np.round(value / step) * step


def straight(rng: np.random.Generator, plan: Plan, truth: Truth) -> Gaugings:
    """The readings of the straight-line world: levels about 340 kPa, losses that do not change, and the plan's errors."""
    rows, cars = len(plan.day), truth.normal.shape[1]
    month = np.repeat(plan.day, WHEELS) / DAYS_PER_MONTH
    wheel = np.tile(np.arange(WHEELS), rows)
    level = 340.0 + rng.normal(0.0, 8.0, (WHEELS, cars))
    true = level[wheel] - truth.normal[wheel] * month[:, None]
    gone = truth.leak * np.maximum(month[:, None] - truth.start / DAYS_PER_MONTH, 0.0)
    true = np.where(wheel[:, None] == 0, true - gone, true)
    bias = rng.normal(0.0, 5.0, cars)
    together = np.repeat(rng.normal(0.0, 1.0, (rows, cars)) * plan.shared[:, None], WHEELS, axis=0)
    shown = np.empty_like(true)
    each = np.repeat(plan.minutes, WHEELS)
    one = each == 1
    base = true + bias + together
    shown[one] = rounded(
        base[one] + rng.normal(0.0, 1.0, base[one].shape) * np.repeat(plan.own, WHEELS)[one, None], plan.step
    )
    for at in np.flatnonzero(~one):
        figures = base[at][None, :] + rng.normal(0.0, plan.own[0], (int(each[at]), cars))
        shown[at] = rounded(figures, plan.step).mean(axis=0)
    own = np.sqrt((np.repeat(plan.own, WHEELS) ** 2 + plan.step**2 / 12) / each)
    occasion = np.repeat(np.arange(rows), WHEELS)
    return Gaugings(
        wheel,
        month,
        shown,
        own,
        np.repeat(plan.shared, WHEELS),
        occasion,
        wheel.copy(),
        np.zeros(len(wheel), dtype=np.int64),
        (5.0,),
    )


def information(own: float, step: float) -> float:
    """What one rounded figure tells of the pressure behind it, averaged over where that lies in a step, in 1/kPa²; exact.

    Fisher information of a normal error seen through rounding: the sum over steps of (difference of densities)²/probability.
    """
    at = (np.arange(200) + 0.5) / 200 * step
    far = int(np.ceil(9.0 * own / step)) + 1
    edges = np.arange(-far, far + 2) * step - step / 2
    z = (edges[None, :] - at[:, None]) / own
    chance = np.diff(norm.cdf(z), axis=1)
    slope = np.diff(norm.pdf(z), axis=1) / own
    there = chance > 1e-300
    return float(np.where(there, slope**2 / np.where(there, chance, 1.0), 0.0).sum(axis=1).mean())


def bound(plan: Plan, start: float | None) -> float:
    """The least variance that an unbiased estimate of the first tyre's loss can have, (kPa a month)²: Cramér and Rao.

    Unknown are the levels and the normal losses of all four, the leak of the first where one begins on day `start`, and the
    instrument's error with its prior. What is wrong with all four alike is one more error with its known spread.
    """
    month = plan.day / DAYS_PER_MONTH
    own = 1.0 / (information(plan.own[0], plan.step) * plan.minutes)
    size = 2 * WHEELS + 2
    j = np.zeros((size, size))
    j[-1, -1] = 5.0**-2
    for at, variance, shared in zip(month, own, plan.shared, strict=True):
        x = np.zeros((WHEELS, size))
        x[:, :WHEELS], x[:, WHEELS : 2 * WHEELS], x[:, -1] = np.eye(WHEELS), -at * np.eye(WHEELS), 1.0
        if start is not None:
            x[0, -2] = -max(at - start / DAYS_PER_MONTH, 0.0)
        j += x.T @ np.linalg.inv(variance * np.eye(WHEELS) + shared**2) @ x
    want = np.zeros(size)
    want[WHEELS] = 1.0
    if start is None:
        j = np.delete(np.delete(j, -2, 0), -2, 1)
        want = np.delete(want, -2)
    else:
        want[-2] = 1.0
    return float(want @ np.linalg.solve(j, want))
