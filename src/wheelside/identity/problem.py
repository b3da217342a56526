"""The identity plan as a problem of choice: candidates, what must not come together, what each car remembers, what is scarce.

Numbers such as `candidates` of a clash index into `Problem.candidates`, which holds the allowed candidates
of all members in order. A loosened problem holds those too that facts forbid.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property

from wheelside.garage.model import Blank, Car, Garage
from wheelside.garage.season import Spell
from wheelside.garage.words import ROAD_CORNERS, AtRest, Corner, Teaching, WhenFull
from wheelside.identity.candidates import members
from wheelside.identity.choice import Action, Candidate, FreshFrom, IdChoice, Mark, Member
from wheelside.identity.costs import Tariff, tariff
from wheelside.identity.meeting import Meetings
from wheelside.identity.pairing import Pairings
from wheelside.identity.roll import HeldId, Key, Roll
from wheelside.identity.task import Choice, Mount, PlanProblem, Proof, Room, SameAs, ShopVisit, Stock
from wheelside.identity.unwarned import staggered
from wheelside.identity.waiting import MANY, later_days, no_better
from wheelside.identity.whereabouts import stay_fact


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
    own = tariff(garage)
    make = _Making(garage, Roll(garage, day), day, end, line, rates or own, loosened)
    first = make.drawn_up({})
    later = later_days(garage, make.roll, first, make.meetings(first), line, end, own)
    task = make.drawn_up(later) if later else first
    task = replace(task, clashes=tuple(make.meetings(task).clashes()), narrowed=len(task.members) > MANY)
    no_use = no_better(task) if later else ()
    return _renumbered(task, make.drawn_up(later, no_use)) if no_use else task


@dataclass(frozen=True, slots=True)
class _Making:
    garage: Garage
    roll: Roll
    day: date
    end: date
    line: tuple[Spell, ...]
    rates: Tariff
    loosened: bool

    def drawn_up(self, later: Mapping[str, Collection[date]], but: Collection[tuple[str, Mark]] = ()) -> PlanProblem:
        """The problem without what must not come together. `later`: days of later writings; `but`: candidates that are left out."""
        wheels = members(self.garage, self.day, self.line, self.rates, self.roll, later)
        candidates: list[Candidate] = []
        of_member = []
        for member in wheels:
            own = tuple(c for c in member.candidates if c.droppable) if self.loosened else member.allowed
            own = tuple(c for c in own if (c.wheel, c.mark) not in but) if but else own
            of_member.append(tuple(range(len(candidates), len(candidates) + len(own))))
            candidates += own
        named = wheels, tuple(candidates), tuple(of_member)
        frame = _Frame(self.garage, self.roll, *named, self.line, self.day, self.end, self.rates)
        return PlanProblem(
            members=wheels,
            candidates=frame.candidates,
            of_member=frame.of_member,
            clashes=(),
            mounts=tuple(frame.mounts()),
            trips=tuple(frame.trips()),
            choices=tuple(frame.choices()),
            rooms=tuple(frame.rooms()),
            stocks=tuple(frame.stocks()),
            got=tuple(i for i, c in enumerate(candidates) if c.gets_writer),
            proofs=tuple(frame.proofs()),
            pairings=tuple(Pairings(self.garage, self.roll, *named, self.line, self.day, self.rates).found()),
            tariff=self.rates,
            day=self.day,
        )

    def meetings(self, task: PlanProblem) -> Meetings:
        named = task.members, task.candidates, task.of_member
        return Meetings(self.garage, self.roll, *named, self.line, self.day, self.end, self.loosened)


def _renumbered(task: PlanProblem, fewer: PlanProblem) -> PlanProblem:
    """The problem with fewer candidates, with the clashes of those that it has."""
    numbers = {(c.wheel, c.mark): n for n, c in enumerate(fewer.candidates)}
    new = {i: numbers.get((c.wheel, c.mark)) for i, c in enumerate(task.candidates)}
    kept = []
    for clash in task.clashes:
        own = [n for i in clash.candidates if (n := new[i]) is not None]
        if len(own) == len(clash.candidates):
            where = tuple((None if i is None else new[i], there) for i, there in clash.where)
            kept.append(replace(clash, candidates=tuple(sorted(own)), where=where))
    return replace(fewer, clashes=tuple(kept), narrowed=task.narrowed)


_Then = tuple[str, int]
"""A set, and how many of the later days on which its wheels may be written have come."""
_Content = tuple[int, int, int]
"""What a wheel carries: (0, bits, number), or (-1, wheel, which) for an ID that is not known beforehand."""


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
        alike: dict[tuple[_Then, _Then], SameAs | None] = {}
        found: dict[_Then, tuple[tuple[tuple[int, ...], ...], ...]] = {}
        for set_id, day, midway, wheels in self._met(car, own):
            then = (set_id, self._done_by(wheels, day))
            if then not in found:
                found[then] = tuple(self._found_in(car, set_id, wheels, day, group) for group in held)
            for earlier in before:
                both = (then, (earlier.set, self._done_by(earlier.wheels, earlier.day)))
                if both not in alike:
                    alike[both] = self._same(car, earlier, wheels, set_id, day)
            teach = self.tariff.teach(car)
            mount = Mount(
                car=car.id,
                set=set_id,
                day=day,
                wheels=wheels,
                slots=self.roll.places(car),
                when_full=car.when_full or WhenFull.OLDEST,
                teach=teach,
                risk=self.tariff.teaching_risk(teach),
                held=found[then],
                same=tuple(alike[then, (e.set, self._done_by(e.wheels, e.day))] for e in before),
                untaught=car.taught_by is Teaching.NOT,
                midway=midway,
            )
            before.append(mount)
            yield mount

    def _met(self, car: Car, own: list[Spell]) -> Iterator[tuple[str, date, bool, tuple[int, ...]]]:
        """The days on which a car meets a set, with the wheels that it watches: as it goes on, and where one may be written while it is on."""
        for spell in own:
            at = ((n, self._at(n, spell.set)) for n in self._of_set[spell.set])
            wheels = tuple(n for n, corner in at if corner in car.monitored_corners)
            since = max(spell.since, self.day)
            yield spell.set, since, False, wheels
            for day in sorted({d for n in wheels for d in self._later[n] if since < d < spell.until}):
                yield spell.set, day, True, wheels

    @cached_property
    def _of_set(self) -> dict[str, list[int]]:
        out: dict[str, list[int]] = defaultdict(list)
        for n, member in enumerate(self.members):
            for set_id, _ in member.serves:
                out[set_id].append(n)
        return out

    def _at(self, n: int, set_id: str) -> Corner:
        """The corner of a wheel in one of its sets."""
        return self.members[n].corner_in(set_id)

    def _done_by(self, wheels: tuple[int, ...], day: date) -> int:
        """How many of the later days on which any of these wheels may be written have come by a day."""
        days = {w for n in wheels for w in self._later[n]}
        return sum(w <= day for w in days)

    @cached_property
    def _later(self) -> tuple[frozenset[date], ...]:
        """For each member the later days on which it may be written."""
        return tuple(frozenset(w for i in own if (w := self.candidates[i].when) is not None) for own in self.of_member)

    def _found_in(
        self, car: Car, set_id: str, wheels: tuple[int, ...], day: date, group: tuple[HeldId, ...]
    ) -> tuple[tuple[int, ...], ...]:
        out = []
        for n in wheels:
            corner = self._at(n, set_id)
            known = {h.id.key for h in group if h.corner in (corner, None) or car.corner_aware is False}
            out.append(tuple(i for i in self.of_member[n] if self._key(i, day) in known))
        return tuple(out)

    def _key(self, i: int, day: date) -> Key | None:
        """The ID that a candidate is sure to carry on a day, as it is compared; None where it is not known beforehand."""
        ids = self.candidates[i].carries_on(day)
        return ids[0].key if len(ids) == 1 else None

    def _same(self, car: Car, earlier: Mount, wheels: tuple[int, ...], set_id: str, day: date) -> SameAs | None:
        if earlier.set == set_id:
            return SameAs(
                none_of=tuple(i for n in wheels for i in self.of_member[n] if self._turns(i, earlier.day, day))
            )
        if len(earlier.wheels) != len(wheels):
            return None
        pools = [(wheels, earlier.wheels)]
        if car.corner_aware is not False:
            theirs = {self._at(n, earlier.set): n for n in earlier.wheels}
            if any(self._at(n, set_id) not in theirs for n in wheels):
                return None
            pools = [((n,), (theirs[self._at(n, set_id)],)) for n in wheels]
        rows: list[tuple[tuple[int, ...], tuple[int, ...]]] = []
        none_of: set[int] = set()
        for mine, other in pools:
            a, b = self._by_content(mine, day), self._by_content(other, earlier.day)
            if not set(a) & set(b):
                return None
            rows += [(tuple(a[x]), tuple(b[x])) for x in sorted(set(a) & set(b))]
            none_of |= {i for one, two in ((a, b), (b, a)) for x in set(one) - set(two) for i in one[x]}
        return SameAs(tuple(rows), tuple(sorted(none_of)), car.corner_aware is not False)

    def _turns(self, i: int, earlier: date, day: date) -> bool:
        """Whether a candidate is a writing after one day and by another."""
        when = self.candidates[i].when
        return when is not None and earlier < when <= day

    def _by_content(self, wheels: Iterable[int], day: date) -> dict[_Content, list[int]]:
        """The candidates of some wheels by what each has on a day: an ID, or one of its own that is not known beforehand."""
        out: dict[_Content, list[int]] = defaultdict(list)
        for n in wheels:
            for i in self.of_member[n]:
                c, key = self.candidates[i], self._key(i, day)
                waits = c.when is not None and day < c.when
                unknown = (-1, n, 0 if waits or c.choice is IdChoice.KEEP else 1 + i)
                out[(0, *key) if key is not None else unknown].append(i)
        return out

    # --- what is shared and scarce

    def trips(self) -> Iterator[ShopVisit]:
        for set_id, wheels in self._of_set.items():
            refits = tuple(i for n in wheels for i in self.of_member[n] if self.candidates[i].action is Action.REFIT)
            if refits:
                yield ShopVisit(set_id, refits)

    def proofs(self) -> Iterator[Proof]:
        """The sets of which some ID may be cloned or carried on, where the corners of a car that shows them are then proven one by one."""
        for set_id, wheels in self._of_set.items():
            carried = tuple(i for n in wheels for i in self.of_member[n] if self.candidates[i].choice is IdChoice.CLONE)
            corners = max((self._shown(car, set_id) for car in self._cars_of[set_id]), default=0) if carried else 0
            if corners and not staggered(self.garage, self.garage.sets[set_id], self.day):
                yield Proof(set_id, carried, self.tariff.show_corner.times(corners))

    @cached_property
    def _cars_of(self) -> dict[str, list[Car]]:
        """The owner's cars that each set goes on."""
        out: dict[str, list[Car]] = defaultdict(list)
        for set_id, car in dict.fromkeys((s.set, s.on) for s in self.line if s.on and s.until > self.day):
            if self.garage.cars[car].planned:
                out[set_id].append(self.garage.cars[car])
        return out

    def _shown(self, car: Car, set_id: str) -> int:
        """How many road wheels of a set a car shows on its dash."""
        at = (self._at(n, set_id) for n in self._of_set[set_id])
        return sum(c in ROAD_CORNERS and c in car.monitored_corners for c in at) if car.dash_shows else 0

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
        silent: dict[tuple[int, str], list[int]] = defaultdict(list)
        for i, c in enumerate(self.candidates):
            if c.action is Action.REFIT and c.silent_blank is None:
                refits[c.voice].append(i)
            elif c.silent_blank is not None:
                silent[c.silent_blank, c.voice].append(i)
        for family, own in sorted(refits.items()):
            rows = [
                (n, r)
                for n, r in enumerate(self.garage.blank)
                if family in r.families and r.at_rest is not AtRest.SILENT
            ]
            written = tuple(i for i in own if self.candidates[i].fresh_from is not FreshFrom.BOUGHT)
            for n, row in rows:
                yield Stock(n, family, row.count, self._saving(row), written, tuple(own), only)
            if only and not rows:
                yield Stock(-1, family, 0, 0, written, tuple(own), only)
        for (n, family), own in sorted(silent.items()):
            row = self.garage.blank[n]
            yield Stock(n, family, row.count, self._saving(row), tuple(own), (), only, silent=True)

    def _saving(self, row: Blank) -> int:
        return self.tariff.sensor_hundredths - (row.each.hundredths if row.each else 0)
