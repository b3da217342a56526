"""Everything that may be done about each wheel, with the rule that forbids it where one does."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from itertools import combinations

from wheelside.earshot.hearing import heard_at
from wheelside.finding import Basis, Ground, Way, WayKind, note
from wheelside.garage.ids import (
    car_band,
    car_bits,
    proven_different,
    sensor_band,
    sensor_bits,
)
from wheelside.garage.joined import parts_on
from wheelside.garage.model import Car, Garage, Sensor, Writer
from wheelside.garage.season import Spell
from wheelside.garage.words import AtRest, Corner, Skill, TakenOut, Writing
from wheelside.identity.choice import GOT, Action, Candidate, FreshFrom, IdChoice, Member, PlanFact, Refusal
from wheelside.identity.costs import NOTHING, Price, Risk, Tariff, years_until
from wheelside.identity.naming import family_named
from wheelside.identity.roll import HeldId, Roll
from wheelside.identity.roll import Key as IdKey
from wheelside.said import Key, Table, say
from wheelside.sensor.fresh import FreshRule
from wheelside.sensor.ident import PrintForm, SensorId
from wheelside.sensor.life import age_years
from wheelside.units import PressureSpan

_TRADE = Basis(Ground.PRACTICE, "no source")
_FILE = Basis(Ground.OWNER, "garage file")
_GOT_WRITER = Writer(id=GOT, can=(Skill.GIVEN,), families=())
"""What is bought, hired or lent writes any given ID to any family."""


def members(
    garage: Garage,
    day: date,
    line: tuple[Spell, ...],
    tariff: Tariff,
    roll: Roll,
    later: Mapping[str, Collection[date]] | None = None,
) -> tuple[Member, ...]:
    """Every wheel that the plan decides about, by set and corner; sets that are sold or scrapped already are not.

    `later`: for wheels by id the days to come on which their sensors may be written as well.
    """
    out = []
    goes_on: dict[str, set[str]] = defaultdict(set)
    for spell in line:
        if spell.on is not None and spell.until > day:
            goes_on[spell.set].add(spell.on)
    for wheel, serves in _places(garage, day, roll.theirs(line)).items():
        at = [(garage.cars[c], corner) for s, corner in serves for c in sorted(goes_on[s]) if garage.cars[c].planned]
        watched = tuple((car, corner) for car, corner in at if corner in car.monitored_corners)
        sensor = parts_on(garage, wheel, day).sensor
        if watched or sensor is not None:
            cars = tuple({car.id: car for car, _ in sorted(watched, key=lambda one: one[0].id)}.values())
            make = _Maker(garage, day, serves, wheel, sensor, roll.carried_by(sensor), cars, watched, tariff, roll)
            out.append(make.member(sorted((later or {}).get(wheel, ()))))
    return tuple(out)


def _places(garage: Garage, day: date, theirs: Collection[str]) -> dict[str, tuple[tuple[str, Corner], ...]]:
    """The wheels of sets that have not left and are not somebody else's: in which sets, by id, and at which corner."""
    out: dict[str, tuple[tuple[str, Corner], ...]] = {}
    for wheel_set in sorted(garage.set, key=lambda s: s.id):
        if not wheel_set.gone_by(day) and wheel_set.id not in theirs:
            for corner, wheel in wheel_set.wheels:
                out[wheel] = (*out.get(wheel, ()), (wheel_set.id, corner))
    return out


