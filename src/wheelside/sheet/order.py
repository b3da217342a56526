"""What the order of a job hangs on: what is carried and what is driven, what must be out of earshot first, what the dash can show parked."""

from __future__ import annotations

from datetime import timedelta

from wheelside.earshot.hearing import heard_at, path_between
from wheelside.garage.model import Place
from wheelside.garage.season import car_place
from wheelside.garage.words import Corner, Teaching
from wheelside.identity.pairs import share_an_id
from wheelside.sheet.aim import aim
from wheelside.sheet.context import Job

ON_FOOT_M = 100.0
"""How far four wheels are carried or rolled: judgement. Further, or where no distance is noted, one drives."""
WALK = (Corner.FRONT_LEFT, Corner.FRONT_RIGHT, Corner.REAR_RIGHT, Corner.REAR_LEFT, Corner.SPARE)
"""The corners as one walks round a car, which is also a usual order of teaching; the handbook's goes before it."""


def turn_of(job: Job, corner: Corner) -> int:
    """When one comes to a corner: in the car's order of teaching, else as one walks round it; one that its order does not name comes last."""
    order = job.car.teach_order or WALK
    return order.index(corner) if corner in order else len(order)


def here(job: Job) -> Place | None:
    """Where the car stands on the day of the job; None where that is not known."""
    return None if job.on_stand else job.garage.places.get(car_place(job.garage, job.car.id, job.day) or "")


def drives(job: Job, place: Place | None) -> bool:
    """Whether one drives between the car's place and another."""
    at = here(job)
    if at is None or place is None or at.id == place.id:
        return False
    path = path_between(job.garage, at.id, place.id)
    return path is None or path.distance is None or path.distance.metres > ON_FOOT_M


def learns_driving(job: Job) -> bool:
    """Whether the car is taught by this job's drive."""
    return job.teaches and job.car.taught_by is not None and job.car.taught_by.by_itself


def share_ids(job: Job) -> bool:
    """Whether a wheel of the coming set has one ID with a wheel that comes off, by the plan, old clones included. A wheel that is
    written once it is off, or later, has its old ID until then."""
    before = job.then - timedelta(days=1)
    off = [w.as_on(before) for w in job.plan.wheels if w.wheel in job.coming_off]
    return any(share_an_id(job.garage, w, other) for w in job.wheels for other in off)


def must_be_away(job: Job) -> bool:
    """Whether what came off must be out of the car's earshot before it is taught and driven: where the car takes what it hears, or where IDs are
    shared. Where it is taught step by step the trigger's field names the wheel, and the ID that it shows is the guard."""
    return job.direct and bool(job.coming_off) and (learns_driving(job) or share_ids(job))


def aside(job: Job) -> bool:
    """Whether what came off can't go where it is kept before the car is proven: it would be heard there."""
    place = job.storage
    return must_be_away(job) and place is not None and heard_at(job.garage, job.car, place.id).heard


def drives_away(job: Job) -> bool:
    """Whether the wheels that came off are driven away, on those just fitted, before anything is taught."""
    return job.extent.changes and must_be_away(job) and not aside(job) and drives(job, job.storage)


def stored_at_once(job: Job) -> bool:
    """Whether what came off is put away for good before the drive: it is carried there, or driven there anyway. Where nobody has said where it
    goes, it may be far."""
    return job.storage is not None and not aside(job) and (drives_away(job) or not drives(job, job.storage))


def to_the_workshop(job: Job) -> bool:
    """Whether the car is driven to a workshop to be taught."""
    return job.teaches and job.car.taught_by is Teaching.LOCKED


def gauged_first(job: Job) -> bool:
    """Whether the pressures are set before what came off goes away and the car is taught: where the car rolls before it is taught, learns by
    rolling, or takes what it finds in its tyres."""
    may_roll = must_be_away(job) and (aside(job) or job.storage is None)
    rolls = drives_away(job) or may_roll or learns_driving(job) or to_the_workshop(job)
    return rolls or not job.direct


def rolled_since(job: Job) -> bool | None:
    """Whether the car is driven between the setting of its pressures and the end of its teaching; None where it may be."""
    if drives_away(job) or to_the_workshop(job):
        return True
    return None if must_be_away(job) and gauged_first(job) else False


def dash_follows(job: Job) -> bool:
    """Whether a corner is shown by setting its pressure: the car knows the IDs while parked, and the job is after what that shows."""
    knows_parked = job.car.taught_by in (Teaching.STEPS, Teaching.PORT)
    parked = job.extent.changes and job.car.dash_shows is True and job.car.dash_parked is not False
    return parked and knows_parked and not gauged_first(job) and aim(job).level == "E4"
