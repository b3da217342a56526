"""A seeded sample of the straight-line world; the whole of it by `benchmarks/watching.py`."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parents[2] / "benchmarks"))

from watching import alarms, coverage, delays, efficiency

from air_worlds import Schedule, Truth, bound, information, normals, plan_of, sound, straight
from real_world import DAY_US, FIRST_US, Leak, record, until
from wheelside.watch.columns import DAYS_PER_MONTH
from wheelside.watch.estimate import losses
from wheelside.watch.group import watched
from wheelside.watch.line import model, one_leak, reduced
from wheelside.watch.record import taken
from wheelside.watch.says import SURE


@pytest.mark.parametrize("schedule", list(Schedule))
def test_the_loss_is_found_nearly_as_well_as_it_can_be(schedule: Schedule) -> None:
    rng, errors = np.random.default_rng(21), []
    for start in (40.0, 75.0, 110.0):
        truth = Truth(normals(rng, 100), np.exp(rng.uniform(np.log(5), np.log(200), 100)), np.full(100, start))
        plan = plan_of(schedule, 180)
        g, one = straight(rng, plan, truth), one_leak(0, start / DAYS_PER_MONTH)
        found = losses(reduced(g, model(g), one), one, 0)
        weight = found.weight * found.leaks[:, None]
        expected = (weight * found.mean).sum(axis=0) / weight.sum(axis=0)
        errors.append((expected - truth.normal[0] - truth.leak) / bound(plan, start) ** 0.5)
    z = np.concatenate(errors)
    assert np.mean(z**2) < 1.2 + 3 * (2 / len(z)) ** 0.5
    assert abs(np.mean(z)) < 0.2


def test_rounding_costs_information_as_the_theory_says() -> None:
    # Sheppard's correction: a fine step adds a twelfth of its square to the variance
    assert information(2.0, 1.0) == pytest.approx(1 / (4 + 1 / 12), rel=1e-3)
    assert information(2.0, 0.01) == pytest.approx(0.25, rel=1e-3)
    assert information(0.3, 2.75) < 1 / 0.09


def test_sound_tyres_of_weekly_readings_are_left_alone_and_leaks_are_found() -> None:
    assert alarms(Schedule.WEEKLY, 31, 60, SURE) <= 0.2
    found = delays(Schedule.WEEKLY, 32, 40, np.full(40, 30.0), SURE)
    assert float(np.median(found)) < 25


def test_the_benchmark_counts_what_it_says() -> None:
    lines = efficiency(Schedule.WEEKLY, 33, 50) + coverage(Schedule.WEEKLY, 34, 100)
    assert len(lines) == 4
    assert sound(np.random.default_rng(1), 3).leak.sum() == 0


@pytest.mark.parametrize(("seed", "out", "back", "day"), [(6, 100, 232, 240), (9, 97, 249, 258), (0, 136, 274, 286)])
def test_a_set_that_lay_for_months_and_was_filled_a_little_is_left_alone(
    seed: int, out: int, back: int, day: int
) -> None:
    """In the shed somebody topped it up and said nothing; it reads as much as before, or a little less."""
    lay = until(record(np.random.default_rng(seed), Schedule.DAILY, 300, away=(out, back)), day)
    found = watched(taken(lay), FIRST_US + day * DAY_US)
    assert max(one.chance for one in found) < SURE


def test_a_leak_in_the_shed_is_seen_when_the_set_comes_back() -> None:
    lay = until(record(np.random.default_rng(6), Schedule.DAILY, 300, Leak(2, 40.0, 110.0), away=(100, 232)), 240)
    found = watched(taken(lay), FIRST_US + 240 * DAY_US)
    assert [one.chance >= SURE for one in found] == [False, False, True, False]