def clone_sources(roll: Roll, watched: tuple[tuple[Car, Corner], ...]) -> tuple[HeldId, ...]:
    """The IDs that a wheel could take over: held by a car that watches it, for its corner there where the car cares."""
    found = [
        (held.corner is not corner, held)
        for car, corner in watched
        for group in roll.held(car)
        for held in group
        if held.corner is corner or car.corner_aware is False
    ]
    ordered = [held for _, held in sorted(found, key=lambda one: (one[0], one[1].id, one[1].whose))]
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
    """Makes the candidates of one wheel. `ids`: those that its sensor may carry; `cars`: those that watch it, `watched`: where."""

    garage: Garage
    day: date
    serves: tuple[tuple[str, Corner], ...]
    wheel: str
    sensor: Sensor | None
    ids: tuple[SensorId, ...]
    cars: tuple[Car, ...]
    watched: tuple[tuple[Car, Corner], ...]
    tariff: Tariff
    roll: Roll

    def member(self, later: Iterable[date] = ()) -> Member:
        sources = clone_sources(self.roll, self.watched)
        keep, written = self.keep(), [*self.clones(Action.STAYS, sources), *self.fresh(Action.STAYS)]
        found = [keep, *written]
        if self.cars:
            found += [self.refit_keep(), *self.clones(Action.REFIT, sources), *self.fresh(Action.REFIT)]
        found += [self._waiting(keep, c, day) for day in later for c in written if c.droppable]
        ranked = tuple(replace(c, rank=rank) for rank, c in enumerate(found))
        return Member(self.serves, self.wheel, self.sensor.id if self.sensor else None, self.ids, ranked)

    def _waiting(self, keep: Candidate, written: Candidate, day: date) -> Candidate:
        """A writing that waits for a day: until then the sensor is kept as it is, with all that speaks against that."""
        refusals = [*written.refusals, *keep.refusals]
        if written.choice is IdChoice.CLONE and written.carries[0].key in self.roll.retired_by(day):
            refusals.append(_retired(written.carries[0]))
        once = tuple({(r.rule, r.fact): r for r in refusals}.values())
        return replace(written, refusals=once, when=day, until_then=keep.carries)

    @property
    def _own(self) -> set[IdKey]:
        """The keys of the IDs that the wheel's sensor may carry now."""
        return {one.key for one in self.ids}

    def _voice(self, action: Action) -> str:
        """The family in whose frames the wheel speaks: its sensor's, or that of the car that a new one is bought for."""
        if action is Action.REFIT:
            return self.cars[0].family or "" if self.cars else ""
        return (self.sensor.family if self.sensor else None) or ""

    def keep(self) -> Candidate:
        return Candidate(
            self.wheel, Action.STAYS, IdChoice.KEEP, self.ids, self._voice(Action.STAYS), NOTHING,
            self._life(Action.STAYS), (*self._unfit(), *self._not_written(), *self._sold_alike()),
        )  # fmt: skip

    def refit_keep(self) -> Candidate:
        refusal = Refusal("new-sensor", say("a new sensor does not have the old ID until it is written to it"), _TRADE)
        voice, price = self._voice(Action.REFIT), self.tariff.refit_wheel
        return Candidate(self.wheel, Action.REFIT, IdChoice.KEEP, (), voice, price, refusals=(refusal,))

    def fresh(self, action: Action) -> list[Candidate]:
        """A fresh ID: written, or, for a refit without a writer, the one that the sensor comes with."""
        writer, skill, refusals = self._writer(action, IdChoice.FRESH, None)
        fresh_from = FreshFrom.WRITER if skill is Skill.OWN else FreshFrom.DRAWN
        written = Candidate(
            self.wheel, action, IdChoice.FRESH, (), self._voice(action), self._price(action, writer),
            self._risks(action, writer), refusals, writer=writer.id if writer else None, fresh_from=fresh_from,
        )  # fmt: skip
        in_hand = writer is not None and writer is not _GOT_WRITER
        first = [] if action is Action.STAYS or in_hand else [self._bought()]
        return [*first, written, *self._from_silent_blanks(written)]

    def _from_silent_blanks(self, c: Candidate) -> Iterator[Candidate]:
        """The same with a blank that is noted as silent at rest, where there are such of the family."""
        for n, row in enumerate(self.garage.blank if c.action is Action.REFIT and c.writes else ()):
            if row.at_rest is AtRest.SILENT and row.count and c.voice in row.families:
                yield replace(c, silent_blank=n)

    def _bought(self) -> Candidate:
        refusals = self._no_shop() + self._no_sensor_suits()
        if not self.garage.plan.buy_sensors:
            text = say("no sensor is to be bought, and one in hand can only be used where a writer can write it")
            way = note(say("allow buying: {key}", key=Key("plan", "buy_sensors")))
            refusals += (Refusal("not-bought", text, _FILE, way, PlanFact("not-bought", "")),)
        return Candidate(
            self.wheel, Action.REFIT, IdChoice.FRESH, (), self._voice(Action.REFIT), self.tariff.refit_wheel,
            self._life(Action.REFIT), refusals, fresh_from=FreshFrom.BOUGHT,
        )  # fmt: skip

    def clones(self, action: Action, sources: tuple[HeldId, ...]) -> list[Candidate]:
        usable = [s for s in sources if action is Action.REFIT or s.id.key not in self._own]
        if not usable:
            voice, price = self._voice(action), self._price(action, None)
            refusals = (self._nothing_to_clone(),)
            return [Candidate(self.wheel, action, IdChoice.CLONE, (), voice, price, refusals=refusals)]
        found = [self._clone(action, source) for source in usable]
        return [*found, *(one for c in found for one in self._from_silent_blanks(c))]

    def _clone(self, action: Action, source: HeldId) -> Candidate:
        writer, _, refusals = self._writer(action, IdChoice.CLONE, source)
        voice = self._voice(action)
        if source.id.key in self._own:
            refusals += self._old_one_kept()
        else:
            refusals += self._mistaken_set(source)
        refusals += self._retired(source) + self._other_width(source)
        return Candidate(
            self.wheel, action, IdChoice.CLONE, (SensorId(voice, *source.id.key),), voice, self._price(action, writer),
            self._risks(action, writer), refusals, source=source.whose.said, writer=writer.id if writer else None,
            own=source.id.key in self._own,
        )  # fmt: skip

    def _old_one_kept(self) -> tuple[Refusal, ...]:
        """The sensor taken out carries the same ID; being kept it must be where no car of the wheel hears it."""
        wishes = self.garage.plan
        silent = self.sensor is None or self.sensor.at_rest is AtRest.SILENT
        if silent or wishes.taken_out is not TakenOut.KEEP:
            return ()
        hearing = [
            car
            for car in self.cars
            if heard_at(self.garage, car, wishes.keep_at).heard
            and not proven_different(self.garage, self._voice(Action.STAYS), car.family)
        ]
        if not hearing:
            return ()
        text = say(
            "the old sensor would be kept within earshot of {car} and may wake with the same ID", car=hearing[0].name
        )
        way = note(say("scrap the sensors taken out: {key}", key=Key("plan", "taken_out")))
        return (Refusal("old-sensor-kept", text, _FILE, way, PlanFact("taken-out", "")),)

    def _mistaken_set(self, source: HeldId) -> tuple[Refusal, ...]:
        """A car that remembers sets apart tells them by their IDs, and applies each one's pressures."""
        if not self.roll.of_another(source.id.key, frozenset(name for name, _ in self.serves), self.watched):
            return ()
        return tuple(
            Refusal(
                "set-mistaken",
                say(
                    "{car} remembers sets apart; with a clone it takes this set for the other, and warns by the other's pressures",
                    car=car.name,
                ),
                car.basis("remembers_sets"),
                Way(WayKind.WORK, say("teach it as a set of its own")),
                PlanFact("set-mistaken", car.id),
            )
            for car in self.cars
            if self.roll.places(car) > 1
        )

    def _other_width(self, source: HeldId) -> tuple[Refusal, ...]:
        """An ID is never put into a sensor of a family that has another width."""
        widths = {bits for car in self.cars if (bits := car_bits(self.garage, car))}
        if widths <= {source.id.bits}:
            return ()
        text = say("{id} has {bits} bits, and the car's family has others", id=source.id.hex, bits=source.id.bits)
        return (Refusal("clone-width", text, _FILE, None, PlanFact("clone-width", self.wheel)),)

    def _not_written(self) -> tuple[Refusal, ...]:
        """A sensor that was never written has no ID that a car could be taught."""
        if not self.cars or not self._never_written:
            return ()
        assert self.sensor is not None, "only a sensor can be unwritten"
        text = say("the sensor was never written, and sends no ID")
        way = note(say("if it was, note what it sends: {key}", key=Key("sensor", "sends", self.sensor.id)))
        basis, fact = self.sensor.basis("written"), PlanFact("not-written", self.wheel)
        return (Refusal("not-written", text, basis, way, fact),)

    @property
    def _never_written(self) -> bool:
        return self.sensor is not None and self.sensor.written is False and not self.ids

    def _sold_alike(self) -> tuple[Refusal, ...]:
        """What went with a set that was sold speaks somewhere, and nothing here may speak with the same ID."""
        with_it = {
            name: one
            for one in self.ids
            for name, family in self.roll.sold.get(one.key, ())
            if not proven_different(self.garage, family, self._voice(Action.STAYS))
        }
        return tuple(
            Refusal(
                "sold-alike",
                say("{id} went with {set}, which was sold", id=one.hex, set=self.garage.sets[name].name),
                self.garage.sets[name].basis("sold"),
                note(say("if its sensors are known to be scrapped, note {key} of each", key=Table("sensor"))),
                PlanFact("sold", name),
            )
            for name, one in sorted(with_it.items())
        )

    def _retired(self, source: HeldId) -> tuple[Refusal, ...]:
        return (_retired(source.id),) if source.id.key in self.roll.retired else ()

    def _nothing_to_clone(self) -> Refusal:
        if not self.cars:
            none = say("the set goes on no car with wheel sensors, so there is nothing to clone for")
            return Refusal("no-car", none, _FILE)
        unknown = [car for car in self.cars if car.holds is None]
        if unknown:
            text = say(
                "a clone needs an ID that the car knows, and what the list of {car} holds is not known",
                car=unknown[0].name,
            )
            way = note(say("note {key}", key=Key("car", "holds", unknown[0].id)))
            return Refusal("list-not-known", text, Basis(Ground.UNKNOWN), way)
        return Refusal("nothing-to-clone", say("no car of this set holds another ID for this corner"), _FILE)

    # --- price and risk

    def _price(self, action: Action, writer: Writer | None) -> Price:
        price = self.tariff.refit_wheel if action is Action.REFIT else NOTHING
        if writer is None:
            return price
        return price + (self.tariff.write if action is Action.REFIT else self.tariff.write_mounted)

    def _risks(self, action: Action, writer: Writer | None) -> tuple[Risk, ...]:
        written = () if writer is None else (self.tariff.writing_risk(),)
        return written + self._life(action)

    def _life(self, action: Action) -> tuple[Risk, ...]:
        """That the sensor fails on a car that watches it; nothing where its age is not known."""
        if not self.cars:
            return ()
        left = self.garage.leaves_with(self.wheel)
        years = years_until(left.leaves if left else None, self.day, self.tariff.years)
        if action is Action.REFIT:
            return (self.tariff.failing_risk(0.0, years),)
        first = self.sensor.first_used if self.sensor else None
        if first is None:
            return ()
        return (self.tariff.failing_risk(age_years(first, self.day), years),)

    # --- what speaks against it

    def _unfit(self) -> tuple[Refusal, ...]:
        """Why the sensor that is there can't serve, whatever its ID."""
        sensor = self.sensor
        if sensor is None:
            if not self.garage.wheels[self.wheel].joined:
                return ()
            return (
                Refusal("no-sensor", say("the wheel has no sensor"), _FILE, None, PlanFact("no-sensor", self.wheel)),
            )
        found = tuple(r for car in self.cars for r in _unlike(self.garage, self.wheel, sensor, car))
        if self.cars and sensor.answers is False and not self._never_written:
            text = say("the sensor gave no answer when triggered, so nothing shows that the car will hear it")
            way = note(
                say(
                    "bring the tyre to its pressure, trigger again, let out {span} quickly, roll the car; note {key} again",
                    span=PressureSpan(50.0), key=Key("sensor", "answers", sensor.id),
                )
            )  # fmt: skip
            found += (Refusal("no-answer", text, sensor.basis("answers"), way, PlanFact("no-answer", self.wheel)),)
        return found

    def _no_shop(self) -> tuple[Refusal, ...]:
        """A sensor is changed where a tyre comes off its rim."""
        if self.garage.plan.shop:
            return ()
        text = say("no tyre shop is at hand, and a sensor is changed with the tyre off its rim")
        way = note(say("say that there is one: {key}", key=Key("plan", "shop")))
        return (Refusal("no-shop", text, self.garage.plan.basis("shop"), way, PlanFact("no-shop", "")),)

    def _no_sensor_suits(self) -> tuple[Refusal, ...]:
        """Why no single new sensor serves all cars that the set goes on."""
        for one, other in combinations(self.cars, 2):
            apart = proven_different(self.garage, one.family, other.family)
            bands = car_band(self.garage, one), car_band(self.garage, other)
            if apart or (bands[0] and bands[1] and bands[0] is not bands[1]):
                pattern = "the set goes on {one} and on {other}, which no one sensor suits"
                way = Way(WayKind.WORK, say("give each of them a set of its own"))
                if len(self.serves) > 1:
                    pattern = "with its sets it goes on {one} and on {other}, which no one sensor suits"
                    way = Way(WayKind.WORK, say("leave it out of one of its sets"))
                text = say(pattern, one=one.name, other=other.name)
                fact = PlanFact("two-families", self.serves[0][0])
                return (Refusal("two-families", text, _FILE, way, fact),)
        return ()

    def _writer(
        self, action: Action, choice: IdChoice, source: HeldId | None
    ) -> tuple[Writer | None, Skill | None, tuple[Refusal, ...]]:
        """The writer to use and how, and what speaks against writing at all."""
        faults = self._unfit() + _not_writable(self.wheel, self.sensor)
        if action is Action.REFIT:
            faults = self._no_shop() + self._no_sensor_suits()
        family = self._voice(action)
        draws = fresh_rule(self.garage, self.sensor, self.cars) is not None
        for skill in _useful_skills(choice, source, draws=draws):
            for writer in sorted(self.garage.writer, key=lambda w: w.id):
                if skill in writer.can and (not writer.families or family in writer.families):
                    return writer, skill, faults
        may_get = self.garage.plan.get_writer
        if may_get and (draws or choice is IdChoice.CLONE):
            return _GOT_WRITER, Skill.GIVEN, faults
        about = f"{choice.value}/{family}"
        given = may_get or any(Skill.GIVEN in w.can for w in self.garage.writer)
        if choice is IdChoice.FRESH and not draws and given:
            text = say("an ID can't be drawn while the family's width in bits is not known")
            lacking = Refusal(
                "width-not-known", text, Basis(Ground.UNKNOWN), self._note_width(), PlanFact("width-not-known", about)
            )
        else:
            lacking = _no_writer(self.garage, choice, family, about)
        return None, None, (*faults, lacking)

    def _note_width(self) -> Way:
        """Where the width is noted that a drawn ID needs: in the family of the car, else of the sensor."""
        name = next((car.family for car in self.cars[:1] if car.family), self.sensor.family if self.sensor else None)
        place = Key("family", "bits", name) if name in self.garage.families else Table("family")
        return note(say("note the width in bits: {place}", place=place))


