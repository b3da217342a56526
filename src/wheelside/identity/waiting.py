"""On which later days it could do some good to write a sensor, so that only those are choices of a plan.

To wait is of use only where the ID that the sensor carries is worth something on a change before that day, and meets something only
from that day on; or where the ID that is written meets something before that day that it does not meet after. Where the risk of a pair costs
more than a writing, also where a pair could be ended.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from datetime import date

from wheelside.garage.model import Garage
from wheelside.garage.season import Spell
from wheelside.identity.choice import Action, left_as_it_is
from wheelside.identity.costs import Tariff
from wheelside.identity.meeting import Meetings
from wheelside.identity.moments import moments_of
from wheelside.identity.roll import Key, Roll
from wheelside.identity.task import PlanProblem

Days = dict[int, Collection[date]]


def worth_waiting(
    garage: Garage, roll: Roll, task: PlanProblem, meetings: Meetings, line: tuple[Spell, ...], end: date, own: Tariff
) -> dict[str, Collection[date]]:
    """For wheels by id the later days on which their sensors are worth writing; wheels without such a day are left out.

    `task`: the problem without them, and `meetings` what must not come together in it. `own`: the garage's own figures, so
    that under others there are the same choices.
    """
    days = dict(_days(garage, task, line, end))
    if not days:
        return {}
    kept = {n: known for n, ds in days.items() if (known := _known_before(roll, garage, task, n, ds))}
    found = meetings.worth_waiting(kept, days)
    if own.weigh_risk(own.pair_risk(own.years)) > own.weigh(own.write_mounted):
        paired = {i for p in task.pairings for _, pairs in p.lasting for a, b in pairs for i in (*a, *(b or ()))}
        for n, ds in days.items():
            if paired & set(task.of_member[n]):
                found[n] |= set(ds)
    return {task.members[n].wheel: ds for n, ds in sorted(found.items()) if ds}


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
