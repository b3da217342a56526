"""Whether there is anything to do in the part of the work that is asked for, and what comes before it."""

from __future__ import annotations

from collections.abc import Iterator

from wheelside.errors import BadRequest
from wheelside.garage.words import Corner, Monitor
from wheelside.sheet.context import Job
from wheelside.sheet.extent import Extent
from wheelside.sheet.order import learns_driving


def to_do(job: Job) -> None:
    """Raises BadRequest, with what to do first, where the part that is asked for can't be done on this set as it is."""
    if not job.extent.changes:
        against = next(_against(job), None)
        if against is not None:
            raise BadRequest(against)


def _against(job: Job) -> Iterator[str]:
    """What stands against it, the first thing first: what is so, then what to do."""
    name, car = job.coming.name, job.car.name
    if not job.coming_is_on:
        yield f"Not every wheel of {name} is known to be on a car. Fit it first, or say what is on the car now."
    if job.extent.of_one_wheel and job.about not in {w for c, w in job.coming.wheels if c is not Corner.SPARE}:
        yield f"Which wheel of {name}? Name one that is on {car}."
    if job.extent is Extent.WHEEL:
        yield from _against_its_tyre(job)
    if not job.extent.by_plan:
        return
    if job.car.monitor is None:
        yield f"How {car} watches its tyres is not known. Look into the handbook, and note it with the car."
    if job.car.monitor is Monitor.NONE:
        yield f"{car} does not watch its tyres. There is nothing to teach or to prove; gauge them instead."
    if job.worked_on:
        names = ", ".join(job.name(w) for _, w in job.coming.wheels if w in job.worked_on)
        yield f"By the plan the sensors of {names} are changed or written first. Begin the whole job instead."
    if job.extent is Extent.TEACH:
        yield from _against_teaching(job)
    elif job.teaches and not learns_driving(job):
        yield f"{car} has to be taught {name} first. Teach it, then prove it."


def _against_its_tyre(job: Job) -> Iterator[str]:
    if job.about in job.worked_on:
        yield f"By the plan the sensor of {job.name(job.about)} is changed or written. Begin the whole job instead."


def _against_teaching(job: Job) -> Iterator[str]:
    if job.teaches or job.learns_gauged:
        return
    if job.teaching is not None and job.teaching.needed and job.teaching.first is not None:
        yield f"Whether {job.car.name} has to be taught is not known yet. The plan says what to find out first."
    yield f"As noted, {job.car.name} knows the IDs of {job.coming.name} already. If it does not, put right what its list holds."
