"""Ways to break a sound plan in one place by the rules on later writings, wheels of several sets, blanks and proofs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from random import Random

from broken import KEPT, Break, Broken, own_ids, sensor_of, with_wheel
from oracle_world import World

from wheelside.garage.model import Garage
from wheelside.identity.choice import Action, IdChoice
from wheelside.identity.costs import Price
from wheelside.identity.plan import IdentityPlan, WheelPlan

_DAY = timedelta(days=1)


def written_on_no_day_of_its_own(garage: Garage, plan: IdentityPlan, random: Random) -> Iterator[Broken]:
    """A writing waits for a day on which its sets are neither changed, nor moved, nor sold."""
    world = World(garage, plan.day)
    for w in plan.wheels:
        if w.writes and w.action is Action.STAYS:
            days = set(world.later(w.wheel))
            wrong = next(plan.day + n * _DAY for n in range(1, 400) if plan.day + n * _DAY not in days)
            ids = own_ids(garage, w)
            yield "when", with_wheel(plan, w, when=wrong, before=ids[0] if len(ids) == 1 else None)


def new_sensor_waits(garage: Garage, plan: IdentityPlan, random: Random) -> Iterator[Broken]:
    world = World(garage, plan.day)
    for w in plan.wheels:
        days = world.later(w.wheel) if w.action is Action.REFIT else ()
        for day in days[:1]:
            yield "when", with_wheel(plan, w, when=day)


def carries_another_until_then(garage: Garage, plan: IdentityPlan, random: Random) -> Iterator[Broken]:
    for w in plan.wheels:
        if w.when is not None and w.before is not None:
            yield "not-its-own", with_wheel(plan, w, before=replace(w.before, number=w.before.number ^ 1))


def waits_though_it_may_not_be_kept(garage: Garage, plan: IdentityPlan, random: Random) -> Iterator[Broken]:
    """A sensor without an ID, or without an answer, is left as it is until a later day."""
    world = World(garage, plan.day)
    for w in plan.wheels:
        sensor = sensor_of(garage, w)
        if sensor is None or not w.writes or w.action is not Action.STAYS or not world.later(w.wheel):
            continue
        if sensor.written is False and not own_ids(garage, w) and watched(world, w):
            yield "not-written", with_wheel(plan, w, when=world.later(w.wheel)[-1], before=None)


def watched(world: World, w: WheelPlan) -> bool:
    """Whether a car of the owner's watches a wheel in any of its sets."""
    return any(world.cars_of(world.garage.sets[name], corner) for name, corner in w.serves)


def sold_before_it_is_written(garage: Garage, plan: IdentityPlan, random: Random) -> Iterator[Broken]:
    """A wheel that gives up its ID for a sale keeps it, while another wheel goes on with it."""
    for w in plan.wheels:
        sale = World(garage, plan.day).sale(w.wheel)
        twins = [o for o in plan.wheels if o is not w and o.id and w.before and o.id == w.before and o.when is None]
        staying = [o for o in twins if World(garage, plan.day).sale(o.wheel) is None]
        if sale is not None and w.when is not None and sale[0] < plan.end and staying:
            yield "sold-alike", with_wheel(plan, w, id=w.before, **KEPT)


def leaves_out_a_set(garage: Garage, plan: IdentityPlan, random: Random) -> Iterator[Broken]:
    for w in plan.wheels:
        if len(w.serves) > 1:
            yield "wheels", with_wheel(plan, w, serves=w.serves[:1])


def bought_and_known_to_rest_silent(garage: Garage, plan: IdentityPlan, random: Random) -> Iterator[Broken]:
    for w in plan.wheels:
        if w.action is Action.REFIT and not w.in_hand:
            yield "blanks", with_wheel(plan, w, silent=True)


def proof_for_nothing(garage: Garage, plan: IdentityPlan, random: Random) -> Iterator[Broken]:
    """The corners of a clone are shown, and that is not paid for."""
    cloned = any(w.choice is IdChoice.CLONE for w in plan.wheels)
    if cloned and any(car.dash_shows for car in garage.car if not car.somebody_elses):
        minutes = garage.costs.show_corner.seconds if garage.costs.show_corner else 480.0
        less = Price(plan.total.seconds - int(minutes), plan.total.hundredths)
        yield "price", replace(plan, total=less)


LATEST: tuple[Break, ...] = (
    written_on_no_day_of_its_own, new_sensor_waits, carries_another_until_then, waits_though_it_may_not_be_kept, sold_before_it_is_written,
    leaves_out_a_set, bought_and_known_to_rest_silent, proof_for_nothing,
)  # fmt: skip
