"""Everything that may be done about each wheel, with the rule that forbids it where one does."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from itertools import combinations

from wheelside.earshot.stated import heard_at
from wheelside.finding import Basis, Ground
from wheelside.garage.ids import (
    car_band,
    car_bits,
    family_readings,
    proven_different,
    sensor_band,
    sensor_bits,
    sensor_readings,
)
from wheelside.garage.joined import parts_on
from wheelside.garage.model import Car, Garage, Sensor, WheelSet, Writer
from wheelside.garage.season import Spell
from wheelside.garage.words import AtRest, Corner, Monitor, Skill, TakenOut, Writing
from wheelside.identity.choice import Action, Candidate, FreshFrom, IdChoice, Member, Refusal
from wheelside.identity.costs import NOTHING, Price, Tariff
from wheelside.sensor.fresh import FreshRule
from wheelside.sensor.ident import PrintForm, SensorId

_TRADE = Basis(Ground.PRACTICE, "no source")
_FILE = Basis(Ground.OWNER, "garage file")


@dataclass(frozen=True, slots=True)
class HeldId:
    """An ID that a car's list holds now: whose it is, and at which corner, None where that is not known.

    `sensors`: those in the garage that carry it.
    """

    id: SensorId
    corner: Corner | None
    whose: str
    sensors: tuple[Sensor, ...]


def held_ids(garage: Garage, car: Car, day: date) -> tuple[tuple[HeldId, ...], ...]:
    """The IDs that the car's list holds, one group for each set in it, oldest first. Ambiguous ones are left out."""
    groups = []
    for rows in listed(garage, car, day):
        only = [(ids[0], corner, whose) for ids, corner, whose in rows if len(ids) == 1]
        groups.append(tuple(HeldId(one, corner, whose, _carriers(garage, one)) for one, corner, whose in only))
    return tuple(groups)


def listed(garage: Garage, car: Car, day: date) -> Iterator[list[tuple[tuple[SensorId, ...], Corner | None, str]]]:
    """The entries of the car's list, group by group: every ID that one may be, its corner, and whose it is."""
    for held in car.holds or ():
        rows: list[tuple[tuple[SensorId, ...], Corner | None, str]] = []
        if held.set is not None:
            wheel_set = garage.sets[held.set]
            for corner, wheel in wheel_set.wheels:
                if corner in car.monitored_corners:
                    ids = current_ids(garage, parts_on(garage, wheel, held.as_of or day).sensor)
                    rows.append((ids, corner, f"{corner.value} of {wheel_set.name}"))
        texts: list[tuple[Corner | None, str]] = [(None, t) for t in held.ids]
        texts += list(held.corners)
        for at, text in texts:
            found = family_readings(garage, text, car.family)
            place = f", {at.value}" if at else ""
            rows.append((tuple(r.id for r in found.all), at, f"the list of {car.name}{place}"))
        yield rows


def current_ids(garage: Garage, sensor: Sensor | None) -> tuple[SensorId, ...]:
    """The IDs that a sensor may carry now, by what it sent or by its print; none where neither is known."""
    readings = sensor_readings(garage, sensor) if sensor else None
    return tuple(dict.fromkeys(r.id for r in readings.all)) if readings else ()


def _carriers(garage: Garage, sensor_id: SensorId) -> tuple[Sensor, ...]:
    """The sensors that are sure to carry an ID now, of whatever family: a copy takes the number alone."""
    there = [s for s in garage.sensor if s.gone is None]
    return tuple(s for s in there if [one.key for one in current_ids(garage, s)] == [sensor_id.key])


def members(garage: Garage, day: date, line: tuple[Spell, ...], tariff: Tariff) -> tuple[Member, ...]:
    """Every wheel that the plan decides about, by set and corner."""
    out = []
    for wheel_set in sorted(garage.set, key=lambda s: s.id):
        mounts = sorted({s.on for s in line if s.set == wheel_set.id and s.on is not None and s.until > day})
        cars = [garage.cars[c] for c in mounts if garage.cars[c].monitor is Monitor.DIRECT]
        for corner, wheel in wheel_set.wheels:
            monitored = [car for car in cars if corner in car.monitored_corners]
            sensor = parts_on(garage, wheel, day).sensor
            if monitored or sensor is not None:
                out.append(_member(garage, day, wheel_set, corner, wheel, sensor, monitored, tariff))
    return tuple(out)


