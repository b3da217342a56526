"""The teachings of a plan held against what each car can remember, played through day by day."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

from wheelside.garage.joined import parts_on
from wheelside.garage.model import Car, Garage
from wheelside.garage.words import Corner, Teaching, WhenFull
from wheelside.identity.breach import Breach
from wheelside.identity.choice import IdChoice
from wheelside.identity.plan import IdentityPlan, WheelPlan
from wheelside.identity.roll import Key, Listed, Roll
from wheelside.identity.teaching import TeachPlan, WhyTaught

Content = tuple[tuple[Corner, Key | None], ...]
"""What a set carries at each corner that a car watches."""
Entry = int | str
"""What stands in a list: a group from the start by its number, or a set that was taught."""


def memory_breaches(garage: Garage, plan: IdentityPlan, roll: Roll) -> Iterator[Breach]:
    """'mounts' where the plan tells of other changes than the season line; 'not-taught' and 'taught-twice' where it
    leaves out a teaching that is needed, or asks for one that is not; 'reason' where it gives one that can't be."""
    for car in garage.car:
        told = [t for t in plan.teachings if t.car == car.id]
        asked = [s for s in plan.line if s.on == car.id and s.until > plan.day] if car.planned else []
        if [(t.set, t.day) for t in told] != [(s.set, max(s.since, plan.day)) for s in asked]:
            yield Breach("mounts", car.id, "the plan tells of other changes of wheels than the season line")
        elif told:
            if car.taught_by is Teaching.NOT and any(t.needed for t in told):
                yield Breach("untaught", car.id, "it can't be taught")
            memory = _Memory(garage, plan, roll, car)
            yield from memory.played(told)
            for t in told:
                yield from memory.reasoned(t)


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
        groups = [rows for rows in self.roll.listed(self.car) if self._may_hold(t.set, rows)]
        if not t.needed or not groups:
            yield Breach("reason", about, "something is to be found out first, and the list can't hold the set")
        if t.likely and not any(t.likely in ids for rows in groups for ids, _, _ in rows):
            yield Breach("reason", about, f"{t.likely.hex} is in no group of the list that may hold the set")
        if t.likely and t.likely.key in {w.id.key for w in self.plan.wheels if w.id}:
            yield Breach("reason", about, f"{t.likely.hex} is another wheel's")

    def _may_hold(self, set_id: str, rows: tuple[Listed, ...]) -> bool:
        watched = self.car.monitored_corners
        wheels = [w for w in self.plan.wheels if w.set == set_id and w.corner in watched]
        return len(rows) >= len({w.id.key if w.id else w.wheel for w in wheels}) and all(
            any(self._may_be(w, row) for row in rows) for w in wheels
        )

    def _may_be(self, w: WheelPlan, row: Listed) -> bool:
        ids, corner, _ = row
        if self.car.corner_aware is not False and corner not in (w.corner, None):
            return False
        sensor = parts_on(self.garage, w.wheel, self.plan.day).sensor
        own = {w.id.key} if w.id else {one.key for one in self.roll.carried_by(sensor)}
        return w.choice is not IdChoice.FRESH and (not own or not ids or bool(own & {one.key for one in ids}))

    def played(self, told: list[TeachPlan]) -> Iterator[Breach]:
        contents = {t.set: self._content(t.set) for t in told}
        start = tuple(range(len(self.roll.held(self.car))))
        play = self._chosen if self.car.when_full is WhenFull.CHOSEN else self._oldest
        yield from play(told, contents, start)

    def _content(self, set_id: str) -> Content:
        watched = self.car.monitored_corners
        wheels = [w for w in self.plan.wheels if w.set == set_id and w.corner in watched]
        return tuple(sorted((w.corner, w.id.key if w.id else None) for w in wheels))

    def _room(self) -> int:
        return self.car.slots or max(1, len(self.roll.held(self.car)))

    def _knows(self, entry: Entry, set_id: str, contents: dict[str, Content]) -> bool:
        """Whether an entry of the list serves for a set."""
        mine = contents[set_id]
        if isinstance(entry, int):
            group = self.roll.held(self.car)[entry]
            return all(
                key is not None
                and any(
                    h.id.key == key and (self.car.corner_aware is False or h.corner in (corner, None)) for h in group
                )
                for corner, key in mine
            )
        if entry == set_id:
            return True
        theirs = contents[entry]
        if any(key is None for _, key in (*mine, *theirs)):
            return False
        if self.car.corner_aware is False:
            return Counter(key for _, key in mine) == Counter(key for _, key in theirs)
        return mine == theirs

    def _oldest(
        self, told: list[TeachPlan], contents: dict[str, Content], start: tuple[Entry, ...]
    ) -> Iterator[Breach]:
        listed = list(start)
        for t in told:
            known = any(self._knows(e, t.set, contents) for e in listed)
            if known and t.needed:
                yield Breach("taught-twice", f"{t.set} on {self.car.id}", f"its list holds it on {t.day}")
            if not known and not t.needed:
                yield Breach("not-taught", f"{t.set} on {self.car.id}", f"its list does not hold it on {t.day}")
            if t.needed:
                listed = self._with(listed, t.set)

    def _with(self, listed: list[Entry], set_id: str) -> list[Entry]:
        """The list after teaching a set: a full one forgets everything, or the oldest."""
        full = len(listed) >= self._room()
        return [set_id] if full and self.car.when_full is WhenFull.ALL else [*listed, set_id][-self._room() :]

    def _chosen(
        self, told: list[TeachPlan], contents: dict[str, Content], start: tuple[Entry, ...]
    ) -> Iterator[Breach]:
        """The owner picks what goes: some way of picking has to bear the plan out, and none with fewer teachings."""
        states = {frozenset(start): 0}
        least = {frozenset(start): 0}
        for t in told:
            if not t.needed:
                states = {s: n for s, n in states.items() if any(self._knows(e, t.set, contents) for e in s)}
            else:
                states = self._after(states, t.set)
            if not states:
                yield Breach(
                    "not-taught", f"{t.set} on {self.car.id}", f"no list that it could have then holds it on {t.day}"
                )
                return
            known = {s: n for s, n in least.items() if any(self._knows(e, t.set, contents) for e in s)}
            taught = self._after({s: n for s, n in least.items() if s not in known}, t.set)
            least = {s: min(known.get(s, 10**9), taught.get(s, 10**9)) for s in {*known, *taught}}
        if min(least.values()) < sum(t.needed for t in told):
            yield Breach("taught-twice", self.car.id, "fewer teachings would do")

    def _after(self, states: dict[frozenset[Entry], int], set_id: str) -> dict[frozenset[Entry], int]:
        """The lists that there can be after teaching a set, with the fewest teachings for each."""
        out: dict[frozenset[Entry], int] = {}
        for listed, count in states.items():
            for kept in combinations(sorted(listed, key=str), min(len(listed), self._room() - 1)):
                state = frozenset({*kept, set_id})
                out[state] = min(count + 1, out.get(state, count + 1))
        return out
