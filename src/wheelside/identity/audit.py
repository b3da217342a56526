"""An identity plan held against the garage by rules told anew, apart from how plans are made.

Nothing here uses the candidates, the clashes or the solver: every rule is read off the garage again, moment by
moment. A plan that was made is audited before anybody sees it.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from itertools import combinations

from wheelside.earshot.hearing import heard_between, set_heard
from wheelside.garage.ids import car_band, car_bits, known_ids, proven_different, sensor_band, sensor_bits
from wheelside.garage.joined import loose_sensors, parts_on
from wheelside.garage.model import Car, Garage, Sensor, Writer
from wheelside.garage.present import Present, line_now
from wheelside.garage.season import Spell, car_place
from wheelside.garage.words import AtRest, Corner, Skill, TakenOut, Writing
from wheelside.identity.audit_costs import cost_breaches
from wheelside.identity.audit_memory import memory_breaches
from wheelside.identity.breach import Breach
from wheelside.identity.choice import GOT, Action, FreshFrom, IdChoice
from wheelside.identity.plan import IdentityPlan, WheelPlan
from wheelside.identity.roll import Key, Roll


def audit(garage: Garage, plan: IdentityPlan) -> tuple[Breach, ...]:
    """Every rule that a plan breaks; none for a sound one, and for one that says that no plan is possible."""
    if not plan.possible:
        return ()
    garage = Present(garage, plan.day, plan.end).here
    return tuple(_Audit(garage, plan, Roll(garage, plan.day)).breaches())


@dataclass(frozen=True, slots=True)
class _Speaker:
    """A sensor that may send some IDs: in a wheel of a set, or lying at a place. `fixed`: whether no plan decides about it."""

    name: str
    keys: frozenset[Key]
    family: str
    silent: bool
    set: str | None
    wheel: str | None
    place: str | None
    fixed: bool = False


@dataclass(frozen=True)
class _Audit:
    garage: Garage
    plan: IdentityPlan
    roll: Roll

    def breaches(self) -> Iterator[Breach]:
        missing = self._wheels()
        yield from missing
        if missing:
            return
        for w in self.plan.wheels:
            yield from self._choice(w)
            yield from self._id(w)
        yield from self._reserved()
        yield from self._line()
        yield from self._apart()
        yield from self._room()
        yield from self._blanks()
        yield from memory_breaches(self.garage, self.plan, self.roll)
        yield from cost_breaches(self.garage, self.plan)

    # --- which wheels are decided about

    @cached_property
    def _direct(self) -> tuple[Car, ...]:
        return tuple(car for car in self.garage.car if car.direct)

    @cached_property
    def _cars_of(self) -> dict[str, tuple[Car, ...]]:
        out: dict[str, set[str]] = defaultdict(set)
        for spell in self.plan.line:
            if spell.on and spell.until > self.plan.day:
                out[spell.set].add(spell.on)
        return {s.id: tuple(car for car in self._direct if car.id in out[s.id]) for s in self.garage.set}

    @cached_property
    def _theirs(self) -> frozenset[str]:
        """The sets that are on cars of somebody else's alone."""
        found = set()
        for wheel_set in self.garage.set:
            on = {s.on for s in self.plan.line if s.set == wheel_set.id and s.on and s.until > self.plan.day}
            if on and all(self.garage.cars[car].somebody_elses for car in on):
                found.add(wheel_set.id)
        return frozenset(found)

    def _watched_by(self, set_id: str, corner: Corner) -> tuple[Car, ...]:
        own = [car for car in self._cars_of[set_id] if not car.somebody_elses]
        return tuple(car for car in own if corner in car.monitored_corners)

    def _sensor(self, wheel: str) -> Sensor | None:
        return parts_on(self.garage, wheel, self.plan.day).sensor

    def _wheels(self) -> list[Breach]:
        """Every wheel that a car watches or that has a sensor is planned, once."""
        wanted = [
            (s.id, corner, wheel)
            for s in self.garage.set
            if (s.leaves is None or s.leaves > self.plan.day) and s.id not in self._theirs
            for corner, wheel in s.wheels
            if self._watched_by(s.id, corner) or self._sensor(wheel) is not None
        ]
        there = Counter((w.set, w.corner, w.wheel) for w in self.plan.wheels)
        return [Breach("wheels", wheel, f"planned {there[s, c, wheel]} times") for s, c, wheel in wanted if there[s, c, wheel] != 1] + [
            Breach("wheels", w, "not a wheel to be planned") for s, c, w in there if (s, c, w) not in set(wanted)
        ]  # fmt: skip

    # --- what is done about one wheel

    def _choice(self, w: WheelPlan) -> Iterator[Breach]:
        cars, sensor = self._watched_by(w.set, w.corner), self._sensor(w.wheel)
        if w.action is Action.REFIT:
            yield from self._refit(w, cars)
        else:
            yield from self._stays(w, cars, sensor)
        fresh = w.choice is IdChoice.FRESH and w.fresh_from is not FreshFrom.BOUGHT
        if w.writer is not None or w.choice is IdChoice.CLONE or fresh:
            yield from self._written(w)
        if w.choice is IdChoice.CLONE:
            yield from self._cloned(w, cars, sensor)

    def _refit(self, w: WheelPlan, cars: tuple[Car, ...]) -> Iterator[Breach]:
        if not self.garage.plan.shop:
            yield Breach("no-shop", w.wheel, "no tyre shop is at hand")
        if w.choice is IdChoice.KEEP:
            yield Breach("new-sensor", w.wheel, "a new sensor can't keep the old ID")
        if not cars:
            yield Breach("no-car", w.wheel, "no car watches it, so there is no family to refit for")
        for one, other in combinations(cars, 2):
            bands = {car_band(self.garage, one), car_band(self.garage, other)} - {None}
            if proven_different(self.garage, one.family, other.family) or len(bands) > 1:
                yield Breach("two-families", w.wheel, f"{one.id} and {other.id} need different sensors")
        if not self.garage.plan.buy_sensors and w.writer is None:
            yield Breach("not-bought", w.wheel, "a sensor with an ID of its own would have to be bought")

    def _stays(self, w: WheelPlan, cars: tuple[Car, ...], sensor: Sensor | None) -> Iterator[Breach]:
        if sensor is None:
            if self.garage.wheels[w.wheel].joined:
                yield Breach("no-sensor", w.wheel, "there is no sensor to stay")
            return
        g = self.garage
        for car in cars:
            pairs = (
                ("wrong-band", sensor_band(g, sensor), car_band(g, car)),
                ("wrong-family", sensor.family, car.family),
                ("wrong-width", sensor_bits(g, sensor), car_bits(g, car)),
            )
            for rule, has, wants in pairs:
                if has is not None and wants is not None and has != wants:
                    yield Breach(rule, w.wheel, f"{has} in a wheel of {car.id}, which takes {wants}")
        ids = self.roll.carried_by(sensor)
        unwritten = sensor.written is False and not ids
        if cars and sensor.answers is False and not unwritten:
            yield Breach("no-answer", w.wheel, "its sensor gave no answer")
        if w.choice is IdChoice.KEEP:
            if cars and unwritten:
                yield Breach("not-written", w.wheel, "its sensor was never written")
            yield from self._sold_with(w, sensor, {one.key for one in ids})

    def _sold_with(self, w: WheelPlan, sensor: Sensor, keys: set[Key]) -> Iterator[Breach]:
        """An ID that went with a set that was sold, whose sensor there is not known to be gone."""
        for wheel_set in self.garage.set:
            sold, scrapped = wheel_set.sold, wheel_set.scrapped
            if sold is None or sold > self.plan.day or (scrapped is not None and scrapped <= self.plan.day):
                continue
            parts = [parts_on(self.garage, wheel, sold - timedelta(days=1)).sensor for _, wheel in wheel_set.wheels]
            alive = [s for s in parts if s is not None and (s.gone is None or s.gone > self.plan.day)]
            alike = [s for s in alive if not proven_different(self.garage, s.family, sensor.family)]
            if any(one.key in keys for s in alike for one in self.roll.carried_by(s)):
                yield Breach("sold-alike", w.wheel, f"its ID went with {wheel_set.id}")

    def _written(self, w: WheelPlan) -> Iterator[Breach]:
        sensor = self._sensor(w.wheel)
        if w.action is Action.STAYS:
            writing = sensor.writing if sensor else None
            if writing is None:
                yield Breach("writing-not-known", w.wheel, "whether it can be written is not known")
            if writing is Writing.FIXED:
                yield Breach("fixed", w.wheel, "its sensor can't be written")
            if sensor and writing is Writing.WRITE_ONCE and sensor.written is not False:
                yield Breach("written-once", w.wheel, "its sensor may have been written before")
        able = {x.id for x in self.garage.writer if self._can(x, w, self._skill(w))}
        if w.writer not in able and not (w.writer == GOT and self._may_get(w)):
            yield Breach("no-writer", w.wheel, f"{w.writer or 'nothing'} can't write this")

    def _may_get(self, w: WheelPlan) -> bool:
        """Whether a writer may be got for a wheel: one that writes any given ID, where none in the file can do it in any way."""
        would_do = self._skill(w) | ({Skill.OWN} if w.choice is IdChoice.FRESH else set())
        able = any(self._can(x, w, would_do) for x in self.garage.writer)
        return self.garage.plan.get_writer and w.fresh_from is not FreshFrom.WRITER and not able

    def _can(self, writer: Writer, w: WheelPlan, skills: set[Skill]) -> bool:
        """Whether a writer has one of these skills for the family of a wheel."""
        for_it = not writer.families or self._family(w) in writer.families
        return for_it and bool(skills & set(writer.can))

    def _skill(self, w: WheelPlan) -> set[Skill]:
        """What a writer has to be able to do, one of these."""
        if w.choice is IdChoice.FRESH:
            return {Skill.GIVEN} if w.fresh_from is FreshFrom.DRAWN else {Skill.OWN}
        speaking = (s for s in self.garage.sensor if s.gone is None and s.answers is not False)
        copied = any(w.id is not None and {k.key for k in self.roll.carried_by(s)} == {w.id.key} for s in speaking)
        return {Skill.GIVEN, Skill.COPY} if copied else {Skill.GIVEN}

    def _family(self, w: WheelPlan) -> str:
        """The family in whose frames the wheel speaks under the plan."""
        cars = self._watched_by(w.set, w.corner)
        sensor = self._sensor(w.wheel)
        if w.action is Action.REFIT:
            return cars[0].family or "" if cars else ""
        return sensor.family or "" if sensor else ""

    def _cloned(self, w: WheelPlan, cars: tuple[Car, ...], sensor: Sensor | None) -> Iterator[Breach]:
        if w.id is None:
            yield Breach("nothing-to-clone", w.wheel, "a clone of no ID")
            return
        held = [
            h
            for car in cars
            for group in self.roll.held(car)
            for h in group
            if car.corner_aware is False or h.corner is w.corner
        ]
        own = {one.key for one in self.roll.carried_by(sensor)}
        if w.id.key not in {h.id.key for h in held}:
            yield Breach("nothing-to-clone", w.wheel, f"no car of its set holds {w.id.hex} for this corner")
        if w.id.key in self.roll.retired:
            yield Breach("retired", w.wheel, f"{w.id.hex} is retired")
        if w.id.key not in own and any(self._places(car) > 1 for car in cars) and self._anothers(w, w.id.key, cars):
            yield Breach("set-mistaken", w.wheel, "a clone of another set on a car that remembers sets apart")
        if any(bits != w.id.bits for car in cars if (bits := car_bits(self.garage, car))):
            yield Breach("clone-width", w.wheel, f"{w.id.hex} has another width than the car's family")

    def _places(self, car: Car) -> int:
        """How many sets a car's list holds; as many as it holds now where that is not noted."""
        return car.slots or max(1, len(self.roll.held(car)))

    def _anothers(self, w: WheelPlan, key: Key, cars: tuple[Car, ...]) -> bool:
        """Whether an ID in these cars' lists is another set's: by name, or because one of its wheels may carry it."""
        for wheel_set in self.garage.set:
            if wheel_set.id == w.set or self._left(wheel_set.id, self.plan.day):
                continue
            for sensor in (self._sensor(x) for _, x in wheel_set.wheels):
                alike = sensor and any(not proven_different(self.garage, sensor.family, car.family) for car in cars)
                if alike and key in {o.key for o in self.roll.carried_by(sensor)}:
                    return True
        named = [(held.set, held.as_of) for car in cars for held in car.holds or () if held.set and held.set != w.set]
        for name, as_of in named:
            wheels = [parts_on(self.garage, x, as_of or self.plan.day).sensor for _, x in self.garage.sets[name].wheels]
            if any([o.key for o in self.roll.carried_by(s)] == [key] for s in wheels):
                return True
        return False

    # --- the ID itself

    def _id(self, w: WheelPlan) -> Iterator[Breach]:
        if w.id is not None and len(set(f"{w.id.number:0{w.id.bits}b}")) == 1:
            yield Breach("empty-id", w.wheel, f"{w.id.hex}: all zeros or ones stand for no sensor")
        if w.choice is IdChoice.KEEP:
            ids = self.roll.carried_by(self._sensor(w.wheel))
            own = ids[0].key if len(ids) == 1 else None
            if (w.id.key if w.id else None) != own:
                yield Breach("not-its-own", w.wheel, "it keeps an ID that its sensor does not carry")
        if w.choice is IdChoice.FRESH and w.fresh_from is FreshFrom.DRAWN:
            yield from self._drawn(w)

    def _drawn(self, w: WheelPlan) -> Iterator[Breach]:
        if w.id is None:
            yield Breach("not-fresh", w.wheel, "no ID was drawn")
            return
        family = self.garage.families.get(w.id.family)
        cars, sensor = self._watched_by(w.set, w.corner), self._sensor(w.wheel)
        if w.id.family != ((cars[0].family if cars else None) or (sensor.family if sensor else None) or ""):
            yield Breach("not-of-family", w.wheel, f"{w.id.hex} is drawn for {w.id.family or 'no family'}")
        if family and (
            (family.bits or w.id.bits) != w.id.bits or not w.id.hex.startswith((family.prefix or "").upper())
        ):
            yield Breach("not-of-family", w.wheel, f"{w.id.hex} is no ID of {family.id}")
        if w.id.key in self._in_use:
            yield Breach("not-fresh", w.wheel, f"{w.id.hex} is or was in use")

    @cached_property
    def _in_use(self) -> frozenset[Key]:
        """Every ID that is or was carried in a wheel, held by a car or retired."""
        in_wheels = {j.sensor for wheel in self.garage.wheel for j in wheel.joined}
        return frozenset(k.id.key for k in known_ids(self.garage) if k.sensor is None or k.sensor in in_wheels)

    def _reserved(self) -> Iterator[Breach]:
        """Each drawn ID is set aside for its wheel, and for no other."""
        seen: dict[Key, str] = {}
        standing = {(r.wheel, r.id.key) for r in self.plan.reserved if not r.released}
        for w in self.plan.wheels:
            if w.choice is not IdChoice.FRESH or w.fresh_from is not FreshFrom.DRAWN or w.id is None:
                continue
            if (w.wheel, w.id.key) not in standing:
                yield Breach("not-reserved", w.wheel, f"{w.id.hex} is not set aside for it")
            if w.id.key in seen:
                yield Breach("not-fresh", w.wheel, f"{w.id.hex} is given to {seen[w.id.key]} too")
            seen[w.id.key] = w.wheel

    # --- the season line

    def _line(self) -> Iterator[Breach]:
        """The plan's line is the garage's, with one of the named places for each stay that left several open."""
        asked = line_now(self.garage, self.plan.day, self.plan.end)
        if len(asked) != len(self.plan.line):
            yield Breach("line", "season line", "it has other spells than the file")
            return
        picked: dict[object, str | None] = {}
        for want, has in zip(asked, self.plan.line, strict=True):
            named = (want.at, *want.or_at) if want.at else (None,)
            same = (want.since, want.until, want.set, want.on, want.riding_in) == (
                has.since, has.until, has.set, has.on, has.riding_in,
            )  # fmt: skip
            picks = want.row if want.or_at else (want.set, want.since)
            if not same or has.at not in named or picked.setdefault(picks, has.at) != has.at:
                yield Breach("line", has.set, f"where it is from {has.since} is not what the file allows")

    @cached_property
    def _spells_of(self) -> dict[str, list[Spell]]:
        out: dict[str, list[Spell]] = defaultdict(list)
        for spell in self.plan.line:
            out[spell.set].append(spell)
        return out

    @cached_property
    def _turns(self) -> set[date]:
        """Every day on which an outing or a stand-in begins or ends, or a set leaves."""
        g = self.garage
        turns = [d for o in g.outing for d in (o.since, o.until)] + [d for o in g.stand_in for d in (o.since, o.until)]
        return set(turns) | {s.leaves for s in g.set if s.leaves}

    def _whereabouts(self, s: _Speaker, day: date) -> Spell | bool | None:
        """The spell that a wheel is in on a day; None where it is not said; False where it is nowhere, sold or scrapped."""
        for one in self.garage.stand_in:
            if s.wheel in (one.wheel, one.instead_of) and one.since <= day < one.until:
                fitted = s.wheel == one.wheel
                riding = None if fitted or one.other_at else one.on
                at = None if fitted else one.other_at
                if not self._left(s.set or "", day):
                    return Spell(one.since, one.until, s.set or "", one.on if fitted else None, at, riding)
        if s.set is None:
            return None
        found = next((x for x in self._spells_of[s.set] if x.covers(day)), None)
        if found is not None:
            return found
        return False if self._left(s.set, day) else None

    def _left(self, set_id: str, day: date) -> bool:
        leaves = self.garage.sets[set_id].leaves if set_id in self.garage.sets else None
        return leaves is not None and leaves <= day

    # --- what must not come together

    @cached_property
    def _speakers(self) -> tuple[_Speaker, ...]:
        out = []
        wishes = self.garage.plan
        for w in self.plan.wheels:
            sensor = self._sensor(w.wheel)
            keys = frozenset({w.id.key}) if w.id else frozenset()
            if w.choice is IdChoice.KEEP:
                keys = frozenset(one.key for one in self.roll.carried_by(sensor))
            silent = w.action is Action.STAYS and sensor is not None and sensor.at_rest is AtRest.SILENT
            out.append(_Speaker(w.wheel, keys, self._family(w), silent, w.set, w.wheel, None))
            if w.action is Action.REFIT and sensor is not None and wishes.taken_out is TakenOut.KEEP:
                out.append(self._lying(sensor, wishes.keep_at))
        out += [self._lying(s, s.kept_at, fixed=True) for s in loose_sensors(self.garage, self.plan.day)]
        for name in sorted(self._theirs):
            for _, wheel in self.garage.sets[name].wheels:
                if sensor := self._sensor(wheel):
                    keys = frozenset(one.key for one in self.roll.carried_by(sensor))
                    silent = sensor.at_rest is AtRest.SILENT
                    out.append(_Speaker(wheel, keys, sensor.family or "", silent, name, wheel, None, fixed=True))
        return tuple(out)

    def _lying(self, sensor: Sensor, place: str | None, *, fixed: bool = False) -> _Speaker:
        keys = frozenset(one.key for one in self.roll.carried_by(sensor))
        return _Speaker(sensor.id, keys, sensor.family or "", sensor.at_rest is AtRest.SILENT, None, None, place, fixed)

    def _apart(self) -> Iterator[Breach]:
        by_key: dict[Key, list[_Speaker]] = defaultdict(list)
        for s in self._speakers:
            for key in s.keys:
                by_key[key].append(s)
        for key, group in sorted(by_key.items()):
            for a, b in combinations(group, 2):
                if not (a.fixed and b.fixed) and not proven_different(self.garage, a.family, b.family):
                    yield from self._meet(key, a, b)

    def _meet(self, key: Key, a: _Speaker, b: _Speaker) -> Iterator[Breach]:
        told: set[str] = set()
        minding = [car for car in self._direct if self._minds(car, key, a, b)]
        for day in self._days_of(a, b):
            for rule, where in self._ways(minding, a, b, day):
                if rule not in told:
                    told.add(rule)
                    yield Breach(rule, f"{a.name} and {b.name}", f"{key[1]:X} {where} on {day}")
        for one, other in ((a, b), (b, a)):
            sold = self.garage.sets[one.set].sold if one.set else None
            stays = other.set != one.set and not (other.set and sold and self._left(other.set, sold))
            if sold and self.plan.day < sold < self.plan.end and stays and "sold-alike" not in told:
                told.add("sold-alike")
                yield Breach("sold-alike", f"{a.name} and {b.name}", f"{key[1]:X} is sold on {sold} and still here")

    def _days_of(self, a: _Speaker, b: _Speaker) -> list[date]:
        """The days on which either comes to be somewhere else, or any car or wheel is moved for a time."""
        own = [s for set_id in (a.set, b.set) if set_id for s in self._spells_of[set_id]]
        moves = {d for s in own for d in (s.since, s.until)} | self._turns
        return sorted({self.plan.day} | {d for d in moves if self.plan.day < d < self.plan.end})

    def _ways(self, minding: list[Car], a: _Speaker, b: _Speaker, day: date) -> Iterator[tuple[str, str]]:
        spots = [self._whereabouts(s, day) for s in (a, b)]
        for car in minding:
            if all(self._hears(car, s, spot, day) for s, spot in zip((a, b), spots, strict=True)):
                yield "heard-twice", f"heard twice by {car.id}"
        on = [spot.on for spot in spots if isinstance(spot, Spell) and spot.on and self.garage.cars[spot.on].direct]
        if len(on) == 2 and on[0] != on[1]:
            yield "one-car", f"on {on[0]} and {on[1]}"

    def _hears(self, car: Car, s: _Speaker, spot: Spell | bool | None, day: date) -> bool:
        if proven_different(self.garage, s.family, car.family) or spot is False:
            return False
        if s.set is None:
            here = car_place(self.garage, car.id, day)
            return not s.silent and heard_between(self.garage, car, here, s.place).heard
        if isinstance(spot, Spell) and spot.at is not None and s.silent:
            return False
        return set_heard(self.garage, car, spot if isinstance(spot, Spell) else None, day).heard

    def _minds(self, car: Car, key: Key, a: _Speaker, b: _Speaker) -> bool:
        if car.taught_by is None or car.taught_by.by_itself or car.holds is None:
            return True
        if key in self._listed[car.id]:
            return True
        return any(self._meant_for(s, car) for s in (a, b))

    def _meant_for(self, s: _Speaker, car: Car) -> bool:
        lent = any(
            one.wheel == s.wheel and one.on == car.id and one.until > self.plan.day and one.since < self.plan.end
            for one in self.garage.stand_in
        )
        return s.wheel is not None and (lent or car in self._cars_of[s.set or ""])

    @cached_property
    def _listed(self) -> dict[str, set[Key]]:
        return {
            car.id: {one.key for rows in self.roll.listed(car) for ids, _, _ in rows for one in ids}
            for car in self._direct
        }

    # --- what is scarce

    def _room(self) -> Iterator[Breach]:
        for place in self.garage.place:
            if place.room is None:
                continue
            there = [s for s in self.plan.line if s.at == place.id]
            for day in sorted({max(s.since, self.plan.day) for s in there}):
                count = sum(s.covers(day) for s in there)
                if count > place.room:
                    yield Breach("room", place.id, f"{count} sets on {day}, with room for {place.room}")
                    break

    def _blanks(self) -> Iterator[Breach]:
        stock = {b.family: b.count for b in self.garage.blank}
        refits = Counter(self._family(w) for w in self.plan.wheels if w.action is Action.REFIT)
        used = Counter(self._family(w) for w in self.plan.wheels if w.in_hand)
        for family, count in sorted((used if self.garage.plan.buy_sensors else refits).items()):
            if count > stock.get(family, 0):
                yield Breach("blanks", family, f"{count} used, {stock.get(family, 0)} in hand")
        for w in self.plan.wheels:
            if w.in_hand and (w.action is not Action.REFIT or w.writer is None):
                yield Breach("blanks", w.wheel, "a sensor in hand is used where none is written")
