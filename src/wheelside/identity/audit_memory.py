"""The teachings of a plan held against what each car can remember, played through day by day."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from itertools import combinations

from wheelside.garage.joined import parts_on
from wheelside.garage.model import Car, Garage
from wheelside.garage.words import Corner, Teaching, WhenFull
from wheelside.identity.audit_base import Audited
from wheelside.identity.breach import Breach
from wheelside.identity.choice import IdChoice
from wheelside.identity.plan import IdentityPlan, WheelPlan
from wheelside.identity.roll import Key, Listed, Roll
from wheelside.identity.teaching import TeachPlan, WhyTaught

Content = tuple[tuple[Corner, Key | str], ...]
"""What a set carries at each corner that a car watches: an ID, or a name for one that is not known beforehand."""
Entry = int | Content
"""What stands in a list: a group from the start by its number, or what was taught."""


def memory_breaches(audited: Audited) -> Iterator[Breach]:
    """'mounts' where the plan tells of other changes than the season line; 'not-taught' and 'taught-twice' where it
    leaves out a teaching that is needed, or asks for one that is not; 'reason' where it gives one that can't be."""
    plan = audited.plan
    for car in audited.garage.car:
        told = [t for t in plan.teachings if t.car == car.id]
        if [(t.set, t.day) for t in told] != (list(_met(plan, car)) if car.planned else []):
            yield Breach("mounts", car.id, "the plan tells of other changes of wheels than the season line")
        elif told:
            if car.taught_by is Teaching.NOT and any(t.needed for t in told):
                yield Breach("untaught", car.id, "it can't be taught")
            memory = _Memory(audited.garage, plan, audited.roll, car)
            yield from memory.played(told)
            for t in told:
                yield from memory.reasoned(t)


def _met(plan: IdentityPlan, car: Car) -> Iterator[tuple[str, date]]:
    """When a car meets which set: as it goes on, and where a wheel that it watches is written while it is on."""
    for spell in plan.line:
        if spell.on == car.id and spell.until > plan.day:
            since = max(spell.since, plan.day)
            wheels = [w for w in plan.wheels if w.is_in(spell.set) and w.corner_in(spell.set) in car.monitored_corners]
            days = {w.when for w in wheels if w.when is not None and since < w.when < spell.until}
            yield from ((spell.set, day) for day in sorted({since, *days}))


