"""The identity plan as a problem of choice: candidates, what must not come together, what each car remembers, what is scarce.

Numbers such as `candidates` of a clash index into `Problem.candidates`, which holds the allowed candidates
of all members in order. A loosened problem holds those too that facts forbid.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from itertools import combinations

from wheelside.garage.ids import proven_different
from wheelside.garage.joined import parts_on
from wheelside.garage.model import Blank, Car, Garage
from wheelside.garage.season import Spell
from wheelside.garage.words import Teaching, WhenFull
from wheelside.identity.candidates import members
from wheelside.identity.choice import Action, Candidate, FreshFrom, Member, PlanFact
from wheelside.identity.costs import Price, Risk, Tariff, tariff, years_with
from wheelside.identity.meeting import Clash, Meetings, Pick
from wheelside.identity.roll import HeldId, Key, Roll
from wheelside.identity.whereabouts import stay_fact


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
    the same IDs (nothing, where it is the same set), or None where that can't be. `untaught`: whether the car can't be taught at all.
    """

    car: str
    set: str
    day: date
    wheels: tuple[int, ...]
    slots: int
    when_full: WhenFull
    teach: Price
    risk: Risk
    held: tuple[tuple[tuple[int, ...], ...], ...]
    same: tuple[SameAs | None, ...]
    untaught: bool = False


@dataclass(frozen=True, slots=True)
class Choice:
    """The places among which the plan picks for one stay, the first-named first; each other one costs `price`."""

    stay: int
    set: str
    places: tuple[str, ...]
    price: Price


@dataclass(frozen=True, slots=True)
class Room:
    """At most `room` of the tenants at a place on a day: sets that are there by a stay, or where it is picked."""

    place: str
    day: date
    room: int
    tenants: tuple[tuple[Pick | None, PlanFact], ...]


@dataclass(frozen=True, slots=True)
class Stock:
    """New sensors of one family in hand. `written`: the refits that can use one; `refits`: all of that family.

    `saving`: what one costs less than a bought one, in hundredths. `only`: whether none may be bought.
    """

    family: str
    count: int
    saving: int
    written: tuple[int, ...]
    refits: tuple[int, ...]
    only: bool


@dataclass(frozen=True, slots=True)
class Pairing:
    """Two sets, or one, that have a pair where one candidate of each side of any of `pairs` is chosen.

    The other side is None where it is no choice: a wheel on a car of somebody else's.
    """

    sets: tuple[str, str]
    risk: Risk
    pairs: tuple[tuple[tuple[int, ...], tuple[int, ...] | None], ...]


@dataclass(frozen=True, slots=True)
class PlanProblem:
    """All of one identity plan, ready to be solved."""

    members: tuple[Member, ...]
    candidates: tuple[Candidate, ...]
    of_member: tuple[tuple[int, ...], ...]
    clashes: tuple[Clash, ...]
    mounts: tuple[Mount, ...]
    trips: tuple[tuple[int, ...], ...]
    """For each set the refits, one of which makes a visit to the tyre shop necessary."""
    choices: tuple[Choice, ...]
    rooms: tuple[Room, ...]
    stocks: tuple[Stock, ...]
    got: tuple[int, ...]
    """The candidates that are written by a writer that is bought, hired or lent, once for all of them."""
    pairings: tuple[Pairing, ...]
    tariff: Tariff


