"""Every plan of a small garage, tried one by one: the rules and the costs told a second time.

They are told from their description alone. Every allowed combination of choices is tried, cut short only
where it breaks a rule or is dearer already than the best found. Any of the facts that a rule rests on can
be taken as not holding, to see what stands in the way where no plan is possible.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from itertools import combinations, product
from math import exp

from wheelside.garage.ids import (
    car_band,
    car_bits,
    family_readings,
    sensor_band,
    sensor_bits,
    sensor_readings,
)
from wheelside.garage.joined import loose_sensors, parts_on
from wheelside.garage.model import Car, Garage, Sensor, Stay, WheelSet
from wheelside.garage.season import Spell, spells
from wheelside.garage.words import AtRest, Corner, Heard, Skill, TakenOut, Teaching, WhenFull, Writing
from wheelside.sensor.reading import Readings

Number = tuple[int, int]
"""An ID as it is compared: its width and its number."""
Fact = tuple[str, str]
"""Something that a rule rests on: its kind and what it is about."""

MINUTES = {Teaching.DRIVING: 1, Teaching.DRIVING_CORNERS: 1, Teaching.STEPS: 15, Teaching.PORT: 15, Teaching.LOCKED: 60}
DEFAULT_MONEY = {"hour": 15, "sensor": 45, "kit": 5, "fitting": 20, "teach_paid": 60}
DEFAULT_MINUTES = {"shop_trip": 60, "write": 4, "write_mounted": 12, "move": 20, "fault": 60}
DEFAULT_ODDS = {"pair_meets": 0.05, "write_wrong": 0.01, "teach_fails": 0.04}
DEFAULT_LIFE = 9.0
DAYS_PER_YEAR = 365.25


@dataclass(frozen=True, slots=True)
class Facts:
    """Which facts hold: every one where `kept` is None, else only these."""

    kept: frozenset[Fact] | None = None

    def hold(self, kind: str, about: str) -> bool:
        return self.kept is None or (kind, about) in self.kept


# --- what a sensor carries, and whether two of them can be told apart ---------------------------------------------


@dataclass(frozen=True, slots=True)
class Carrier:
    """One sensor that may transmit: in a wheel of a set, lying loose, or taken out and kept.

    `sensor` is its id, except where it is a new one.
    """

    ids: frozenset[Number]
    family: str | None
    silent: bool
    set: str | None = None
    wheel: str | None = None
    sensor: str | None = None
    place: str | None = None
    taken_out: bool = False


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a sensor is at a moment: on a car, in one, or at a place; none of them where that is not known."""

    on: str | None = None
    riding_in: str | None = None
    at: str | None = None
    moves: bool = True

    @property
    def bearer(self) -> str | None:
        return self.on or self.riding_in


@dataclass(frozen=True, slots=True)
class Entry:
    """One ID in a car's list; the corner is None where the list does not say it."""

    corner: Corner | None
    readings: frozenset[Number]
    family: str | None

    @property
    def only(self) -> Number | None:
        return next(iter(self.readings)) if len(self.readings) == 1 else None


@dataclass(frozen=True, slots=True)
class Option:
    """One choice for one wheel. `known` is the ID where it is known beforehand and unambiguous; `voice` the family."""

    refit: bool
    choice: str
    known: Number | None
    carriers: tuple[Carrier, ...]
    weight: int
    voice: str
    written: bool

    @property
    def mute(self) -> bool:
        """Whether nothing that it leaves about can have the ID of anything else."""
        return not any(c.ids for c in self.carriers)


@dataclass(frozen=True, slots=True)
class Decision:
    """One wheel that is decided on, with the options that no rule refuses by themselves."""

    wheel: str
    set: str
    corner: Corner
    options: tuple[Option, ...]


def numbers(readings: Readings | None) -> frozenset[Number]:
    """What a text can be; nothing where one way to read it is all zeros or all ones, which stand for no sensor."""
    found = frozenset((r.id.bits, r.id.number) for r in readings.all) if readings else frozenset()
    return frozenset() if any(len(set(f"{n:0{bits}b}")) == 1 for bits, n in found) else found


