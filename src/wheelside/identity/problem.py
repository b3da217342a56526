"""The identity plan as a problem of choice: candidates, what must not come together, and what each car remembers.

Numbers such as `terms` index into `Problem.candidates`, which holds the allowed candidates of all
members in order.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from wheelside.earshot.stated import heard_at, may_transmit, set_heard
from wheelside.garage.ids import proven_different
from wheelside.garage.joined import loose_sensors
from wheelside.garage.model import Car, Garage
from wheelside.garage.season import Spell, moments, set_on, where
from wheelside.garage.words import AtRest, Monitor, TakenOut, WhenFull
from wheelside.identity.candidates import HeldId, current_ids, held_ids
from wheelside.identity.choice import Action, Candidate, Member
from wheelside.identity.costs import Price, Tariff
from wheelside.sensor.ident import SensorId

Terms = tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class Clash:
    """At most `room` of the terms (candidate, count) may be chosen: else two sensors with one ID meet."""

    rule: str
    car: str
    day: date
    id: SensorId
    terms: Terms
    room: int
    where: tuple[str, ...]
    """Where each member with a term is then, in words, in the order of the members."""


@dataclass(frozen=True, slots=True)
class SameAs:
    """When a set carries just what an earlier one did: for each ID, as many of `mine` chosen as of `theirs`.

    `never`: candidates whose ID is not known beforehand; none of them may be chosen.
    """

    rows: tuple[tuple[tuple[int, ...], tuple[int, ...]], ...]
    never: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Mount:
    """A set going on a car. Counted from 0 for each car; `wheels` are the members that the car monitors.

    `held`: for each set of IDs in the car's list at the start, oldest first, the candidates under which
    each monitored wheel is found in it. `same`: for each earlier mount of this car, None where it is
    the same set, else the condition for carrying the same IDs, or False where that can't be.
    """

    car: str
    set: str
    day: date
    wheels: tuple[int, ...]
    slots: int
    when_full: WhenFull
    teach: Price
    held: tuple[tuple[tuple[int, ...], ...], ...]
    same: tuple[SameAs | bool, ...]


@dataclass(frozen=True, slots=True)
class Problem:
    """All of one identity plan, ready to be solved."""

    members: tuple[Member, ...]
    candidates: tuple[Candidate, ...]
    of_member: tuple[tuple[int, ...], ...]
    clashes: tuple[Clash, ...]
    mounts: tuple[Mount, ...]
    trips: tuple[tuple[int, ...], ...]
    """For each set the refits, one of which makes a visit to the tyre shop necessary."""
    tariff: Tariff


def problem(
    garage: Garage, members: tuple[Member, ...], line: tuple[Spell, ...], day: date, end: date, tariff: Tariff
) -> Problem:
    """The problem of the members from `day` to `end` along the season line."""
    candidates: list[Candidate] = []
    of_member = []
    for member in members:
        of_member.append(tuple(range(len(candidates), len(candidates) + len(member.allowed))))
        candidates += member.allowed
    frame = _Frame(garage, members, tuple(candidates), tuple(of_member), line, day, end)
    sets = sorted({m.set for m in members})
    refits = tuple(
        tuple(
            i
            for m, own in zip(members, of_member, strict=True)
            if m.set == name
            for i in own
            if candidates[i].action is Action.REFIT
        )
        for name in sets
    )
    return Problem(
        members, tuple(candidates), tuple(of_member), tuple(frame.clashes()), tuple(frame.mounts(tariff)),
        tuple(r for r in refits if r), tariff,
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Frame:
    garage: Garage
    members: tuple[Member, ...]
    candidates: tuple[Candidate, ...]
    of_member: tuple[tuple[int, ...], ...]
    line: tuple[Spell, ...]
    day: date
    end: date

    # --- two voices, one name

    def clashes(self) -> Iterator[Clash]:
        seen: set[tuple[tuple[int, int], Terms, int]] = set()
        for moment in moments(self.line, self.day, self.end):
            for car in self.garage.car:
                if car.monitor is Monitor.DIRECT:
                    yield from self._fresh_clashes(self._heard_together(car, moment), seen)
            yield from self._fresh_clashes(self._on_two_cars(moment), seen)

    def _fresh_clashes(self, found: Iterator[Clash], seen: set[tuple[tuple[int, int], Terms, int]]) -> Iterator[Clash]:
        for clash in found:
            key = ((clash.id.bits, clash.id.number), clash.terms, clash.room)
            if key not in seen:
                seen.add(key)
                yield clash

    def _heard_together(self, car: Car, moment: date) -> Iterator[Clash]:
        """For each ID, the wheels that `car` may hear carrying it at a moment."""
        terms: dict[tuple[int, int], list[tuple[int, int]]] = defaultdict(list)
        places: dict[tuple[int, int], list[str]] = defaultdict(list)
        ids: dict[tuple[int, int], SensorId] = {}
        for n, member in enumerate(self.members):
            spell = where(self.line, member.set, moment)
            hearing = set_heard(self.garage, car, spell)
            sensor = self.garage.sensors.get(member.sensor or "")
            audible = hearing.heard
            for i in self.of_member[n]:
                c = self.candidates[i]
                rest = None if c.action is Action.REFIT or sensor is None else sensor.at_rest
                carried = c.carries if audible and may_transmit(rest, spell) else ()
                for one in (*carried, *self._left_over(car, member, c)):
                    key = (one.bits, one.number)
                    ids[key] = one
                    terms[key].append((i, 1))
                    places[key].append(f"wheel {self.garage.wheels[member.wheel].name} ({hearing.where})")
        fixed = self._loose(car, ids)
        for key, found in sorted(terms.items()):
            alike = self._alike(found, car, ids[key])
            if (len({self._member_of(i) for i, _ in alike}) > 1 or fixed[key] or _doubled(alike)) and self._matters(
                car, alike, ids[key]
            ):
                yield Clash(
                    "heard-twice", car.id, moment, ids[key], _merged(alike), max(0, 1 - fixed[key]),
                    tuple(dict.fromkeys(places[key])),
                )  # fmt: skip

    def _left_over(self, car: Car, member: Member, c: Candidate) -> tuple[SensorId, ...]:
        """The IDs of a sensor that is taken out and kept where `car` may hear it."""
        wishes = self.garage.plan
        sensor = self.garage.sensors.get(member.sensor or "")
        if c.action is not Action.REFIT or wishes.taken_out is not TakenOut.KEEP or sensor is None:
            return ()
        heard = heard_at(self.garage, car, wishes.keep_at).heard and sensor.at_rest is not AtRest.SILENT
        return member.ids if heard else ()

    def _loose(self, car: Car, ids: dict[tuple[int, int], SensorId]) -> dict[tuple[int, int], int]:
        """How many loose sensors that `car` may hear carry each ID."""
        count: dict[tuple[int, int], int] = defaultdict(int)
        for sensor in loose_sensors(self.garage, self.day):
            if sensor.at_rest is AtRest.SILENT or not heard_at(self.garage, car, sensor.kept_at).heard:
                continue
            for one in current_ids(self.garage, sensor):
                key = (one.bits, one.number)
                if key in ids and not proven_different(self.garage, sensor.family, ids[key].family):
                    count[key] += 1
        return count

    def _alike(self, terms: list[tuple[int, int]], car: Car, sensor_id: SensorId) -> list[tuple[int, int]]:
        """The terms whose family the car may understand."""
        return [(i, n) for i, n in terms if not proven_different(self.garage, self._family(i, sensor_id), car.family)]

    def _family(self, i: int, sensor_id: SensorId) -> str:
        own = [x.family for x in self.candidates[i].carries if (x.bits, x.number) == (sensor_id.bits, sensor_id.number)]
        return own[0] if own else sensor_id.family

    def _matters(self, car: Car, terms: list[tuple[int, int]], sensor_id: SensorId) -> bool:
        """Whether the car holds the ID, will hold it within the horizon, or could adopt it by itself."""
        if car.taught_by is None or car.taught_by.by_itself or car.holds is None:
            return True
        mounted = {s.set for s in self.line if s.on == car.id and s.until > self.day}
        if any(self.members[self._member_of(i)].set in mounted for i, _ in terms):
            return True
        return any(h.id == sensor_id for group in held_ids(self.garage, car, self.day) for h in group)

    def _on_two_cars(self, moment: date) -> Iterator[Clash]:
        """For each ID, the wheels that carry it on different cars at a moment."""
        terms: dict[tuple[int, int], list[tuple[int, int]]] = defaultdict(list)
        cars: dict[tuple[int, int], set[str]] = defaultdict(set)
        ids: dict[tuple[int, int], SensorId] = {}
        places: dict[tuple[int, int], list[str]] = defaultdict(list)
        for car in self.garage.car:
            fitted = set_on(self.line, car.id, moment) if car.monitor is Monitor.DIRECT else None
            for n, member in enumerate(self.members):
                if fitted is None or member.set != fitted:
                    continue
                for i in self.of_member[n]:
                    for one in self.candidates[i].carries:
                        key = (one.bits, one.number)
                        ids[key] = one
                        terms[key].append((i, 1))
                        cars[key].add(car.id)
                        places[key].append(f"wheel {self.garage.wheels[member.wheel].name} (on {car.name})")
        for key, found in sorted(terms.items()):
            if len(cars[key]) > 1:
                alike = [
                    (i, n)
                    for i, n in found
                    if not proven_different(self.garage, self._family(i, ids[key]), ids[key].family)
                ]
                first = min(cars[key])
                yield Clash("one-car", first, moment, ids[key], _merged(alike), 1, tuple(dict.fromkeys(places[key])))

    def _member_of(self, i: int) -> int:
        return next(n for n, own in enumerate(self.of_member) if i in own)

    # --- what cars remember

    def mounts(self, tariff: Tariff) -> Iterator[Mount]:
        for car in sorted(self.garage.car, key=lambda c: c.id):
            if car.monitor is not Monitor.DIRECT:
                continue
            held = held_ids(self.garage, car, self.day)
            before: list[Mount] = []
            for spell in self.line:
                if spell.on != car.id or spell.until <= self.day:
                    continue
                wheels = tuple(
                    n for n, m in enumerate(self.members) if m.set == spell.set and m.corner in car.monitored_corners
                )
                mount = Mount(
                    car=car.id,
                    set=spell.set,
                    day=max(spell.since, self.day),
                    wheels=wheels,
                    slots=1 if car.when_full is WhenFull.ALL else car.slots or 1,
                    when_full=car.when_full or WhenFull.OLDEST,
                    teach=tariff.teach(car),
                    held=tuple(self._found_in(car, wheels, group) for group in held),
                    same=tuple(self._same(car, earlier, wheels, spell.set) for earlier in before),
                )
                before.append(mount)
                yield mount

    def _found_in(self, car: Car, wheels: tuple[int, ...], group: tuple[HeldId, ...]) -> tuple[tuple[int, ...], ...]:
        out = []
        for n in wheels:
            corner = self.members[n].corner
            known = {h.id for h in group if h.corner in (corner, None) or car.corner_aware is False}
            out.append(
                tuple(i for i in self.of_member[n] if self._definite(i) and self.candidates[i].definite in known)
            )
        return tuple(out)

    def _definite(self, i: int) -> bool:
        return self.candidates[i].definite is not None

    def _same(self, car: Car, earlier: Mount, wheels: tuple[int, ...], set_id: str) -> SameAs | bool:
        if earlier.set == set_id:
            return True
        if len(earlier.wheels) != len(wheels):
            return False
        pools = [(wheels, earlier.wheels)]
        if car.corner_aware is not False:
            theirs = {self.members[n].corner: n for n in earlier.wheels}
            if any(self.members[n].corner not in theirs for n in wheels):
                return False
            pools = [((n,), (theirs[self.members[n].corner],)) for n in wheels]
        rows: list[tuple[tuple[int, ...], tuple[int, ...]]] = []
        never: list[int] = []
        for mine, other in pools:
            a, b = self._by_id(mine), self._by_id(other)
            if not set(a) & set(b):
                return False
            rows += [(tuple(a.get(x, ())), tuple(b.get(x, ()))) for x in sorted(set(a) | set(b))]
            never += [i for n in (*mine, *other) for i in self.of_member[n] if not self._definite(i)]
        return SameAs(tuple(rows), tuple(never))

    def _by_id(self, wheels: tuple[int, ...]) -> dict[SensorId, list[int]]:
        out: dict[SensorId, list[int]] = defaultdict(list)
        for n in wheels:
            for i in self.of_member[n]:
                definite = self.candidates[i].definite
                if definite is not None:
                    out[definite].append(i)
        return out


def _merged(terms: list[tuple[int, int]]) -> Terms:
    total: dict[int, int] = defaultdict(int)
    for i, n in terms:
        total[i] += n
    return tuple(sorted(total.items()))


def _doubled(terms: list[tuple[int, int]]) -> bool:
    return any(n > 1 for _, n in _merged(terms))
