"""What must not come together held against the season line, moment by moment, and how many sets are where."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from itertools import combinations

from wheelside.earshot.hearing import heard_between, set_heard
from wheelside.garage.ids import proven_different
from wheelside.garage.joined import loose_sensors
from wheelside.garage.model import Car, Sensor
from wheelside.garage.present import line_now
from wheelside.garage.season import Spell, car_place, spells
from wheelside.garage.words import AtRest, TakenOut
from wheelside.identity.audit_base import Audited
from wheelside.identity.breach import Breach
from wheelside.identity.choice import Action, IdChoice
from wheelside.identity.roll import Key

_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class _Speaker:
    """A sensor that may send some IDs, from a day until another: in a wheel, or lying at a place. `fixed`: whether no plan decides about it."""

    name: str
    keys: frozenset[Key]
    family: str
    silent: bool
    wheel: str | None
    place: str | None
    fixed: bool = False
    since: date = date.min
    until: date = date.max


class Apart(Audited):
    """The season line and what meets along it."""

    def breaches(self) -> Iterator[Breach]:
        yield from self._line()
        yield from self._apart()
        yield from self._room()

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
                if s.until > day:
                    name = self.in_sets[s.wheel][0].id if s.wheel else ""
                    return Spell(one.since, one.until, name, one.on if fitted else None, at, riding)
        if s.wheel is None:
            return None
        beside = self._with(s.wheel, day)
        return False if beside is None else next((x for x in self.spells_of[beside] if x.covers(day)), None)

    @cached_property
    def _before(self) -> tuple[Spell, ...]:
        """The spells on cars before today, as the season line means them."""
        return tuple(s for s in spells(self.garage, date.min, self.plan.day) if s.on)

    def _with(self, wheel: str, day: date) -> str | None:
        """The set that a wheel is with on a day: the one that is on a car, else the last that was, else the first; None where all have left."""
        sets = [s.id for s in self.in_sets[wheel]]
        there = [name for name in sets if not self.left(name, day)]
        before = [(s.until - _DAY, s) for s in self._before if s.set in sets]
        after = [
            (min(s.until - _DAY, day), s) for name in sets for s in self.spells_of[name] if s.on and s.since <= day
        ]
        on = [(then, -sets.index(s.set)) for then, s in (*before, *after)]
        now = [name for name in there if any(s.on and s.covers(day) for s in self.spells_of[name])]
        last = [sets[-n] for _, n in sorted(on, reverse=True)]
        return next(iter([*now, *(n for n in last[:1] if n in there), *there]), None)

    # --- what must not come together

    @cached_property
    def _speakers(self) -> tuple[_Speaker, ...]:
        out = []
        wishes = self.garage.plan
        for w in self.plan.wheels:
            sensor, gone = self.sensor(w.wheel), self.gone(w.wheel)
            given = frozenset({w.id.key}) if w.id else frozenset()
            own = frozenset(one.key for one in self.roll.carried_by(sensor))
            silent = w.silent or (w.action is Action.STAYS and sensor is not None and sensor.at_rest is AtRest.SILENT)
            keys = own if w.choice is IdChoice.KEEP else given
            out.append(
                _Speaker(w.wheel, keys, self.family(w), silent, w.wheel, None, since=w.when or date.min, until=gone)
            )
            if w.when is not None:
                out.append(_Speaker(w.wheel, own, self.family(w), silent, w.wheel, None, until=min(gone, w.when)))
            if w.action is Action.REFIT and sensor is not None and wishes.taken_out is TakenOut.KEEP:
                out.append(self._lying(sensor, wishes.keep_at))
        out += [self._lying(s, s.kept_at, fixed=True) for s in loose_sensors(self.garage, self.plan.day)]
        for wheel, sets in self.in_sets.items():
            sensor = self.sensor(wheel)
            if sensor and {s.id for s in sets} <= self.theirs:
                keys = frozenset(one.key for one in self.roll.carried_by(sensor))
                silent = sensor.at_rest is AtRest.SILENT
                out.append(
                    _Speaker(wheel, keys, sensor.family or "", silent, wheel, None, fixed=True, until=self.gone(wheel))
                )
        return tuple(out)

    def _lying(self, sensor: Sensor, place: str | None, *, fixed: bool = False) -> _Speaker:
        keys = frozenset(one.key for one in self.roll.carried_by(sensor))
        return _Speaker(sensor.id, keys, sensor.family or "", sensor.at_rest is AtRest.SILENT, None, place, fixed)

    def _apart(self) -> Iterator[Breach]:
        by_key: dict[Key, list[_Speaker]] = defaultdict(list)
        for s in self._speakers:
            for key in s.keys:
                by_key[key].append(s)
        for key, group in sorted(by_key.items()):
            for a, b in combinations(group, 2):
                if (
                    not (a.fixed and b.fixed)
                    and a.wheel != (b.wheel or "")
                    and not proven_different(self.garage, a.family, b.family)
                ):
                    yield from self._meet(key, a, b)

    def _meet(self, key: Key, a: _Speaker, b: _Speaker) -> Iterator[Breach]:
        told: set[str] = set()
        minding = [car for car in self.direct if self._minds(car, key, a, b)]
        for day in self._days_of(a, b):
            for rule, where in self._ways(minding, a, b, day):
                if rule not in told:
                    told.add(rule)
                    yield Breach(rule, f"{a.name} and {b.name}", f"{key[1]:X} {where} on {day}")
        for one, other in ((a, b), (b, a)):
            with_set = self.last_of(one.wheel) if one.wheel else None
            sold = with_set.sold if with_set else None
            if sold is None or not self.plan.day < sold < self.plan.end or not one.since < sold <= one.until:
                continue
            beside = other.wheel is not None and self.last_of(other.wheel) is with_set
            if other.until > sold and not beside and "sold-alike" not in told:
                told.add("sold-alike")
                yield Breach("sold-alike", f"{a.name} and {b.name}", f"{key[1]:X} is sold on {sold} and still here")

    def _days_of(self, a: _Speaker, b: _Speaker) -> list[date]:
        """The days on which either comes to be somewhere else, or any car or wheel is moved for a time."""
        sets = {s.id for one in (a, b) if one.wheel for s in self.in_sets[one.wheel]}
        moves = {d for name in sets for s in self.spells_of[name] for d in (s.since, s.until)} | self._turns
        moves |= {a.since, b.since}
        days = sorted({self.plan.day} | {d for d in moves if self.plan.day < d < self.plan.end})
        return [d for d in days if all(one.since <= d < one.until for one in (a, b))]

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
        if s.wheel is None:
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
        return s.wheel is not None and (lent or any(car in self.cars_of[x.id] for x in self.in_sets[s.wheel]))

    @cached_property
    def _listed(self) -> dict[str, set[Key]]:
        return {
            car.id: {one.key for rows in self.roll.listed(car) for ids, _, _ in rows for one in ids}
            for car in self.direct
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