def problem(
    garage: Garage,
    day: date,
    end: date,
    line: tuple[Spell, ...],
    *,
    loosened: bool = False,
    rates: Tariff | None = None,
) -> PlanProblem:
    """The problem of a garage from `day` to `end` along the season line.

    `loosened`: with every candidate that only facts forbid, and every way in which two sensors meet. `rates`:
    other figures than the garage's own.
    """
    roll = Roll(garage, day)
    rates = rates or tariff(garage)
    wheels = members(garage, day, line, rates, roll)
    candidates: list[Candidate] = []
    of_member = []
    for member in wheels:
        own = tuple(c for c in member.candidates if c.droppable) if loosened else member.allowed
        of_member.append(tuple(range(len(candidates), len(candidates) + len(own))))
        candidates += own
    frame = _Frame(garage, roll, wheels, tuple(candidates), tuple(of_member), line, day, end, rates)
    meetings = Meetings(garage, roll, wheels, frame.candidates, frame.of_member, line, day, end, loosened)
    return PlanProblem(
        members=wheels,
        candidates=frame.candidates,
        of_member=frame.of_member,
        clashes=tuple(meetings.clashes()),
        mounts=tuple(frame.mounts()),
        trips=tuple(frame.trips()),
        choices=tuple(frame.choices()),
        rooms=tuple(frame.rooms()),
        stocks=tuple(frame.stocks()),
        got=tuple(i for i, c in enumerate(candidates) if c.gets_writer),
        pairings=tuple(frame.pairings()),
        tariff=rates,
    )


