"""A world with more in it than the estimate knows: weather, sun, losses that go with temperature, thermometers that are wrong, refills.

Loosely after figures of the trade (from memory or judgement, as `watch/prior.py` and `watch/record.py` name them); drawn by seed.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from air_worlds import Schedule, rounded
from wheelside.watch.prior import NORMAL_LOG_SD, NORMAL_MEDIAN
from wheelside.watch.record import ReadRecord

DAY_US = 86400 * 1_000_000
FIRST_US = 1_772_870_400_000_000
"""The first day of the record, in March."""
K0, AS_AT = 273.15, 288.15
WHEELS = ("A1", "A2", "A3", "A4")


@dataclass(frozen=True)
class Leak:
    """A leak of one wheel: which, kPa a month, and the day on which it begins."""

    wheel: int
    month: float
    start: float


def weather(rng: np.random.Generator, days: int) -> tuple[Any, Any]:
    """The temperature of each morning in °C and the air pressure in kPa: a year's course, and days that hang together."""
    day = np.arange(days)
    course = 10.0 - 9.0 * np.cos(2 * np.pi * (day + 50) / 365.25)
    wander, air = np.zeros(days), np.zeros(days)
    for n in range(1, days):
        wander[n] = 0.8 * wander[n - 1] + rng.normal(0, 2.2)
        air[n] = 0.8 * air[n - 1] + rng.normal(0, 0.6)
    return course + wander, 100.0 + air


def amounts(rng: np.random.Generator, celsius: Any, leak: Leak | None) -> tuple[Any, list[tuple[int, int, bool]]]:
    """The amounts of air of four wheels by day, (days, 4), and fillings: day, wheel, and whether that was stated.

    A sound tyre loses twice as much for each 17 K warmer (judgement). What falls too low is filled, all four or that one.
    """
    days = len(celsius)
    normal = np.minimum(NORMAL_MEDIAN * np.exp(NORMAL_LOG_SD * rng.standard_normal(4)), 10.0) / 30.4
    now = 340.0 + rng.normal(0, 6, 4)
    wanted = now.copy()
    out, filled = np.zeros((days, 4)), []
    patience = rng.uniform(18, 35)
    for n in range(days):
        now = now - normal * 2 ** ((celsius[n] - 15.0) / 17.0)
        if leak is not None and n >= leak.start:
            now[leak.wheel] -= leak.month / 30.4 * now[leak.wheel] / 340.0
        low = np.flatnonzero(wanted - now > patience)
        if len(low) and rng.random() < 0.2:
            which = range(4) if rng.random() < 0.6 else low.tolist()
            stated = bool(rng.random() < 0.5)
            for w in which:
                now[w] = wanted[w] + rng.normal(0, 3)
                filled.append((n, int(w), stated))
        out[n] = now
    return out, filled


def record(
    rng: np.random.Generator, schedule: Schedule, days: int, leak: Leak | None = None, away: tuple[int, int] = (0, 0)
) -> ReadRecord:
    """What was read of one set in so many days; `away`: from one day to another it lay in a shed, and nobody read it."""
    celsius, air = weather(rng, days)
    true, filled = amounts(rng, celsius, leak)
    off_c, gauge, sensors = rng.normal(0, 1.2), rng.normal(0, 5.0), rng.normal(0, 5.0, 4)
    stated = {(day, w) for day, w, was in filled if was}
    rows: list[tuple[Any, ...]] = []
    for n in range(days):
        if away[0] <= n < away[1]:
            continue
        weekly = n % 7 == 0 and schedule is Schedule.WEEKLY
        if not weekly and schedule is Schedule.WEEKLY and not any((n, w) in stated for w in range(4)):
            continue
        warm = bool(weekly and rng.random() < 0.15)
        sun = rng.choice([0.0, rng.uniform(3, 10)], p=[0.85, 0.15])
        side = int(rng.integers(2))
        for w in range(4):
            kelvin = K0 + celsius[n] + (sun if w % 2 == side else sun / 4) + rng.normal(0, 0.4)
            if warm:
                kelvin += rng.uniform(12, 24)
            absolute = true[n, w] * kelvin / AS_AT
            if schedule is Schedule.WEEKLY:
                if not weekly and (n, w) not in stated:
                    continue
                shown = rounded(absolute - air[n] + gauge + rng.normal(0, 2.0), 1.0)
                purpose = "set" if (n, w) in stated else "gauging"
                rows.append(
                    (w, n, 20 * w, shown, np.nan, K0 + rounded(celsius[n] + off_c, 1.0), warm, purpose, "gauge")
                )
            else:
                shown = rounded(absolute - 101.3 + sensors[w] + rng.normal(0, 1.0), 2.75)
                tyre = rounded(kelvin - K0 + rng.normal(0, 0.5), 1.0) + K0
                rows.append((w, n, 20 * w, shown, tyre, np.nan, False, "by-itself", "port"))
                if schedule is Schedule.DRIVING:
                    hot = kelvin + rng.uniform(14, 20)
                    driven = rounded(true[n, w] * hot / AS_AT - 101.3 + sensors[w] + rng.normal(0, 1.0), 2.75)
                    seen = rounded(hot - K0 - rng.uniform(0, 4), 1.0) + K0
                    rows += [
                        (w, n, 60 * m + 20 * w, driven, seen, np.nan, False, "by-itself", "port") for m in range(55, 60)
                    ]
    return _record(rows)


def _record(rows: list[tuple[Any, ...]]) -> ReadRecord:
    wheel, day, second, shown, tyre, outside, warm, purpose, channel = (np.array(c) for c in zip(*rows, strict=True))
    hour = np.where(channel == "gauge", 9, 8) * 3600
    at = FIRST_US + day.astype(np.int64) * DAY_US + (hour + second).astype(np.int64) * 1_000_000
    return ReadRecord(
        WHEELS, wheel.astype(np.int64), at, shown + 101.3, np.full(len(rows), 2.0), shown, tyre.astype(float), outside.astype(float),
        np.where(warm, "warm", np.where(channel == "gauge", "cold", "")), purpose, channel, np.array(["red"] * len(rows)),
    )  # fmt: skip


def until(whole: ReadRecord, day: float) -> ReadRecord:
    """What had been read by the end of a day."""
    return whole.rows(np.flatnonzero(whole.at_us < FIRST_US + (day + 1) * DAY_US))
