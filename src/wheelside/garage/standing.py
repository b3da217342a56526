"""What is on each car, by what was seen and else by the season line, and the line as it really goes on from a day.

The season line is what is meant. A change whose day has come is done once somebody has seen it done. Until then it stays
open for sixty days: the set before it is taken to be on. Write-up: docs/deciding.md, "What is on the car".
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from enum import StrEnum
from functools import cached_property

from wheelside.garage.model import Garage, StandIn, WheelSet
from wheelside.garage.season import FAR, SEEN_ROW, Spell, horizon_end, set_on, spells, where
from wheelside.garage.seen import Known, known_wheels
from wheelside.garage.words import ROAD_CORNERS, Corner, SeenHow

OPEN_DAYS = 60
"""So long a change that nobody has seen done stays open; from then on it counts as done. Our own figure, judgement: wheels are
changed within weeks of the day that was meant, and a question that comes back for half a year is not read any more."""
_EARLIEST = date(1980, 1, 1)


@dataclass(frozen=True, slots=True)
class OpenChange:
    """A set that is meant to go on a car by now, or is asked for, and is not on it.

    `going`: the set that is on, None where none is known. `due`: the day that the season line has; None where it was asked
    for. `assumed`: nobody has said since that day what is on, so that it has to be asked.
    """

    car: str
    coming: str
    going: str | None
    due: date | None
    assumed: bool


class Taken(StrEnum):
    """Why a set is taken to be on a car though nobody has said so."""

    FIRST = "first stay"
    OLD = "change of long ago"


@dataclass(frozen=True, slots=True)
class TakenOn:
    """A set that is taken to be on a car since a day, by the season line alone."""

    car: str
    set: str
    since: date
    why: Taken


class SeenStandIn(StandIn):
    """A wheel that was seen at a corner of a car whose set has another one there; no row of a file."""


@dataclass(frozen=True)
class Standing:
    """How things stand on a day. `day` to `end`: the days of the line."""

    garage: Garage
    day: date
    end: date

    # --- what is known

    @cached_property
    def known(self) -> dict[str, Known]:
        """What is known of each wheel that was seen; nothing of those whose set is sold or scrapped."""
        left = {w for s in self.garage.set if s.gone_by(self.day) for _, w in s.wheels}
        return {w: k for w, k in known_wheels(self.garage, self.day).items() if w not in left}

    @property
    def next_day(self) -> date:
        """The day from which an open change is in the line: the line has whole days, and today it is not done yet."""
        return self.day + timedelta(days=1)

    @cached_property
    def meant(self) -> tuple[Spell, ...]:
        """The season line as it is meant, from its first day on."""
        return spells(self.garage, _EARLIEST, self.end)

    @cached_property
    def meant_of(self) -> dict[str, tuple[Spell, ...]]:
        """The season line as it is meant, by set."""
        out: dict[str, list[Spell]] = defaultdict(list)
        for spell in self.meant:
            out[spell.set].append(spell)
        return {name: tuple(own) for name, own in out.items()}

    @cached_property
    def meant_on(self) -> dict[str, tuple[Spell, ...]]:
        """The season line as it is meant, by car."""
        out: dict[str, list[Spell]] = defaultdict(list)
        for spell in self.meant:
            if spell.on is not None:
                out[spell.on].append(spell)
        return {name: tuple(own) for name, own in out.items()}

    @cached_property
    def _cars(self) -> dict[str, _CarNow]:
        return {car.id: _CarNow(self, car.id) for car in self.garage.car}

    def set_on(self, car: str) -> str | None:
        """The set that is on a car now, or most of it; None where that is not known."""
        return self._cars[car].current

    @cached_property
    def car_of(self) -> dict[str, str]:
        """For each set that is on a car, or most of it: which."""
        return {on: car.id for car in self.garage.car if (on := self.set_on(car.id)) is not None}

    def wheel_at(self, car: str) -> dict[Corner, str]:
        """The wheels that are on a car now by corner, as far as that is known or taken."""
        return self._cars[car].corners

    def wholly_on(self, set_id: str, car: str) -> bool:
        """Whether every wheel of a set is on a car, at its own corner."""
        at = self.wheel_at(car)
        return all(at.get(c) == w for c, w in self.garage.sets[set_id].wheels if c in ROAD_CORNERS or c in at)

    def misplaced(self, car: str) -> tuple[tuple[Corner, str], ...]:
        """The wheels on a car that belong to another corner, or to another set than the one that is on: where they are."""
        base = self.garage.sets.get(self.set_on(car) or "")
        meant = dict(base.wheels) if base else {}
        standing_in = {s.wheel for s in stated_stand_ins(self.garage, self.day) if s.on == car}
        at = self.wheel_at(car)
        return tuple((c, w) for c, w in at.items() if base and meant.get(c, w) != w and w not in standing_in)

    def car_with(self, wheel: str) -> str | None:
        """The car that a wheel is on now; None where it is on none."""
        return next((car.id for car in self.garage.car if wheel in self.wheel_at(car.id).values()), None)

    @cached_property
    def open(self) -> tuple[OpenChange, ...]:
        """The changes that are due by now or asked for, the longest due first."""
        found = [c.open for c in self._cars.values() if c.open is not None]
        return tuple(sorted(found, key=lambda c: (c.due or self.day, c.car)))

    @cached_property
    def taken(self) -> tuple[TakenOn, ...]:
        """What is taken to be on by the season line alone, though nobody has said so."""
        return tuple(c.taken for c in self._cars.values() if c.taken is not None)

    # --- the line as it goes on

    @cached_property
    def line(self) -> tuple[Spell, ...]:
        """The season line from `day` to `end` as it really goes on: what is on stays on until the change is made."""
        out: list[Spell] = []
        for wheel_set in self.garage.set:
            own = tuple(s for s in self.meant_of.get(wheel_set.id, ()) if s.until > self.day)
            out += _SetNow(self, wheel_set, own).spells()
        return _untangled(out)

    @cached_property
    def here(self) -> Garage:
        """The garage with each wheel that was seen at the corner of another one standing in for it, until the next day."""
        rows = tuple(self._stand_ins())
        return replace(self.garage, stand_in=(*self.garage.stand_in, *rows)) if rows else self.garage

    def _stand_ins(self) -> Iterator[SeenStandIn]:
        busy = {w for s in stated_stand_ins(self.garage, self.day) for w in (s.wheel, s.instead_of)}
        grouped = {w for s in self.garage.set for _, w in s.wheels}
        for car in self.garage.car:
            base = self.garage.sets.get(self.set_on(car.id) or "")
            for corner, wheel in base.wheels if base else ():
                other = self.wheel_at(car.id).get(corner)
                if other is None or other == wheel or other not in grouped or {other, wheel} & busy:
                    continue
                known = self.known.get(wheel)
                at = known.at if known else None
                busy |= {other, wheel}
                yield SeenStandIn(
                    wheel=other, instead_of=wheel, on=car.id, other_at=at, since=self.day, until=self.next_day
                )

    # --- what the parts above ask

    def changes_of(self, car: str) -> tuple[tuple[date, str], ...]:
        """The days from which the season line means another set to be on a car, with the set."""
        out: list[tuple[date, str]] = []
        for spell in self.meant_on.get(car, ()):
            if not out or out[-1][1] != spell.set:
                out.append((spell.since, spell.set))
        return tuple(out)

    def move_of(self, set_id: str) -> OpenChange | None:
        """The open change that a set has part in."""
        return next((c for c in self.open if set_id in (c.coming, c.going)), None)


def stated_stand_ins(garage: Garage, day: date) -> tuple[StandIn, ...]:
    """The stand-ins of a day that the owner wrote down."""
    rows = (s for s in garage.stand_in if not isinstance(s, SeenStandIn))
    return tuple(s for s in rows if s.since <= day < s.until)


def _counted(wheel_set: WheelSet) -> tuple[str, ...]:
    """The wheels by which a set is known to be on a car: those at road corners; its spare, where it is nothing else."""
    road = tuple(w for c, w in wheel_set.wheels if c in ROAD_CORNERS)
    return road or tuple(w for _, w in wheel_set.wheels)


@dataclass(frozen=True)
class _CarNow:
    """What is on one car."""

    now: Standing
    car: str

    @cached_property
    def _seen_on(self) -> dict[Corner, Known]:
        return {k.corner: k for k in self.now.known.values() if k.on == self.car and k.corner is not None}

    @cached_property
    def _counts(self) -> Counter[str]:
        """How many wheels of each set were seen on this car."""
        set_of = {w: s.id for s in self.now.garage.set for _, w in s.wheels}
        seen = [(set_of[k.wheel], k.wheel) for k in self._seen_on.values() if k.wheel in set_of]
        return Counter(name for name, wheel in seen if wheel in _counted(self.now.garage.sets[name]))

    def _whole(self, set_id: str) -> bool:
        return 0 < len(_counted(self.now.garage.sets[set_id])) == self._counts[set_id]

    @property
    def _asked(self) -> str | None:
        return next((s for c, s in self.now.garage.asked if c == self.car), None)

    @cached_property
    def _meant(self) -> str | None:
        return self._asked or self._line_set

    @cached_property
    def _begun(self) -> str | None:
        """The set of which some wheels were fitted in a job, and not all: the change to it is half done."""
        fitted = [k for k in self._seen_on.values() if k.how is SeenHow.FITTED]
        for known in sorted(fitted, key=lambda k: (k.as_of, k.time), reverse=True):
            name = next((s for s in self._counts if self._belongs(known.wheel, s)), None)
            if name is not None:
                return None if self._whole(name) else name
        return None

    @cached_property
    def _seen_set(self) -> str | None:
        """The set that was seen on the car; of two of which a part is on it, the one that was there before.

        A part of one set alone says nothing of the other corners where the season line has another set on.
        """
        whole = next((s for s in self._counts if self._whole(s)), None)
        if whole is not None:
            return whole
        others = sorted((s for s in self._counts if s != self._begun), key=lambda s: (-self._counts[s], s))
        if len(self._counts) == 1 and others and self._by_line not in (None, others[0]):
            return None
        return others[0] if others else None

    @cached_property
    def _by_line(self) -> str | None:
        """The set that is on by the season line alone."""
        on, _ = self._followed(None, self._past)
        return on if self._line_set is not None or self._left_there(on) else None

    def _left_there(self, set_id: str | None) -> bool:
        """Whether the line had the set on this car last, and says of no other place since."""
        return set_id is not None and where(self.now.meant_of.get(set_id, ()), set_id, self.now.day) is None

    @cached_property
    def _line_set(self) -> str | None:
        return set_on(self.now.meant_on.get(self.car, ()), self.car, self.now.day)

    @cached_property
    def _since_seen(self) -> tuple[date, date | None]:
        """The day of which the newest row about the set that was seen is, and since when it had been on."""
        mine = [k for c, k in self._seen_on.items() if self._belongs(k.wheel, self._seen_set)]
        since = [k.since or (k.as_of if k.how is SeenHow.FITTED else None) for k in mine]
        return max(k.as_of for k in mine), max((d for d in since if d is not None), default=None)

    def _belongs(self, wheel: str, set_id: str | None) -> bool:
        wheel_set = self.now.garage.sets.get(set_id or "")
        return wheel_set is not None and any(w == wheel for _, w in wheel_set.wheels)

    @cached_property
    def _past(self) -> tuple[tuple[date, str], ...]:
        return tuple(c for c in self.now.changes_of(self.car) if c[0] <= self.now.day)

    @cached_property
    def _due(self) -> date | None:
        """The day of the season line's last change of this car; None where it has none yet."""
        return self._past[-1][0] if self._past else None

    @cached_property
    def _now(self) -> tuple[str | None, date | None]:
        """The set that is on, and the day of the season line that this rests on; None where the set was seen.

        From the set that was seen, or else from the car's first stay on, every change that counts as done is followed.
        """
        seen = self._seen_set
        if seen is None:
            on, since = self._followed(None, self._past)
            return (on, since) if self._line_set is not None or self._left_there(on) else (None, None)
        if self._asked is not None:
            return seen, None
        last, _ = self._since_seen
        return self._followed(seen, tuple(c for c in self._past if c[0] > last))

    def _followed(self, on: str | None, changes: tuple[tuple[date, str], ...]) -> tuple[str | None, date | None]:
        """The set that is on after every change that counts as done, and the day of the last of them."""
        since: date | None = None
        for day, set_id in changes:
            if set_id == on:
                continue
            if on is not None and not self._counts_as_done(day, set_id, on):
                break
            on, since = set_id, day
        gone = on is not None and self.now.garage.sets[on].gone_by(self.now.day)
        if gone or (on is not None and since is not None and self._elsewhere(on, since)):
            return None, None
        return on, since

    def _counts_as_done(self, day: date, coming: str, going: str | None) -> bool:
        if self._elsewhere(coming, day) or self._partly(coming, day):
            return False
        left = going is not None and self._elsewhere(going, day)
        return left or (self.now.day - day).days > OPEN_DAYS

    def _partly(self, set_id: str, since: date) -> bool:
        """Whether some wheels of a set were seen on this car on a day or later, and not all of them."""
        seen = [k for k in self._seen_on.values() if k.wheel in _counted(self.now.garage.sets[set_id])]
        return any(k.as_of >= since for k in seen) and not self._whole(set_id)

    def _elsewhere(self, set_id: str, since: date) -> bool:
        """Whether all wheels of a set were seen off this car on a day or later."""
        known = [self.now.known.get(w) for w in _counted(self.now.garage.sets[set_id])]
        return bool(known) and all(k is not None and k.on != self.car and k.as_of >= since for k in known)

    @property
    def current(self) -> str | None:
        return self._now[0]

    @cached_property
    def corners(self) -> dict[Corner, str]:
        base = self.now.garage.sets.get(self.current or "")
        out = dict(base.wheels) if base else {}
        for corner, wheel in list(out.items()):
            known = self.now.known.get(wheel)
            if known is not None and (known.on, known.corner) != (self.car, corner) and self._still_counts(known):
                del out[corner]
        out |= {c: self._stand_ins[w] for c, w in out.items() if w in self._stand_ins and c not in self._seen_on}
        out |= {c: k.wheel for c, k in self._seen_on.items() if self._still_counts(k)}
        if base is not None and Corner.SPARE in out and self._spare_not_reached(base):
            del out[Corner.SPARE]
            out.update((Corner.SPARE, w) for w in self._spares_left())
        return out

    def _spare_not_reached(self, base: WheelSet) -> bool:
        """Whether the set was fitted in a job that is not finished, and its spare was not put in yet."""
        at = dict(base.wheels)
        spare, road = at.get(Corner.SPARE), [self._seen_on.get(c) for c in ROAD_CORNERS]
        fitted = any(k is not None and k.unfinished and self._belongs(k.wheel, base.id) for k in road)
        return fitted and spare is not None and spare not in self.now.known

    def _spares_left(self) -> Iterator[str]:
        """The spare of the set whose wheels such a job took off: it is still in its place."""
        for wheel_set in self.now.garage.set:
            known = [self.now.known.get(w) for c, w in wheel_set.wheels if c in ROAD_CORNERS]
            off = any(k is not None and k.loose and k.unfinished for k in known)
            yield from (w for c, w in wheel_set.wheels if off and c is Corner.SPARE and w not in self.now.known)

    def _still_counts(self, known: Known) -> bool:
        """Whether what was seen of a wheel is newer than what the current set's being on rests on."""
        since = self._now[1]
        return since is None or known.as_of >= since

    @cached_property
    def open(self) -> OpenChange | None:
        meant, current, begun = self._meant, self.current, self._begun
        if self._asked is None and any(s == meant for _, s in self.now.garage.asked):
            return None  # the set that is due here is asked for on another car
        if meant is not None and self.now.garage.sets[meant].gone_by(self.now.day):
            return None
        if begun is not None and begun != current and self._asked in (None, begun):
            return OpenChange(self.car, begun, current, self._due if begun == self._line_set else None, assumed=False)
        if meant is None or (meant == current and self._complete(meant)):
            return None
        due = None if self._asked else self._due
        if current is None and due is not None and self._elsewhere(meant, due):
            return None
        if meant == current:
            return OpenChange(self.car, meant, self._other(meant), None, assumed=False)
        if self._now[1] is None and current is not None and not self._asked:
            last, since = self._since_seen
            if due is None or (since is not None and since >= due) or self._early(current, due, last):
                return None
            return OpenChange(self.car, meant, current, due, assumed=last < due)
        partly = due is not None and self._partly(meant, due)
        return OpenChange(self.car, meant, current, due, assumed=not partly and not self._asked and current is not None)

    def _early(self, current: str, due: date, last: date) -> bool:
        """Whether the set that was seen is the one that the line's next change brings, and that day is nearer than the last one's."""
        ahead = [day for day, set_id in self.now.changes_of(self.car) if day > last and set_id == current]
        return bool(ahead) and due <= last and ahead[0] - last < last - due

    def _other(self, meant: str) -> str | None:
        """The set some of whose wheels are on the car beside the one that is meant."""
        return next((s for s, _ in self._counts.most_common() if s != meant), None)

    def _complete(self, set_id: str) -> bool:
        at, wheels = self.corners, self.now.garage.sets[set_id].wheels
        counted = _counted(self.now.garage.sets[set_id])
        return all(at.get(c) in (w, self._stand_ins.get(w)) for c, w in wheels if w in counted)

    @cached_property
    def _stand_ins(self) -> dict[str, str]:
        """The wheels for which another one stands in on this car today, by the owner's word, and which."""
        day = self.now.day
        return {s.instead_of: s.wheel for s in stated_stand_ins(self.now.garage, day) if s.on == self.car}

    @cached_property
    def taken(self) -> TakenOn | None:
        since = self._now[1]
        if since is None or self.current is None or self.open is not None:
            return None
        first = bool(self._past) and since == self._past[0][0]
        return TakenOn(self.car, self.current, since, Taken.FIRST if first else Taken.OLD)