@dataclass(frozen=True)
class _Frame:
    garage: Garage
    roll: Roll
    members: tuple[Member, ...]
    candidates: tuple[Candidate, ...]
    of_member: tuple[tuple[int, ...], ...]
    line: tuple[Spell, ...]
    day: date
    end: date
    tariff: Tariff

    # --- what cars remember

    def mounts(self) -> Iterator[Mount]:
        on_car: dict[str, list[Spell]] = defaultdict(list)
        for spell in self.line:
            if spell.on is not None and spell.until > self.day:
                on_car[spell.on].append(spell)
        for car in self.garage.car:
            if car.planned:
                yield from self._mounts_of(car, on_car[car.id])

    def _mounts_of(self, car: Car, own: list[Spell]) -> Iterator[Mount]:
        held = self.roll.held(car)
        before: list[Mount] = []
        alike: dict[tuple[str, str], SameAs | None] = {}
        found: dict[str, tuple[tuple[tuple[int, ...], ...], ...]] = {}
        for spell in own:
            wheels = tuple(n for n in self._of_set[spell.set] if self.members[n].corner in car.monitored_corners)
            if spell.set not in found:
                found[spell.set] = tuple(self._found_in(car, wheels, group) for group in held)
            for earlier in before:
                both = (spell.set, earlier.set)
                if both not in alike:
                    alike[both] = self._same(car, earlier, wheels, spell.set)
            teach = self.tariff.teach(car)
            mount = Mount(
                car=car.id,
                set=spell.set,
                day=max(spell.since, self.day),
                wheels=wheels,
                slots=self.roll.places(car),
                when_full=car.when_full or WhenFull.OLDEST,
                teach=teach,
                risk=self.tariff.teaching_risk(teach),
                held=found[spell.set],
                same=tuple(alike[spell.set, earlier.set] for earlier in before),
                untaught=car.taught_by is Teaching.NOT,
            )
            before.append(mount)
            yield mount

    @cached_property
    def _of_set(self) -> dict[str, list[int]]:
        out: dict[str, list[int]] = defaultdict(list)
        for n, member in enumerate(self.members):
            out[member.set].append(n)
        return out

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

    def _by_id(self, wheels: Iterable[int]) -> dict[Key, list[int]]:
        out: dict[Key, list[int]] = defaultdict(list)
        for n in wheels:
            for i in self.of_member[n]:
                key = self._key(i)
                if key is not None:
                    out[key].append(i)
        return out

    # --- what is shared and scarce

    def trips(self) -> Iterator[tuple[int, ...]]:
        for wheels in self._of_set.values():
            refits = tuple(i for n in wheels for i in self.of_member[n] if self.candidates[i].action is Action.REFIT)
            if refits:
                yield refits

    def choices(self) -> Iterator[Choice]:
        times: dict[int, list[Spell]] = defaultdict(list)
        for spell in self.line:
            if spell.at is not None and spell.or_at:
                times[spell.row].append(spell)
        for row, own in sorted(times.items(), key=lambda item: (item[1][0].set, item[1][0].since)):
            spell = own[0]
            assert spell.at is not None, "only stays at a place leave others open"
            yield Choice(row, spell.set, (spell.at, *spell.or_at), self.tariff.move.times(len(own)))

    def rooms(self) -> Iterator[Room]:
        """For each place with so much room, who may be there from each day on which somebody comes."""
        for place in self.garage.place:
            if place.room is None:
                continue
            there = [s for s in self.line if s.at == place.id or place.id in s.or_at]
            told: set[object] = set()
            for day in sorted({max(s.since, self.day) for s in there}):
                tenants = tuple(
                    ((s.row, place.id) if s.or_at else None, stay_fact(self.garage, s.row, s.set))
                    for s in there
                    if s.covers(day)
                )
                if len(tenants) > place.room and tenants not in told:
                    told.add(tenants)
                    yield Room(place.id, day, place.room, tenants)

    def stocks(self) -> Iterator[Stock]:
        """The sensors in hand by family; where none may be bought, for every family that refits would need."""
        only = not self.garage.plan.buy_sensors
        refits: dict[str, list[int]] = defaultdict(list)
        for i, c in enumerate(self.candidates):
            if c.action is Action.REFIT:
                refits[c.voice].append(i)
        rows = {row.family: row for row in self.garage.blank}
        for family, own in sorted(refits.items()):
            row = rows.get(family)
            if row is not None or only:
                written = tuple(i for i in own if self.candidates[i].fresh_from is not FreshFrom.BOUGHT)
                count, saving = (row.count, self._saving(row)) if row else (0, 0)
                yield Stock(family, count, saving, written, tuple(own), only)

    def _saving(self, row: Blank) -> int:
        return self.tariff.sensor_hundredths - (row.each.hundredths if row.each else 0)

    def _theirs(self) -> dict[Key, list[tuple[str, str]]]:
        """The IDs that wheels on cars of somebody else's are sure to carry, each with their set and the sensor's family."""
        out: dict[Key, list[tuple[str, str]]] = defaultdict(list)
        for set_id in self.roll.theirs(self.line):
            for _, wheel in self.garage.sets[set_id].wheels:
                sensor = parts_on(self.garage, wheel, self.day).sensor
                ids = self.roll.carried_by(sensor)
                if sensor is not None and len(ids) == 1:
                    out[ids[0].key].append((set_id, sensor.family or ""))
        return out

    def pairings(self) -> Iterator[Pairing]:
        """For each two sets in which wheels could carry one ID, how."""
        out: dict[tuple[str, str], list[tuple[tuple[int, ...], tuple[int, ...] | None]]] = defaultdict(list)
        theirs = self._theirs()
        owner = [n for n, own in enumerate(self.of_member) for _ in own]
        for key, same in sorted(self._by_id(range(len(self.members))).items()):
            by_wheel: dict[tuple[int, str], list[int]] = defaultdict(list)
            for i in same:
                by_wheel[owner[i], self.candidates[i].voice].append(i)
            for (n, voice), own in sorted(by_wheel.items()):
                for name, family in theirs.get(key, ()):
                    if not proven_different(self.garage, voice, family):
                        one, two = sorted((self.members[n].set, name))
                        out[one, two].append((tuple(own), None))
            for (n, voice), (m, other) in combinations(sorted(by_wheel), 2):
                if n != m and not proven_different(self.garage, voice, other):
                    one, two = sorted((self.members[n].set, self.members[m].set))
                    out[one, two].append((tuple(by_wheel[n, voice]), tuple(by_wheel[m, other])))
        for sets, pairs in sorted(out.items()):
            years = min(years_with(self.garage.sets[name], self.day, self.tariff.years) for name in sets)
            yield Pairing(sets, self.tariff.pair_risk(years), tuple(pairs))
