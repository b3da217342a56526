"""A hundred household-days, carried out to the letter; `benchmarks/walk.py` lives a thousand of them."""

from __future__ import annotations

from random import Random

import pytest
from days import Came, Kind, days, live
from households import Line, draw
from things import ROAD, CantBeDone

PARTS = 4
EACH = 25
SEED = 0


@pytest.mark.parametrize("part", range(PARTS))
def test_every_sheet_carried_out_to_the_letter_leaves_the_household_as_planned(part: int) -> None:
    lived = list(days(SEED + part * EACH, EACH))
    failed = [f"seed {d.seed}, {d.kind}: {d.why}\n" + "\n".join(d.log[-3:]) for d in lived if d.came is Came.FAILED]
    assert not failed, "\n".join(failed)
    done = [d for d in lived if d.came is Came.DONE]
    assert len(done) >= EACH // 2, "too few households are carried out to the end"


def test_two_cars_are_never_told_to_swap_wheels_off_each_others_hubs() -> None:
    swaps = [live(seed, Kind.SWAP) for seed in (SEED, SEED + 1)]
    assert [d.why for d in swaps if d.came is Came.REFUSED] == ["on-another-car"] * len(swaps)


def test_no_car_rolls_on_a_wheel_that_was_fitted_and_not_fastened_and_gauged() -> None:
    home = draw(Random(1), Line.ONCE)
    world, car = home.world, home.world.cars[home.car]
    world.roll(car)
    assert not world.breaches
    coming = {w.meant: w for w in world.wheels.values() if w.set == home.coming}
    for corner in ROAD:
        off, new = car.hubs[corner], coming[corner]
        assert off is not None
        world.take_off(off, car, corner)
        new.place = "another place"
        with pytest.raises(CantBeDone):
            world.fit(new, car, corner)
        world.fetch(new, "another place", car)
        world.fit(new, car, corner)
    world.roll(car)
    told = len(world.breaches)
    assert told == 2 * len(ROAD), "each is neither fastened nor gauged"
    world.torque(car)
    world.roll(car)
    assert len(world.breaches) == told + len(ROAD)
    for wheel in coming.values():
        world.set_pressure(wheel, 240.0)
    world.roll(car)
    assert len(world.breaches) == told + len(ROAD)
