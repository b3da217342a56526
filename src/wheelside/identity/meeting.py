"""What must not come together: every two sensors that could speak with one ID where a car minds it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property
from itertools import combinations

from wheelside.garage.ids import proven_different
from wheelside.garage.joined import loose_sensors, parts_on
from wheelside.garage.model import Garage, Sensor
from wheelside.garage.season import Spell
from wheelside.garage.words import AtRest, TakenOut
from wheelside.identity.choice import Action, Candidate, IdChoice, Member, PlanFact
from wheelside.identity.naming import wheel_named
from wheelside.identity.roll import Key, Roll
from wheelside.identity.whereabouts import Ears, Lines, Spot, Stretch
from wheelside.said import Said, say
from wheelside.sensor.ident import SensorId

Pick = tuple[int, str]
"""A stay by its number, and the place picked for it."""


@dataclass(frozen=True, slots=True)
class There:
    """A voice, and where it is then: what is said of both."""

    voice: Said
    place: Said

    @property
    def said(self) -> Said:
        return say("{voice} ({place})", voice=self.voice, place=self.place)


@dataclass(frozen=True, slots=True)
class Clash:
    """Not all of `candidates` and `picks` may be chosen: two sensors with one ID would meet, by `facts`.

    `car` is '' where it is about a sale.
    """

    rule: str
    car: str
    day: date
    id: SensorId
    candidates: tuple[int, ...]
    picks: tuple[Pick, ...]
    facts: tuple[PlanFact, ...]
    where: tuple[tuple[int | None, There], ...]
    """Where each voice is then, with its candidate; None for a sensor that is not decided about."""

    def places(self, among: Collection[int]) -> tuple[There, ...]:
        """Where the voices of some candidates are, and those that are there whatever is chosen."""
        return tuple(dict.fromkeys(there for i, there in self.where if i is None or i in among))


@dataclass(frozen=True, slots=True)
class _Voice:
    """Something that may send one ID: a candidate for a wheel, or (`index` None) a sensor not decided about.

    `taken_out`: the sensor that the candidate takes out and keeps. `set`: the set of the wheel, `leaving`: the one with which it leaves.
    `facts`: what makes it carry this ID, and be there at all. `goes_on`: the cars that it is meant for. `until`: the first day on which it
    does not send this ID any more, be it gone or written.
    """

    index: int | None
    member: int | None
    family: str
    silent: bool
    set: str | None
    stretches: tuple[Stretch, ...]
    facts: tuple[PlanFact, ...]
    goes_on: int
    name: Said
    taken_out: bool = False
    leaving: str | None = None
    until: date = date.max

    def cut(self, since: date, until: date) -> _Voice:
        """The same on some of its days alone."""
        stretches = (replace(s, since=max(s.since, since), until=min(s.until, until)) for s in self.stretches)
        return replace(self, stretches=tuple(s for s in stretches if s.since < s.until), until=min(until, self.until))


@dataclass(frozen=True, slots=True)
class _Meeting:
    """Two voices in two spots on a day."""

    day: date
    turn: date
    spots: tuple[Spot, Spot]
    stretches: tuple[Stretch, Stretch]


Days = Mapping[int, Collection[date]]
"""Days of members, by number."""


@dataclass(frozen=True)
class Meetings:
    """Finds every clash among candidates (numbered in order, `of_member` says whose).

    `every`: each way in which two meet by other facts, not only the first.
    """

    garage: Garage
    roll: Roll
    members: tuple[Member, ...]
    candidates: tuple[Candidate, ...]
    of_member: tuple[tuple[int, ...], ...]
    line: tuple[Spell, ...]
    day: date
    end: date
    every: bool = False

    @cached_property
    def ears(self) -> Ears:
        return Ears(self.garage, tuple(car for car in self.garage.car if car.direct))

    @cached_property
    def lines(self) -> Lines:
        return Lines(self.garage, self.day, self.end, self.line)

    def clashes(self) -> Iterator[Clash]:
        """What must not come together, in order of ID; each combination at the first moment at which it would meet."""
        for key, voices in sorted(self._voices().items()):
            minding = self._minding(key)
            for a, b in combinations(voices, 2):
                if self._can_meet(a, b) and not proven_different(self.garage, a.family, b.family):
                    yield from self._clashes_of(key, a, b, minding)

    def worth_waiting(self, kept: Days, written: Days) -> dict[int, set[date]]:
        """Of later days of members, those from which on what the sensor carries meets something that it does not meet before (of `kept`),
        or from which on what could be written to it does not meet what it meets before (of `written`)."""
        out: dict[int, set[date]] = defaultdict(set)
        for key, voices in sorted(self._voices().items()):
            minding = self._minding(key)
            for a, b in combinations(voices, 2):
                if self._can_meet(a, b) and not proven_different(self.garage, a.family, b.family):
                    for one, other in ((a, b), (b, a)):
                        self._wait_for(out, kept, written, key, one, other, minding)
        return out

    def _wait_for(
        self, out: dict[int, set[date]], kept: Days, written: Days, key: Key, one: _Voice, other: _Voice, minding: int
    ) -> None:
        c = None if one.index is None or one.taken_out else self.candidates[one.index]
        if c is None or one.member is None or c.action is not Action.STAYS:
            return
        keeps = c.choice is IdChoice.KEEP
        days = [d for d in (kept if keeps else written).get(one.member, ()) if d not in out[one.member]]
        meet = list(self._clashes_of(key, one, other, minding)) if days else []
        if meet and keeps:
            out[one.member] |= {d for d in days if d <= max(clash.day for clash in meet)}
        elif meet:
            cut = ((d, self._found(key, one.cut(d, one.until), other, minding)) for d in days)
            out[one.member] |= {d for d, left in cut if not any(left)}

    def _can_meet(self, a: _Voice, b: _Voice) -> bool:
        """Whether both can be chosen: not where they are two candidates for one wheel, nor where none is a choice."""
        if a.index is None and b.index is None:
            return False
        return a.member != b.member or a.index == b.index

    # --- voices

    def _voices(self) -> dict[Key, list[_Voice]]:
        """For each ID, all that may send it."""
        out: dict[Key, list[_Voice]] = defaultdict(list)
        for n in range(len(self.members)):
            for ids, voice in self._of_member(n):
                for one in ids:
                    out[one.key].append(voice)
        for sensor in loose_sensors(self.garage, self.day):
            for one in self.roll.carried_by(sensor):
                out[one.key].append(self._loose(sensor))
        for voice, ids in self._theirs():
            for one in ids:
                out[one.key].append(voice)
        return out

    def _of_member(self, n: int) -> Iterator[tuple[tuple[SensorId, ...], _Voice]]:
        """What one wheel may send, under each of its candidates."""
        member = self.members[n]
        sensor = self.garage.sensors.get(member.sensor or "")
        stretches = self.lines.of_wheel(member.wheel)
        goes_on = self._goes_on(tuple(name for name, _ in member.serves), member.wheel)
        name, (leaving, until) = wheel_named(self.garage, member.wheel), self._leaving(member.wheel)
        own = (PlanFact("carries", sensor.id),) if sensor else ()
        for i in self.of_member[n]:
            c = self.candidates[i]
            silent = _is_silent(c, sensor)
            facts = own if c.choice is IdChoice.KEEP else ()
            voice = _Voice(
                i, n, c.voice, silent, member.set, stretches, facts, goes_on, name, leaving=leaving, until=until
            )
            if c.when is None:
                yield c.carries, voice
            else:
                yield c.carries, voice.cut(c.when, until)
                yield c.until_then, replace(voice, facts=own).cut(self.day, c.when)
            if c.action is Action.REFIT and sensor is not None and self.garage.plan.taken_out is TakenOut.KEEP:
                yield member.ids, self._left_over(i, n, member, sensor)

    def _theirs(self) -> Iterator[tuple[_Voice, tuple[SensorId, ...]]]:
        """The sensors on cars of somebody else's, which stay as they are."""
        for set_id, wheel in self.roll.wheels_of_theirs(self.line):
            sensor = parts_on(self.garage, wheel, self.day).sensor
            if sensor is not None:
                facts, silent = (PlanFact("carries", sensor.id),), sensor.at_rest is AtRest.SILENT
                name, where = wheel_named(self.garage, wheel), self.lines.of_wheel(wheel)
                on, (leaving, until) = self._goes_on((set_id,), wheel), self._leaving(wheel)
                voice = _Voice(
                    None,
                    None,
                    sensor.family or "",
                    silent,
                    set_id,
                    where,
                    facts,
                    on,
                    name,
                    leaving=leaving,
                    until=until,
                )
                yield voice, self.roll.carried_by(sensor)

    def _leaving(self, wheel: str) -> tuple[str | None, date]:
        """The set with which a wheel leaves, and when."""
        left = self.garage.leaves_with(wheel)
        return (left.id, left.leaves) if left is not None and left.leaves is not None else (None, date.max)

    def _left_over(self, i: int, n: int, member: Member, sensor: Sensor) -> _Voice:
        """The sensor that a refit takes out and keeps."""
        fact = PlanFact("taken-out", "")
        stretches = (Stretch(self.day, self.end, (Spot(at=self.garage.plan.keep_at, resting=True),), fact),)
        facts, silent = (PlanFact("carries", sensor.id), fact), sensor.at_rest is AtRest.SILENT
        name = say("{sensor}, taken out", sensor=sensor.name)
        return _Voice(i, n, sensor.family or "", silent, member.set, stretches, facts, 0, name, taken_out=True)

    def _loose(self, sensor: Sensor) -> _Voice:
        """A sensor in no set, where it is kept."""
        stretches = (
            Stretch(self.day, self.end, (Spot(at=sensor.kept_at, resting=True),), PlanFact("kept", sensor.id)),
        )
        facts, silent = (PlanFact("carries", sensor.id),), sensor.at_rest is AtRest.SILENT
        name = say("{sensor}", sensor=sensor.name)
        return _Voice(None, None, sensor.family or "", silent, None, stretches, facts, 0, name)

    def _goes_on(self, sets: tuple[str, ...], wheel: str) -> int:
        bits = 0
        for set_id in sets:
            bits |= self._set_goes_on[set_id]
        for one in self.garage.stand_in:
            if one.wheel == wheel and one.until > self.day and one.since < self.end:
                bits |= self.ears.bit.get(one.on, 0)
        return bits

    @cached_property
    def _set_goes_on(self) -> dict[str, int]:
        out: dict[str, int] = defaultdict(int)
        for spell in self.line:
            if spell.on is not None and spell.until > self.day:
                out[spell.set] |= self.ears.bit.get(spell.on, 0)
        return out

    # --- cars

    @cached_property
    def _mind_all(self) -> int:
        """The cars that may adopt any ID, or whose list is not known."""
        adopting = [c for c in self.ears.cars if c.taught_by is None or c.taught_by.by_itself or c.holds is None]
        return sum(self.ears.bit[car.id] for car in adopting)

    @cached_property
    def _in_list(self) -> dict[Key, int]:
        out: dict[Key, int] = defaultdict(int)
        for car in self.ears.cars:
            for rows in self.roll.listed(car):
                for ids, _, _ in rows:
                    for one in ids:
                        out[one.key] |= self.ears.bit[car.id]
        return out

    def _minding(self, key: Key) -> int:
        return self._mind_all | self._in_list.get(key, 0)

    @cached_property
    def _understood(self) -> dict[str, int]:
        families = {c.voice for c in self.candidates} | {s.family or "" for s in self.garage.sensor}
        return {family: self.ears.understanding(family) for family in families}

    # --- two voices

    def _clashes_of(self, key: Key, a: _Voice, b: _Voice, minding: int) -> Iterator[Clash]:
        seen: set[object] = set()
        for clash in self._found(key, a, b, minding):
            mark: object = (clash.picks, frozenset(clash.facts)) if self.every else clash.picks
            if mark in seen:
                continue
            seen.add(mark)
            yield clash
            if not clash.picks and not self.every:
                return

    def _found(self, key: Key, a: _Voice, b: _Voice, minding: int) -> Iterator[Clash]:
        listening = self._understood[a.family] & self._understood[b.family] & (minding | a.goes_on | b.goes_on)
        for meeting in self._meetings(a, b):
            yield from self._heard_twice(key, a, b, meeting, listening)
            yield from self._on_two_cars(key, a, b, meeting)
        yield from self._sold_alike(key, a, b)

    def _meetings(self, a: _Voice, b: _Voice) -> Iterator[_Meeting]:
        """The two in every pair of spots that they have at one time, in order of time."""
        for one, other in _joint(a.stretches, b.stretches):
            since, until = max(one.since, other.since), min(one.until, other.until)
            turns = [t for t in self.lines.turns if t < until]
            for n, turn in enumerate(turns):
                if n + 1 < len(turns) and turns[n + 1] <= since:
                    continue
                for x in one.spots:
                    for y in other.spots:
                        yield _Meeting(max(since, turn), turn, (x, y), (one, other))

    def _heard_twice(self, key: Key, a: _Voice, b: _Voice, meeting: _Meeting, listening: int) -> Iterator[Clash]:
        x, y = meeting.spots
        both = listening & self.ears.hearing(x, a.set, meeting.turn, silent=a.silent)
        both &= self.ears.hearing(y, b.set, meeting.turn, silent=b.silent) if both else 0
        for car in self.ears.cars if both else ():
            if both & self.ears.bit[car.id] and not _differently_picked(x, y):
                facts = (*self.ears.facts(car, x, meeting.turn), *self.ears.facts(car, y, meeting.turn))
                yield self._clash("heard-twice", car.id, key, a, b, meeting, facts)
                if not self.every:
                    return

    def _on_two_cars(self, key: Key, a: _Voice, b: _Voice, meeting: _Meeting) -> Iterator[Clash]:
        x, y = meeting.spots
        if x.on in self.ears.bit and y.on in self.ears.bit and x.on != y.on and not (a.taken_out or b.taken_out):
            yield self._clash("one-car", x.on or "", key, a, b, meeting, ())

    def _clash(
        self, rule: str, car: str, key: Key, a: _Voice, b: _Voice, meeting: _Meeting, facts: tuple[PlanFact, ...]
    ) -> Clash:
        picks = {(s.stay, s.at) for s in meeting.spots if s.stay is not None and s.at is not None}
        listener = self.garage.cars[car]
        where = tuple(
            (v.index, There(v.name, self.ears.nearby(listener, s, meeting.turn)))
            for v, s in zip((a, b), meeting.spots, strict=True)
        )
        by = (*a.facts, *b.facts, *(s.fact for s in meeting.stretches), *facts)
        return Clash(
            rule, car, meeting.day, SensorId(a.family, *key), _numbers(a, b), tuple(sorted(picks)),
            tuple(dict.fromkeys(by)), where,
        )  # fmt: skip

    def _sold_alike(self, key: Key, a: _Voice, b: _Voice) -> Iterator[Clash]:
        for one, other in ((a, b), (b, a)):
            sold = self._sold(one)
            if sold is None or other.leaving == one.leaving or other.until <= sold:
                continue
            facts = tuple(dict.fromkeys((*one.facts, *other.facts, PlanFact("sold", one.leaving or ""))))
            name = self.garage.sets[one.leaving or ""].name
            gone = There(one.name, say("sold with {set}", set=name))
            where = ((one.index, gone), (other.index, There(other.name, say("still here"))))
            yield Clash("sold-alike", "", sold, SensorId(one.family, *key), _numbers(a, b), (), facts, where)

    def _sold(self, voice: _Voice) -> date | None:
        """The day within the horizon on which a voice is sold with its set."""
        wheel_set = self.garage.sets.get(voice.leaving or "")
        sold = wheel_set.sold if wheel_set else None
        return sold if sold is not None and self.day < sold < self.end and voice.until >= sold else None


def _is_silent(c: Candidate, sensor: Sensor | None) -> bool:
    """Whether a wheel is silent at rest under a candidate: by the sensor that stays, or the blank that it gets."""
    if c.action is Action.REFIT:
        return c.silent_blank is not None
    return sensor is not None and sensor.at_rest is AtRest.SILENT


def _numbers(a: _Voice, b: _Voice) -> tuple[int, ...]:
    return tuple(sorted({v.index for v in (a, b) if v.index is not None}))


def _differently_picked(x: Spot, y: Spot) -> bool:
    """Whether two spots are two places for one stay, of which only one is picked."""
    return x.stay is not None and x.stay == y.stay and x.at != y.at


def _joint(a: tuple[Stretch, ...], b: tuple[Stretch, ...]) -> Iterator[tuple[Stretch, Stretch]]:
    """Every two stretches that overlap, in order of time."""
    i = j = 0
    while i < len(a) and j < len(b):
        if a[i].since < b[j].until and b[j].since < a[i].until:
            yield a[i], b[j]
        if a[i].until <= b[j].until:
            i += 1
        else:
            j += 1
