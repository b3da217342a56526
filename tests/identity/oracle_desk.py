"""What may be chosen for one wheel, told a second time from the rules' description alone: a part of the enumeration's own rules."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property
from itertools import combinations, product

from oracle_parts import (
    DAYS_PER_YEAR,
    Carrier,
    Decision,
    Entry,
    Fact,
    Number,
    Option,
    differ,
    numbers,
    shown,
    told_apart,
)
from oracle_prices import Prices, silent_in_hand
from oracle_world import World

from wheelside.garage.ids import car_band, car_bits, sensor_band, sensor_bits, sensor_readings
from wheelside.garage.model import Car, Sensor, WheelSet
from wheelside.garage.words import AtRest, Corner, Skill, TakenOut, Writing


@dataclass(frozen=True)
class Desk:
    """Finds the options of one wheel."""

    world: World
    prices: Prices
    wheels: WheelSet
    corner: Corner
    wheel: str
    """`wheels` is the set that the wheel counts for, `corner` the one that it has there."""

    @cached_property
    def homes(self) -> tuple[tuple[str, Corner], ...]:
        return self.world.homes(self.wheel)

    @cached_property
    def own(self) -> tuple[str, ...]:
        return tuple(name for name, _ in self.homes)

    @cached_property
    def cars(self) -> tuple[Car, ...]:
        return self.world.watching(self.homes)

    @cached_property
    def sensor(self) -> Sensor | None:
        return self.world.sensor(self.wheel)

    @cached_property
    def never_written(self) -> bool:
        """Whether the sensor was never written: it is noted so, and no ID of it is known."""
        return self.sensor is not None and self.sensor.written is False and not self.present

    @cached_property
    def present(self) -> frozenset[Number]:
        return numbers(sensor_readings(self.world.garage, self.sensor)) if self.sensor else frozenset()

    def options(self) -> tuple[Option, ...]:
        """The choices that are not refused by a fact that holds."""
        hold = self.world.facts.hold
        return tuple(o for o, why in (*self.stays(), *self.refits()) if not any(hold(*fact) for fact in why))

    # --- what refuses a choice ------------------------------------------------------------------------------------

    def unfit(self, sensor: Sensor) -> list[Fact]:
        """What keeps a sensor from staying on the cars of the wheel."""
        garage = self.world.garage
        mum = sensor.answers is False and not self.never_written
        out = [("no-answer", self.wheel)] if self.cars and mum else []
        for car in self.cars:
            strange = {
                "wrong-band": differ(sensor_band(garage, sensor), car_band(garage, car)),
                "wrong-family": differ(sensor.family, car.family),
                "wrong-width": differ(sensor_bits(garage, sensor), car_bits(garage, car)),
            }
            out += [(kind, f"{self.wheel}/{car.id}") for kind, is_so in strange.items() if is_so]
        return out

    def unkept(self, sensor: Sensor) -> list[Fact]:
        """What keeps a sensor that may stay from going on with what it carries: it has no ID yet, or went with a set that was sold."""
        out = [("not-written", self.wheel)] if self.cars and self.never_written else []
        alike = [c for c in self.world.sold if c.ids & self.present]
        sets = {c.set: None for c in alike if not told_apart(self.world.garage, c.family, sensor.family)}
        return out + [("sold", name) for name in sets if name is not None]

    def unwritable(self, sensor: Sensor | None) -> list[Fact]:
        """What keeps the sensor from being written in its wheel; of one that is not there it is not known whether it can be."""
        if sensor is None:
            return [("writing-not-known", self.wheel)]
        if sensor.writing is Writing.REWRITABLE or (sensor.writing is Writing.WRITE_ONCE and sensor.written is False):
            return []
        kinds = {Writing.FIXED: "fixed", Writing.WRITE_ONCE: "written-once", None: "writing-not-known"}
        return [(kinds[sensor.writing], self.wheel)]

    def skilled(self, skill: Skill, family: str | None) -> bool:
        return any(skill in w.can and (not w.families or family in w.families) for w in self.world.garage.writer)

    @cached_property
    def width_known(self) -> bool:
        """Whether it is known how wide a fresh ID must be."""
        garage = self.world.garage
        widths = [car_bits(garage, car) for car in self.cars]
        widths += [sensor_bits(garage, self.sensor)] if self.sensor else []
        return any(w is not None for w in widths)

    def makes_fresh(self, family: str | None) -> bool:
        """Whether a writer in the file can write a fresh ID to a sensor of a family."""
        return (self.width_known and self.skilled(Skill.GIVEN, family)) or self.skilled(Skill.OWN, family)

    def not_made_fresh(self, family: str | None) -> list[Fact]:
        """What keeps a fresh ID from being written to a sensor of a family, by a writer in the file or one that is got."""
        garage, got = self.world.garage, self.world.garage.plan.get_writer
        if self.makes_fresh(family) or (self.width_known and got):
            return []
        given = got or any(Skill.GIVEN in w.can for w in garage.writer)
        return [("width-not-known" if given and not self.width_known else "no-writer", f"fresh/{family or ''}")]

    def makes_clone(self, number: Number, family: str | None) -> bool:
        """Whether a writer in the file can write an ID to another sensor of a family."""
        garage = self.world.garage
        there = any(s.answers is not False and numbers(sensor_readings(garage, s)) == {number} for s in garage.sensor)
        return self.skilled(Skill.GIVEN, family) or (there and self.skilled(Skill.COPY, family))

    def not_cloned(self, number: Number, family: str | None, on: date | None = None) -> list[Fact]:
        """What keeps an ID from being written to another sensor of a family, now or on a later day."""
        out = [("retired", shown(number))] if number in self.world.retired(on or self.world.day) else []
        strange = any(differ(car_bits(self.world.garage, car), number[0]) for car in self.cars)
        out += [("clone-width", self.wheel)] if strange else []
        written = self.makes_clone(number, family) or self.world.garage.plan.get_writer
        return out if written else [*out, ("no-writer", f"clone/{family or ''}")]

    def entries(self, car: Car) -> list[Entry]:
        """The entries of a car's list that the wheel may take over, where they are one ID."""
        listed = [entry for group in self.world.lists[car.id] for entry in group if entry.only is not None]
        at = self.world.corners_on(car, self.homes)
        return [entry for entry in listed if car.corner_aware is False or entry.corner in at]

    @cached_property
    def sources(self) -> tuple[Number, ...]:
        """The IDs that the wheel may take over."""
        found = {entry.only for car in self.cars for entry in self.entries(car)}
        return tuple(sorted(n for n in found if n is not None))

    def mistaken(self, number: Number) -> list[Fact]:
        """The cars that remember several sets apart, and would take a clone for the other set whose entry it has."""
        taken = [entry for car in self.cars for entry in self.entries(car) if entry.only == number]
        if not any(self.world.of_another(entry, self.own) for entry in taken):
            return []
        return [("set-mistaken", car.id) for car in self.cars if self.world.places_in_list(car) > 1]

    @property
    def no_shop(self) -> list[Fact]:
        """Whether no sensor is changed, for want of a tyre shop."""
        return [] if self.world.garage.plan.shop else [("no-shop", "")]

    @property
    def two_families(self) -> list[Fact]:
        """Whether no new sensor would suit all cars of the wheel."""
        garage = self.world.garage
        kinds = [(car.family, car_band(garage, car)) for car in self.cars]
        strange = any(told_apart(garage, a[0], b[0]) or differ(a[1], b[1]) for a, b in combinations(kinds, 2))
        return [("two-families", self.wheels.id)] if strange else []

    def left_in_earshot(self, number: Number) -> list[Fact]:
        """Whether the old sensor, kept, would still be heard with the number that the new one takes over."""
        wishes, sensor = self.world.garage.plan, self.sensor
        if wishes.taken_out is not TakenOut.KEEP or sensor is None or number not in self.present:
            return []
        if sensor.at_rest is AtRest.SILENT:
            return []
        garage = self.world.garage
        hearing = [car for car in self.cars if not told_apart(garage, sensor.family, car.family)]
        ears = {self.world.car_place(car.id, moment) for car in hearing for moment in self.world.moments}
        heard = any(not self.world.silent_path(wishes.keep_at, ear) for ear in ears)
        return [("taken-out", "")] if heard else []

    # --- the choices ----------------------------------------------------------------------------------------------

    def staying(
        self, choice: str, ids: frozenset[Number], known: Number | None, *, got: bool = False, on: date | None = None
    ) -> Option:
        sensor, before = self.sensor, None
        family, silent = (sensor.family, sensor.at_rest is AtRest.SILENT) if sensor else (None, False)
        carrier = Carrier(ids, family, silent, self.wheels.id, self.wheel)
        if on is not None and sensor is not None:
            carrier = replace(carrier, ids=self.world.counted(sensor), then=(on, ids))
            before = self.only
        written = choice != "keep"
        cost = self.prices.time("write_mounted") + self.prices.miswritten if written else 0
        if self.cars and sensor and sensor.first_used:
            cost += self.prices.failing(
                max(0, (self.world.day - sensor.first_used).days) / DAYS_PER_YEAR,
                self.world.years_there(self.wheel),
            )
        return Option(False, choice, known, (carrier,), cost, family or "", written, got, on=on, before=before)

    def refitted(
        self, choice: str, known: Number | None, *, written: bool, got: bool = False, at_rest: bool = False
    ) -> Option:
        ids, family, sensor = frozenset({known} if known else ()), self.cars[0].family, self.sensor
        carriers = [Carrier(ids, family, silent=at_rest, set=self.wheels.id, wheel=self.wheel)]
        wishes = self.world.garage.plan
        if sensor and wishes.taken_out is TakenOut.KEEP:
            ids, silent = self.world.counted(sensor), sensor.at_rest is AtRest.SILENT
            carriers.append(Carrier(ids, sensor.family, silent, sensor=sensor.id, place=wishes.keep_at, taken_out=True))
        cost = self.prices.refit + self.prices.failing(0, self.world.years_there(self.wheel))
        cost += self.prices.time("write") + self.prices.miswritten if written else 0
        return Option(True, choice, known, tuple(carriers), cost, family or "", written, got, at_rest)

    @property
    def only(self) -> Number | None:
        """What the sensor carries now, where that is one ID."""
        return next(iter(self.present)) if len(self.present) == 1 else None

    def stays(self) -> Iterator[tuple[Option, list[Fact]]]:
        sensor = self.sensor
        if sensor is None:
            unknown = not self.world.garage.wheels[self.wheel].joined
            unfit: list[Fact] = [] if unknown else [("no-sensor", self.wheel)]
            yield self.staying("keep", frozenset(), None), unfit
            yield from self.writings(unfit, None)
            return
        unfit, unkept = self.unfit(sensor), self.unkept(sensor)
        yield self.staying("keep", self.world.counted(sensor), self.only), [*unfit, *unkept]
        yield from self.writings(unfit, None)
        for on in self.world.later(self.wheel):
            yield from self.writings([*unfit, *unkept], on)

    def writings(self, unfit: list[Fact], on: date | None) -> Iterator[tuple[Option, list[Fact]]]:
        """The sensor is written in its wheel, now or on a later day."""
        family, why = self.sensor.family if self.sensor else None, [*unfit, *self.unwritable(self.sensor)]
        fresh = self.staying("fresh", frozenset(), None, got=not self.makes_fresh(family), on=on)
        yield fresh, [*why, *self.not_made_fresh(family)]
        for number in self.sources:
            if number not in self.present:
                got = not self.makes_clone(number, family)
                clone = self.staying("clone", frozenset({number}), number, got=got, on=on)
                yield clone, [*why, *self.not_cloned(number, family, on), *self.mistaken(number)]

    def refits(self) -> Iterator[tuple[Option, list[Fact]]]:
        if not self.cars:
            return
        family, unchanged = self.cars[0].family, [*self.no_shop, *self.two_families]
        made = self.makes_fresh(family)
        kinds = [False, *([True] if silent_in_hand(self.world.garage, family) else [])]
        for at_rest in kinds:
            yield (
                self.refitted("fresh", None, written=True, got=not made, at_rest=at_rest),
                [*unchanged, *self.not_made_fresh(family)],
            )
        if not made:
            unbought = [] if self.world.garage.plan.buy_sensors else [("not-bought", "")]
            yield self.refitted("fresh", None, written=False), [*unchanged, *unbought]
        for number, at_rest in product(self.sources, kinds):
            why = [*unchanged, *self.not_cloned(number, family), *self.left_in_earshot(number)]
            why += [] if number in self.present else self.mistaken(number)
            got = not self.makes_clone(number, family)
            yield self.refitted("clone", number, written=True, got=got, at_rest=at_rest), why


def decisions(world: World) -> tuple[Decision, ...]:
    """Every wheel that is decided on, once, with its options: none that is sold or scrapped, or somebody else's."""
    prices = Prices(world.garage)
    out = []
    for wheel in world.wheels:
        if world.wheel_left(wheel, world.day) or world.theirs(wheel):
            continue
        homes = world.homes(wheel)
        desk = Desk(world, prices, world.garage.sets[homes[0][0]], homes[0][1], wheel)
        if desk.sensor or desk.cars:
            out.append(Decision(wheel, homes[0][0], homes[0][1], desk.options(), homes))
    return tuple(out)
