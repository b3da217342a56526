"""What is so in a small garage, told a second time from the rules' description alone: who carries which ID, and when it may be written.

Any of the facts that a rule rests on can be taken as not holding, to see what stands in the way where no plan is possible.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import cached_property

from oracle_parts import DAYS_PER_YEAR, EVERY_FACT, Carrier, Entry, Facts, Number, numbers, told_apart

from wheelside.garage.ids import (
    family_readings,
    sensor_readings,
)
from wheelside.garage.joined import loose_sensors, parts_on
from wheelside.garage.model import Car, Garage, Sensor, WheelSet
from wheelside.garage.season import Spell, spells
from wheelside.garage.words import AtRest, Corner, Heard

LONG_AGO = date(1980, 1, 1)
WRITTEN_ON_THE_CAR_IS_MET = True
"""Whether a wheel that is written while a set with it is on a car is met by that car on that day."""


# --- the garage within the horizon --------------------------------------------------------------------------------


@dataclass(frozen=True)
class World:
    """A garage from a day to the end of its horizon, with the facts that are taken to hold."""

    garage: Garage
    day: date
    facts: Facts = EVERY_FACT
    _retired: dict[date, frozenset[Number]] = field(default_factory=dict, compare=False)

    @cached_property
    def end(self) -> date:
        return self.day.replace(year=self.day.year + self.garage.plan.horizon_years, day=min(28, self.day.day))

    def years_until(self, moment: date) -> float:
        return (moment - self.day).days / DAYS_PER_YEAR

    def years_there(self, wheel: str) -> float:
        """How long a wheel is still its owner's within the horizon, in years."""
        horizon, leaves = float(self.garage.plan.horizon_years), self.wheel_leaves(wheel)
        return horizon if leaves is None else min(horizon, self.years_until(leaves))

    @cached_property
    def line(self) -> tuple[Spell, ...]:
        return spells(self.garage, self.day, self.end)

    @cached_property
    def moments(self) -> tuple[date, ...]:
        spans = [(s.since, s.until) for s in self.line]
        spans += [(o.since, o.until) for o in self.garage.outing]
        spans += [(o.since, o.until) for o in self.garage.stand_in]
        turns = {d for span in spans for d in span} | {d for wheel in self.garage.sets_of for d in self.later(wheel)}
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
        leaves = self.garage.sets[set_id].leaves
        return leaves is not None and leaves <= moment

    # --- a wheel and its sets -------------------------------------------------------------------------------------

    def homes(self, wheel: str) -> tuple[tuple[str, Corner], ...]:
        """The sets that a wheel is in, by id, with its corner there; those only that have not left today."""
        sets = [self.garage.sets[name] for name in self.garage.sets_of[wheel] if not self.left(name, self.day)]
        return tuple((one.id, corner) for one in sets for corner, name in one.wheels if name == wheel)

    def counts_for(self, wheel: str) -> str:
        """The set that a wheel counts for: the first by id that has not left today."""
        names = self.garage.sets_of[wheel]
        return next((name for name in names if not self.left(name, self.day)), names[0])

    def wheel_leaves(self, wheel: str) -> date | None:
        """The day on which a wheel leaves with the last of its sets."""
        return self._leaving[wheel]

    @cached_property
    def _leaving(self) -> dict[str, date | None]:
        days = {
            wheel: [self.garage.sets[name].leaves for name in names] for wheel, names in self.garage.sets_of.items()
        }
        return {wheel: None if None in some else max(d for d in some if d) for wheel, some in days.items()}

    def wheel_left(self, wheel: str, moment: date) -> bool:
        leaves = self.wheel_leaves(wheel)
        return leaves is not None and leaves <= moment

    def sale(self, wheel: str) -> tuple[date, str] | None:
        """The day on which a wheel is sold, and the set with which it goes."""
        last = self.wheel_leaves(wheel)
        goes = [name for name in self.garage.sets_of[wheel] if last is not None and self.garage.sets[name].sold == last]
        return (last, goes[0]) if last and goes else None

    def theirs(self, wheel: str) -> bool:
        """Whether a wheel is in sets only that go on somebody else's cars alone."""
        homes = self.homes(wheel)
        return bool(homes) and all(self.somebody_elses(name) for name, _ in homes)

    @cached_property
    def _ever_on(self) -> tuple[Spell, ...]:
        return tuple(s for s in spells(self.garage, LONG_AGO, self.end) if s.on)

    def with_set(self, wheel: str, moment: date) -> str:
        """Which of its sets a wheel is with: the one on a car, else the one that was last, else the first by id."""
        names = [name for name in self.garage.sets_of[wheel] if not self.left(name, moment)]
        if len(names) < 2:
            return names[0] if names else self.garage.sets_of[wheel][-1]
        on = [name for name in names if any(s.set == name and s.covers(moment) for s in self._ever_on)]
        ended = [(s.until, name) for name in names for s in self._ever_on if s.set == name and s.until <= moment]
        lately = max((until for until, _ in ended), default=None)
        return next(iter([*on, *(name for until, name in ended if until == lately), *names]))

    # --- when a sensor may be written -----------------------------------------------------------------------------

    def later(self, wheel: str) -> tuple[date, ...]:
        """The later moments at which the sensor of a wheel may be written: those of all its sets, while it is there."""
        days = {day for name, _ in self.homes(wheel) for day in self._turns[name]}
        return tuple(sorted(d for d in days if self.day < d < self.end and not self.wheel_left(wheel, d)))

    @cached_property
    def _turns(self) -> dict[str, frozenset[date]]:
        return {wheels.id: frozenset(self._turns_of(wheels)) for wheels in self.garage.set}

    def _turns_of(self, wheels: WheelSet) -> Iterator[date]:
        """The days on which a set is put on a car or taken off one, and those before it is moved otherwise, or sold."""
        own = [s for s in self.line if s.set == wheels.id]
        for spell in own:
            before = next((s for s in own if s.covers(spell.since - timedelta(days=1))), None)
            after = next((s for s in own if s.covers(spell.until)), None)
            if spell.on and not (before and before.on == spell.on):
                yield spell.since
            if spell.on and not (after and after.on == spell.on) and not self.left(wheels.id, spell.until):
                yield spell.until
            if not spell.on and not (before and before.on) and self._moved(before, spell):
                yield spell.since - timedelta(days=1)
        if wheels.sold and wheels.sold < self.end:
            yield wheels.sold - timedelta(days=1)

    @staticmethod
    def _moved(before: Spell | None, spell: Spell) -> bool:
        """Whether a set that is on no car is moved where one spell follows another; one that lay nowhere is."""
        if before is None:
            return True
        same = (before.at, before.riding_in) == (spell.at, spell.riding_in) and not (before.or_at or spell.or_at)
        return before.row != spell.row and not same

    # --- what goes where ------------------------------------------------------------------------------------------

    def goes_on(self, set_id: str | None, car: Car) -> bool:
        return any(s.set == set_id and s.on == car.id for s in self.line)

    def carried_on(self, carrier: Carrier, car: Car) -> frozenset[Number]:
        """What a sensor carries while it goes on a car with one of its sets, or stands in for another there."""
        if carrier.wheel is None:
            return frozenset()
        names = self.garage.sets_of[carrier.wheel]
        spans = [(s.since, s.until) for s in self.line if s.set in names and s.on == car.id]
        spans += [
            (one.since, one.until)
            for one in self.garage.stand_in
            if one.wheel == carrier.wheel and one.on == car.id and one.since < self.end and self.day < one.until
        ]
        if not spans or carrier.then is None:
            return carrier.ids if spans else frozenset()
        on, after = carrier.then
        earlier = carrier.ids if any(since < on for since, _ in spans) else frozenset()
        return earlier | (after if any(on < until for _, until in spans) else frozenset())

    def cars_of(self, wheels: WheelSet, corner: Corner) -> tuple[Car, ...]:
        """The owner's direct cars that the set goes on and that monitor the corner."""
        return self.watching(((wheels.id, corner),))

    def watching(self, homes: tuple[tuple[str, Corner], ...]) -> tuple[Car, ...]:
        """The owner's direct cars that a wheel of these sets goes on, at a corner that they monitor."""
        return tuple(car for car in self.judging if self.corners_on(car, homes))

    def corners_on(self, car: Car, homes: tuple[tuple[str, Corner], ...]) -> frozenset[Corner]:
        """The corners at which a car monitors a wheel of these sets."""
        monitored = car.monitored_corners
        return frozenset(at for name, at in homes if at in monitored and self.goes_on(name, car))

    def sensor(self, wheel: str, day: date | None = None) -> Sensor | None:
        return parts_on(self.garage, wheel, day or self.day).sensor

    def mounts(self, car: Car) -> list[tuple[date, str]]:
        """The days on which a car meets what its sets carry: as they go on it, and where one is written while it is on."""
        found = [(max(s.since, self.day), s.since, s.set) for s in self.line if s.on == car.id]
        for spell in self.line if WRITTEN_ON_THE_CAR_IS_MET else ():
            if spell.on == car.id:
                wheels = [wheel for _, wheel in self.garage.sets[spell.set].wheels]
                days = {day for wheel in wheels for day in self.later(wheel) if spell.since < day < spell.until}
                found += [(day, day, spell.set) for day in sorted(days)]
        return [(day, name) for day, _, name in sorted(found, key=lambda one: one[1])]

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
    def wheels(self) -> tuple[str, ...]:
        """Every wheel of a set, once, in the order of the sets in the file."""
        return tuple(dict.fromkeys(wheel for wheels in self.garage.set for _, wheel in wheels.wheels))

    @cached_property
    def fixed(self) -> tuple[Carrier, ...]:
        """The sensors of somebody else's sets: they stay with what they carry, whatever is chosen."""
        return tuple(
            Carrier(self.counted(s), s.family, s.at_rest is AtRest.SILENT, self.counts_for(wheel), wheel)
            for wheel in self.wheels
            if self.theirs(wheel) and (s := self.sensor(wheel)) is not None
        )

    @cached_property
    def sold(self) -> tuple[Carrier, ...]:
        """The sensors of wheels that were sold by today, as joined on the day before; without those known to be gone since."""
        return tuple(
            Carrier(numbers(sensor_readings(self.garage, s)), s.family, silent=False, set=sale[1], sensor=s.id)
            for wheel in self.wheels
            if (sale := self.sale(wheel)) is not None and sale[0] <= self.day
            if (s := self.sensor(wheel, sale[0] - timedelta(days=1))) is not None
            if s.gone is None or s.gone > self.day
        )

    def retired(self, day: date) -> frozenset[Number]:
        """The IDs that no sensor may take over on a day."""
        if day not in self._retired:
            rows = [numbers(family_readings(self.garage, row.id, row.family)) for row in self.garage.retired]
            sensors = [s for s in self.garage.sensor if s.gone is not None and s.gone <= day]
            left = [wheel for wheel in self.wheels if self.wheel_left(wheel, day)]
            sensors += [s for wheel in left if (s := self.sensor(wheel)) is not None]
            went = [c.ids for c in self.sold]
            each = (numbers(sensor_readings(self.garage, s)) for s in sensors)
            self._retired[day] = frozenset().union(*rows, *went, *each)
        return self._retired[day]

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
            Carrier(numbers(sensor_readings(self.garage, s)), s.family, False, self.counts_for(wheel), wheel)
            for wheel in self.wheels
            if not self.wheel_left(wheel, self.day) and (s := self.sensor(wheel)) is not None
        )

    def of_another(self, entry: Entry, own: tuple[str, ...]) -> bool:
        """Whether an entry of a list is another set's than these: held for it by name, or carried by one of its wheels."""
        if entry.set not in (None, *own):
            return True
        alike = [c for c in self.in_wheels if c.ids & entry.readings]
        alike = [c for c in alike if not {name for name, _ in self.homes(c.wheel or "")} & set(own)]
        return any(not told_apart(self.garage, c.family, entry.family) for c in alike)

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
