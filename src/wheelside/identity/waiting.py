"""On which later days it could do some good to write a sensor, so that only those are choices of a plan."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator
from datetime import date

from wheelside.garage.model import Garage
from wheelside.garage.season import Spell
from wheelside.identity.choice import Action, Mark, left_as_it_is
from wheelside.identity.costs import Tariff
from wheelside.identity.meeting import Meetings
from wheelside.identity.moments import moments_of
from wheelside.identity.roll import Key, Roll
from wheelside.identity.task import Mount, PlanProblem

Days = dict[int, Collection[date]]
MANY = 24
"""From more wheels on only those later writings are choices that look worth it by themselves."""


def later_days(
    garage: Garage, roll: Roll, task: PlanProblem, meetings: Meetings, line: tuple[Spell, ...], end: date, own: Tariff
) -> dict[str, Collection[date]]:
    """For wheels by id the later days on which their sensors may be written; of many wheels only those that look worth it.

    `task`: the problem without them, and `meetings` what must not come together in it. `own`: the garage's own figures, so
    that under others there are the same choices.
    """
    days = dict(_days(garage, task, line, end))
    if len(task.members) > MANY:
        days = _worth_it(garage, roll, task, meetings, days, own)
    return {task.members[n].wheel: ds for n, ds in sorted(days.items()) if ds}


def _worth_it(garage: Garage, roll: Roll, task: PlanProblem, meetings: Meetings, days: Days, own: Tariff) -> Days:
    """The days on which waiting does some good by itself: what the sensor carries is worth something on a change before that day, and meets
    something only from that day on; or what is written meets something before that day that it does not meet after.
    Where the risk of a pair costs more than a writing, also where a pair could be ended."""
    kept = {n: known for n, ds in days.items() if (known := _known_before(roll, garage, task, n, ds))}
    found: dict[int, set[date]] = meetings.worth_waiting(kept, days)
    if own.weigh_risk(own.pair_risk(own.years)) > own.weigh(own.write_mounted):
        paired = {i for p in task.pairings for _, pairs in p.lasting for a, b in pairs for i in (*a, *(b or ()))}
        for n, ds in days.items():
            if paired & set(task.of_member[n]):
                found[n] |= set(ds)
    return dict(found)


def no_better(task: PlanProblem) -> frozenset[tuple[str, Mark]]:
    """The later writings that are in nothing better than another writing of the same: for each car the same on every change, meeting
    nothing less, and no shorter a pair. Of two that are alike in all of that the earlier one stays."""
    meets, lasts = _meets(task), _lasts(task)
    mounts: dict[int, list[Mount]] = defaultdict(list)
    for mount in task.mounts:
        for n in mount.wheels:
            mounts[n].append(mount)
    out: set[tuple[str, Mark]] = set()
    for n, own in enumerate(task.of_member):
        alike: dict[object, list[int]] = defaultdict(list)
        for i in own:
            c = task.candidates[i]
            if c.action is Action.STAYS and c.writes:
                on_car = tuple(m.day < c.when if c.when is not None else False for m in mounts[n])
                alike[c.choice, c.carries, c.fresh_from, on_car].append(i)
        for group in alike.values():
            left = list(group)
            for i in reversed(group):
                better = (j for j in left if j != i and meets[j] <= meets[i] and _shorter(lasts[j], lasts[i]))
                if task.candidates[i].when is not None and any(better):
                    left.remove(i)
                    out.add((task.candidates[i].wheel, task.candidates[i].mark))
    return frozenset(out)


def _meets(task: PlanProblem) -> dict[int, set[object]]:
    """For each candidate what it must not come together with."""
    out: dict[int, set[object]] = defaultdict(set)
    for clash in task.clashes:
        for i in clash.candidates:
            out[i].add((frozenset(clash.candidates) - {i}, clash.picks))
    return out


def _lasts(task: PlanProblem) -> dict[int, dict[object, int]]:
    """For each candidate how dear the pair with each other one would be, in millionths."""
    out: dict[int, dict[object, int]] = defaultdict(lambda: defaultdict(int))
    for pairing in task.pairings:
        for risk, pairs in pairing.lasting:
            for mine, theirs in pairs:
                for a in mine:
                    for b in theirs or (-1,):
                        out[a][pairing.sets, b] = max(risk.ppm, out[a][pairing.sets, b])
                        out[b][pairing.sets, a] = max(risk.ppm, out[b][pairing.sets, a])
    return out


def _shorter(one: dict[object, int], other: dict[object, int]) -> bool:
    """Whether the first has no pair that is dearer than the other's."""
    return all(ppm <= other.get(pair, 0) for pair, ppm in one.items())


def _days(
    garage: Garage, task: PlanProblem, line: tuple[Spell, ...], end: date
) -> Iterator[tuple[int, Collection[date]]]:
    """The later days of each member whose sensor may be written where it is, and that is not refused as it is."""
    for n, member in enumerate(task.members):
        own = [task.candidates[i] for i in task.of_member[n]]
        written = any(c.action is Action.STAYS and c.writes for c in own)
        kept = any(left_as_it_is(c.action, c.choice) for c in own)
        days = moments_of(garage, line, member.wheel, task.day, end) if written and kept else ()
        if days:
            yield n, days


def _known_before(roll: Roll, garage: Garage, task: PlanProblem, n: int, days: Collection[date]) -> Collection[date]:
    """The days before which a change comes at which what the wheel carries now can be worth something: it is in the list, or another
    wheel that goes on that car could carry the same."""
    own = {one.key for one in task.members[n].ids}
    first = min(
        (m.day for m in task.mounts if n in m.wheels and own & _known(roll, garage, task, m.car, n)), default=date.max
    )
    return tuple(d for d in days if d > first)


def _known(roll: Roll, garage: Garage, task: PlanProblem, car: str, n: int) -> set[Key]:
    """What a car could know: its list, and what other wheels that go on it carry or could be given."""
    listed = {h.id.key for group in roll.held(garage.cars[car]) for h in group}
    others = {w for m in task.mounts if m.car == car for w in m.wheels} - {n}
    return listed | {one.key for w in others for i in task.of_member[w] for one in task.candidates[i].carries}
