"""Who carries which ID now, what cars' lists hold, and which IDs are retired: read once for a plan."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property

from wheelside.garage.ids import family_readings, proven_different, sensor_readings
from wheelside.garage.joined import parts_on
from wheelside.garage.model import Car, Garage, Sensor
from wheelside.garage.season import Spell, somebody_elses
from wheelside.garage.words import Corner
from wheelside.said import Joined, Said, listed, say
from wheelside.sensor.ident import SensorId
from wheelside.sensor.reading import Readings

Key = tuple[int, int]
"""An ID as receivers compare it: its width and its number."""


@dataclass(frozen=True, slots=True, order=True)
class Whose:
    """Whose an ID in a car's list is: a corner of a set, or (`from_list`) of the list itself, whose corner may not be known.

    `set`: the id of the set for which the list holds it by name; '' where it is written out.
    """

    from_list: bool
    name: str
    corner: str
    set: str = ""

    @property
    def said(self) -> Said:
        """In words: 'front left of Summer set', 'the list of Estate, front left'."""
        if not self.from_list:
            return say("{corner} of {set}", corner=self.corner, set=self.name)
        if self.corner:
            return say("the list of {car}, {corner}", car=self.name, corner=self.corner)
        return say("the list of {car}", car=self.name)


@dataclass(frozen=True, slots=True)
class HeldId:
    """An ID that a car's list holds now: whose it is, and at which corner, None where that is not known.

    `sensors`: those in the garage that carry it.
    """

    id: SensorId
    corner: Corner | None
    whose: Whose
    sensors: tuple[Sensor, ...]


Listed = tuple[tuple[SensorId, ...], Corner | None, Whose]
"""One entry of a car's list: every ID that it may be, its corner, and whose it is."""


def carried_by(garage: Garage, sensor: Sensor | None) -> tuple[SensorId, ...]:
    """The IDs that a sensor may carry now, by what it sent or by its print; none where neither is known, or it stands for no sensor."""
    readings = sensor_readings(garage, sensor) if sensor else None
    return readings.ids if readings else ()


def _slot(found: Readings | None) -> Said:
    """What one slot of a list holds, in words."""
    if found is None:
        return say("not read")
    return say("{ids}", ids=listed((one.aloud() for one in found.ids), Joined.OR)) if found.ids else say("empty")


def _at(corner: Corner | None, slot: Said) -> Said:
    return say("{corner}: {id}", corner=corner.value, id=slot) if corner else slot


def _in_group(car: Car, group: tuple[HeldId, ...], corner: Corner, one: SensorId) -> bool:
    return any(h.id.key == one.key and (car.corner_aware is False or h.corner in (corner, None)) for h in group)