@dataclass(frozen=True, slots=True)
class _Memory:
    garage: Garage
    plan: IdentityPlan
    roll: Roll
    car: Car

    def reasoned(self, t: TeachPlan) -> Iterator[Breach]:
        """What is said of a teaching can be so: it is open only where no wheel is surely absent from a whole group of the list."""
        about = f"{t.set} on {self.car.id}"
        if t.needed == (t.reason in (WhyTaught.HELD, WhyTaught.REMEMBERED)):
            yield Breach("reason", about, f"needed: {t.needed}, for it is {t.reason.value}")
        if t.first is None:
            return
        groups = [rows for rows in self.roll.listed(self.car) if self._may_hold(t.set, t.day, rows)]
        if not t.needed or not groups:
            yield Breach("reason", about, "something is to be found out first, and the list can't hold the set")
        if t.likely and not any(t.likely in ids for rows in groups for ids, _, _ in rows):
            yield Breach("reason", about, f"{t.likely.hex} is in no group of the list that may hold the set")
        if t.likely and t.likely.key in {one.id.key for w in self.plan.wheels if (one := w.as_on(t.day)).id}:
            yield Breach("reason", about, f"{t.likely.hex} is another wheel's")

    def _may_hold(self, set_id: str, day: date, rows: tuple[Listed, ...]) -> bool:
        watched = self.car.monitored_corners
        wheels = [w for w in self.plan.wheels if w.is_in(set_id) and w.corner_in(set_id) in watched]
        now = [w.as_on(day) for w in wheels]
        return len(rows) >= len({w.id.key if w.id else w.wheel for w in now}) and all(
            any(self._may_be(w, w.corner_in(set_id), row) for row in rows) for w in now
        )

    def _may_be(self, w: WheelPlan, at: Corner, row: Listed) -> bool:
        ids, corner, _ = row
        if self.car.corner_aware is not False and corner not in (at, None):
            return False
        sensor = parts_on(self.garage, w.wheel, self.plan.day).sensor
        own = {w.id.key} if w.id else {one.key for one in self.roll.carried_by(sensor)}
        return w.choice is not IdChoice.FRESH and (not own or not ids or bool(own & {one.key for one in ids}))

    def played(self, told: list[TeachPlan]) -> Iterator[Breach]:
        contents = [self._content(t) for t in told]
        start = tuple(range(len(self.roll.held(self.car))))
        play = self._chosen if self.car.when_full is WhenFull.CHOSEN else self._oldest
        yield from play(told, contents, start)

    def _content(self, t: TeachPlan) -> Content:
        """What a set carries when it goes on the car."""
        watched = self.car.monitored_corners
        out: list[tuple[Corner, Key | str]] = []
        for w in self.plan.wheels:
            if w.is_in(t.set) and w.corner_in(t.set) in watched:
                now = w.as_on(t.day)
                known = now.id is not None and now.choice is not IdChoice.FRESH
                out.append((w.corner_in(t.set), now.id.key if known and now.id else f"{w.wheel} {now.choice.value}"))
        return tuple(sorted(out, key=lambda row: row[0]))

    def _room(self) -> int:
        return self.car.slots or max(1, len(self.roll.held(self.car)))

    def _knows(self, entry: Entry, mine: Content) -> bool:
        """Whether an entry of the list serves for what a set carries."""
        if isinstance(entry, int):
            group = self.roll.held(self.car)[entry]
            return all(
                any(h.id.key == key and (self.car.corner_aware is False or h.corner in (corner, None)) for h in group)
                for corner, key in mine
            )
        if self.car.corner_aware is False:
            return Counter(key for _, key in mine) == Counter(key for _, key in entry)
        return mine == entry

    def _oldest(self, told: list[TeachPlan], contents: list[Content], start: tuple[Entry, ...]) -> Iterator[Breach]:
        listed = list(start)
        for t, mine in zip(told, contents, strict=True):
            known = any(self._knows(e, mine) for e in listed)
            if known and t.needed:
                yield Breach("taught-twice", f"{t.set} on {self.car.id}", f"its list holds it on {t.day}")
            if not known and not t.needed:
                yield Breach("not-taught", f"{t.set} on {self.car.id}", f"its list does not hold it on {t.day}")
            if t.needed:
                listed = self._with(listed, mine)

    def _with(self, listed: list[Entry], taught: Content) -> list[Entry]:
        """The list after a teaching: a full one forgets everything, or the oldest."""
        full = len(listed) >= self._room()
        return [taught] if full and self.car.when_full is WhenFull.ALL else [*listed, taught][-self._room() :]

    def _chosen(self, told: list[TeachPlan], contents: list[Content], start: tuple[Entry, ...]) -> Iterator[Breach]:
        """The owner picks what goes: some way of picking has to bear the plan out, and none with fewer teachings."""
        states = {frozenset(start): 0}
        least = {frozenset(start): 0}
        for t, mine in zip(told, contents, strict=True):
            with_it = {s: n for s, n in states.items() if any(self._knows(e, mine) for e in s)}
            states = self._after(states, mine) if t.needed else with_it
            if not states:
                yield Breach(
                    "not-taught", f"{t.set} on {self.car.id}", f"no list that it could have then holds it on {t.day}"
                )
                return
            known = {s: n for s, n in least.items() if any(self._knows(e, mine) for e in s)}
            taught = self._after({s: n for s, n in least.items() if s not in known}, mine)
            least = {s: min(known.get(s, 10**9), taught.get(s, 10**9)) for s in {*known, *taught}}
        if min(least.values()) < sum(t.needed for t in told):
            yield Breach("taught-twice", self.car.id, "fewer teachings would do")

    def _after(self, states: dict[frozenset[Entry], int], taught: Content) -> dict[frozenset[Entry], int]:
        """The lists that there can be after a teaching, with the fewest teachings for each."""
        out: dict[frozenset[Entry], int] = {}
        for listed, count in states.items():
            for kept in combinations(sorted(listed, key=str), min(len(listed), self._room() - 1)):
                state = frozenset({*kept, taught})
                out[state] = min(count + 1, out.get(state, count + 1))
        return out
