"""Which of the plan's later rules a drawn garage is about, so that one can tell how often each of them was tried."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from functools import cached_property
from itertools import permutations

from oracle import Enumeration
from oracle_desk import Desk, decisions
from oracle_memory import Memory
from oracle_parts import Carrier, Decision, Number, Option, numbers, told_apart
from oracle_prices import Prices, fits
from oracle_together import Together
from oracle_world import World

from wheelside.garage.ids import car_bits, sensor_readings
from wheelside.garage.model import Sensor
from wheelside.garage.words import Corner, Skill, Teaching, WhenFull, Writing

NEW_KINDS = (
    "written later, fresh",
    "written later, clone",
    "written later, before a sale",
    "a later writing pays",
    "a pair until a sale",
    "wheel of several sets",
    "spare of several sets that a car counts",
    "blanks of several families",
    "blanks silent at rest",
    "corner proof priced",
)
KINDS = (
    "never written, rewritable",
    "never written, write once",
    "never written, no way to write",
    "never written, no answer",
    "no writer in the file",
    "writer that only copies",
    "writer that only makes up",
    "writer to be got",
    "no writer to be got",
    "price of a writer",
    "blanks that nothing writes",
    "somebody else's set",
    "somebody else's ID, clashing",
    "somebody else's ID, harmless",
    "a set on ours and theirs",
    "forgets all, with a free place",
    "forgets all, full",
    "forgets all, places not noted",
    "kept ID was sold",
    "kept ID was sold, gone since",
    "kept ID was scrapped",
    "entry of nobody",
    "entry of its own set",
    "entry of another set",
    "entry of another set by name alone",
    "entry of another width",
    "own old ID of another width",
    "no shop",
    "can't be taught, holds what it needs",
    "can't be taught, lacks something",
    *NEW_KINDS,
)


def kinds(world: World) -> frozenset[str]:
    """The kinds of one garage."""
    return frozenset(Kinds(world).found())


class Kinds:
    """Finds the kinds of one garage; a kind counts only where a wheel that is decided on has to do with it."""

    def __init__(self, world: World) -> None:
        self.world = world
        self.garage = world.garage

    @cached_property
    def decided(self) -> tuple[Decision, ...]:
        return decisions(self.world)

    @cached_property
    def desks(self) -> list[Desk]:
        prices, sets = Prices(self.garage), self.garage.sets
        return [Desk(self.world, prices, sets[d.set], d.corner, d.wheel) for d in self.decided]

    def found(self) -> Iterator[str]:
        for desk in self.desks:
            yield from self._never_written(desk)
            yield from self._left(desk)
            yield from self._entries(desk)
        yield from self._writers()
        yield from self._theirs()
        yield from self._lists()
        yield from self._no_shop()
        yield from self._untaught()
        yield from LaterKinds(self.world, self.decided).found()

    @staticmethod
    def _never_written(desk: Desk) -> Iterator[str]:
        sensor = desk.sensor
        if sensor and desk.never_written and desk.cars:
            writable = sensor.writing in {Writing.REWRITABLE, Writing.WRITE_ONCE}
            yield f"never written, {sensor.writing if writable else 'no way to write'}"
            yield from ("never written, no answer",) if writable and sensor.answers is False else ()

    # --- writers --------------------------------------------------------------------------------------------------

    def _writers(self) -> Iterator[str]:
        skills = {skill for writer in self.garage.writer for skill in writer.can}
        options = [(o, why) for desk in self.desks for o, why in (*desk.stays(), *desk.refits())]
        got = any(o.got and not why for o, why in options)
        refused = any(o.got and why and all(kind == "no-writer" for kind, _ in why) for o, why in options)
        if got or refused:
            yield from ("no writer in the file",) if not skills else ()
            yield from ("writer that only copies",) if skills == {Skill.COPY} else ()
            yield from ("writer that only makes up",) if skills == {Skill.OWN} else ()
            yield from ("no writer to be got",) if refused else ()
        if got:
            yield "writer to be got"
            yield from ("price of a writer",) if self.garage.costs.writer else ()
            families = {o.voice for o, why in options if o.got and o.refit and not why}
            in_hand = {row.family for row in self.garage.blank if row.count}
            yield from ("blanks that nothing writes",) if families & in_hand else ()

    def _no_shop(self) -> Iterator[str]:
        """A sensor could be changed, if only there were a shop."""
        if any(why == [("no-shop", "")] for desk in self.desks for _, why in desk.refits()):
            yield "no shop"

    # --- somebody else's car --------------------------------------------------------------------------------------

    def _theirs(self) -> Iterator[str]:
        together = Together(self.world)
        if self.world.fixed:
            yield "somebody else's set"
        for one in (self._now(desk) for desk in self.desks):
            for two in self.world.fixed:
                if one.ids & two.ids and not told_apart(self.garage, one.family, two.family):
                    yield f"somebody else's ID, {'clashing' if together.clash(one, two) else 'harmless'}"
        cars = [{self.garage.cars[s.on].somebody_elses for s in self.world.line if s.on and s.set == w.id} for w in self.garage.set]  # fmt: skip
        if {True, False} in cars:
            yield "a set on ours and theirs"

    @staticmethod
    def _now(desk: Desk) -> Carrier:
        return desk.staying("keep", desk.present, None).carriers[0]

    # --- lists ----------------------------------------------------------------------------------------------------

    def _lists(self) -> Iterator[str]:
        for car in self.world.judging:
            room, mounts = self.world.places_in_list(car), Memory(self.world, car).mounts
            taught = car.taught_by is not Teaching.NOT
            if taught and car.when_full is WhenFull.ALL and room > 1 and mounts:
                free = len(self.world.lists[car.id]) < room
                yield "forgets all, with a free place" if free else "forgets all, full"
                yield from ("forgets all, places not noted",) if car.slots is None else ()

    def _untaught(self) -> Iterator[str]:
        """A car that can't be taught holds its sets as they are now, or not all of them."""
        for car in self.world.judging:
            memory = Memory(self.world, car)
            if car.taught_by is Teaching.NOT and memory.mounts:
                kept = [desk.staying("keep", desk.present, desk.only) for desk in self.desks]
                lacks = memory.teachings(memory.contents(zip(self.decided, kept, strict=True)))
                yield f"can't be taught, {'lacks something' if lacks else 'holds what it needs'}"

    def _entries(self, desk: Desk) -> Iterator[str]:
        several = any(self.world.places_in_list(car) > 1 for car in desk.cars)
        for number in (n for n in desk.sources if several and n not in desk.present):
            if desk.mistaken(number):
                yield "entry of another set"
                by_name = not any(number in c.ids for c in self.world.in_wheels)
                yield from ("entry of another set by name alone",) if by_name else ()
            else:
                yield "entry of its own set" if self._carried(number) else "entry of nobody"
        for number in desk.sources:
            if any(car_bits(self.garage, car) not in (None, number[0]) for car in desk.cars):
                yield "own old ID of another width" if number in desk.present else "entry of another width"

    def _carried(self, number: Number) -> bool:
        """Whether a sensor in a wheel that is decided on may have it."""
        return any(number in desk.present for desk in self.desks)

    # --- sets that left -------------------------------------------------------------------------------------------

    def _left(self, desk: Desk) -> Iterator[str]:
        sensor = desk.sensor
        if sensor is None:
            return
        if any(kind == "sold" for kind, _ in desk.unkept(sensor)):
            yield "kept ID was sold"
        for wheels in self.garage.set:
            leaves = wheels.leaves
            if leaves is None or leaves > self.world.day:
                continue
            went = [self.world.sensor(wheel, leaves - timedelta(days=1)) for _, wheel in wheels.wheels]
            for one in went:
                if one is not None and self._alike(sensor, one):
                    yield from ("kept ID was scrapped",) if wheels.scrapped else ()
                    since = one.gone is not None and one.gone <= self.world.day
                    yield from ("kept ID was sold, gone since",) if wheels.sold and since else ()

    def _alike(self, one: Sensor, two: Sensor) -> bool:
        shared = numbers(sensor_readings(self.garage, one)) & numbers(sensor_readings(self.garage, two))
        return bool(shared) and not told_apart(self.garage, one.family, two.family)