def _retired(one: SensorId) -> Refusal:
    text = say("{id} is retired: its sensor was sold, scrapped or lost, and may still speak somewhere", id=one.hex)
    return Refusal("retired", text, _FILE, None, PlanFact("retired", f"{one.bits}/{one.hex}"))


def _useful_skills(choice: IdChoice, source: HeldId | None, *, draws: bool) -> list[Skill]:
    """What a writer could do it by, best first: a copy needs a sensor that speaks, a drawn ID a known width."""
    if choice is IdChoice.FRESH:
        return [Skill.GIVEN, Skill.OWN] if draws else [Skill.OWN]
    speaks = source is not None and any(s.answers is not False for s in source.sensors)
    return [Skill.GIVEN, Skill.COPY] if speaks else [Skill.GIVEN]


def _unlike(garage: Garage, wheel: str, sensor: Sensor, car: Car) -> Iterator[Refusal]:
    """Why `car` can't hear or hold this sensor; nothing where nothing speaks against it."""
    band, wants = sensor_band(garage, sensor), car_band(garage, car)
    way, about = Way(WayKind.BUY, say("fit sensors of the car's family")), f"{wheel}/{car.id}"
    if band and wants and band is not wants:
        text = say(
            "it transmits on {band}, and {car} listens on {wants}", band=band.value, car=car.name, wants=wants.value
        )
        yield Refusal("wrong-band", text, sensor.basis("band"), way, PlanFact("wrong-band", about))
    if sensor.family and car.family and sensor.family != car.family:
        names = garage.families[sensor.family].name, garage.families[car.family].name
        text = say(
            "it is of family {family}, and {car} understands {wants}", family=names[0], car=car.name, wants=names[1]
        )
        yield Refusal("wrong-family", text, sensor.basis("family"), way, PlanFact("wrong-family", about))
    bits, width = sensor_bits(garage, sensor), car_bits(garage, car)
    if bits and width and bits != width:
        text = say("its ID has {bits} bits, and {car} holds IDs of {wants}", bits=bits, car=car.name, wants=width)
        yield Refusal("wrong-width", text, sensor.basis("bits"), way, PlanFact("wrong-width", about))


