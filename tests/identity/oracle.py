"""Every plan of a small garage, tried one by one: the rules and the costs told a second time.

They are told from their description alone. Every allowed combination of choices is tried, cut short only
where it breaks a rule or is dearer already than the best found. Any of the facts that a rule rests on can
be taken as not holding, to see what stands in the way where no plan is possible.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from itertools import combinations, product

from oracle_memory import Content, Memory
from oracle_prices import Prices
from oracle_world import (
    DAYS_PER_YEAR,
    Carrier,
    Decision,
    Entry,
    Fact,
    Number,
    Option,
    Together,
    World,
    differ,
    numbers,
    told_apart,
)

from wheelside.garage.ids import (
    car_band,
    car_bits,
    sensor_band,
    sensor_bits,
    sensor_readings,
)
from wheelside.garage.model import Car, Sensor, WheelSet
from wheelside.garage.stay import Stay
from wheelside.garage.words import AtRest, Corner, Skill, TakenOut, Teaching, Writing


def shown(number: Number) -> str:
    """An ID as it stands in a fact: '32/2C41A7F3'."""
    bits, value = number
    return f"{bits}/{value:0{bits // 4}X}"


# --- what may be chosen for a wheel -------------------------------------------------------------------------------


@dataclass(frozen=True)
class Desk:
    """Finds the options of one wheel."""

    world: World
    prices: Prices
    wheels: WheelSet
    corner: Corner
    wheel: str

    @cached_property
    def cars(self) -> tuple[Car, ...]:
        return self.world.cars_of(self.wheels, self.corner)

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

    def not_cloned(self, number: Number, family: str | None) -> list[Fact]:
        """What keeps an ID from being written to another sensor of a family."""
        out = [("retired", shown(number))] if number in self.world.retired else []
        strange = any(differ(car_bits(self.world.garage, car), number[0]) for car in self.cars)
        out += [("clone-width", self.wheel)] if strange else []
        written = self.makes_clone(number, family) or self.world.garage.plan.get_writer
        return out if written else [*out, ("no-writer", f"clone/{family or ''}")]

    def entries(self, car: Car) -> list[Entry]:
        """The entries of a car's list that the wheel may take over, where they are one ID."""
        listed = [entry for group in self.world.lists[car.id] for entry in group if entry.only is not None]
        return [entry for entry in listed if car.corner_aware is False or entry.corner is self.corner]

    @cached_property
    def sources(self) -> tuple[Number, ...]:
        """The IDs that the wheel may take over."""
        found = {entry.only for car in self.cars for entry in self.entries(car)}
        return tuple(sorted(n for n in found if n is not None))

    def mistaken(self, number: Number) -> list[Fact]:
        """The cars that remember several sets apart, and would take a clone for the other set whose entry it has."""
        taken = [entry for car in self.cars for entry in self.entries(car) if entry.only == number]
        if not any(self.world.of_another(entry, self.wheels.id) for entry in taken):
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

    def staying(self, choice: str, ids: frozenset[Number], known: Number | None, *, got: bool = False) -> Option:
        sensor = self.sensor
        family, silent = (sensor.family, sensor.at_rest is AtRest.SILENT) if sensor else (None, False)
        carrier = Carrier(ids, family, silent, self.wheels.id, self.wheel)
        written = choice != "keep"
        cost = self.prices.time("write_mounted") + self.prices.miswritten if written else 0
        if self.cars and sensor and sensor.first_used:
            cost += self.prices.failing(
                max(0, (self.world.day - sensor.first_used).days) / DAYS_PER_YEAR,
                self.world.years_there(self.wheels.id),
            )
        return Option(False, choice, known, (carrier,), cost, family or "", written, got)

    def refitted(self, choice: str, known: Number | None, *, written: bool, got: bool = False) -> Option:
        ids, family, sensor = frozenset({known} if known else ()), self.cars[0].family, self.sensor
        carriers = [Carrier(ids, family, silent=False, set=self.wheels.id, wheel=self.wheel)]
        wishes = self.world.garage.plan
        if sensor and wishes.taken_out is TakenOut.KEEP:
            ids, silent = self.world.counted(sensor), sensor.at_rest is AtRest.SILENT
            carriers.append(Carrier(ids, sensor.family, silent, sensor=sensor.id, place=wishes.keep_at, taken_out=True))
        cost = self.prices.refit + self.prices.failing(0, self.world.years_there(self.wheels.id))
        cost += self.prices.time("write") + self.prices.miswritten if written else 0
        return Option(True, choice, known, tuple(carriers), cost, family or "", written, got)

    def stays(self) -> Iterator[tuple[Option, list[Fact]]]:
        sensor, unwritable = self.sensor, self.unwritable(self.sensor)
        if sensor is None:
            unknown = not self.world.garage.wheels[self.wheel].joined
            unfit, family = [] if unknown else [("no-sensor", self.wheel)], None
            yield self.staying("keep", frozenset(), None), unfit
        else:
            unfit, family = self.unfit(sensor), sensor.family
            only = next(iter(self.present)) if len(self.present) == 1 else None
            yield self.staying("keep", self.world.counted(sensor), only), [*unfit, *self.unkept(sensor)]
        fresh = self.staying("fresh", frozenset(), None, got=not self.makes_fresh(family))
        yield fresh, [*unfit, *unwritable, *self.not_made_fresh(family)]
        for number in self.sources:
            if number not in self.present:
                why = [*unfit, *unwritable, *self.not_cloned(number, family), *self.mistaken(number)]
                got = not self.makes_clone(number, family)
                yield self.staying("clone", frozenset({number}), number, got=got), why

    def refits(self) -> Iterator[tuple[Option, list[Fact]]]:
        if not self.cars:
            return
        family, unchanged = self.cars[0].family, [*self.no_shop, *self.two_families]
        made = self.makes_fresh(family)
        yield (
            self.refitted("fresh", None, written=True, got=not made),
            [*unchanged, *self.not_made_fresh(family)],
        )
        if not made:
            unbought = [] if self.world.garage.plan.buy_sensors else [("not-bought", "")]
            yield self.refitted("fresh", None, written=False), [*unchanged, *unbought]
        for number in self.sources:
            why = [*unchanged, *self.not_cloned(number, family), *self.left_in_earshot(number)]
            why += [] if number in self.present else self.mistaken(number)
            yield self.refitted("clone", number, written=True, got=not self.makes_clone(number, family)), why