def _member(
    garage: Garage, day: date, wheel_set: WheelSet, corner: Corner, wheel: str, sensor: Sensor | None,
    cars: list[Car], tariff: Tariff,
) -> Member:  # fmt: skip
    ids = current_ids(garage, sensor)
    sources = clone_sources(garage, cars, corner, day)
    make = _Maker(garage, wheel, sensor, ids, tuple(cars), tariff)
    found = [make.keep(), *make.clones(Action.STAYS, sources), make.fresh(Action.STAYS)]
    if cars:
        found += [make.refit_keep(), *make.clones(Action.REFIT, sources), make.fresh(Action.REFIT)]
    ranked = tuple(replace(c, rank=rank) for rank, c in enumerate(found))
    return Member(wheel_set.id, corner, wheel, sensor.id if sensor else None, ids, ranked)


def clone_sources(garage: Garage, cars: list[Car], corner: Corner, day: date) -> tuple[HeldId, ...]:
    """The IDs that a wheel at this corner could take over: held by one of its cars, same corner where the car cares."""
    found = [
        held
        for car in cars
        for group in held_ids(garage, car, day)
        for held in group
        if held.corner is corner or car.corner_aware is False
    ]
    ordered = sorted(found, key=lambda h: (h.corner is not corner, h.id, h.whose))
    return tuple({h.id.key: h for h in reversed(ordered)}.values())[::-1]


def fresh_rule(garage: Garage, sensor: Sensor | None, cars: tuple[Car, ...]) -> FreshRule | None:
    """What a fresh ID for a wheel looks like: as its car's family has it, else its sensor's; None without a width."""
    name = cars[0].family if cars and cars[0].family else sensor.family if sensor else None
    family = garage.families.get(name or "")
    bits = (family.bits if family else None) or (sensor_bits(garage, sensor) if sensor else None)
    if bits is None:
        return None
    prefix = family.prefix.upper() if family and family.prefix else ""
    form = family.printed if family and family.printed else PrintForm.HEX
    return FreshRule(name or "", bits, prefix, form)