def shown(number: Number) -> str:
    """An ID as it stands in a fact: '32/2C41A7F3'."""
    bits, value = number
    return f"{bits}/{value:0{bits // 4}X}"


def told_apart(garage: Garage, a: str | None, b: str | None) -> bool:
    """Whether two families are proven to be different."""
    one, two = garage.families.get(a or ""), garage.families.get(b or "")
    if one is None or two is None or one.id == two.id:
        return False
    listed = two.id in one.unlike or one.id in two.unlike
    bands = None not in (one.band, two.band) and one.band != two.band
    return listed or bands or (None not in (one.bits, two.bits) and one.bits != two.bits)


def differ(a: object, b: object) -> bool:
    return a is not None and b is not None and a != b


# --- the garage within the horizon --------------------------------------------------------------------------------


@dataclass(frozen=True)
class World:
    """A garage from a day to the end of its horizon, with the facts that are taken to hold."""

    garage: Garage
    day: date
    facts: Facts = Facts()

    @cached_property
    def end(self) -> date:
        return self.day.replace(year=self.day.year + self.garage.plan.horizon_years, day=min(28, self.day.day))

    def years_there(self, set_id: str) -> float:
        """How long a set is still its owner's within the horizon, in years."""
        leaves = [day for day in (self.garage.sets[set_id].sold, self.garage.sets[set_id].scrapped) if day]
        horizon = float(self.garage.plan.horizon_years)
        return min([horizon, *((day - self.day).days / DAYS_PER_YEAR for day in leaves)])

    @cached_property
    def line(self) -> tuple[Spell, ...]:
        return spells(self.garage, self.day, self.end)

    @cached_property
    def moments(self) -> tuple[date, ...]:
        spans = [(s.since, s.until) for s in self.line]
        spans += [(o.since, o.until) for o in self.garage.outing]
        spans += [(o.since, o.until) for o in self.garage.stand_in]
        turns = {d for span in spans for d in span}
        return tuple(sorted({self.day} | {d for d in turns if self.day < d < self.end}))

    @cached_property
    def direct(self) -> tuple[Car, ...]:
        return tuple(car for car in self.garage.car if car.direct)

    def left(self, set_id: str, moment: date) -> bool:
        """Whether a set is sold or scrapped by then."""
        wheels = self.garage.sets[set_id]
        return any(d is not None and d <= moment for d in (wheels.sold, wheels.scrapped))

    def goes_on(self, set_id: str | None, car: Car) -> bool:
        return any(s.set == set_id and s.on == car.id for s in self.line)

    def stands_in_on(self, carrier: Carrier, car: Car) -> bool:
        """Whether the wheel stands in for another on the car, within the horizon."""
        return any(
            one.wheel == carrier.wheel and one.on == car.id
            for one in self.garage.stand_in
            if one.since < self.end and self.day < one.until
        )

    def cars_of(self, wheels: WheelSet, corner: Corner) -> tuple[Car, ...]:
        """The direct cars that the set goes on and that monitor the corner."""
        return tuple(c for c in self.direct if corner in c.monitored_corners and self.goes_on(wheels.id, c))

    def sensor(self, wheel: str, day: date | None = None) -> Sensor | None:
        return parts_on(self.garage, wheel, day or self.day).sensor

    def mounts(self, car: Car) -> list[str]:
        """The sets in the order in which they go on the car."""
        return [s.set for s in sorted(self.line, key=lambda s: s.since) if s.on == car.id]

    def counted(self, sensor: Sensor) -> frozenset[Number]:
        """What a sensor carries now, as far as it counts for what must not come together."""
        return numbers(sensor_readings(self.garage, sensor)) if self.facts.hold("carries", sensor.id) else frozenset()

    @cached_property
    def loose(self) -> tuple[Carrier, ...]:
        return tuple(
            Carrier(self.counted(s), s.family, s.at_rest is AtRest.SILENT, sensor=s.id, place=s.kept_at)
            for s in loose_sensors(self.garage, self.day)
        )

    @cached_property
    def retired(self) -> frozenset[Number]:
        """The IDs that no sensor may take over."""
        rows = [numbers(family_readings(self.garage, row.id, row.family)) for row in self.garage.retired]
        sensors = [s for s in self.garage.sensor if s.gone is not None and s.gone <= self.day]
        for wheels in self.garage.set:
            if self.left(wheels.id, self.day):
                sensors += [s for _, wheel in wheels.wheels if (s := self.sensor(wheel)) is not None]
        return frozenset().union(*rows, *(numbers(sensor_readings(self.garage, s)) for s in sensors))

    @cached_property
    def lists(self) -> dict[str, tuple[tuple[Entry, ...], ...]]:
        """For each direct car the groups of IDs that its list holds now, oldest first."""
        return {car.id: tuple(self._groups(car)) for car in self.direct}

    def _groups(self, car: Car) -> Iterator[tuple[Entry, ...]]:
        for held in car.holds or ():
            texts: list[tuple[Corner | None, str]] = [*((None, text) for text in held.ids), *held.corners]
            read = [Entry(c, numbers(family_readings(self.garage, t, car.family)), car.family) for c, t in texts]
            for corner, wheel in self.garage.sets[held.set].wheels if held.set else ():
                sensor = self.sensor(wheel, held.as_of)
                if sensor and corner in car.monitored_corners:
                    read.append(Entry(corner, numbers(sensor_readings(self.garage, sensor)), sensor.family))
            read = [entry for entry in read if entry.readings or held.set]
            if read or held.set:
                yield tuple(read)

    @cached_property
    def blanks(self) -> dict[str, int]:
        """How many blanks of each family there are."""
        return {row.family: row.count for row in self.garage.blank}

    def limit(self, family: str) -> int | None:
        """How many wheels may be refitted with sensors of a family; None for any number."""
        free = self.garage.plan.buy_sensors or not self.facts.hold("not-bought", "")
        return None if free or not self.facts.hold("blanks", family) else self.blanks.get(family, 0)

    # --- where things are -----------------------------------------------------------------------------------------

    def car_place(self, car: str, moment: date) -> str | None:
        for outing in self.garage.outing:
            if car in outing.cars and outing.since <= moment < outing.until:
                return outing.at
        return self.garage.cars[car].stands_at

    @cached_property
    def _quiet_pairs(self) -> set[frozenset[str]]:
        return {frozenset(p.between) for p in self.garage.path if p.heard is Heard.NO}

    def silent_path(self, place: str | None, other: str | None) -> bool:
        """Whether nothing at one place is heard at the other, by the owner's word."""
        return None not in (place, other) and {place, other} in self._quiet_pairs

    def place_heard(self, place: str | None, car: str, moment: date) -> bool:
        """Whether what is at a place, or nobody knows where, is heard by a car at a moment."""
        ear = self.car_place(car, moment)
        if ear is None:
            return self.facts.hold("parked", car)
        if place is None or place == ear:
            return True
        between = "|".join(sorted((place, ear)))
        return not self.silent_path(place, ear) and self.facts.hold("heard", between)