class LaterKinds:
    """Finds the kinds of one garage that have to do with when a sensor is written, wheels of several sets, blanks and proofs."""

    def __init__(self, world: World, decided: tuple[Decision, ...]) -> None:
        self.world = world
        self.garage = world.garage
        self.decided = decided

    def found(self) -> Iterator[str]:
        trial, late = Enumeration(self.world, self.decided), False
        for options in trial.tried():
            for d, option in ((d, o) for d, some in zip(self.decided, options, strict=True) for o in some if o.on):
                late = True
                yield f"written later, {option.choice}"
                sale = self.world.sale(d.wheel)
                if sale and option.on == sale[0] - timedelta(days=1):
                    yield "written later, before a sale"
            yield from self._pairs(options)
        yield from self._shared()
        yield from self._blanks()
        if any(
            trial.proof(name)
            for d in self.decided
            if any(o.choice == "clone" for o in d.options)
            for name, _ in d.homes
        ):
            yield "corner proof priced"
        if not late:
            return
        now = tuple(replace(d, options=tuple(o for o in d.options if o.on is None)) for d in self.decided)
        if trial.run() != Enumeration(self.world, now).run():
            yield "a later writing pays"

    def _pairs(self, options: list[list[Option]]) -> Iterator[str]:
        """Two wheels carry one ID, which they may until one of them is sold."""
        together = Together(self.world)
        for one, two in permutations(zip(self.decided, options, strict=True), 2):
            sale = self.world.sale(one[0].wheel)
            kept = [o for o in two[1] if o.choice == "keep"]
            if sale and kept and self.world.day < sale[0] < self.world.end:
                old = [replace(o.carriers[0], then=None) for o in one[1] if o.on]
                late = [o.carriers[0] for o in one[1] if o.on]
                alike = [c for c in old if c.ids & kept[0].carriers[0].ids and together.clash(c, kept[0].carriers[0])]
                if alike and any(not together.clash(c, kept[0].carriers[0]) for c in late):
                    yield "a pair until a sale"

    def _shared(self) -> Iterator[str]:
        for d in (d for d in self.decided if len(self.garage.sets_of[d.wheel]) > 1):
            yield "wheel of several sets"
            cars = self.world.watching(tuple(home for home in d.homes if home[1] is Corner.SPARE))
            if len(d.homes) > 1 and all(corner is Corner.SPARE for _, corner in d.homes) and cars:
                yield "spare of several sets that a car counts"

    def _blanks(self) -> Iterator[str]:
        changed = [o for d in self.decided for o in d.options if o.refit and o.written]
        rows = [row for row in self.garage.blank if row.count]
        if any(o.voice in row.families for o in changed for row in rows if row.or_families and not o.at_rest):
            yield "blanks of several families"
        if any(o.at_rest and fits(row, o.voice, at_rest=True) for o in changed for row in rows):
            yield "blanks silent at rest"
