"""Which evidence level a job is after, and which one the instruments in the file allow."""

from __future__ import annotations

from collections.abc import Iterator

from wheelside.garage.words import Corner, Instrumentation, Monitor
from wheelside.sheet.context import Job
from wheelside.sheet.extent import Extent
from wheelside.sheet.ladder import NONE, EvidenceAim, Reason, Wants

_SHOWS_NOTHING = {
    Extent.PRESSURES: Reason.PRESSURES_ONLY,
    Extent.TEACH: Reason.TEACH_ONLY,
    Extent.FLAT: Reason.FLAT,
    Extent.WHEEL: Reason.ONE_WHEEL,
}


def aim(job: Job) -> EvidenceAim:
    """The evidence level that this job needs, E3 or E4, and the one that the instruments in the file allow."""
    monitor = job.car.monitor
    if job.on_stand:
        return EvidenceAim(NONE, (Reason.NO_CAR,))
    if job.extent in _SHOWS_NOTHING:
        return EvidenceAim(NONE, (_SHOWS_NOTHING[job.extent],), monitor)
    if monitor is None:
        return EvidenceAim(NONE, (Reason.NOT_KNOWN,), missing=(Wants.MONITOR,))
    if monitor is Monitor.NONE:
        return EvidenceAim(NONE, (Reason.NOT_WATCHED,), monitor)
    more = tuple(_reasons_for_more(job)) if job.direct else (Reason.LEARNT_ANEW,)
    level = "E4" if job.direct and more else "E3"
    reachable, missing = _reach(job, level)
    return EvidenceAim(level, more or (Reason.LEAST,), monitor, reachable, missing)


def _reasons_for_more(job: Job) -> Iterator[Reason]:
    if any(not w.own for w in job.clones) or job.paired:
        yield Reason.CLONE
    if any(w.own for w in job.clones):
        yield Reason.CARRIED_ON
    if job.teaches and job.car.corner_aware is not False and not (job.car.taught_by and job.car.taught_by.by_itself):
        yield Reason.BY_CORNER
    if _staggered(job):
        yield Reason.STAGGERED


def _reach(job: Job, level: str) -> tuple[str, tuple[Wants, ...]]:
    """The level that can be shown with what is there, and what is missing for the one that is needed."""
    if job.tool(Instrumentation.ADAPTER) is None:
        return "E2", (Wants.ADAPTER,)
    if level == "E4" and job.car.dash_shows is not True:
        return "E3", (Wants.DASH,)
    return level, ()


def _staggered(job: Job) -> bool:
    sizes = {
        c.axle: t.designation.size
        for c, w in job.coming.wheels
        if c is not Corner.SPARE and (t := job.parts(w).tyre) and t.designation
    }
    return len(set(sizes.values())) > 1