# --- what must not come together ----------------------------------------------------------------------------------


@dataclass(frozen=True)
class Together:
    """What comes together, where each stay that leaves several places open has one of them, by its row."""

    world: World
    places: dict[int, str] = field(default_factory=dict)
    _hearing: dict[Carrier, tuple[frozenset[str], ...]] = field(default_factory=dict)

    def spell(self, set_id: str, moment: date) -> Spell | None:
        return next((s for s in self.world.line if s.set == set_id and s.since <= moment < s.until), None)

    def roomy(self) -> bool:
        """Whether no place holds more sets than it has room for."""
        rooms = {p.id: p.room for p in self.world.garage.place if p.room is not None}
        rooms = {place: room for place, room in rooms.items() if self.world.facts.hold("room", place)}
        return not rooms or all(self._roomy_at(rooms, moment) for moment in self.world.moments)

    def _roomy_at(self, rooms: dict[str, int], moment: date) -> bool:
        spots = [self._spot_of_set(wheels.id, moment) for wheels in self.world.garage.set]
        kept = Counter(spot.at for spot in spots if spot)
        return all(kept[place] <= room for place, room in rooms.items())

    def _spot_of_set(self, set_id: str, moment: date) -> Spot | None:
        """Where a set is; None where it is nowhere."""
        hold = self.world.facts.hold
        if self.world.left(set_id, moment):
            return None
        spell = self.spell(set_id, moment)
        if spell is None:
            return Spot() if hold("unplaced", set_id) else None
        if not hold("stay", f"{set_id} {self.world.garage.stay[spell.row].since}"):
            return None
        at = self.places.get(spell.row, spell.at)
        return Spot(spell.on, spell.riding_in, at, moves=at is None)

    def spot(self, carrier: Carrier, moment: date) -> Spot | None:
        """Where a sensor is; None where it is nowhere."""
        if carrier.set is None:
            fact = ("taken-out", "") if carrier.taken_out else ("kept", carrier.sensor or "")
            return Spot(at=carrier.place, moves=False) if self.world.facts.hold(*fact) else None
        if self.world.left(carrier.set, moment):
            return None
        for one in self.world.garage.stand_in:
            if carrier.wheel in (one.wheel, one.instead_of) and one.since <= moment < one.until:
                if not self.world.facts.hold("stand-in", f"{one.wheel} {one.since}"):
                    return None
                if carrier.wheel == one.wheel:
                    return Spot(on=one.on)
                return Spot(at=one.other_at, moves=False) if one.other_at else Spot(riding_in=one.on)
        return self._spot_of_set(carrier.set, moment)

    def heard(self, carrier: Carrier, car: str, moment: date) -> bool:
        """Whether a car may hear a sensor at a moment."""
        spot = self.spot(carrier, moment)
        if spot is None or (carrier.silent and not spot.moves):
            return False
        if spot.bearer == car:
            return True
        place = self.world.car_place(spot.bearer, moment) if spot.bearer else spot.at
        if spot.bearer and place is None and not self.world.facts.hold("parked", spot.bearer):
            return False
        return self.world.place_heard(place, car, moment)

    def hearing(self, carrier: Carrier) -> tuple[frozenset[str], ...]:
        """The direct cars that may hear a sensor and take it for one of their own kind, moment by moment."""
        if carrier not in self._hearing:
            cars = [c for c in self.world.direct if not told_apart(self.world.garage, carrier.family, c.family)]
            self._hearing[carrier] = tuple(
                frozenset(c.id for c in cars if self.heard(carrier, c.id, moment)) for moment in self.world.moments
            )
        return self._hearing[carrier]

    def matters(self, car: Car, ids: frozenset[Number], one: Carrier, two: Carrier) -> bool:
        """Whether the car minds hearing one of the IDs from both."""
        if car.taught_by in (None, Teaching.DRIVING, Teaching.DRIVING_CORNERS) or car.holds is None:
            return True
        goes_on = (c.set is not None and self.world.goes_on(c.set, car) for c in (one, two))
        stands_in = (c.wheel is not None and self.world.stands_in_on(c, car) for c in (one, two))
        listed = any(entry.readings & ids for group in self.world.lists[car.id] for entry in group)
        return listed or any(goes_on) or any(stands_in)

    def clash(self, one: Carrier, two: Carrier) -> bool:
        """Whether two sensors may not be as they are: heard twice by a car, on two cars at once, or one of them sold."""
        shared = one.ids & two.ids
        if not shared or told_apart(self.world.garage, one.family, two.family):
            return False
        if self._sold_alike(one, two) or self._sold_alike(two, one):
            return True
        minding = {car.id for car in self.world.direct if self.matters(car, shared, one, two)}
        if any(a & b & minding for a, b in zip(self.hearing(one), self.hearing(two), strict=True)):
            return True
        return any(self._on_two_cars(one, two, moment) for moment in self.world.moments)

    def _on_two_cars(self, one: Carrier, two: Carrier, moment: date) -> bool:
        direct = {car.id for car in self.world.direct}
        on = {spot.on for c in (one, two) if (spot := self.spot(c, moment)) and spot.on in direct}
        return len(on) == 2

    def _sold_alike(self, one: Carrier, two: Carrier) -> bool:
        """Whether the first is sold within the horizon, and the second is still there on that day."""
        sold = self.world.garage.sets[one.set].sold if one.set else None
        if one.set is None or sold is None or not self.world.day < sold < self.world.end:
            return False
        if two.set is None:
            there = not two.taken_out or self.world.facts.hold("taken-out", "")
        else:
            there = two.set != one.set and not self.world.left(two.set, sold)
        return there and self.world.facts.hold("sold", one.set)

    def sound(self, option: Option) -> bool:
        """Whether an option goes together with what is there whatever is chosen."""
        within = any(self.clash(a, b) for a, b in combinations(option.carriers, 2))
        return not within and not any(self.clash(a, b) for a in option.carriers for b in self.world.loose)