@dataclass(frozen=True, slots=True)
class _Maker:
    """Makes the candidates of one wheel."""

    garage: Garage
    wheel: str
    sensor: Sensor | None
    ids: tuple[SensorId, ...]
    cars: tuple[Car, ...]
    tariff: Tariff

    @property
    def _own(self) -> set[tuple[int, int]]:
        """The keys of the IDs that the wheel's sensor may carry now."""
        return {one.key for one in self.ids}

    def _voice(self, action: Action) -> str:
        """The family in whose frames the wheel speaks: its sensor's, or that of the car that a new one is bought for."""
        if action is Action.REFIT:
            return self.cars[0].family or "" if self.cars else ""
        return (self.sensor.family if self.sensor else None) or ""

    def keep(self) -> Candidate:
        voice = self._voice(Action.STAYS)
        return Candidate(self.wheel, Action.STAYS, IdChoice.KEEP, self.ids, voice, NOTHING, self._unfit())

    def refit_keep(self) -> Candidate:
        refusal = Refusal(
            "new-sensor", "a new sensor does not have the old ID; carrying it on would be a clone", _TRADE
        )
        voice = self._voice(Action.REFIT)
        return Candidate(self.wheel, Action.REFIT, IdChoice.KEEP, (), voice, self.tariff.refit_wheel, refusal)

    def fresh(self, action: Action) -> Candidate:
        writer, skill, refusal = self._writer(action, IdChoice.FRESH, None)
        fresh_from = FreshFrom.DRAWN if skill is Skill.GIVEN else FreshFrom.WRITER
        if action is Action.REFIT and writer is None:
            refusal, fresh_from = self._no_sensor_suits(), FreshFrom.BOUGHT
        return Candidate(
            self.wheel, action, IdChoice.FRESH, (), self._voice(action), self._price(action, writer), refusal,
            writer=writer.id if writer else None, fresh_from=fresh_from,
        )  # fmt: skip

    def clones(self, action: Action, sources: tuple[HeldId, ...]) -> list[Candidate]:
        usable = [s for s in sources if action is Action.REFIT or s.id.key not in self._own]
        if not usable:
            voice, price = self._voice(action), self._price(action, None)
            return [Candidate(self.wheel, action, IdChoice.CLONE, (), voice, price, self._nothing_to_clone())]
        return [self._clone(action, source) for source in usable]

    def _clone(self, action: Action, source: HeldId) -> Candidate:
        writer, _, refusal = self._writer(action, IdChoice.CLONE, source)
        voice = self._voice(action)
        own = source.id.key in self._own
        if refusal is None and own and self.garage.plan.taken_out is TakenOut.KEEP:
            refusal = self._old_one_kept()
        if refusal is None and not own:
            refusal = self._mistaken_set()
        return Candidate(
            self.wheel, action, IdChoice.CLONE, (SensorId(voice, *source.id.key),), voice, self._price(action, writer), refusal,
            source=source.whose, writer=writer.id if writer else None,
        )  # fmt: skip

    def _old_one_kept(self) -> Refusal | None:
        """The sensor taken out carries the same ID; being kept it must be where no car of the wheel hears it."""
        place = self.garage.plan.keep_at
        silent = self.sensor is not None and self.sensor.at_rest is AtRest.SILENT
        hearing = [car for car in self.cars if heard_at(self.garage, car, place).heard]
        if silent or not hearing:
            return None
        text = f"the old sensor would be kept within earshot of {hearing[0].name} and may wake with the same ID"
        return Refusal("old-sensor-kept", text, _FILE, 'scrap the sensors taken out: taken_out = "scrap" in [plan]')

    def _mistaken_set(self) -> Refusal | None:
        """A car that remembers sets apart tells them by their IDs, and applies each one's pressures."""
        apart = [car for car in self.cars if (car.slots or 1) > 1]
        if not apart:
            return None
        text = f"{apart[0].name} remembers sets apart; with a clone it takes this set for the other, and warns by the other's pressures"
        return Refusal("set-mistaken", text, apart[0].basis("remembers_sets"), "teach it as a set of its own")

    def _nothing_to_clone(self) -> Refusal:
        if not self.cars:
            return Refusal(
                "no-car", "the set goes on no car with wheel sensors, so there is nothing to clone for", _FILE
            )
        unknown = [car.name for car in self.cars if car.holds is None]
        if unknown:
            text = f"a clone needs an ID that the car knows, and what the list of {unknown[0]} holds is not known"
            return Refusal("list-not-known", text, Basis(Ground.UNKNOWN), "note 'holds' for the car")
        return Refusal("nothing-to-clone", "no car of this set holds another ID for this corner", _FILE)

    def _price(self, action: Action, writer: Writer | None) -> Price:
        price = self.tariff.refit_wheel if action is Action.REFIT else NOTHING
        if writer is None:
            return price
        return price + (self.tariff.write if action is Action.REFIT else self.tariff.write_mounted)

    def _unfit(self) -> Refusal | None:
        """Why the sensor that is there can't serve, whatever its ID."""
        sensor = self.sensor
        if sensor is None and not self.garage.wheels[self.wheel].joined:
            return None
        if sensor is None:
            return Refusal("no-sensor", "the wheel has no sensor", _FILE)
        for car in self.cars:
            if refusal := _unlike(self.garage, sensor, car):
                return refusal
        if self.cars and sensor.answers is False:
            text = "the sensor gave no answer when triggered, so nothing shows that the car will hear it"
            way = "bring the tyre to its pressure, trigger again, let out 0.5 bar quickly, roll the car; note 'answers' anew"
            return Refusal("no-answer", text, sensor.basis("answers"), way)
        return None

    def _no_sensor_suits(self) -> Refusal | None:
        """Why no single new sensor serves all cars that the set goes on."""
        for one, other in combinations(self.cars, 2):
            apart = proven_different(self.garage, one.family, other.family)
            bands = car_band(self.garage, one), car_band(self.garage, other)
            if apart or (bands[0] and bands[1] and bands[0] is not bands[1]):
                text = f"the set goes on {one.name} and on {other.name}, which no one sensor suits"
                return Refusal("two-families", text, _FILE, "give each of them a set of its own")
        return None

    def _writer(
        self, action: Action, choice: IdChoice, source: HeldId | None
    ) -> tuple[Writer | None, Skill | None, Refusal | None]:
        """The writer to use and how, or why nothing can be written."""
        fault = self._no_sensor_suits() if action is Action.REFIT else self._unfit() or _not_writable(self.sensor)
        if fault:
            return None, None, fault
        family = self._voice(action) or None
        draws = fresh_rule(self.garage, self.sensor, self.cars) is not None
        for skill in _useful_skills(choice, source, draws=draws):
            for writer in sorted(self.garage.writer, key=lambda w: w.id):
                if skill in writer.can and (not writer.families or family in writer.families):
                    return writer, skill, None
        if choice is IdChoice.FRESH and not draws and any(Skill.GIVEN in w.can for w in self.garage.writer):
            text = "an ID can't be drawn while the family's width in bits is not known"
            return None, None, Refusal("width-not-known", text, Basis(Ground.UNKNOWN), "note 'bits' in [[family]]")
        return None, None, _no_writer(self.garage, choice, family)


