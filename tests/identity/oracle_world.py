"""What is so in a small garage, told a second time from the rules' description alone: who carries which ID, where, and what must not meet.

Any of the facts that a rule rests on can be taken as not holding, to see what stands in the way where no plan is possible.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import cached_property
from itertools import combinations

from wheelside.garage.ids import (
    family_readings,
    sensor_readings,
)
from wheelside.garage.joined import loose_sensors, parts_on
from wheelside.garage.model import Car, Garage, Sensor, WheelSet
from wheelside.garage.season import Spell, spells
from wheelside.garage.words import AtRest, Corner, Heard, Teaching
from wheelside.sensor.reading import Readings

Number = tuple[int, int]
"""An ID as it is compared: its width and its number."""
Fact = tuple[str, str]
"""Something that a rule rests on: its kind and what it is about."""
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
    """One ID in a car's list; the corner is None where the list does not say it. `set`: the one that it is held for by name."""

    corner: Corner | None
    readings: frozenset[Number]
    family: str | None
    set: str | None = None

    @property
    def only(self) -> Number | None:
        return next(iter(self.readings)) if len(self.readings) == 1 else None


@dataclass(frozen=True, slots=True)
class Option:
    """One choice for one wheel. `known` is the ID where it is known beforehand and unambiguous; `voice` the family.

    `got`: whether no writer in the file can do it, so that one is got.
    """

    refit: bool
    choice: str
    known: Number | None
    carriers: tuple[Carrier, ...]
    weight: int
    voice: str
    written: bool
    got: bool = False

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

    @cached_property
    def judging(self) -> tuple[Car, ...]:
        """The direct cars that are the owner's: wheels are judged by them, and they are taught."""
        return tuple(car for car in self.direct if not car.somebody_elses)

    @cached_property
    def _theirs(self) -> frozenset[str]:
        on = {(s.set, self.garage.cars[s.on].somebody_elses) for s in self.line if s.on}
        return frozenset(name for name, somebody_elses in on if somebody_elses and (name, False) not in on)

    def somebody_elses(self, set_id: str) -> bool:
        """Whether a set goes on somebody else's cars alone."""
        return set_id in self._theirs

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
        """The owner's direct cars that the set goes on and that monitor the corner."""
        return tuple(c for c in self.judging if corner in c.monitored_corners and self.goes_on(wheels.id, c))

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
    def fixed(self) -> tuple[Carrier, ...]:
        """The sensors of somebody else's sets: they stay with what they carry, whatever is chosen."""
        return tuple(
            Carrier(self.counted(s), s.family, s.at_rest is AtRest.SILENT, wheels.id, wheel)
            for wheels in self.garage.set
            for _, wheel in (wheels.wheels if self.somebody_elses(wheels.id) else ())
            if (s := self.sensor(wheel)) is not None
        )

    @cached_property
    def sold(self) -> tuple[Carrier, ...]:
        """The sensors of sets that are sold by today, as joined on the day before; without those known to be gone since."""
        return tuple(
            Carrier(numbers(sensor_readings(self.garage, s)), s.family, silent=False, set=wheels.id, sensor=s.id)
            for wheels in self.garage.set
            if wheels.sold is not None and wheels.sold <= self.day
            for _, wheel in wheels.wheels
            if (s := self.sensor(wheel, wheels.sold - timedelta(days=1))) is not None
            if s.gone is None or s.gone > self.day
        )

    @cached_property
    def retired(self) -> frozenset[Number]:
        """The IDs that no sensor may take over."""
        rows = [numbers(family_readings(self.garage, row.id, row.family)) for row in self.garage.retired]
        sensors = [s for s in self.garage.sensor if s.gone is not None and s.gone <= self.day]
        for wheels in self.garage.set:
            if self.left(wheels.id, self.day):
                sensors += [s for _, wheel in wheels.wheels if (s := self.sensor(wheel)) is not None]
        went = [c.ids for c in self.sold]
        return frozenset().union(*rows, *went, *(numbers(sensor_readings(self.garage, s)) for s in sensors))

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
                    found = numbers(sensor_readings(self.garage, sensor))
                    read.append(Entry(corner, found, sensor.family, held.set))
            read = [entry for entry in read if entry.readings or held.set]
            if read or held.set:
                yield tuple(read)

    def places_in_list(self, car: Car) -> int:
        """How many sets a car's list holds; as many as it holds now where that is not noted."""
        if car.remembers_sets is not None:
            return car.remembers_sets
        if car.remembers_ids is not None:
            return car.remembers_ids // len(car.monitored_corners)
        return max(1, len(self.lists[car.id]))

    @cached_property
    def in_wheels(self) -> tuple[Carrier, ...]:
        """What sensors in wheels may carry now, of every set that is neither sold nor scrapped."""
        return tuple(
            Carrier(numbers(sensor_readings(self.garage, s)), s.family, silent=False, set=wheels.id, wheel=wheel)
            for wheels in self.garage.set
            for _, wheel in (() if self.left(wheels.id, self.day) else wheels.wheels)
            if (s := self.sensor(wheel)) is not None
        )

    def of_another(self, entry: Entry, set_id: str) -> bool:
        """Whether an entry of a list is another set's: held for it by name, or carried by one of its wheels."""
        if entry.set not in (None, set_id):
            return True
        alike = [c for c in self.in_wheels if c.set != set_id and c.ids & entry.readings]
        return any(not told_apart(self.garage, c.family, entry.family) for c in alike)

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
        there = (*self.world.loose, *self.world.fixed)
        return not within and not any(self.clash(a, b) for a in option.carriers for b in there)