# --- what may be chosen for a wheel -------------------------------------------------------------------------------


@dataclass(frozen=True)
class Prices:
    """What things cost, each as one weight, and what may go wrong with them."""

    garage: Garage

    def hundredths(self, name: str) -> int:
        given = getattr(self.garage.costs, name)
        return int(given.hundredths) if given else 100 * DEFAULT_MONEY[name]

    def seconds(self, name: str) -> int:
        given = getattr(self.garage.costs, name)
        return int(given.seconds) if given else 60 * DEFAULT_MINUTES[name]

    def time(self, *names: str) -> int:
        return sum(self.seconds(name) for name in names) * self.hundredths("hour")

    def odds(self, name: str) -> float:
        given = getattr(self.garage.odds, name)
        return float(given.fraction) if given else DEFAULT_ODDS[name]

    @staticmethod
    def risk(chance: float, weight: int) -> int:
        """What is to be expected of a thing that costs `weight` and happens with this chance."""
        return (round(chance * 1_000_000) * weight + 500_000) // 1_000_000

    @cached_property
    def refit(self) -> int:
        return 3600 * sum(self.hundredths(name) for name in ("sensor", "kit", "fitting"))

    @cached_property
    def miswritten(self) -> int:
        return self.risk(self.odds("write_wrong"), self.time("fault", "write_mounted"))

    def met(self, years: float) -> int:
        """The risk of one pair of sets that are both there for so many years."""
        chance = 1 - (1 - self.odds("pair_meets")) ** years
        return self.risk(chance, self.time("fault"))

    def failing(self, age: float, years: float) -> int:
        """The risk that a sensor of an age, in years, fails within so many years."""
        given = self.garage.odds.sensor_life
        life = given.years if given else DEFAULT_LIFE
        chance = 1 - exp((age / life) ** 5 - ((age + years) / life) ** 5)
        return self.risk(chance, self.time("fault", "shop_trip") + self.refit)

    def teach(self, car: Car) -> int:
        given = self.garage.costs.teach
        seconds = int(given.seconds) if given else 60 * MINUTES.get(car.taught_by or Teaching.STEPS, 15)
        paid = 3600 * self.hundredths("teach_paid") if car.taught_by is Teaching.LOCKED else 0
        once = seconds * self.hundredths("hour") + paid
        return once + self.risk(self.odds("teach_fails"), once)

    def blank(self, family: str) -> int:
        """By how much a refit with a blank in hand is dearer than one with a bought sensor."""
        each = next((row.each for row in self.garage.blank if row.family == family), None)
        return 3600 * ((each.hundredths if each else 0) - self.hundredths("sensor"))


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
        out = [("no-answer", self.wheel)] if self.cars and sensor.answers is False else []
        for car in self.cars:
            strange = {
                "wrong-band": differ(sensor_band(garage, sensor), car_band(garage, car)),
                "wrong-family": differ(sensor.family, car.family),
                "wrong-width": differ(sensor_bits(garage, sensor), car_bits(garage, car)),
            }
            out += [(kind, f"{self.wheel}/{car.id}") for kind, is_so in strange.items() if is_so]
        return out

    def unwritable(self, sensor: Sensor) -> list[Fact]:
        if sensor.writing is Writing.REWRITABLE or (sensor.writing is Writing.WRITE_ONCE and sensor.written is False):
            return []
        kinds = {Writing.FIXED: "fixed", Writing.WRITE_ONCE: "written-once", None: "writing-not-known"}
        return [(kinds[sensor.writing], self.wheel)]

    def skilled(self, skill: Skill, family: str | None) -> bool:
        return any(skill in w.can and (not w.families or family in w.families) for w in self.world.garage.writer)

    def not_made_fresh(self, family: str | None) -> list[Fact]:
        """What keeps a fresh ID from being written to a sensor of a family."""
        garage = self.world.garage
        widths = [car_bits(garage, car) for car in self.cars]
        widths += [sensor_bits(garage, self.sensor)] if self.sensor else []
        width_known = any(w is not None for w in widths)
        if (width_known and self.skilled(Skill.GIVEN, family)) or self.skilled(Skill.OWN, family):
            return []
        given = any(Skill.GIVEN in w.can for w in garage.writer)
        return [("width-not-known" if given and not width_known else "no-writer", f"fresh/{family or ''}")]

    def not_cloned(self, number: Number, family: str | None) -> list[Fact]:
        """What keeps an ID from being written to another sensor of a family."""
        out = [("retired", shown(number))] if number in self.world.retired else []
        garage = self.world.garage
        there = any(s.answers is not False and numbers(sensor_readings(garage, s)) == {number} for s in garage.sensor)
        if self.skilled(Skill.GIVEN, family) or (there and self.skilled(Skill.COPY, family)):
            return out
        return [*out, ("no-writer", f"clone/{family or ''}")]

    @cached_property
    def sources(self) -> tuple[Number, ...]:
        """The IDs that the wheel may take over."""
        found = {
            entry.only
            for car in self.cars
            for group in self.world.lists[car.id]
            for entry in group
            if car.corner_aware is False or entry.corner is self.corner
        }
        return tuple(sorted(n for n in found if n is not None))

    @property
    def mistaken(self) -> list[Fact]:
        """The cars that remember several sets apart, and would take a clone for the other set."""
        several = [c for c in self.cars if (c.remembers_sets or (c.remembers_ids or 0) // len(c.monitored_corners)) > 1]
        return [("set-mistaken", car.id) for car in several]

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

    def staying(self, choice: str, ids: frozenset[Number], known: Number | None) -> Option:
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
        return Option(False, choice, known, (carrier,), cost, family or "", written)

    def refitted(self, choice: str, known: Number | None, *, written: bool) -> Option:
        ids, family, sensor = frozenset({known} if known else ()), self.cars[0].family, self.sensor
        carriers = [Carrier(ids, family, silent=False, set=self.wheels.id, wheel=self.wheel)]
        wishes = self.world.garage.plan
        if sensor and wishes.taken_out is TakenOut.KEEP:
            ids, silent = self.world.counted(sensor), sensor.at_rest is AtRest.SILENT
            carriers.append(Carrier(ids, sensor.family, silent, sensor=sensor.id, place=wishes.keep_at, taken_out=True))
        cost = self.prices.refit + self.prices.failing(0, self.world.years_there(self.wheels.id))
        cost += self.prices.time("write") + self.prices.miswritten if written else 0
        return Option(True, choice, known, tuple(carriers), cost, family or "", written)

    def stays(self) -> Iterator[tuple[Option, list[Fact]]]:
        if self.sensor is None:
            unknown = not self.world.garage.wheels[self.wheel].joined
            yield self.staying("keep", frozenset(), None), [] if unknown else [("no-sensor", self.wheel)]
            return
        family, unfit, unwritable = self.sensor.family, self.unfit(self.sensor), self.unwritable(self.sensor)
        only = next(iter(self.present)) if len(self.present) == 1 else None
        yield self.staying("keep", self.world.counted(self.sensor), only), unfit
        yield self.staying("fresh", frozenset(), None), [*unfit, *unwritable, *self.not_made_fresh(family)]
        for number in self.sources:
            if number not in self.present:
                why = [*unfit, *unwritable, *self.not_cloned(number, family), *self.mistaken]
                yield self.staying("clone", frozenset({number}), number), why

    def refits(self) -> Iterator[tuple[Option, list[Fact]]]:
        if not self.cars:
            return
        family, two_families = self.cars[0].family, self.two_families
        unmade = self.not_made_fresh(family)
        yield self.refitted("fresh", None, written=True), [*two_families, *unmade]
        if unmade:
            unbought = [] if self.world.garage.plan.buy_sensors else [("not-bought", "")]
            yield self.refitted("fresh", None, written=False), [*two_families, *unbought]
        for number in self.sources:
            why = [*two_families, *self.not_cloned(number, family), *self.left_in_earshot(number)]
            why += [] if number in self.present else self.mistaken
            yield self.refitted("clone", number, written=True), why


def decisions(world: World) -> tuple[Decision, ...]:
    """Every wheel that is decided on, with its options."""
    prices = Prices(world.garage)
    out = []
    for wheels in world.garage.set:
        for corner, wheel in wheels.wheels if not world.left(wheels.id, world.day) else ():
            desk = Desk(world, prices, wheels, corner, wheel)
            if desk.sensor or desk.cars:
                out.append(Decision(wheel, wheels.id, corner, desk.options()))
    return tuple(out)


# --- what the cars must be taught ---------------------------------------------------------------------------------

Content = tuple[tuple[Corner, Number | None], ...]
"""What a set carries at the corners that a car monitors."""
Slot = int | str
"""What stands in a list: a group of IDs from the start, by its number, or a set that was taught."""


@dataclass(frozen=True)
class Memory:
    """The list of one car, and how often it must be taught."""

    world: World
    car: Car

    @cached_property
    def mounts(self) -> list[str]:
        return self.world.mounts(self.car)

    def watches(self, decision: Decision) -> bool:
        return decision.set in self.mounts and decision.corner in self.car.monitored_corners

    @property
    def aware(self) -> bool:
        return self.car.corner_aware is not False

    @property
    def room(self) -> int:
        if self.car.when_full is WhenFull.ALL:
            return 1
        if self.car.remembers_sets is not None:
            return self.car.remembers_sets
        if self.car.remembers_ids is not None:
            return self.car.remembers_ids // len(self.car.monitored_corners)
        return max(1, len(self.car.holds or ()))

    def in_group(self, content: Content, group: tuple[Entry, ...]) -> bool:
        return all(
            any(
                number is not None and e.only == number and (e.corner in (None, corner) or not self.aware)
                for e in group
            )
            for corner, number in content
        )

    def alike(self, one: Content, two: Content) -> bool:
        numbers_known = all(number is not None for _, number in (*one, *two))
        same = set(one) == set(two) if self.aware else Counter(n for _, n in one) == Counter(n for _, n in two)
        return numbers_known and same

    def teachings(self, contents: dict[str, Content]) -> int:
        """The least number of teachings over the horizon."""
        groups = self.world.lists[self.car.id]

        def holds(slot: Slot, set_id: str) -> bool:
            if isinstance(slot, int):
                return self.in_group(contents[set_id], groups[slot])
            return slot == set_id or self.alike(contents[slot], contents[set_id])

        return self._chosen(holds) if self.car.when_full is WhenFull.CHOSEN else self._oldest(holds)

    @property
    def _start(self) -> tuple[Slot, ...]:
        return tuple(range(len(self.world.lists[self.car.id])))

    def _oldest(self, holds: Callable[[Slot, str], bool]) -> int:
        listed, count = list(self._start), 0
        for set_id in self.mounts:
            if not any(holds(slot, set_id) for slot in listed):
                listed = [*listed, set_id][-self.room :]
                count += 1
        return count

    def _chosen(self, holds: Callable[[Slot, str], bool]) -> int:
        best: dict[frozenset[Slot], int] = {frozenset(self._start): 0}
        for set_id in self.mounts:
            after: dict[frozenset[Slot], int] = {}
            for listed, count in best.items():
                if any(holds(slot, set_id) for slot in listed):
                    after[listed] = min(count, after.get(listed, count))
                    continue
                for kept in combinations(listed, min(len(listed), self.room - 1)):
                    state = frozenset({*kept, set_id})
                    after[state] = min(count + 1, after.get(state, count + 1))
            best = after
        return min(best.values())


# --- the enumeration ----------------------------------------------------------------------------------------------

Chosen = tuple[tuple[Decision, Option], ...]


def settlings(world: World) -> Iterator[tuple[int, dict[int, str]]]:
    """Every choice of one place for each stay that leaves several open, with its cost; the cheapest first."""
    lasting = Counter(s.row for s in world.line)
    move = Prices(world.garage).time("move")

    def costs(row: int, stay: Stay) -> list[tuple[int, int, str]]:
        return [(lasting[row] * move * (place != stay.at), row, place) for place in (stay.at or "", *stay.or_at)]

    rows = [costs(row, stay) for row, stay in enumerate(world.garage.stay) if stay.or_at and lasting[row]]
    for picked in sorted(product(*rows), key=lambda picked: sum(cost for cost, _, _ in picked)):
        yield sum(cost for cost, _, _ in picked), {row: place for _, row, place in picked}


@dataclass
class Enumeration:
    """Tries every combination of options. `best` is the least weight; None where no combination is allowed."""

    world: World
    wheels: tuple[Decision, ...]
    best: int | None = None
    _taught: dict[tuple[str | Number | None, ...], int] = field(default_factory=dict)

    def run(self) -> int | None:
        """The least weight of all plans."""
        self._prices = Prices(self.world.garage)
        self._memories = [Memory(self.world, car) for car in self.world.direct]
        self._watched = {m.car.id: [n for n, d in enumerate(self.wheels) if m.watches(d)] for m in self._memories}
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
            order = [n for n, options in enumerate(self._options) if not any(map(self._harmless, options))]
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
            sorted((o for o in d.options if together.sound(o)), key=lambda o: o.weight) for d in self.wheels
        ]

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
            return True
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
            total = weight + self._teaching(chosen) + self._meeting(chosen) + self._blanks(chosen)
            self.best = total if self.best is None else min(total, self.best)
            return
        for i, option in enumerate(self._options[n]):
            if not any(self._clash(k, taken[k], n, i) for k in range(n)):
                self._go([*taken, i], weight + option.weight + self._trip_for(chosen, option))

    def _trip_for(self, chosen: Chosen, option: Option) -> int:
        here = self.wheels[len(chosen)].set
        gone = any(o.refit for d, o in chosen if d.set == here)
        return self._prices.time("shop_trip") if option.refit and not gone else 0

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
        """The risk that sets which carry one ID meet after all."""
        known = [(d, o) for d, o in chosen if o.known is not None]
        pairs = {frozenset({a.set, b.set}) for (a, x), (b, y) in combinations(known, 2) if self._alike(x, y)}
        return sum(self._prices.met(min(self.world.years_there(s) for s in pair)) for pair in pairs)

    def _alike(self, one: Option, two: Option) -> bool:
        return one.known == two.known and not told_apart(self.world.garage, one.voice, two.voice)

    def _teaching(self, chosen: Chosen) -> int:
        return sum(self._teaching_of(memory, chosen) for memory in self._memories)

    def _teaching_of(self, memory: Memory, chosen: Chosen) -> int:
        key = (memory.car.id, *(chosen[n][1].known for n in self._watched[memory.car.id]))
        if key not in self._taught:
            contents: dict[str, Content] = dict.fromkeys(memory.mounts, ())
            for d, option in (chosen[n] for n in self._watched[memory.car.id]):
                contents[d.set] = (*contents[d.set], (d.corner, option.known))
            self._taught[key] = memory.teachings(contents) * self._prices.teach(memory.car)
        return self._taught[key]