def decisions(world: World) -> tuple[Decision, ...]:
    """Every wheel that is decided on, with its options: none of a set that is sold or scrapped, or somebody else's."""
    prices = Prices(world.garage)
    out = []
    for wheels in world.garage.set:
        if world.left(wheels.id, world.day) or world.somebody_elses(wheels.id):
            continue
        for corner, wheel in wheels.wheels:
            desk = Desk(world, prices, wheels, corner, wheel)
            if desk.sensor or desk.cars:
                out.append(Decision(wheel, wheels.id, corner, desk.options()))
    return tuple(out)


# --- the enumeration ----------------------------------------------------------------------------------------------

Chosen = tuple[tuple[Decision, Option], ...]


def settlings(world: World) -> Iterator[tuple[int, dict[int, str]]]:
    """Every choice of one place for each stay that leaves several open, with its cost; the cheapest first.

    Nothing is moved for somebody else's car: a set of such cars alone is at the place that its stay names first.
    """
    lasting = Counter(s.row for s in world.line)
    move = Prices(world.garage).time("move")

    def costs(row: int, stay: Stay) -> list[tuple[int, int, str]]:
        return [(lasting[row] * move * (place != stay.at), row, place) for place in (stay.at or "", *stay.or_at)]

    open_stays = [(row, stay) for row, stay in enumerate(world.garage.stay) if stay.or_at and lasting[row]]
    rows = [costs(row, stay) for row, stay in open_stays if not world.somebody_elses(stay.set)]
    for picked in sorted(product(*rows), key=lambda picked: sum(cost for cost, _, _ in picked)):
        yield sum(cost for cost, _, _ in picked), {row: place for _, row, place in picked}


