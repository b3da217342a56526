"""An identity plan held against the garage by rules told anew, apart from how plans are made.

Nothing here uses the candidates, the clashes or the solver: every rule is read off the garage again, moment by
moment. A plan that was made is audited before anybody sees it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from datetime import date, timedelta
from functools import cached_property
from itertools import combinations

from wheelside.garage.ids import car_band, car_bits, known_ids, proven_different, sensor_band, sensor_bits
from wheelside.garage.joined import parts_on
from wheelside.garage.model import Car, Garage, Sensor, Writer
from wheelside.garage.present import Present
from wheelside.garage.words import Skill, Writing
from wheelside.identity.audit_apart import Apart
from wheelside.identity.audit_base import Audited
from wheelside.identity.audit_blanks import shortage
from wheelside.identity.audit_costs import cost_breaches
from wheelside.identity.audit_memory import memory_breaches
from wheelside.identity.breach import Breach
from wheelside.identity.choice import GOT, Action, FreshFrom, IdChoice
from wheelside.identity.plan import IdentityPlan, WheelPlan
from wheelside.identity.roll import Key, Roll

_DAY = timedelta(days=1)


def audit(garage: Garage, plan: IdentityPlan) -> tuple[Breach, ...]:
    """Every rule that a plan breaks; none for a sound one, and for one that says that no plan is possible."""
    if not plan.possible:
        return ()
    garage = Present(garage, plan.day, plan.end).here
    return tuple(_Audit(garage, plan, Roll(garage, plan.day)).breaches())


class _Audit(Audited):
    def breaches(self) -> Iterator[Breach]:
        missing = self._wheels()
        yield from missing
        if missing:
            return
        for w in self.plan.wheels:
            yield from self._choice(w)
            yield from self._id(w)
            yield from self._when(w)
        yield from self._reserved()
        yield from Apart(self.garage, self.plan, self.roll).breaches()
        yield from self._blanks()
        yield from memory_breaches(self)
        yield from cost_breaches(self)

    # --- which wheels are decided about

    def _wheels(self) -> list[Breach]:
        """Every wheel that a car watches or that has a sensor is planned, once."""
        wanted = [
            wheel
            for wheel in self.in_sets
            if self.places(wheel) and (self.watched_by(wheel) or self.sensor(wheel) is not None)
        ]
        there = Counter(w.wheel for w in self.plan.wheels)
        found = [Breach("wheels", w, f"planned {there[w]} times") for w in wanted if there[w] != 1]
        found += [Breach("wheels", w, "not a wheel to be planned") for w in there if w not in set(wanted)]
        strange = [
            w
            for w in self.plan.wheels
            if (w.serves, (w.set, w.corner)) != ((at := self.places(w.wheel)), at[:1][0] if at else None)
        ]
        return found + [Breach("wheels", w.wheel, "not where the file has it") for w in strange if w.wheel in wanted]

    # --- what is done about one wheel

    def _choice(self, w: WheelPlan) -> Iterator[Breach]:
        cars, sensor = self.watched_by(w.wheel), self.sensor(w.wheel)
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
        if w.choice is IdChoice.KEEP or w.when is not None:
            if cars and unwritten:
                yield Breach("not-written", w.wheel, "its sensor was never written")
            yield from self._sold_with(w, sensor, {one.key for one in ids})

    def _sold_with(self, w: WheelPlan, sensor: Sensor, keys: set[Key]) -> Iterator[Breach]:
        """An ID that went with a set that was sold, whose sensor there is not known to be gone."""
        for wheel_set in self.garage.set:
            sold, scrapped = wheel_set.sold, wheel_set.scrapped
            if sold is None or sold > self.plan.day or (scrapped is not None and scrapped <= self.plan.day):
                continue
            went = [wheel for _, wheel in wheel_set.wheels if self.last_of(wheel) is wheel_set]
            parts = [parts_on(self.garage, wheel, sold - timedelta(days=1)).sensor for wheel in went]
            alive = [s for s in parts if s is not None and (s.gone is None or s.gone > self.plan.day)]
            alike = [s for s in alive if not proven_different(self.garage, s.family, sensor.family)]
            if any(one.key in keys for s in alike for one in self.roll.carried_by(s)):
                yield Breach("sold-alike", w.wheel, f"its ID went with {wheel_set.id}")

    def _written(self, w: WheelPlan) -> Iterator[Breach]:
        sensor = self.sensor(w.wheel)
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
        for_it = not writer.families or self.family(w) in writer.families
        return for_it and bool(skills & set(writer.can))

    def _skill(self, w: WheelPlan) -> set[Skill]:
        """What a writer has to be able to do, one of these."""
        if w.choice is IdChoice.FRESH:
            return {Skill.GIVEN} if w.fresh_from is FreshFrom.DRAWN else {Skill.OWN}
        speaking = (s for s in self.garage.sensor if s.gone is None and s.answers is not False)
        copied = any(w.id is not None and {k.key for k in self.roll.carried_by(s)} == {w.id.key} for s in speaking)
        return {Skill.GIVEN, Skill.COPY} if copied else {Skill.GIVEN}

    def _cloned(self, w: WheelPlan, cars: tuple[Car, ...], sensor: Sensor | None) -> Iterator[Breach]:
        if w.id is None:
            yield Breach("nothing-to-clone", w.wheel, "a clone of no ID")
            return
        at = {
            (car.id, c) for name, c in self.places(w.wheel) for car in self.cars_of[name] if c in car.monitored_corners
        }
        held = [
            h
            for car in cars
            for group in self.roll.held(car)
            for h in group
            if car.corner_aware is False or (car.id, h.corner) in at
        ]
        own = {one.key for one in self.roll.carried_by(sensor)}
        if w.id.key not in {h.id.key for h in held}:
            yield Breach("nothing-to-clone", w.wheel, f"no car of its set holds {w.id.hex} for this corner")
        if w.id.key in self.roll.retired or w.id.key in self._gone_by(w.when or self.plan.day):
            yield Breach("retired", w.wheel, f"{w.id.hex} is retired")
        if w.id.key not in own and any(self._places(car) > 1 for car in cars) and self._anothers(w, w.id.key, cars):
            yield Breach("set-mistaken", w.wheel, "a clone of another set on a car that remembers sets apart")
        if any(bits != w.id.bits for car in cars if (bits := car_bits(self.garage, car))):
            yield Breach("clone-width", w.wheel, f"{w.id.hex} has another width than the car's family")

    def _gone_by(self, day: date) -> set[Key]:
        """The IDs that sensors carry today in wheels that leave by a day."""
        leaving = [wheel for wheel in self.in_sets if (last := self.last_of(wheel)) and self.left(last.id, day)]
        return {one.key for wheel in leaving for one in self.roll.carried_by(self.sensor(wheel))}

    # --- when it is written

    def _when(self, w: WheelPlan) -> Iterator[Breach]:
        """A later writing is one of a sensor that stays, on a day of a change, or before a move or a sale; until then it is as it is."""
        if w.when is None:
            return
        if w.action is not Action.STAYS or w.writer is None:
            yield Breach("when", w.wheel, "only a writing waits")
        if w.when not in self._moments(w.wheel):
            yield Breach("when", w.wheel, f"{w.when} is no day of a change, nor before a move or a sale")
        ids = self.roll.carried_by(self.sensor(w.wheel))
        if (w.before.key if w.before else None) != (ids[0].key if len(ids) == 1 else None):
            yield Breach("not-its-own", w.wheel, "until it is written it carries what its sensor does")

    def _moments(self, wheel: str) -> set[date]:
        """The days to come on which a wheel's sensor may be written."""
        first, last, days = self.plan.day, self.plan.end, set[date]()
        for wheel_set in self.in_sets[wheel]:
            spells = self.spells_of[wheel_set.id]
            days |= {d for s in spells if s.on for d in (s.since, s.until)}
            off = {s.until for s in spells if s.on}
            days |= {s.since - _DAY for s in spells if not s.on and s.since not in off}
            days |= {wheel_set.sold - _DAY} if wheel_set.sold else set()
        left = self.last_of(wheel)
        until = min(last, left.leaves) if left and left.leaves else last
        return {d for d in days if first < d < until}

    # --- what the car's list holds

    def _places(self, car: Car) -> int:
        """How many sets a car's list holds; as many as it holds now where that is not noted."""
        return car.slots or max(1, len(self.roll.held(car)))

    def _anothers(self, w: WheelPlan, key: Key, cars: tuple[Car, ...]) -> bool:
        """Whether an ID in these cars' lists is another set's: by name, or because one of its wheels may carry it."""
        for wheel_set in self.garage.set:
            if w.is_in(wheel_set.id) or self.left(wheel_set.id, self.plan.day):
                continue
            apart = [x for _, x in wheel_set.wheels if not any(w.is_in(s.id) for s in self.in_sets[x])]
            for sensor in (self.sensor(x) for x in apart):
                alike = sensor and any(not proven_different(self.garage, sensor.family, car.family) for car in cars)
                if alike and key in {o.key for o in self.roll.carried_by(sensor)}:
                    return True
        return any(self._named_for_another(w, key, car) for car in cars)

    def _named_for_another(self, w: WheelPlan, key: Key, car: Car) -> bool:
        """Whether an entry that the wheel may take is held by name for a set that it is not in."""
        at = {c for name, c in self.places(w.wheel) if car in self.cars_of[name]}
        for held in (h for h in car.holds or () if h.set and not w.is_in(h.set)):
            for corner, wheel in self.garage.sets[held.set or ""].wheels:
                sensor = parts_on(self.garage, wheel, held.as_of or self.plan.day).sensor
                lends = car.corner_aware is False or corner in at
                if lends and [o.key for o in self.roll.carried_by(sensor)] == [key]:
                    return True
        return False

    # --- the ID itself

    def _id(self, w: WheelPlan) -> Iterator[Breach]:
        if w.id is not None and len(set(f"{w.id.number:0{w.id.bits}b}")) == 1:
            yield Breach("empty-id", w.wheel, f"{w.id.hex}: all zeros or ones stand for no sensor")
        if w.choice is IdChoice.KEEP:
            ids = self.roll.carried_by(self.sensor(w.wheel))
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
        cars, sensor = self.watched_by(w.wheel), self.sensor(w.wheel)
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

    def _blanks(self) -> Iterator[Breach]:
        """The new sensors from hand are there, each of a family that its row can be written as, and at rest as the plan has it."""
        refits = [w for w in self.plan.wheels if w.action is Action.REFIT]
        if not self.garage.plan.buy_sensors:
            for w in refits:
                if not w.in_hand:
                    yield Breach("blanks", w.wheel, "it is not from hand, and none is to be bought")
        for w in self.plan.wheels:
            if w.in_hand and (w.action is not Action.REFIT or w.writer is None):
                yield Breach("blanks", w.wheel, "a sensor in hand is used where none is written")
            if w.silent and not w.in_hand:
                yield Breach("blanks", w.wheel, "only a sensor in hand is known to rest silent")
        for silent in (False, True):
            wants = Counter(self.family(w) for w in refits if w.in_hand and w.silent is silent)
            if shortage(self.garage, wants, silent=silent):
                yield Breach("blanks", ", ".join(sorted(wants)), "more are used than there are in hand")
