"""Leaks found in a world of straight lines: how near the estimate comes to the bound, how often its intervals hold, how soon it speaks.

python benchmarks/watching.py                      all, about half an hour on two cores
python benchmarks/watching.py --small              a sample of a minute
"""

from __future__ import annotations

import argparse
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Any

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))

from air_worlds import BANDS, Schedule, Truth, bound, normals, plan_of, sound, straight
from wheelside.watch.columns import DAYS_PER_MONTH
from wheelside.watch.estimate import Losses, losses
from wheelside.watch.line import Candidates, candidates, model, one_leak, reduced
from wheelside.watch.prior import Mixture
from wheelside.watch.says import SURE

YEAR_DAYS = 365
ALLOWED = 1.25 / 20
"""False alarms a car-year."""
SHARES = (0.5, 0.9, 0.95)


def efficiency(schedule: Schedule, seed: int, tyres: int) -> list[str]:
    """The error of the loss against its bound, start given: leaking tyres, and sound ones."""
    rng = np.random.default_rng(seed)
    leaking: list[Any] = []
    fine: list[Any] = []
    days, cars = 180, 25
    while len(leaking) * cars < tyres:
        start = float(rng.uniform(21, days - 61))
        truth = Truth(normals(rng, cars), np.exp(rng.uniform(np.log(5), np.log(200), cars)), np.full(cars, start))
        one = one_leak(0, start / DAYS_PER_MONTH)
        leaking.append(_errors(rng, schedule, days, truth, one, start))
        fine.append(_errors(rng, schedule, days, sound(rng, cars), one, None))
    return [
        f"{schedule} {name}: {len(z)} tyres, mean squared error {np.mean(z**2):.2f} of the bound (at most 1.2), "
        f"mean error {np.mean(z) / np.std(z):+.2f} of its deviation (at most 0.2)"
        for name, z in (("leaking", np.concatenate(leaking)), ("sound", np.concatenate(fine)))
    ]


def _errors(rng: Any, schedule: Schedule, days: int, truth: Truth, one: Candidates, start: float | None) -> Any:
    """Errors of the loss in units of the bound's deviation, for what is known to leak or not to."""
    plan = plan_of(schedule, days)
    g = straight(rng, plan, truth)
    found = losses(reduced(g, model(g), one), one, 0)
    weight = found.weight * (found.leaks == (start is not None))[:, None]
    expected = (weight * found.mean).sum(axis=0) / weight.sum(axis=0)
    return (expected - truth.normal[0] - truth.leak) / bound(plan, start) ** 0.5


