"""Ways to break a sound plan in one place, each with the rule of docs/deciding.md that it breaks.

Most change the plan. Where the plan would be right for another garage, the garage is changed instead.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from random import Random

from oracle_parts import Carrier
from oracle_together import Together
from oracle_world import World

from wheelside.garage.ids import car_bits, proven_different
from wheelside.garage.model import Car, Garage, Sensor
from wheelside.garage.words import AtRest, Teaching, WhenFull
from wheelside.identity.choice import GOT, Action, FreshFrom, IdChoice
from wheelside.identity.costs import Price
from wheelside.identity.plan import IdentityPlan, WheelPlan
from wheelside.identity.roll import HeldId, Roll, carried_by
from wheelside.identity.teaching import TeachPlan
from wheelside.sensor.ident import SensorId

Broken = tuple[str, IdentityPlan]
Break = Callable[[Garage, IdentityPlan, Random], Iterator[Broken]]
"""Ways to break a plan in one place, each with the rule that it breaks."""
Change = Callable[[Garage, IdentityPlan], Iterator[tuple[str, Garage]]]
"""Ways to change one fact of a garage so that its plan is broken, each with the rule that it breaks then."""
KEPT = {
    "action": Action.STAYS, "choice": IdChoice.KEEP, "writer": None, "fresh_from": None, "in_hand": False,
    "when": None, "before": None, "silent": False,
}  # fmt: skip
"""What a plan says of a wheel that is left as it is, but for its ID."""


def with_wheel(plan: IdentityPlan, old: WheelPlan, **changes: object) -> IdentityPlan:
    wheels = tuple(replace(w, **changes) if w is old else w for w in plan.wheels)  # type: ignore[arg-type]
    return replace(plan, wheels=wheels)


def sensor_of(garage: Garage, w: WheelPlan) -> Sensor | None:
    return next((s for s in garage.sensor if s.id == w.sensor), None)


def own_ids(garage: Garage, w: WheelPlan) -> tuple[SensorId, ...]:
    """What the sensor that is in a wheel may carry."""
    return carried_by(garage, sensor_of(garage, w))


def watching(garage: Garage, plan: IdentityPlan, w: WheelPlan) -> tuple[Car, ...]:
    """The owner's cars that watch a wheel."""
    return World(garage, plan.day).cars_of(garage.sets[w.set], w.corner)


# --- what becomes of one wheel ------------------------------------------------------------------------------------


def never_written_kept(garage: Garage, plan: IdentityPlan, random: Random) -> Iterator[Broken]:
    for w in plan.wheels:
        sensor = sensor_of(garage, w)
        unwritten = sensor is not None and sensor.written is False and not own_ids(garage, w)
        if unwritten and w.choice is not IdChoice.KEEP:
            yield "not-written", with_wheel(plan, w, id=None, **KEPT)


def sold_original_kept(garage: Garage, plan: IdentityPlan, random: Random) -> Iterator[Broken]:
    """A wheel goes on with an ID that went with a set which was sold."""
    sold = World(garage, plan.day).sold
    for w in plan.wheels:
        sensor, ids = sensor_of(garage, w), own_ids(garage, w)
        alike = [c for c in sold if c.ids & {one.key for one in ids}]
        changed = w.choice is not IdChoice.KEEP
        if changed and sensor and any(not proven_different(garage, c.family, sensor.family) for c in alike):
            yield "sold-alike", with_wheel(plan, w, id=ids[0] if len(ids) == 1 else None, **KEPT)


def listed_ids(garage: Garage, plan: IdentityPlan, w: WheelPlan) -> Iterator[tuple[Car, HeldId]]:
    """The IDs that a wheel's cars hold for its corner, but for its own."""
    own = {one.key for one in own_ids(garage, w)}
    roll = Roll(garage, plan.day)
    for car in watching(garage, plan, w):
        for held in (one for group in roll.held(car) for one in group):
            if held.id.key not in own and (car.corner_aware is False or held.corner is w.corner):
                yield car, held


def cloned(plan: IdentityPlan, w: WheelPlan, one: SensorId) -> IdentityPlan:
    return with_wheel(plan, w, choice=IdChoice.CLONE, id=one, fresh_from=None, own=False, when=None, before=None)


def clone_of_another_width(garage: Garage, plan: IdentityPlan, random: Random) -> Iterator[Broken]:
    for w in plan.wheels:
        for car, held in listed_ids(garage, plan, w):
            if car_bits(garage, car) not in (None, held.id.bits):
                yield "clone-width", cloned(plan, w, held.id)


def clone_of_another_set(garage: Garage, plan: IdentityPlan, random: Random) -> Iterator[Broken]:
    """A wheel takes over what the list holds for another set, by name or because that set's wheels carry it."""
    world = World(garage, plan.day)
    for w in plan.wheels:
        for car, held in listed_ids(garage, plan, w):
            own = {name for name, _ in w.serves}
            carried = [
                c for c in world.in_wheels if held.id.key in c.ids and not own & set(garage.sets_of[c.wheel or ""])
            ]
            alike = any(not proven_different(garage, c.family, car.family) for c in carried)
            if world.places_in_list(car) > 1 and (held.whose.set not in ("", *own) or alike):
                yield "set-mistaken", cloned(plan, w, held.id)


def changed_without_a_shop(garage: Garage, plan: IdentityPlan, random: Random) -> Iterator[Broken]:
    for w in plan.wheels if not garage.plan.shop else ():
        yield "no-shop", with_wheel(plan, w, action=Action.REFIT, choice=IdChoice.FRESH, id=None)


