"""The identity plan as a problem of choice: candidates, what must not come together, and what each car remembers.

Numbers such as `terms` index into `Problem.candidates`, which holds the allowed candidates of all
members in order.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from datetime import date
from itertools import combinations

from wheelside.earshot.stated import heard_at, may_transmit, set_heard
from wheelside.garage.ids import proven_different
from wheelside.garage.joined import loose_sensors
from wheelside.garage.model import Car, Garage
from wheelside.garage.season import Spell, moments, set_on, where
from wheelside.garage.words import AtRest, Monitor, TakenOut, WhenFull
from wheelside.identity.candidates import HeldId, current_ids, held_ids, listed
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
    where: tuple[tuple[int | None, str], ...]
    """Where each voice is then, in words, with its candidate; None for a sensor that is not decided about."""

    def places(self, among: Collection[int]) -> tuple[str, ...]:
        """Where the voices of some candidates are, and those that are there whatever is chosen."""
        return tuple(dict.fromkeys(place for i, place in self.where if i is None or i in among))


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
    each monitored wheel is found in it. `same`: for each earlier mount of this car, what it takes to carry
    the same IDs (nothing, where it is the same set), or None where that can't be.
    """

    car: str
    set: str
    day: date
    wheels: tuple[int, ...]
    slots: int
    when_full: WhenFull
    teach: Price
    held: tuple[tuple[tuple[int, ...], ...], ...]
    same: tuple[SameAs | None, ...]


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
class _Voice:
    """Something that may send one ID: a candidate, or (`index` None) a sensor that the plan does not decide about.

    `mounted`: whether it is a wheel of a set that goes on the listening car within the horizon.
    """

    index: int | None
    member: int | None
    family: str
    mounted: bool
    where: str


Key = tuple[int, int]
Voices = dict[Key, list[_Voice]]