def _useful_skills(choice: IdChoice, source: HeldId | None, *, draws: bool) -> list[Skill]:
    """What a writer could do it by, best first: a copy needs a sensor that speaks, a drawn ID a known width."""
    if choice is IdChoice.FRESH:
        return [Skill.GIVEN, Skill.OWN] if draws else [Skill.OWN]
    speaks = source is not None and any(s.answers is not False for s in source.sensors)
    return [Skill.GIVEN, Skill.COPY] if speaks else [Skill.GIVEN]


def _unlike(garage: Garage, sensor: Sensor, car: Car) -> Refusal | None:
    """Why `car` can't hear or hold this sensor; None where nothing speaks against it."""
    band, wants = sensor_band(garage, sensor), car_band(garage, car)
    way = "fit sensors of the car's family"
    if band and wants and band is not wants:
        text = f"it transmits on {band.value}, and {car.name} listens on {wants.value}"
        return Refusal("wrong-band", text, sensor.basis("band"), way)
    if sensor.family and car.family and sensor.family != car.family:
        names = garage.families[sensor.family].name, garage.families[car.family].name
        text = f"it is of family {names[0]}, and {car.name} understands {names[1]}"
        return Refusal("wrong-family", text, sensor.basis("family"), way)
    bits, width = sensor_bits(garage, sensor), car_bits(garage, car)
    if bits and width and bits != width:
        text = f"its ID has {bits} bits, and {car.name} holds IDs of {width}"
        return Refusal("wrong-width", text, sensor.basis("bits"), way)
    return None


def _not_writable(sensor: Sensor | None) -> Refusal | None:
    if sensor is None or sensor.writing is None:
        text = "it is not known whether the sensor can be written"
        return Refusal("writing-not-known", text, Basis(Ground.UNKNOWN), "find out, and note 'writing' for the sensor")
    if sensor.writing is Writing.FIXED:
        return Refusal("fixed", "the sensor's ID can't be changed", sensor.basis("writing"))
    if sensor.writing is Writing.WRITE_ONCE and sensor.written is not False:
        word = "has been written already" if sensor.written else "may have been written already"
        way = "" if sensor.written else "note 'written' for the sensor"
        return Refusal("written-once", f"the sensor can be written once and {word}", sensor.basis("writing"), way)
    return None


def _no_writer(garage: Garage, choice: IdChoice, family: str | None) -> Refusal:
    what = (
        "write a given ID, or copy the old sensor" if choice is IdChoice.CLONE else "write a given ID, or make one up"
    )
    name = garage.families[family].name if family in garage.families else "this family"
    text = f"no writer in the file can {what}, for {name}"
    return Refusal("no-writer", text, _FILE, "have a shop write it, or note what your writer can do in [[writer]]")
