"""What each car is taught when, and why: the reason as a code, what to do first, and what is said of both."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from wheelside.finding import Basis, Ground
from wheelside.garage.model import Car, Garage
from wheelside.garage.words import Corner, WhenFull
from wheelside.identity.choice import Candidate, IdChoice, Member
from wheelside.identity.costs import NOTHING, Price
from wheelside.identity.listed import Carrier, GroupCompared, compared
from wheelside.identity.naming import wheels_named
from wheelside.identity.roll import Roll
from wheelside.identity.solution import Solution
from wheelside.identity.task import Mount, PlanProblem
from wheelside.said import Coded, Joined, Key, Listing, Said, count, listed, say
from wheelside.sensor.ident import SensorId


class WhyTaught(Coded):
    """Why a set is taught when it goes on, or why not."""

    HELD = "held"
    REMEMBERED = "remembered"
    LIST_NOT_KNOWN = "list-not-known", "list not known"
    NEW_IDS = "new-ids", "new IDs"
    NOT_HELD = "not-held", "not held"
    EMPTY_SLOT = "empty-slot", "empty slot"
    OTHER_CORNERS = "other-corners", "other corners"
    FORGOTTEN = "forgotten"
    NOT_READ = "not-read", "not read"
    TWO_READINGS = "two-readings", "two readings"
    LEFT_OVER = "left-over", "the one left over"


class First(Coded):
    """What has to be found out before it can be said whether there is anything to teach."""

    TRIGGER = "trigger"
    BITS = "bits", "how many bits"
    FORM = "form", "hex or decimal"


@dataclass(frozen=True, slots=True)
class MovedId:
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
    why: Said
    basis: Basis
    reason: WhyTaught = WhyTaught.NOT_HELD
    first: First | None = None
    wheels: tuple[str, ...] = ()
    likely: SensorId | None = None
    moved: tuple[MovedId, ...] = ()
    bits: tuple[int, ...] = ()

    @property
    def certain(self) -> bool:
        """Whether it is to be taught, as far as is known, without finding anything out first."""
        return self.needed and self.first is None


@dataclass(frozen=True, slots=True)
class _Answer:
    reason: WhyTaught
    first: First | None = None
    wheels: tuple[str, ...] = ()
    likely: SensorId | None = None
    moved: tuple[MovedId, ...] = ()
    bits: tuple[int, ...] = ()


def teach_plans(garage: Garage, roll: Roll, task: PlanProblem, best: Solution) -> Iterator[TeachPlan]:
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
    task: PlanProblem
    chosen: tuple[Candidate, ...]

    def plans(self, mounts: Sequence[tuple[Mount, bool]]) -> Iterator[TeachPlan]:
        start: tuple[int, ...] = tuple(range(len(self.roll.listed(self.car))))
        taught = 0
        before: dict[str, date] = {}
        for mount, needed in mounts:
            answer = self._needed(mount, before, start) if needed else self._known(mount, before)
            why = _why(self.garage, mount.set, answer)
            if not mount.midway or any(self.chosen[n].when == mount.day for n in mount.wheels):
                yield TeachPlan(
                    mount.car, mount.set, mount.day, needed, mount.teach if needed else NOTHING, why, self._basis(),
                    answer.reason, answer.first, answer.wheels, answer.likely, answer.moved, answer.bits,
                )  # fmt: skip
            before[mount.set] = mount.day
            taught += needed
            start = self._left(start, taught, mount.slots)

    def _left(self, start: tuple[int, ...], taught: int, slots: int) -> tuple[int, ...]:
        """The groups from the start that the list holds still, for sure, after so many teachings."""
        if not taught:
            return start
        if self.car.when_full is WhenFull.CHOSEN:
            return ()
        if self.car.when_full is WhenFull.ALL:
            return start if len(start) + taught <= slots else ()
        kept = max(0, slots - taught)
        return start[max(0, len(start) - kept) :] if kept else ()

    def _known(self, mount: Mount, before: dict[str, date]) -> _Answer:
        as_before = mount.set in before and not self._written(mount, before[mount.set])
        return _Answer(WhyTaught.REMEMBERED if as_before else WhyTaught.HELD)

    def _written(self, mount: Mount, since: date | None) -> tuple[int, ...]:
        """The wheels of the set that were written after a day and by this one; `since` None: whenever that was."""
        whens = [(n, self.chosen[n].when or self.task.day) for n in mount.wheels if self.chosen[n].writes]
        return tuple(n for n, when in whens if when <= mount.day and (since is None or since < when))

    def _needed(self, mount: Mount, before: dict[str, date], start: tuple[int, ...]) -> _Answer:
        last = before.get(mount.set)
        if last is not None and not self._written(mount, last):
            return _Answer(WhyTaught.FORGOTTEN)
        if self.car.holds is None:
            return _Answer(WhyTaught.LIST_NOT_KNOWN)
        new = (n for n in mount.wheels if self.chosen[n].choice is IdChoice.FRESH)
        done = set(self._written(mount, last)) if last is not None else set(mount.wheels)
        fresh = tuple(self.task.members[n].wheel for n in new if n in done and not self._waits(n, mount))
        if fresh:
            return _Answer(WhyTaught.NEW_IDS, wheels=fresh)
        every = [self._compared(mount, group) for group in range(len(self.roll.listed(self.car)))]
        if any(not c.lacking and not c.open for c in every):
            return _Answer(WhyTaught.FORGOTTEN)
        return self._best([every[group] for group in start], mount)

    def _waits(self, n: int, mount: Mount) -> bool:
        """Whether a wheel is written only after this change."""
        when = self.chosen[n].when
        return when is not None and mount.day < when

    def _compared(self, mount: Mount, group: int) -> GroupCompared:
        wheels = [_carrier(self.task.members[n], self.chosen[n], mount) for n in mount.wheels]
        return compared(wheels, self.roll.listed(self.car)[group], by_corner=self.car.corner_aware is not False)

    def _best(self, every: list[GroupCompared], mount: Mount) -> _Answer:
        """The answer by the group of the list that is most like the set."""
        for c in every:
            if c.may_hold_all:
                return self._open(c)
        for c in every:
            if c.at_other_corners:
                moved = tuple(MovedId(w.wheel, w.corner, corner) for w, corner in c.moved)
                return _Answer(WhyTaught.OTHER_CORNERS, wheels=tuple(m.wheel for m in moved), moved=moved)
        least = min(every, key=lambda c: len(c.lacking), default=None)
        if least is None:
            return _Answer(WhyTaught.NOT_HELD, wheels=tuple(self.task.members[n].wheel for n in mount.wheels))
        slots = self.roll.empty_slots(self.car)
        empty = [w for w in least.lacking if w.corner in slots or (None in slots and len(slots) >= len(least.lacking))]
        reason = WhyTaught.EMPTY_SLOT if len(empty) == len(least.lacking) else WhyTaught.NOT_HELD
        return _Answer(reason, wheels=tuple(w.wheel for w in least.lacking))

    def _open(self, c: GroupCompared) -> _Answer:
        """What stands in the way of saying that the list holds the set."""
        wheels = tuple(w.wheel for w in c.open)
        twofold = [w.ids for w in c.open if len(w.ids) > 1] or [
            ids for w in c.open if w.ids for ids, _, _ in c.free if len(ids) > 1
        ]
        if twofold:
            widths = len({one.bits for one in twofold[0]}) > 1
            return _Answer(WhyTaught.TWO_READINGS, First.BITS if widths else First.FORM, wheels, bits=_equal_in(c))
        likely = self._left_over(c)
        return _Answer(WhyTaught.LEFT_OVER if likely else WhyTaught.NOT_READ, First.TRIGGER, wheels, likely)

    def _left_over(self, c: GroupCompared) -> SensorId | None:
        """The one ID that is left for the one wheel whose ID is not read, where no other sensor carries it."""
        left = [
            ids for ids, corner, _ in c.free if self.car.corner_aware is False or corner in (c.open[0].corner, None)
        ]
        if len(c.open) != 1 or len(left) != 1 or len(left[0]) != 1 or not c.sure:
            return None
        return None if self.roll.carriers(left[0][0].key) else left[0][0]

    def _basis(self) -> Basis:
        if self.car.holds is None:
            return Basis(Ground.UNKNOWN, say("{key} is not noted", key=Key("car", "holds", self.car.id)))
        days = listed((held.as_of for held in self.car.holds if held.as_of), Joined.COMMA)
        told = self.car.basis("holds")
        if not days.parts:
            return told
        return Basis(told.ground, say("{source}, as of {days}", source=told.source, days=days))


def _equal_in(c: GroupCompared) -> tuple[int, ...]:
    """The widths in which each of the open wheels has a number that is in the list."""
    entries = {one.key for ids, _, _ in c.free for one in ids}
    widths = [{bits for bits, _ in {one.key for one in w.ids} & entries} for w in c.open if w.ids]
    return tuple(sorted(set.intersection(*widths))) if widths else ()


def _carrier(member: Member, c: Candidate, mount: Mount) -> Carrier:
    return Carrier(member.wheel, member.corner_in(mount.set), c.carries_on(mount.day))


# --- what is said of it


def _why(garage: Garage, set_id: str, a: _Answer) -> Said:
    """What is said of a reason, to stand within a sentence."""
    names, n = wheels_named(garage, a.wheels), len(a.wheels)
    if a.reason is WhyTaught.NEW_IDS:
        return count(n, "{wheels} gets a new ID", "{wheels} get new IDs", wheels=names)
    if a.reason is WhyTaught.NOT_HELD and n == len(garage.sets[set_id].wheels):
        return say("the car's list holds none of these IDs")
    if a.reason is WhyTaught.OTHER_CORNERS:
        at = [say("{wheel} at {corner}", wheel=garage.wheels[m.wheel].name, corner=m.listed.value) for m in a.moved]
        return say("the car's list holds these IDs at other corners: {wheels}", wheels=listed(at))
    if a.reason is WhyTaught.NOT_READ:
        one = "the list may hold {wheels}, whose ID has not been read"
        return count(n, one, "the list may hold {wheels}, whose IDs have not been read", wheels=names)
    if a.reason is WhyTaught.TWO_READINGS and a.first is First.BITS and a.bits:
        bits = listed(a.bits, Joined.OR)
        return say("with {bits} bits, the IDs of {wheels} are those of the car's list", bits=bits, wheels=names)
    if a.reason is WhyTaught.LEFT_OVER:
        left = a.likely.aloud() if a.likely else ""
        one = "the list holds the others; {wheels} is most likely the one left over, {id}"
        return say(one, wheels=names, id=left)
    return _SAYS[a.reason](names)


_SAYS: dict[WhyTaught, Callable[[Listing], Said]] = {
    WhyTaught.HELD: lambda _: say("the car's list holds these IDs"),
    WhyTaught.REMEMBERED: lambda _: say("the car still remembers this set"),
    WhyTaught.LIST_NOT_KNOWN: lambda _: say("what the car's list holds is not known, so teaching is allowed for"),
    WhyTaught.NOT_HELD: lambda names: say("the car's list does not hold {wheels}", wheels=names),
    WhyTaught.EMPTY_SLOT: lambda names: say("the car's list has an empty slot in place of {wheels}", wheels=names),
    WhyTaught.FORGOTTEN: lambda _: say("the car's list is full, and has forgotten this set by then"),
    WhyTaught.TWO_READINGS: lambda names: say(
        "read in one of two ways, the IDs of {wheels} are those of the car's list", wheels=names
    ),
}


def to_do(garage: Garage, t: TeachPlan) -> Said:
    """What to do when the set goes on, in a few words: 'nothing', 'teach', 'trigger A4 first'."""
    if not t.needed or t.first is None:
        return say("teach") if t.needed else say("nothing")
    if t.first is First.TRIGGER:
        return say("trigger {wheels} first", wheels=wheels_named(garage, t.wheels))
    return say("find out how many bits first") if t.first is First.BITS else say("find out first: hex or decimal")