def _not_writable(wheel: str, sensor: Sensor | None) -> tuple[Refusal, ...]:
    if sensor is None or sensor.writing is None:
        text, unknown = say("it is not known whether the sensor can be written"), Basis(Ground.UNKNOWN)
        key = Key("sensor", "writing", sensor.id) if sensor else None
        way = note(
            say("find out, and note {key}", key=key)
            if key
            else say("find out, and note it in {table}", table=Table("sensor"))
        )
        return (Refusal("writing-not-known", text, unknown, way, PlanFact("writing-not-known", wheel)),)
    if sensor.writing is Writing.FIXED:
        basis = sensor.basis("writing")
        return (Refusal("fixed", say("the sensor's ID can't be changed"), basis, None, PlanFact("fixed", wheel)),)
    if sensor.writing is Writing.WRITE_ONCE and sensor.written is not False:
        return (_written_once(wheel, sensor),)
    return ()


def _written_once(wheel: str, sensor: Sensor) -> Refusal:
    if sensor.written:
        text, way = say("the sensor can be written once and has been written already"), None
    else:
        text = say("the sensor can be written once and may have been written already")
        way = note(say("note {key}", key=Key("sensor", "written", sensor.id)))
    return Refusal("written-once", text, sensor.basis("writing"), way, PlanFact("written-once", wheel))


def _no_writer(garage: Garage, choice: IdChoice, family: str, about: str) -> Refusal:
    name = family_named(garage, family)
    if choice is IdChoice.CLONE:
        text = say("no writer in the file can write a given ID, or copy the old sensor, for {family}", family=name)
    else:
        text = say("no writer in the file can write a given ID, or make one up, for {family}", family=name)
    way = note(say("have a shop write it, or note what your writer can do in {table}", table=Table("writer")))
    return Refusal("no-writer", text, _FILE, way, PlanFact("no-writer", about))