@dataclass(frozen=True)
class Roll:
    """The IDs of a garage as they are on a day."""

    garage: Garage
    day: date

    def carried_by(self, sensor: Sensor | None) -> tuple[SensorId, ...]:
        """The IDs that a sensor may carry now; none where nothing is known."""
        return self._carried[sensor.id] if sensor else ()

    def held(self, car: Car) -> tuple[tuple[HeldId, ...], ...]:
        """The IDs that the car's list holds, one group for each set in it, oldest first. Ambiguous ones are left out.

        Empty slots are no entries, and a group of nothing but empty slots is no set.
        """
        return self._held[car.id]

    def empty_slots(self, car: Car) -> tuple[Corner | None, ...]:
        """The corner of each empty slot that the car's list shows, None where it is not said."""
        texts = [one for held in car.holds or () for one in held.texts]
        return tuple(at for at, text in texts if family_readings(self.garage, text, car.family).empty)

    def shown(self, car: Car) -> tuple[tuple[Said, ...], ...]:
        """The car's list as it is noted, in words, one group for each set: each slot with its ID, 'empty' or 'not read'."""
        groups = []
        for held in car.holds or ():
            slots: list[tuple[Corner | None, Readings | None]] = [
                (at, family_readings(self.garage, text, car.family)) for at, text in held.texts
            ]
            for corner, wheel in self.garage.sets[held.set].wheels if held.set else ():
                if corner in car.monitored_corners:
                    sensor = parts_on(self.garage, wheel, held.as_of or self.day).sensor
                    slots.append((corner, sensor_readings(self.garage, sensor) if sensor else None))
            groups.append(tuple(_at(at, _slot(found)) for at, found in slots))
        return tuple(groups)

    def places(self, car: Car) -> int:
        """How many sets the car's list holds: as noted, else as many as it holds now, one at least."""
        return car.slots or max(1, len(self.held(car)))

    def listed(self, car: Car) -> tuple[tuple[Listed, ...], ...]:
        """The entries of the car's list, group by group."""
        return self._listed[car.id]

    @cached_property
    def retired(self) -> frozenset[Key]:
        """The IDs whose sensors are sold, scrapped or lost by the day, and those noted as retired."""
        garage, day = self.garage, self.day
        gone = [s for s in garage.sensor if s.gone is not None and s.gone <= day]
        keys = {one.key for s in gone for one in self._carried[s.id]}
        for row in garage.retired:
            keys |= {one.key for one in family_readings(garage, row.id, row.family).ids}
        return frozenset(keys) | self.retired_by(day)

    def retired_by(self, then: date) -> frozenset[Key]:
        """The IDs that the sensors of sets carry today which are sold or scrapped by a day."""
        return frozenset(key for leaves, keys in self._leaving if leaves <= then for key in keys)

    @cached_property
    def _leaving(self) -> tuple[tuple[date, frozenset[Key]], ...]:
        """For each wheel that leaves, when, and what its sensor may carry today."""
        out = []
        for wheel in self.garage.sets_of:
            left = self.garage.leaves_with(wheel)
            if left is not None and left.leaves is not None:
                sensor = parts_on(self.garage, wheel, self.day).sensor
                out.append((left.leaves, frozenset(one.key for one in self.carried_by(sensor))))
        return tuple(out)

    @cached_property
    def sold(self) -> dict[Key, tuple[tuple[str, str], ...]]:
        """The IDs that speak somewhere in sets that were sold by the day, each with those sets and the family of the sensor."""
        garage, out = self.garage, defaultdict[Key, list[tuple[str, str]]](list)
        for wheel_set in garage.set:
            scrapped = wheel_set.scrapped is not None and wheel_set.scrapped <= self.day
            if wheel_set.sold is None or wheel_set.sold > self.day or scrapped:
                continue
            for _, wheel in wheel_set.wheels:
                sensor = parts_on(garage, wheel, wheel_set.sold - timedelta(days=1)).sensor
                if garage.leaves_with(wheel) is not wheel_set:
                    continue  # it stayed with another set
                if sensor is not None and (sensor.gone is None or sensor.gone > self.day):
                    for one in self._carried[sensor.id]:
                        out[one.key].append((wheel_set.id, sensor.family or ""))
        return {key: tuple(dict.fromkeys(rows)) for key, rows in out.items()}

    def theirs(self, line: tuple[Spell, ...]) -> frozenset[str]:
        """The sets that go on cars of somebody else's, and on no other."""
        return somebody_elses(self.garage, line, self.day)

    def goes_by(self, car: Car, n: int, but: str) -> str | None:
        """Another set than `but` that goes on the car and whose wheels all carry IDs of group `n` of its list, so that it goes by that group."""
        groups = self.held(car)
        group = groups[n] if n < len(groups) else ()
        on = {stay.set for stay in self.garage.stay if stay.on == car.id} - {but}
        for name in sorted(on & set(self.garage.sets)):
            if self.garage.sets[name].gone_by(self.day):
                continue
            watched = [(c, w) for c, w in self.garage.sets[name].wheels if c in car.monitored_corners]
            carried = [(c, self.carried_by(parts_on(self.garage, w, self.day).sensor)) for c, w in watched]
            if carried and all(len(ids) == 1 and _in_group(car, group, c, ids[0]) for c, ids in carried):
                return name
        return None

    def wheels_of_theirs(self, line: tuple[Spell, ...]) -> tuple[tuple[str, str], ...]:
        """The wheels of such sets that are in no other set, each with its set."""
        theirs = self.theirs(line)
        found = ((name, wheel) for name in sorted(theirs) for _, wheel in self.garage.sets[name].wheels)
        return tuple((name, wheel) for name, wheel in found if set(self.garage.sets_of[wheel]) <= theirs)

    def of_another(self, key: Key, own: frozenset[str], watched: tuple[tuple[Car, Corner], ...]) -> bool:
        """Whether an entry that a wheel may take, of these cars at its corners there, is a set's but `own`: held for it by name, or carried
        by a wheel of another set."""
        named = {
            h.whose.set
            for car, corner in watched
            for group in self.held(car)
            for h in group
            if h.id.key == key and h.whose.set and (h.corner is corner or car.corner_aware is False)
        }
        cars = tuple(car for car, _ in watched)
        with_it = any(
            not own & set(self.garage.sets_of[wheel])
            and any(not proven_different(self.garage, family, car.family) for car in cars)
            for wheel, family in self._wheels_with.get(key, ())
        )
        return with_it or bool(named - own)

    @cached_property
    def _wheels_with(self) -> dict[Key, set[tuple[str, str]]]:
        """For each ID the wheels, of sets neither sold nor scrapped by the day, in which a sensor may carry it, with its family."""
        out: dict[Key, set[tuple[str, str]]] = defaultdict(set)
        for wheel_set in self.garage.set:
            for _, wheel in () if wheel_set.gone_by(self.day) else wheel_set.wheels:
                sensor = parts_on(self.garage, wheel, self.day).sensor
                for one in self.carried_by(sensor):
                    out[one.key].add((wheel, (sensor.family if sensor else None) or ""))
        return out

    @cached_property
    def in_lists(self) -> frozenset[Key]:
        """The IDs that are sure to be in some car's list."""
        return frozenset(h.id.key for car in self.garage.car for group in self.held(car) for h in group)

    @cached_property
    def scrapped(self) -> frozenset[Key]:
        """The IDs of sets that are scrapped by the day: retired, but nothing can speak with them any more."""
        there = [
            w
            for w in self.garage.sets_of
            if (s := self.garage.leaves_with(w)) and s.scrapped and s.scrapped <= self.day
        ]
        parts = [parts_on(self.garage, wheel, self.day).sensor for wheel in there]
        return frozenset(one.key for s in parts if s is not None for one in self._carried[s.id])

    @cached_property
    def _carried(self) -> dict[str, tuple[SensorId, ...]]:
        return {s.id: carried_by(self.garage, s) for s in self.garage.sensor}

    def carriers(self, key: Key) -> tuple[Sensor, ...]:
        """The sensors that are sure to carry an ID now."""
        return self._carriers.get(key, ())

    @cached_property
    def _carriers(self) -> dict[Key, tuple[Sensor, ...]]:
        """The sensors that are sure to carry an ID now, of whatever family: a copy takes the number alone."""
        out: dict[Key, tuple[Sensor, ...]] = defaultdict(tuple)
        for sensor in self.garage.sensor:
            keys = [one.key for one in self._carried[sensor.id]]
            if sensor.gone is None and len(keys) == 1:
                out[keys[0]] = (*out[keys[0]], sensor)
        return out

    @cached_property
    def _listed(self) -> dict[str, tuple[tuple[Listed, ...], ...]]:
        return {car.id: tuple(tuple(rows) for rows in self._groups(car)) for car in self.garage.car}

    def _groups(self, car: Car) -> Iterator[list[Listed]]:
        garage = self.garage
        for held in car.holds or ():
            rows: list[Listed] = []
            if held.set is not None:
                wheel_set = garage.sets[held.set]
                for corner, wheel in wheel_set.wheels:
                    if corner in car.monitored_corners:
                        ids = self.carried_by(parts_on(garage, wheel, held.as_of or self.day).sensor)
                        rows.append((ids, corner, Whose(False, wheel_set.name, corner.value, wheel_set.id)))
            for at, text in held.texts:
                found = family_readings(garage, text, car.family)
                if not found.empty:
                    rows.append((found.ids, at, Whose(True, car.name, at.value if at else "")))
            if rows or not held.texts:
                yield rows

    @cached_property
    def _held(self) -> dict[str, tuple[tuple[HeldId, ...], ...]]:
        return {car.id: tuple(self._sure(rows) for rows in self._listed[car.id]) for car in self.garage.car}

    def _sure(self, rows: tuple[Listed, ...]) -> tuple[HeldId, ...]:
        only = [(ids[0], corner, whose) for ids, corner, whose in rows if len(ids) == 1]
        return tuple(HeldId(one, corner, whose, self._carriers.get(one.key, ())) for one, corner, whose in only)