def shop_is_gone(garage: Garage, plan: IdentityPlan) -> Iterator[tuple[str, Garage]]:
    if any(w.action is Action.REFIT for w in plan.wheels):
        yield "no-shop", replace(garage, plan=replace(garage.plan, shop=False))


# --- a writer that is got -----------------------------------------------------------------------------------------


def got_beside_one_that_can(garage: Garage, plan: IdentityPlan, random: Random) -> Iterator[Broken]:
    """A writer is got although one in the file can do it; for a fresh ID, by drawing it or by making it up."""
    for w in plan.wheels:
        if w.writer and w.fresh_from is FreshFrom.WRITER:
            drawn = SensorId("", 32, random.getrandbits(30) + 1)
            yield "no-writer", with_wheel(plan, w, writer=GOT, fresh_from=FreshFrom.DRAWN, id=drawn)
        elif w.writer:
            yield "no-writer", with_wheel(plan, w, writer=GOT)


def none_is_to_be_got(garage: Garage, plan: IdentityPlan) -> Iterator[tuple[str, Garage]]:
    if any(w.writer == GOT for w in plan.wheels):
        yield "no-writer", replace(garage, plan=replace(garage.plan, get_writer=False))


def got_for_nothing(garage: Garage, plan: IdentityPlan, random: Random) -> Iterator[Broken]:
    """The price of a writer that is got is in no line of the costs, nor in their sum."""
    given = garage.costs.writer
    price = Price(0, given.hundredths if given else 6000)
    lines = [line for line in plan.costs if line.price == price]
    if any(w.writer == GOT for w in plan.wheels) and lines and price.hundredths:
        left = tuple(line for line in plan.costs if line is not lines[0])
        weight = plan.weight - 3600 * price.hundredths
        yield "price", replace(plan, costs=left, total=plan.total - price, weight=weight, bound=weight)


# --- teaching -----------------------------------------------------------------------------------------------------


def turned(plan: IdentityPlan, one: TeachPlan) -> IdentityPlan:
    """A teaching is left out, or one is added that the list has no need of."""
    return replace(plan, teachings=tuple(replace(t, needed=not t.needed) if t is one else t for t in plan.teachings))


def forgets_everything(garage: Garage, plan: IdentityPlan, random: Random) -> Iterator[Broken]:
    """Where a full list of several places forgets all that it holds."""
    world = World(garage, plan.day)
    for t in plan.teachings:
        car = garage.cars[t.car]
        if car.when_full is WhenFull.ALL and world.places_in_list(car) > 1:
            yield "not-taught" if t.needed else "taught-twice", turned(plan, t)


def taught_what_cant_be(garage: Garage, plan: IdentityPlan, random: Random) -> Iterator[Broken]:
    for t in plan.teachings:
        if garage.cars[t.car].taught_by is Teaching.NOT:
            yield "untaught", turned(plan, t)


def cant_be_taught_after_all(garage: Garage, plan: IdentityPlan) -> Iterator[tuple[str, Garage]]:
    for name in sorted({t.car for t in plan.teachings if t.needed}):
        cars = tuple(replace(car, taught_by=Teaching.NOT) if car.id == name else car for car in garage.car)
        yield "untaught", replace(garage, car=cars)


# --- somebody else's car ------------------------------------------------------------------------------------------


def theirs_is_planned(garage: Garage, plan: IdentityPlan, random: Random) -> Iterator[Broken]:
    for carrier in World(garage, plan.day).fixed:
        assert carrier.set is not None
        corner = next(at for at, wheel in garage.sets[carrier.set].wheels if wheel == carrier.wheel)
        added = replace(plan.wheels[0], wheel=carrier.wheel or "", set=carrier.set, corner=corner, id=None, **KEPT)  # type: ignore[arg-type]
        yield "wheels", replace(plan, wheels=(*plan.wheels, added))


def id_of_theirs(garage: Garage, plan: IdentityPlan, random: Random) -> Iterator[Broken]:
    """A wheel is given the ID of a wheel of somebody else's, where one of its own cars hears both at a time."""
    world = World(garage, plan.day)
    together = Together(world, {s.row: s.at for s in plan.line if s.or_at and s.at})
    for w in plan.wheels:
        sensor, cars = sensor_of(garage, w), watching(garage, plan, w)
        refit = w.action is Action.REFIT
        family = cars[0].family if refit and cars else sensor.family if sensor else None
        silent = not refit and sensor is not None and sensor.at_rest is AtRest.SILENT
        for theirs in world.fixed:
            if len(theirs.ids) != 1 or theirs.ids == {w.id.key if w.id else None}:
                continue
            ours = Carrier(theirs.ids, family, silent, w.set, w.wheel)
            both = [a & b for a, b in zip(together.hearing(ours), together.hearing(theirs), strict=True)]
            if not proven_different(garage, family, theirs.family) and any(
                c.id in names for c in cars for names in both
            ):
                yield "heard-twice", cloned(plan, w, SensorId(family or "", *next(iter(theirs.ids))))


LATER: tuple[Break, ...] = (
    never_written_kept, sold_original_kept, clone_of_another_width, clone_of_another_set, changed_without_a_shop, got_beside_one_that_can,
    got_for_nothing, forgets_everything, taught_what_cant_be, theirs_is_planned, id_of_theirs,
)  # fmt: skip
CHANGES: tuple[Change, ...] = (shop_is_gone, none_is_to_be_got, cant_be_taught_after_all)
