"""Households lived to the end of their horizon; `benchmarks/walk.py --horizon` lives a hundred. Each rule is seen to fail, too."""

from __future__ import annotations

from collections.abc import Iterator
from random import Random

import pytest
from days import Came
from horizon import Cost, YearsLife, hearing, listed, live_years, sold_alike
from things import CantBeDone, Car
from world import World
from years_drawn import Theme, draw_years

from wheelside.jobs.work import agenda
from wheelside.sheet.start import JobStart

SEEDS = (0, 4, 5, 7, 9, 20, 75, 116)
PAIR_SOLD = 6
"""A household with a pair, of which one is written the day before it is sold, lived here with something broken."""


@pytest.mark.parametrize("seed", SEEDS)
def test_what_a_plan_orders_comes_to_pass_until_the_end_of_its_horizon(seed: int) -> None:
    lived = live_years(seed)
    assert lived.came is Came.DONE, "\n".join([lived.why, *lived.log[-3:]])


def broken(life: type[YearsLife]) -> str:
    """Why the years of a household fail with something broken; with nothing broken they do not."""
    lived = live_years(PAIR_SOLD, life)
    assert (lived.came, lived.theme) == (Came.FAILED, Theme.PAIR_SOLD)
    return lived.why


def paired() -> World:
    seed = next(n for n in range(100) if draw_years(Random(n)).theme is Theme.PAIR)
    return draw_years(Random(seed)).home.world


def on_car(world: World) -> Car:
    return world.cars["estate"]


def test_it_is_seen_where_a_car_hears_two_wheels_with_one_id() -> None:
    world = paired()
    assert not list(hearing(world, set()))
    (stored,) = [w for w in world.wheels.values() if w.id == "B1"]
    assert stored.sensor is not None
    stored.sensor.rests = False
    stored.place = "home"
    assert len(list(hearing(world, set()))) == 1
    assert not list(hearing(world, {"B1"})), "it is still to be written, and the plan says so"
    stored.sensor.rests = True
    assert not list(hearing(world, set())), "it is silent while it lies still"


def test_it_is_seen_where_a_list_is_not_what_is_on_the_car() -> None:
    car = on_car(paired())
    assert not listed(car)
    group = car.memory[0]
    car.memory[0] = {**group, "front left": (32, 5)}
    assert "does not hold" in listed(car)
    car.memory = [group, group, group, group]
    assert "has room for" in listed(car)


def test_it_is_seen_where_a_wheel_carries_the_id_of_one_that_was_sold() -> None:
    world = paired()
    world.sell([w for w in world.wheels.values() if w.id.startswith("B")])
    assert len(list(sold_alike(world))) == 4
    for sensor in world.sold:
        sensor.alive = False
    assert not list(sold_alike(world)), "they send no more"


def test_a_set_on_a_car_is_not_sold() -> None:
    world = paired()
    with pytest.raises(CantBeDone):
        world.sell([w for w in world.wheels.values() if w.car])


def test_what_was_done_in_place_of_something_dearer_is_no_dearer() -> None:
    foretold = Cost(written=4, changed=0, teaching=75.0)
    assert Cost(written=8, changed=0, teaching=0.0).no_dearer(foretold)
    assert not Cost(written=5, changed=0, teaching=75.0).no_dearer(foretold)
    assert not Cost(written=0, changed=2, teaching=0.0).no_dearer(foretold)


def test_it_is_seen_where_the_first_plan_foretold_less() -> None:
    class Dear(YearsLife):
        @property
        def done(self) -> Cost:
            return super().done + Cost(1, 0, 0.0)

    assert "the first plan foretold" in broken(Dear)


def test_it_is_seen_where_a_later_writing_is_not_done_on_its_day() -> None:
    class Lazy(YearsLife):
        def work(self) -> None:
            """Leaves it."""

    assert "was to be written" in broken(Lazy)


def test_it_is_seen_where_the_calendar_has_no_later_writing(monkeypatch: pytest.MonkeyPatch) -> None:
    def none(*_: object) -> Iterator[agenda.Due]:
        return iter(())

    monkeypatch.setattr(agenda, "_writings", none)
    assert "the calendar does not have it" in broken(YearsLife)


def test_it_is_seen_where_a_set_is_sold_with_ids_that_stay() -> None:
    class Lazy(YearsLife):
        def work(self) -> None:
            """Leaves it."""

        def keep_promises(self, before: dict[str, int]) -> None:
            """Looks at none."""

        def look_ahead(self, plan: object) -> None:
            """Looks at nothing."""

    assert "which was sold" in broken(Lazy)


def test_it_is_seen_where_wheels_are_driven_on_before_they_are_torqued(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(World, "torque", lambda *_: None)
    assert "is not torqued" in broken(YearsLife)


def test_it_is_seen_where_wheels_with_one_id_are_not_carried_away(monkeypatch: pytest.MonkeyPatch) -> None:
    class Blind(YearsLife):
        def hold_book_against_world(self, start: JobStart | None = None) -> None:
            """Looks at nothing."""

    put = World.put
    monkeypatch.setattr(World, "put", lambda world, wheel, _: put(world, wheel, "home"))
    assert "hears" in broken(Blind)


def test_a_hundred_households_have_what_they_are_drawn_for() -> None:
    drawn = [draw_years(Random(f"years {seed}")) for seed in range(100)]
    assert sum(bool(y.sales) for y in drawn) >= 40
    assert sum(any(w.sensor and w.sensor.rests for w in y.home.world.wheels.values()) for y in drawn) >= 80
    spares = [y for y in drawn if any(sum(w in own for own in y.members.values()) > 1 for w in y.home.world.wheels)]
    assert len(spares) >= 15
    assert sum("written = false" in y.home.text for y in drawn) >= 10
    assert sum('at = "lockup"' in y.home.text for y in drawn) >= 50
    assert sum("[[blank]]" in y.home.text for y in drawn) >= 20