@dataclass(frozen=True)
class _SetNow:
    """The spells of one set as they go on from now. `own`: those that are meant, from `day` on."""

    now: Standing
    set: WheelSet
    own: tuple[Spell, ...]

    @property
    def _ever(self) -> tuple[Spell, ...]:
        return self.now.meant_of.get(self.set.id, ())

    @cached_property
    def _meant(self) -> Spell | None:
        return where(self.own, self.set.id, self.now.day)

    @cached_property
    def _car(self) -> str | None:
        return self.now.car_of.get(self.set.id)

    @cached_property
    def _is(self) -> Spell | None:
        """Where the set is today, as a spell that lasts until it is cut; None where nothing says."""
        day = self.now.day
        if self._car is not None:
            return self._at_home(on=self._car) or Spell(day, FAR, self.set.id, self._car, None, None, row=SEEN_ROW)
        lying = self._seen_lying()
        if lying is not None:
            return lying
        meant = self._meant
        if meant is not None and meant.on is None:
            return meant
        if meant is not None:  # meant to be on a car, and not on it
            move = self.now.move_of(self.set.id)
            before = move.due - timedelta(days=1) if move and move.due and move.coming == self.set.id else None
            lay = where(self._ever, self.set.id, before) if before else None
            if lay is not None and lay.on is None:
                return replace(lay, until=FAR)
        return self._storage() if meant is not None else None

    def _at_home(self, *, on: str) -> Spell | None:
        """The spell by which the line has the set on a car today, or had it last."""
        mine = [s for s in self._ever if s.on == on and s.since <= self.now.day]
        return replace(mine[-1], until=FAR) if mine else None

    def _seen_lying(self) -> Spell | None:
        """The place where all of its wheels that were seen lie, unless the line has moved it since."""
        known = [k for _, w in self.set.wheels if (k := self.now.known.get(w)) is not None and not k.loose]
        spots = {k.spot for k in known}
        if len(spots) != 1 or known[0].on is not None:
            return None
        newest = max(k.as_of for k in known)
        meant = self._meant
        if meant is not None and meant.on is None and meant.since > newest:
            return None
        _, at, riding_in = spots.pop()
        return Spell(newest, FAR, self.set.id, None, at, riding_in, row=SEEN_ROW)

    def _storage(self) -> Spell | None:
        """Where the line keeps the set when it is on no car: the next such stay, else the last one."""
        later = [s for s in self.own if s.since > self.now.day and s.on is None]
        earlier = [s for s in self._ever if s.on is None and s.since <= self.now.day]
        kept = later[0] if later else earlier[-1] if earlier else None
        return replace(kept, since=self.now.day, until=FAR) if kept else None

    def spells(self) -> Iterator[Spell]:
        """What is, until the open change or the next day that the line has for this set; then the line."""
        move, leaves = self.now.move_of(self.set.id), self.set.leaves
        if leaves is not None and leaves <= self.now.day:
            return iter(self.own)
        if move is None and self._as_meant():
            return iter(self.own)
        end = min(self.now.end, leaves) if leaves else self.now.end
        made = list(self._moved(move) if move else self._otherwise())
        return (replace(s, until=min(s.until, end)) for s in made if s.since < min(s.until, end))

    def _as_meant(self) -> bool:
        is_, meant = self._is, self._meant
        if is_ is None or meant is None:
            return is_ is None and meant is None
        return (is_.on, is_.at, is_.riding_in) == (meant.on, meant.at, meant.riding_in)

    def _otherwise(self) -> Iterator[Spell]:
        """The set is elsewhere than meant, and nothing is due about it: so until the line moves it next."""
        until = self._meant.until if self._meant else next((s.since for s in self.own), FAR)
        if self._car is not None:
            until = min(until, self._next_of(self._car, self.set.id))
        yield from self._today(until)
        yield from _from(self.own, until)

    def _moved(self, move: OpenChange) -> Iterator[Spell]:
        day = self.now.next_day
        yield from self._today(day)
        meant = self._meant
        if move.coming == self.set.id:
            home = meant if meant is not None and meant.on == move.car else None
            until = home.until if home else self._next_of(move.car, self.set.id)
            row = home.row if home else SEEN_ROW
            yield Spell(day, until, self.set.id, move.car, None, None, row=row)
            yield from _from(self.own, until)
            return
        if meant is not None and meant.on != move.car:
            yield from _from(self.own, day)
            return
        until = min(meant.until if meant else FAR, self._next_of(move.car, move.coming))
        kept = self._storage()
        if kept is not None:
            yield replace(kept, since=day, until=until)
        yield from _from(self.own, until)

    def _today(self, until: date) -> Iterator[Spell]:
        if self._is is not None:
            yield replace(self._is, since=min(self._is.since, self.now.day), until=until)

    def _next_of(self, car: str, but: str) -> date:
        """The next day on which the line means another set to go on a car."""
        later = [s for s in self.now.meant_on.get(car, ()) if s.since > self.now.day and s.set != but]
        return min((s.since for s in later), default=FAR)


def _from(own: tuple[Spell, ...], day: date) -> Iterator[Spell]:
    for s in own:
        if s.until > day and max(s.since, day) < s.until:
            yield replace(s, since=max(s.since, day))


def _untangled(found: list[Spell]) -> tuple[Spell, ...]:
    """The spells in order of time, with one set at a time on each car: the earlier one ends where the next begins."""
    line = sorted(found, key=lambda s: (s.since, s.until, s.set, f"{s.on}|{s.at}|{s.riding_in}"))
    for n, spell in enumerate(line):
        later = [o for o in line[n + 1 :] if o.on is not None and o.on == spell.on and o.set != spell.set]
        if later and later[0].since < spell.until:
            line[n] = replace(spell, until=later[0].since)
    return tuple(s for s in line if s.since < s.until)


def standing(garage: Garage, day: date) -> Standing:
    """How things stand on a day, for as long as the owner's plan looks ahead."""
    return Standing(garage, day, horizon_end(garage, day))


def line_now(garage: Garage, day: date, end: date) -> tuple[Spell, ...]:
    """The season line from `day` to `end` as it really goes on, by what was seen; see `Standing`."""
    return Standing(garage, day, end).line
