"""What each car is taught when, and why: the reason as a code, what to do first, and both in words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from wheelside.finding import Basis, Ground
from wheelside.garage.model import Car, Garage
from wheelside.garage.words import Corner, WhenFull
from wheelside.identity.choice import Candidate, IdChoice, Member
from wheelside.identity.costs import NOTHING, Price
from wheelside.identity.explain import listed
from wheelside.identity.listed import Carrier, Compared, compared
from wheelside.identity.problem import Mount, Problem
from wheelside.identity.roll import Roll
from wheelside.identity.solve import Solution
from wheelside.sensor.ident import SensorId


class Reason(StrEnum):
    """Why a set is taught when it goes on, or why not."""

    HELD = "held"
    REMEMBERED = "remembered"
    LIST_NOT_KNOWN = "list not known"
    NEW_IDS = "new IDs"
    NOT_HELD = "not held"
    EMPTY_SLOT = "empty slot"
    OTHER_CORNERS = "other corners"
    FORGOTTEN = "forgotten"
    NOT_READ = "not read"
    TWO_READINGS = "two readings"
    LEFT_OVER = "the one left over"


class First(StrEnum):
    """What has to be found out before it can be said whether there is anything to teach."""

    TRIGGER = "trigger"
    BITS = "how many bits"
    FORM = "hex or decimal"


@dataclass(frozen=True, slots=True)
class Moved:
    """A wheel whose ID the list holds at another corner than it is at."""

    wheel: str
    corner: Corner
    listed: Corner


@dataclass(frozen=True, slots=True)
class TeachPlan:
    """A set going on a car, and whether the car has to be taught it then.

    `needed`: whether it is allowed for in the plan's cost. `first`: what to find out before anything is taught; None where nothing
    is open. `wheels`: those that the reason is about. `likely`: the ID that is left over for the one wheel whose ID is not read.
    `moved`: wheels that the list has elsewhere. `bits`: the widths in which the numbers are those of the list.
    """

    car: str
    set: str
    day: date
    needed: bool
    price: Price
    why: str
    basis: Basis
    reason: Reason = Reason.NOT_HELD
    first: First | None = None
    wheels: tuple[str, ...] = ()
    likely: SensorId | None = None
    moved: tuple[Moved, ...] = ()
    bits: tuple[int, ...] = ()

    @property
    def certain(self) -> bool:
        """Whether it is to be taught, as far as is known, without finding anything out first."""
        return self.needed and self.first is None


@dataclass(frozen=True, slots=True)
class _Answer:
    reason: Reason
    first: First | None = None
    wheels: tuple[str, ...] = ()
    likely: SensorId | None = None
    moved: tuple[Moved, ...] = ()
    bits: tuple[int, ...] = ()


def teach_plans(garage: Garage, roll: Roll, task: Problem, best: Solution) -> Iterator[TeachPlan]:
    """What the best plan teaches at each mount, with its reason."""
    chosen = tuple(task.candidates[i] for i in best.chosen)
    for car in garage.car:
        numbers = [m for m, mount in enumerate(task.mounts) if mount.car == car.id]
        if numbers:
            yield from _Lessons(garage, roll, car, task, chosen).plans(
                [(task.mounts[m], best.taught[m]) for m in numbers]
            )


@dataclass(frozen=True, slots=True)
class _Lessons:
    """The mounts of one car, in their order."""

    garage: Garage
    roll: Roll
    car: Car
    task: Problem
    chosen: tuple[Candidate, ...]

    def plans(self, mounts: Sequence[tuple[Mount, bool]]) -> Iterator[TeachPlan]:
        start: tuple[int, ...] = tuple(range(len(self.roll.listed(self.car))))
        taught = 0
        before: set[str] = set()
        for mount, needed in mounts:
            answer = self._needed(mount, before, start) if needed else self._known(mount, before)
            why = _words(self.garage, mount.set, answer)
            yield TeachPlan(
                mount.car, mount.set, mount.day, needed, mount.teach if needed else NOTHING, why, self._basis(),
                answer.reason, answer.first, answer.wheels, answer.likely, answer.moved, answer.bits,
            )  # fmt: skip
            before.add(mount.set)
            taught += needed
            start = self._left(start, taught, mount.slots)

    def _left(self, start: tuple[int, ...], taught: int, slots: int) -> tuple[int, ...]:
        """The groups from the start that the list holds still, for sure, after so many teachings."""
        if not taught:
            return start
        if self.car.when_full is WhenFull.CHOSEN:
            return ()
        kept = max(0, slots - taught)
        return start[max(0, len(start) - kept) :] if kept else ()

    def _known(self, mount: Mount, before: set[str]) -> _Answer:
        return _Answer(Reason.REMEMBERED if mount.set in before else Reason.HELD)

    def _needed(self, mount: Mount, before: set[str], start: tuple[int, ...]) -> _Answer:
        if mount.set in before:
            return _Answer(Reason.FORGOTTEN)
        if self.car.holds is None:
            return _Answer(Reason.LIST_NOT_KNOWN)
        fresh = tuple(self.task.members[n].wheel for n in mount.wheels if self.chosen[n].choice is IdChoice.FRESH)
        if fresh:
            return _Answer(Reason.NEW_IDS, wheels=fresh)
        every = [self._compared(mount, group) for group in range(len(self.roll.listed(self.car)))]
        if any(not c.lacking and not c.open for c in every):
            return _Answer(Reason.FORGOTTEN)
        return self._best([every[group] for group in start], mount)

    def _compared(self, mount: Mount, group: int) -> Compared:
        wheels = [_carrier(self.task.members[n], self.chosen[n]) for n in mount.wheels]
        return compared(wheels, self.roll.listed(self.car)[group], by_corner=self.car.corner_aware is not False)

    def _best(self, every: list[Compared], mount: Mount) -> _Answer:
        """The answer by the group of the list that is most like the set."""
        for c in every:
            if c.may_hold_all:
                return self._open(c)
        for c in every:
            if c.at_other_corners:
                moved = tuple(Moved(w.wheel, w.corner, corner) for w, corner in c.moved)
                return _Answer(Reason.OTHER_CORNERS, wheels=tuple(m.wheel for m in moved), moved=moved)
        least = min(every, key=lambda c: len(c.lacking), default=None)
        if least is None:
            return _Answer(Reason.NOT_HELD, wheels=tuple(self.task.members[n].wheel for n in mount.wheels))
        slots = self.roll.empty_slots(self.car)
        empty = [w for w in least.lacking if w.corner in slots or (None in slots and len(slots) >= len(least.lacking))]
        reason = Reason.EMPTY_SLOT if len(empty) == len(least.lacking) else Reason.NOT_HELD
        return _Answer(reason, wheels=tuple(w.wheel for w in least.lacking))

    def _open(self, c: Compared) -> _Answer:
        """What stands in the way of saying that the list holds the set."""
        wheels = tuple(w.wheel for w in c.open)
        twofold = [w.ids for w in c.open if len(w.ids) > 1] or [
            ids for w in c.open if w.ids for ids, _, _ in c.free if len(ids) > 1
        ]
        if twofold:
            widths = len({one.bits for one in twofold[0]}) > 1
            return _Answer(Reason.TWO_READINGS, First.BITS if widths else First.FORM, wheels, bits=_equal_in(c))
        likely = self._left_over(c)
        return _Answer(Reason.LEFT_OVER if likely else Reason.NOT_READ, First.TRIGGER, wheels, likely)

    def _left_over(self, c: Compared) -> SensorId | None:
        """The one ID that is left for the one wheel whose ID is not read, where no other sensor carries it."""
        left = [
            ids for ids, corner, _ in c.free if self.car.corner_aware is False or corner in (c.open[0].corner, None)
        ]
        if len(c.open) != 1 or len(left) != 1 or len(left[0]) != 1 or not c.sure:
            return None
        return None if self.roll.carriers(left[0][0].key) else left[0][0]

    def _basis(self) -> Basis:
        if self.car.holds is None:
            return Basis(Ground.UNKNOWN, "'holds' is not noted")
        days = [str(held.as_of) for held in self.car.holds if held.as_of]
        told = self.car.basis("holds")
        return Basis(told.ground, f"{told.source}, as of {', '.join(days)}") if days else told


def _equal_in(c: Compared) -> tuple[int, ...]:
    """The widths in which each of the open wheels has a number that is in the list."""
    entries = {one.key for ids, _, _ in c.free for one in ids}
    widths = [{bits for bits, _ in {one.key for one in w.ids} & entries} for w in c.open if w.ids]
    return tuple(sorted(set.intersection(*widths))) if widths else ()


def _carrier(member: Member, c: Candidate) -> Carrier:
    return Carrier(member.wheel, member.corner, c.carries)


# --- words


def _words(garage: Garage, set_id: str, a: _Answer) -> str:
    """A reason as a sentence without its capital."""
    names = listed([garage.wheels[w].name for w in a.wheels])
    many = len(a.wheels) != 1
    every = len(a.wheels) == len(garage.sets[set_id].wheels)
    moves = listed([f"{garage.wheels[m.wheel].name} at {m.listed.value}" for m in a.moved])
    width = " or ".join(str(bits) for bits in a.bits) if a.first is First.BITS else ""
    way = f"with {width} bits" if width else "read in one of two ways"
    texts = {
        Reason.HELD: "the car's list holds these IDs",
        Reason.REMEMBERED: "the car still remembers this set",
        Reason.LIST_NOT_KNOWN: "what the car's list holds is not known, so teaching is allowed for",
        Reason.NEW_IDS: f"{names} {'get new IDs' if many else 'gets a new ID'}",
        Reason.NOT_HELD: "the car's list holds none of these IDs" if every else f"the car's list does not hold {names}",
        Reason.EMPTY_SLOT: f"the car's list has an empty slot in place of {names}",
        Reason.OTHER_CORNERS: f"the car's list holds these IDs at other corners: {moves}",
        Reason.FORGOTTEN: "the car's list is full, and has forgotten this set by then",
        Reason.NOT_READ: f"the list may hold {names}, whose ID{'s have' if many else ' has'} not been read",
        Reason.TWO_READINGS: f"{way}, the IDs of {names} are those of the car's list",
        Reason.LEFT_OVER: f"the list holds the others; {names} is most likely the one left over, {a.likely.aloud() if a.likely else ''}",
    }
    return texts[a.reason]


def to_do(garage: Garage, t: TeachPlan) -> str:
    """What to do when the set goes on, in a few words: 'nothing', 'teach', 'trigger A4 first'."""
    if not t.needed or t.first is None:
        return "teach" if t.needed else "nothing"
    names = listed([garage.wheels[w].name for w in t.wheels])
    asks = {
        First.TRIGGER: f"trigger {names} first",
        First.BITS: "find out how many bits first",
        First.FORM: "find out first: hex or decimal",
    }
    return asks[t.first]
