"""Leaks in a world with more in it than the estimate knows, beside a fixed threshold and a rolling regression.

python benchmarks/watching_real.py --schedule weekly --cars 200
python benchmarks/watching_real.py --schedule daily --cars 60

Each car is looked at once a week. Printed are false alarms in 20 car-years without a leak, and the median delay of leaks of 10, 20, 50 and
150 kPa a month that begin 90 days or more into the record; 'never' where half of them are not found by its end.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import numpy as np
from scipy.stats import linregress

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))

from air_worlds import Schedule
from real_world import DAY_US, FIRST_US, Leak, record, until
from wheelside.watch.columns import DAYS_PER_MONTH
from wheelside.watch.group import watched
from wheelside.watch.prior import MOST_NORMAL
from wheelside.watch.record import AmountsTaken, taken
from wheelside.watch.says import SURE

YEAR, LEAK_DAYS = 364, 300
RATES = (10.0, 20.0, 50.0, 150.0)
FALL_KPA = 25.0
"""The fixed threshold: so far below the highest amount since air was last said to be let in."""
WINDOW = 8
AWAY = 0.5
"""The share of sets without a leak that lie in a shed for some months of the year, while others are on the car."""
WAYS = ("the estimate", "fixed threshold", "rolling regression")
Seen = Callable[[AmountsTaken, int], tuple[bool, ...]]


def estimate(t: AmountsTaken, now_us: int) -> tuple[bool, ...]:
    """Which wheels are said to leak."""
    return tuple(one.chance >= SURE for one in watched(t, now_us))


def threshold(t: AmountsTaken, _: int) -> tuple[bool, ...]:
    """Which wheels are far below what they had, the temperature taken out."""
    g, out = t.gaugings, []
    for w in range(4):
        rows = np.flatnonzero(g.wheel == w)
        rows = rows[g.level[rows] == g.level[rows[-1]]]
        out.append(bool(g.kpa[rows].max() - g.kpa[rows[-1]] > FALL_KPA))
    return tuple(out)


def rolling(t: AmountsTaken, _: int) -> tuple[bool, ...]:
    """Which wheels fall by more than is normal over their last readings, one time in a hundred by chance: scipy's regression."""
    g, out = t.gaugings, []
    for w in range(4):
        rows = np.flatnonzero(g.wheel == w)
        rows = rows[g.level[rows] == g.level[rows[-1]]][-WINDOW:]
        if len(rows) < 4 or np.ptp(g.month[rows]) == 0:
            out.append(False)
            continue
        line = linregress(g.month[rows], g.kpa[rows])
        out.append(bool(line.slope + 2.33 * line.stderr < -MOST_NORMAL))
    return tuple(out)


SEEN: tuple[Seen, ...] = (estimate, threshold, rolling)


def one_car(schedule: Schedule, seed: int) -> tuple[int, ...]:
    """How many of the sound wheels of one car are ever said to leak in a year, by each way."""
    rng = np.random.default_rng(seed)
    out = int(rng.integers(60, 150))
    away = (out, out + int(rng.integers(100, 160))) if rng.random() < AWAY else (0, 0)
    whole = record(rng, schedule, YEAR, away=away)
    said = np.zeros((len(SEEN), 4), dtype=bool)
    for day in range(20, YEAR, 7):
        if away[0] <= day < away[1]:
            continue
        t = taken(until(whole, day))
        for n, way in enumerate(SEEN):
            said[n] |= np.array(way(t, FIRST_US + day * DAY_US + DAY_US // 2))
    return tuple(int(row.sum()) for row in said)


def one_leak(schedule: Schedule, rate: float, seed: int) -> tuple[float, ...]:
    """After how many days a leak is found by each way; infinite for never."""
    rng = np.random.default_rng(seed)
    leak = Leak(0, rate, float(rng.uniform(90, 120)))
    whole = record(rng, schedule, LEAK_DAYS, leak)
    found = [np.inf] * len(SEEN)
    for day in range(int(leak.start) + 1, LEAK_DAYS):
        if (day - int(leak.start)) % (7 if schedule is Schedule.WEEKLY else 1) != 1 % 7 and schedule is Schedule.WEEKLY:
            continue
        t = taken(until(whole, day))
        for n, way in enumerate(SEEN):
            if not np.isfinite(found[n]) and way(t, FIRST_US + day * DAY_US + DAY_US // 2)[0]:
                found[n] = day - leak.start
        if np.isfinite(found[0]) and (day - leak.start > 120 or np.isfinite(found).all()):
            break
    return tuple(found)


def main() -> int:
    """Prints what came of it."""
    wanted = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    wanted.add_argument("--schedule", choices=[s.value for s in Schedule], default="weekly")
    wanted.add_argument("--cars", type=int, default=100)
    wanted.add_argument("--seed", type=int, default=1000)
    args = wanted.parse_args()
    schedule, began = Schedule(args.schedule), time.monotonic()
    with ProcessPoolExecutor(2) as pool:
        seeds = range(args.seed, args.seed + args.cars)
        alarms = np.array(list(pool.map(one_car, [schedule] * args.cars, seeds)))
        for name, count in zip(WAYS, alarms.sum(axis=0).tolist(), strict=True):
            print(
                f"{schedule}: {args.cars} leak-free car-years, {name}: {20 * count / args.cars:.2f} false alarms in 20 car-years"
            )
        leaks = max(args.cars // 5, 10)
        for rate in RATES:
            seeds = range(args.seed + 50_000, args.seed + 50_000 + leaks)
            found = np.array(list(pool.map(one_leak, [schedule] * leaks, [rate] * leaks, seeds)))
            told = ", ".join(
                f"{name} {'never' if np.isinf(m) else f'{m:.0f} days'}"
                for name, m in zip(WAYS, np.median(found, axis=0).tolist(), strict=True)
            )
            print(f"{schedule}, {rate:.0f} kPa a month, {leaks} leaks: {told}")
    print(f"{time.monotonic() - began:.0f} s; a month has {DAYS_PER_MONTH:.1f} days")
    return 0


if __name__ == "__main__":
    sys.exit(main())