def coverage(schedule: Schedule, seed: int, cars: int) -> list[str]:
    """How often the loss lies within its intervals, start not given."""
    rng, lines, days = np.random.default_rng(seed), [], 180
    for leaks in (True, False):
        inside: dict[float, list[Any]] = {share: [] for share in SHARES}
        for _ in range(max(1, cars // 100)):
            truth = sound(rng, 100)
            if leaks:
                rates, starts = np.exp(rng.uniform(np.log(5), np.log(200), 100)), rng.uniform(21, days - 60, 100)
                truth = Truth(normals(rng, 100), rates, starts)
            found = _at_end(rng, schedule, days, truth)
            loss = truth.normal[0] + truth.leak
            for share in SHARES:
                low, high = found.quantile(0.5 - share / 2), found.quantile(0.5 + share / 2)
                inside[share].append((low <= loss) & (loss <= high))
        told = ", ".join(f"{100 * share:.0f} %: {100 * np.mean(np.concatenate(inside[share])):.1f}" for share in SHARES)
        lines.append(f"{schedule} intervals, {'leaking' if leaks else 'sound'}, {cars} cars: {told} (within 2 points)")
    return lines


def _at_end(rng: Any, schedule: Schedule, days: int, truth: Truth) -> Losses:
    g = straight(rng, plan_of(schedule, days), truth)
    c = candidates(g, most=days).of((0,))
    return losses(reduced(g, model(g), c), c, 0)


def chances(
    rng: Any, schedule: Schedule, days: int, truth: Truth, wheels: tuple[int, ...], leak: Mixture | None
) -> Any:
    """The chance that each of some wheels leaks after each occasion from the third on: (occasions, wheels, cars), and their days."""
    plan = plan_of(schedule, days)
    g = straight(rng, plan, truth)
    rows = len(g.wheel) // len(plan.day)
    found, when = [], []
    every = 2 if schedule is Schedule.DRIVING else 1
    for n in range(3 * every, len(plan.day) + 1, every):
        so_far = g.until(n * rows)
        c = candidates(so_far).of(wheels)
        r = reduced(so_far, model(so_far), c)
        found.append([losses(r, c, w, leak).chance for w in wheels])
        when.append(plan.day[n - 1])
    return np.array(found), np.array(when)


def alarms(schedule: Schedule, seed: int, cars: int, level: float, leak: Mixture | None = None) -> float:
    """How often sound tyres are said to leak, a car-year."""
    highest = highest_chances(schedule, seed, cars, leak)
    return float((highest > level).mean() * 4)


def highest_chances(schedule: Schedule, seed: int, cars: int, leak: Mixture | None = None) -> Any:
    """The highest chance that each sound tyre has in a year."""
    rng = np.random.default_rng(seed)
    wheels = (0, 1, 2, 3) if leak is None else (0, 1)
    return chances(rng, schedule, YEAR_DAYS, sound(rng, cars), wheels, leak)[0].max(axis=0).ravel()


def delays(schedule: Schedule, seed: int, cars: int, rates: Any, level: float, leak: Mixture | None = None) -> Any:
    """How many days after its beginning each leak is found; infinite where it never is."""
    rng = np.random.default_rng(seed)
    starts = rng.uniform(90, 120, cars)
    truth = Truth(normals(rng, cars), rates, starts)
    found, when = chances(rng, schedule, 300, truth, (0,), leak)
    said = (found[:, 0] > level) & (when[:, None] > starts[None, :])
    first = np.where(said.any(axis=0), said.argmax(axis=0), -1)
    return np.where(first >= 0, when[first] - starts, np.inf)


RATES = 3
"""In each band leaks of so many rates, spread evenly by their logarithm; the oracle knows each one's."""


def soonest(schedule: Schedule, seed: int, cars: int, sound_cars: int) -> list[str]:
    """The median delay of each band beside that of an oracle that knows the rate, at the same rate of false alarms."""
    lines = []
    for low, high in BANDS:
        ours, oracle = [], []
        for part in range(RATES):
            rate = low * (high / low) ** ((part + 0.5) / RATES)
            ours.append(delays(schedule, seed + 2 * part, cars // RATES, np.full(cars // RATES, rate), SURE))
            knows = Mixture(np.array([1.0]), np.array([rate]), np.array([0.01]))
            limit = float(np.quantile(highest_chances(schedule, seed + 1, sound_cars, knows), 1 - ALLOWED / 4))
            oracle.append(delays(schedule, seed + 2 * part, cars // RATES, np.full(cars // RATES, rate), limit, knows))
        a, b = (float(np.median(np.concatenate(found))) for found in (ours, oracle))
        lines.append(
            f"{schedule}, {low:.0f} to {high:.0f} kPa a month: found after {a:.1f} days, oracle {b:.1f}, {a / b if b else np.inf:.2f} (at most 1.2)"
        )
    return lines


def one_schedule(schedule: Schedule, small: bool) -> list[str]:
    """All of one schedule."""
    tyres, cars, years = (200, 200, 100) if small else (2000, 2000, 1000)
    lines = efficiency(schedule, 11, tyres) + coverage(schedule, 12, cars)
    rate = alarms(schedule, 13, years, SURE)
    lines.append(
        f"{schedule}: {years} leak-free car-years, {20 * rate:.2f} false alarms in 20 car-years (at most 1.25)"
    )
    return lines + soonest(schedule, 14, 100 if small else 400, 100 if small else 1000)


def main() -> int:
    """Prints what came of each."""
    wanted = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    wanted.add_argument("--small", action="store_true")
    wanted.add_argument("--schedule", choices=[s.value for s in Schedule])
    args = wanted.parse_args()
    began = time.monotonic()
    chosen = [Schedule(args.schedule)] if args.schedule else list(Schedule)
    with ProcessPoolExecutor(2) as pool:
        for lines in pool.map(one_schedule, chosen, [args.small] * len(chosen)):
            for line in lines:
                print(line, flush=True)
    print(f"{time.monotonic() - began:.0f} s")
    return 0


if __name__ == "__main__":
    sys.exit(main())