@dataclass(frozen=True, slots=True)
class _Ear:
    """A listening car, and what about it no moment changes.

    `cares`: the IDs in its list, None where it may adopt any or its list is not known. `loose`: the
    sensors in no set that it may hear. `mounted`: the sets that go on it within the horizon.
    """

    car: Car
    cares: set[Key] | None
    loose: tuple[tuple[_Voice, SensorId], ...]
    mounted: frozenset[str]


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
        """What must not come together, each combination once, at the first moment at which it would meet."""
        seen: set[tuple[Key, Terms, int]] = set()
        ears = tuple(self._ear(car) for car in self.garage.car if car.monitor is Monitor.DIRECT)
        for moment in moments(self.line, self.day, self.end):
            for clash in (*self._heard_twice(ears, moment), *self._on_two_cars(moment)):
                key = (clash.id.key, clash.terms, clash.room)
                if key not in seen:
                    seen.add(key)
                    yield clash

    def _ear(self, car: Car) -> _Ear:
        mounted = frozenset(s.set for s in self.line if s.on == car.id and s.until > self.day)
        return _Ear(car, self._cares(car), tuple(self._loose(car)), mounted)

    def _heard_twice(self, ears: tuple[_Ear, ...], moment: date) -> Iterator[Clash]:
        for ear in ears:
            for key, voices in sorted(self._voices(ear, moment).items()):
                always = ear.cares is None or key in ear.cares
                yield from self._apart("heard-twice", ear.car.id, moment, key, voices, always=always)

    def _cares(self, car: Car) -> set[Key] | None:
        """The IDs in the car's list; None where it may adopt any, or its list is not known."""
        if car.taught_by is None or car.taught_by.by_itself or car.holds is None:
            return None
        return {one.key for rows in listed(self.garage, car, self.day) for ids, _, _ in rows for one in ids}

    def _voices(self, ear: _Ear, moment: date) -> Voices:
        """For each ID, all that a car may hear sending it at a moment."""
        out: Voices = defaultdict(list)
        car = ear.car
        for n, member in enumerate(self.members):
            spell = where(self.line, member.set, moment)
            hearing = set_heard(self.garage, car, spell)
            sensor = self.garage.sensors.get(member.sensor or "")
            place = f"wheel {self.garage.wheels[member.wheel].name} ({hearing.where})"
            for i in self.of_member[n]:
                c = self.candidates[i]
                rest = None if c.action is Action.REFIT or sensor is None else sensor.at_rest
                if hearing.heard and may_transmit(rest, spell) and self._understood(car, c.voice):
                    for one in c.carries:
                        out[one.key].append(_Voice(i, n, c.voice, member.set in ear.mounted, place))
                for voice, one in self._left_over(car, member, i, n):
                    out[one.key].append(voice)
        for voice, one in ear.loose:
            out[one.key].append(voice)
        return out

    def _understood(self, car: Car, family: str) -> bool:
        return not proven_different(self.garage, family, car.family)

    def _left_over(self, car: Car, member: Member, i: int, n: int) -> Iterator[tuple[_Voice, SensorId]]:
        """The sensor that a refit takes out and keeps where `car` may hear it."""
        wishes = self.garage.plan
        sensor = self.garage.sensors.get(member.sensor or "")
        taken_out = self.candidates[i].action is Action.REFIT and wishes.taken_out is TakenOut.KEEP
        if not taken_out or sensor is None or sensor.at_rest is AtRest.SILENT:
            return
        hearing = heard_at(self.garage, car, wishes.keep_at)
        family = sensor.family or ""
        if hearing.heard and self._understood(car, family):
            for one in member.ids:
                yield _Voice(i, n, family, mounted=False, where=f"{sensor.name}, taken out ({hearing.where})"), one

    def _loose(self, car: Car) -> Iterator[tuple[_Voice, SensorId]]:
        """The sensors in no set that `car` may hear."""
        for sensor in loose_sensors(self.garage, self.day):
            hearing = heard_at(self.garage, car, sensor.kept_at)
            family = sensor.family or ""
            if sensor.at_rest is not AtRest.SILENT and hearing.heard and self._understood(car, family):
                for one in current_ids(self.garage, sensor):
                    yield _Voice(None, None, family, mounted=False, where=f"{sensor.name} ({hearing.where})"), one

    def _on_two_cars(self, moment: date) -> Iterator[Clash]:
        """For each ID, the wheels that carry it on different cars at a moment."""
        out: Voices = defaultdict(list)
        cars: dict[int, str] = {}
        for car in self.garage.car:
            fitted = set_on(self.line, car.id, moment) if car.monitor is Monitor.DIRECT else None
            for n, member in enumerate(self.members):
                if fitted is None or member.set != fitted:
                    continue
                cars[n] = car.id
                place = f"wheel {self.garage.wheels[member.wheel].name} (on {car.name})"
                for i in self.of_member[n]:
                    c = self.candidates[i]
                    for one in c.carries:
                        out[one.key].append(_Voice(i, n, c.voice, mounted=True, where=place))
        for key, voices in sorted(out.items()):
            apart = [v for v in voices if v.member is not None]
            for a, b in combinations(apart, 2):
                if a.member is not None and b.member is not None and cars[a.member] != cars[b.member]:
                    yield from self._apart("one-car", cars[a.member], moment, key, [a, b], always=True)

    def _apart(
        self, rule: str, car: str, moment: date, key: Key, voices: list[_Voice], *, always: bool
    ) -> Iterator[Clash]:
        """The constraints that keep voices apart: one over all where every two clash, else one for each two."""
        pairs = [(a, b) for a, b in combinations(voices, 2) if self._can_meet(a, b)]
        meeting = [(a, b) for a, b in pairs if self._clash(a, b, always=always)]
        if not meeting:
            return
        if len(meeting) == len(pairs):
            yield _clash_over(rule, car, moment, key, voices)
            return
        for a, b in meeting:
            yield _clash_over(rule, car, moment, key, [a, b])

    def _can_meet(self, a: _Voice, b: _Voice) -> bool:
        """Whether both can be chosen: not where they are two candidates for one wheel, nor where none is a choice."""
        if a.index is None and b.index is None:
            return False
        return a.member != b.member or a.index == b.index

    def _clash(self, a: _Voice, b: _Voice, *, always: bool) -> bool:
        return (always or a.mounted or b.mounted) and not proven_different(self.garage, a.family, b.family)

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
                    slots=1 if car.when_full is WhenFull.ALL else car.slots or max(1, len(held)),
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
            known = {h.id.key for h in group if h.corner in (corner, None) or car.corner_aware is False}
            out.append(tuple(i for i in self.of_member[n] if self._key(i) in known))
        return tuple(out)

    def _key(self, i: int) -> Key | None:
        """The ID that a candidate is sure to carry, as it is compared; None where it is not known beforehand."""
        definite = self.candidates[i].definite
        return definite.key if definite else None

    def _same(self, car: Car, earlier: Mount, wheels: tuple[int, ...], set_id: str) -> SameAs | None:
        if earlier.set == set_id:
            return SameAs((), ())
        if len(earlier.wheels) != len(wheels):
            return None
        pools = [(wheels, earlier.wheels)]
        if car.corner_aware is not False:
            theirs = {self.members[n].corner: n for n in earlier.wheels}
            if any(self.members[n].corner not in theirs for n in wheels):
                return None
            pools = [((n,), (theirs[self.members[n].corner],)) for n in wheels]
        rows: list[tuple[tuple[int, ...], tuple[int, ...]]] = []
        never: list[int] = []
        for mine, other in pools:
            a, b = self._by_id(mine), self._by_id(other)
            if not set(a) & set(b):
                return None
            rows += [(tuple(a.get(x, ())), tuple(b.get(x, ()))) for x in sorted(set(a) | set(b))]
            never += [i for n in (*mine, *other) for i in self.of_member[n] if self._key(i) is None]
        return SameAs(tuple(rows), tuple(never))

    def _by_id(self, wheels: tuple[int, ...]) -> dict[Key, list[int]]:
        out: dict[Key, list[int]] = defaultdict(list)
        for n in wheels:
            for i in self.of_member[n]:
                key = self._key(i)
                if key is not None:
                    out[key].append(i)
        return out


def _clash_over(rule: str, car: str, moment: date, key: Key, voices: list[_Voice]) -> Clash:
    """At most one of the voices, less those that are there whatever is chosen."""
    total: dict[int, int] = defaultdict(int)
    for voice in voices:
        if voice.index is not None:
            total[voice.index] += 1
    fixed = sum(voice.index is None for voice in voices)
    where_all = tuple((voice.index, voice.where) for voice in voices)
    family = next(voice.family for voice in voices)
    room = max(0, 1 - fixed)
    return Clash(rule, car, moment, SensorId(family, *key), tuple(sorted(total.items())), room, where_all)