@dataclass
class Enumeration:
    """Tries every combination of options. `best` is the least weight; None where no combination is allowed."""

    world: World
    wheels: tuple[Decision, ...]
    best: int | None = None
    _taught: dict[tuple[str | Number | None, ...], int] = field(default_factory=dict)

    @cached_property
    def _memories(self) -> list[Memory]:
        return [Memory(self.world, car) for car in self.world.judging]

    @cached_property
    def _untaught(self) -> list[Memory]:
        """The lists of the cars that can't be taught."""
        never = [m for m in self._memories if m.car.taught_by is Teaching.NOT]
        return [m for m in never if self.world.facts.hold("untaught", m.car.id)]

    @cached_property
    def _watched(self) -> dict[str, list[int]]:
        """The wheels that each car watches, by their numbers."""
        return {m.car.id: [n for n, d in enumerate(self.wheels) if m.watches(d)] for m in self._memories}

    def run(self) -> int | None:
        """The least weight of all plans."""
        self._prices = Prices(self.world.garage)
        self._dearer = {f: self._prices.blank(f) for f in {"", *self.world.garage.families}}
        self._saving = sum(max(0, -self._dearer[f]) * count for f, count in self.world.blanks.items())
        for moved, together in self._settled():
            self._turn(together)
            if all(self._options):
                least = [min(o.weight for o in options) for options in self._options]
                self._rest = [sum(least[n:]) for n in range(len(least) + 1)]
                self._go([], moved)
        return self.best

    def possible(self) -> bool:
        """Whether any plan is allowed."""
        for _, together in self._settled():
            self._turn(together)
            bound = {n for memory in self._untaught for n in self._watched[memory.car.id]}
            harmless = [any(map(self._harmless, options)) for options in self._options]
            order = [n for n, free in enumerate(harmless) if n in bound or not free]
            if all(self._options) and self._any(sorted(order, key=lambda n: len(self._options[n])), []):
                return True
        return False

    def _settled(self) -> Iterator[tuple[int, Together]]:
        for moved, places in settlings(self.world):
            together = Together(self.world, places)
            if together.roomy():
                yield moved, together

    def _turn(self, together: Together) -> None:
        self._together = together
        self._clashes: dict[tuple[int, int, int, int], bool] = {}
        self._options = [
            sorted((o for o in d.options if together.sound(o) and self._listed(d, o)), key=lambda o: o.weight)
            for d in self.wheels
        ]

    def _listed(self, decision: Decision, option: Option) -> bool:
        """Whether every car that watches the wheel, and can't be taught, has the ID in its list."""
        one = ((decision.corner, option.known),)
        return all(memory.at_start(one) for memory in self._untaught if memory.watches(decision))

    def _clash(self, k: int, i: int, n: int, j: int) -> bool:
        key = (k, i, n, j)
        if key not in self._clashes:
            one, two = self._options[k][i], self._options[n][j]
            self._clashes[key] = any(self._together.clash(a, b) for a in one.carriers for b in two.carriers)
        return self._clashes[key]

    def _within_limit(self, options: list[Option]) -> bool:
        if self.world.garage.plan.buy_sensors:
            return True
        used = Counter(o.voice for o in options if o.refit)
        return all(limit is None or count <= limit for f, count in used.items() for limit in [self.world.limit(f)])

    # --- any plan -------------------------------------------------------------------------------------------------

    def _harmless(self, option: Option) -> bool:
        """Whether an option stands in the way of no other."""
        return option.mute and (not option.refit or self.world.limit(option.voice) is None)

    def _any(self, order: list[int], taken: list[tuple[int, int]]) -> bool:
        if len(taken) == len(order):
            return self._bears({n: self._options[n][i] for n, i in taken})
        n = order[len(taken)]
        for i, option in enumerate(self._options[n]):
            if any(self._clash(k, j, n, i) for k, j in taken):
                continue
            if not self._within_limit([option, *(self._options[k][j] for k, j in taken)]):
                continue
            if self._any(order, [*taken, (n, i)]):
                return True
        return False

    # --- the cheapest plan ----------------------------------------------------------------------------------------

    def _go(self, taken: list[int], weight: int) -> None:
        n = len(taken)
        if self.best is not None and weight + self._rest[n] - self._saving >= self.best:
            return
        chosen = tuple((d, options[i]) for d, options, i in zip(self.wheels, self._options, taken, strict=False))
        if not self._within_limit([option for _, option in chosen]):
            return
        if n == len(self.wheels):
            if not self._bears({k: option for k, (_, option) in enumerate(chosen)}):
                return
            total = weight + self._teaching(chosen) + self._meeting(chosen) + self._blanks(chosen)
            self.best = total if self.best is None else min(total, self.best)
            return
        for i, option in enumerate(self._options[n]):
            if not any(self._clash(k, taken[k], n, i) for k in range(n)):
                self._go([*taken, i], weight + option.weight + self._once_for(chosen, option))

    def _once_for(self, chosen: Chosen, option: Option) -> int:
        """What is paid once: a visit to the shop for each set, a writer that is got for all that it writes."""
        here = self.wheels[len(chosen)].set
        gone = any(o.refit for d, o in chosen if d.set == here)
        trip = self._prices.time("shop_trip") if option.refit and not gone else 0
        return trip + (self._prices.writer if option.got and not any(o.got for _, o in chosen) else 0)

    def _blanks(self, chosen: Chosen) -> int:
        """What the blanks in hand change; the best number of them where new sensors may be bought."""
        buys, total = self.world.garage.plan.buy_sensors, 0
        if buys and not self.world.blanks:
            return 0
        for family, count in Counter(o.voice for _, o in chosen if o.refit and o.written).items():
            used = min(count, self.world.blanks.get(family, 0)) if buys else count
            total += min(0, self._dearer[family] * used) if buys else self._dearer[family] * used
        return total

    def _meeting(self, chosen: Chosen) -> int:
        """The risk that sets which carry one ID meet after all; of somebody else's sets only with one of the owner's."""
        own = [(d.set, o.known, o.voice) for d, o in chosen if o.known is not None]
        theirs = [(c.set or "", next(iter(c.ids)), c.family or "") for c in self.world.fixed if len(c.ids) == 1]
        both = (*combinations(own, 2), *product(own, theirs))
        pairs = {frozenset({one[0], two[0]}) for one, two in both if self._alike(one[1:], two[1:])}
        return sum(self._prices.met(min(self.world.years_there(s) for s in pair)) for pair in pairs)

    def _alike(self, one: tuple[Number, str], two: tuple[Number, str]) -> bool:
        return one[0] == two[0] and not told_apart(self.world.garage, one[1], two[1])

    def _teaching(self, chosen: Chosen) -> int:
        options = {n: option for n, (_, option) in enumerate(chosen)}
        return sum(self._teachings(memory, options) * self._prices.teach(memory.car) for memory in self._memories)

    def _bears(self, options: Mapping[int, Option]) -> bool:
        """Whether no car that can't be taught has to be."""
        return not any(self._teachings(memory, options) for memory in self._untaught)

    def _teachings(self, memory: Memory, options: Mapping[int, Option]) -> int:
        """How often a car is taught, where its wheels have these options, by their numbers."""
        key = (memory.car.id, *(options[n].known for n in self._watched[memory.car.id]))
        if key not in self._taught:
            contents: dict[str, Content] = dict.fromkeys(memory.mounts, ())
            for n in self._watched[memory.car.id]:
                d = self.wheels[n]
                contents[d.set] = (*contents[d.set], (d.corner, options[n].known))
            self._taught[key] = memory.teachings(contents)
        return self._taught[key]
