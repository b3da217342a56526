"""One sensor at a time, or all of a set at once."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from wheelside.sensor.outlook import Batch, LifeScale, Serving, new_fails, nodes_of
from wheelside.sensor.renewing import FOR_YEARS, Charges, even_age, weigh

LIFE = 9.0
USUAL = Charges(part=50.0, failing=54.0, once=4.0)


def four(age: float) -> Batch:
    return Batch((Serving(age, age),) * 4)


def test_either_way_costs_what_it_costs_in_sets_drawn_at_random() -> None:
    """Sensors of six years with one scale; the tyres are off in a year. Second failures of the same sensor are left out, as is said."""
    rng = np.random.default_rng(11)
    lives = LIFE * rng.weibull(5, (2_000_000, 4)) - 6
    lives = lives[(lives > 0).all(axis=1)]
    new = LIFE * rng.weibull(5, lives.shape)
    singly = (lives < 5).sum(axis=1) * 104.0
    before = lives < 1
    together = before.sum(axis=1) * 104.0 + (~before).sum(axis=1) * 50.0 + 4.0 + (new < FOR_YEARS).sum(axis=1) * 104.0
    found = weigh(four(6), (LifeScale(LIFE, 1.0),), USUAL, off_in=1.0)
    assert found.singly == pytest.approx(singly.mean(), abs=0.6)
    assert found.together == pytest.approx(together.mean(), abs=0.6)


@pytest.mark.parametrize("off_in", [0.0, 1.5])
def test_the_dearer_a_part_the_less_it_pays_to_change_all_at_once(off_in: float) -> None:
    batch = four(7)
    (nodes,) = nodes_of((batch,), LIFE)
    gains = [
        (found := weigh(batch, nodes, replace(USUAL, part=part), off_in=off_in)).singly - found.together
        for part in (1.0, 50.0, 900.0)
    ]
    assert gains == sorted(gains, reverse=True)
    assert gains[0] > 0 > gains[-1]


def test_from_the_even_age_on_all_at_once_is_cheaper() -> None:
    age = even_age(4, 1.0, USUAL, LIFE)
    assert age is not None
    for years, pays in ((age - 0.2, False), (age + 0.2, True)):
        (nodes,) = nodes_of((four(years),), LIFE)
        assert weigh(four(years), nodes, USUAL).together_pays is pays


def test_a_dear_part_never_pays_for_its_age_and_new_sensors_are_left_alone() -> None:
    (nodes,) = nodes_of((four(0),), LIFE)
    new = weigh(four(0), nodes, USUAL)
    assert not new.together_pays
    assert even_age(4, 1.0, Charges(part=900.0, failing=1.0, once=0.0), LIFE) is None
    assert even_age(0, 1.0, USUAL, LIFE) is None


@pytest.mark.pinned
def test_a_new_sensor_seldom_fails_within_the_time() -> None:
    """What is left out: 1 − exp(−(4/9)^5) = 1.7 %; with the spread of the life it is 3 %."""
    (nodes,) = nodes_of((four(0),), LIFE)
    assert new_fails(1.0, (LifeScale(LIFE, 1.0),), FOR_YEARS) == pytest.approx(0.0172, abs=0.0001)
    assert new_fails(1.0, nodes, FOR_YEARS) == pytest.approx(0.0304, abs=0.0001)
