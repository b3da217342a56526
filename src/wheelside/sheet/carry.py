"""Bringing the coming set to the car, and carrying away the one that came off: on foot where that is near, else by driving."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from wheelside.earshot.hearing import heard_at, path_between
from wheelside.finding import COMMON_PRACTICE
from wheelside.garage import acts
from wheelside.garage.model import Place
from wheelside.garage.season import car_place
from wheelside.identity.pairs import share_an_id
from wheelside.sheet import ask, cautions
from wheelside.sheet.context import Job
from wheelside.sheet.extent import Extent
from wheelside.sheet.step import Channel, Does, Move, Stage, Step, step_id
from wheelside.sheet.swap import pressures

ON_FOOT_M = 100.0
"""How far four wheels are carried or rolled: judgement. Further, or where no distance is noted, one drives."""


def _here(job: Job) -> Place | None:
    """Where the car stands on the day of the job; None where that is not known."""
    return None if job.on_stand else job.garage.places.get(car_place(job.garage, job.car.id, job.day) or "")


def _drives(job: Job, place: Place | None) -> bool:
    """Whether one drives between the car's place and another."""
    here = _here(job)
    if here is None or place is None or here.id == place.id:
        return False
    path = path_between(job.garage, here.id, place.id)
    return path is None or path.distance is None or path.distance.metres > ON_FOOT_M


def drives_away(job: Job) -> bool:
    """Whether the wheels that came off are driven away, on those just fitted, before anything is taught."""
    return (
        job.extent is Extent.ALL
        and bool(job.coming_off)
        and job.direct
        and not _aside(job)
        and _drives(job, job.storage)
    )


def bring_first(job: Job) -> Iterator[Step]:
    """Bringing the coming set, where wheels of it come off the car for their sensors: then it stands on stands, and drives nowhere."""
    if job.leaving:
        yield from _bring(job)


def bring(job: Job) -> Iterator[Step]:
    """Bringing the coming set once its sensors are done, which may be work that is done out of the car's earshot."""
    if not job.leaving:
        yield from _bring(job)


def _bring(job: Job) -> Iterator[Step]:
    """One step, of each place in turn. Wheels that share IDs with those on the car lie beside it for the change alone: that is no fact
    for the next plan, which would part them by new IDs where a job is given up and begun again."""
    here, lie = _here(job), dict[str, list[str]]()
    for _, wheel in job.fitting if here is not None else ():
        place = job.lies_at(wheel)
        if wheel not in job.off_first and place is not None and place != here:
            lie.setdefault(place.id, []).append(wheel)
    if here is None or not lie:
        return
    places = [job.garage.places[p] for p in lie]
    wheels = [w for own in lie.values() for w in own]
    far, shared = [place for place in places if _drives(job, place)], _share_ids(job)
    yield Step(
        does=Does.BRING,
        stage=Stage.OFF if job.leaving else Stage.SWAP,
        title=f"Bring {_named(job, wheels)} to {job.car.name}",
        what=(
            *((f"Any that lie beside {job.car.name} already need no bringing.",) if shared else ()),
            *(_fasten_first(job) if far else ()),
            *(_fetch(job, place, lie[place.id], here, driving=place in far) for place in places),
            *(_lamp_proves_nothing(job) if far else ()),
        ),
        why=f"The wheels are changed where {job.car.name} stands.",
        where=" and ".join(place.name for place in places),
        expect=f"every wheel of it lies beside {job.car.name}",
        evidence=(Channel.TYPED,),
        minutes=acts.MOVE_SET * len(far) + acts.CARRY * (len(places) - len(far)),
        if_fails=_change_there(job, far[0]) if far else f"Where they can't be carried, drive {job.car.name} to them first.",
        basis=COMMON_PRACTICE,
        cautions=(cautions.LOAD, cautions.LAMP) if far else (cautions.CARRY,),
        waits_for=(step_id(Does.CHANGE_SENSORS),) if job.refits and not job.leaving else (),
        asks=(ask.done(f"They lie beside {job.car.name}"),),
        moves=() if shared else tuple(Move(w, at=here.id) for w in wheels),
    )  # fmt: skip


def _named(job: Job, wheels: list[str]) -> str:
    """The coming set by its name where all of it is meant, else wheel by wheel."""
    whole = {w for _, w in job.coming.wheels} <= set(wheels)
    return job.coming.name if whole else ", ".join(job.name(w) for w in wheels)


def _fetch(job: Job, place: Place, wheels: list[str], here: Place, *, driving: bool) -> str:
    names = ", ".join(job.name(w) for w in wheels)
    if not driving:
        return f"Carry or roll {names} from {place.name} to {here.name}."
    changed = not job.leaving and {w.wheel for w in job.refits} & set(wheels)
    shop = "where the wheels are now, the tyre shop or " if changed else ""
    return f"Drive {job.car.name} to {shop}{place.name}; load {names}, drive back to {here.name} and unload them there."


def _fasten_first(job: Job) -> Iterator[str]:
    if job.not_fastened:
        torque = job.car.torque
        figure = job.units.show_torque(torque) if torque else "the handbook's figure"
        names = ", ".join(job.name(w) for w in job.not_fastened)
        yield (
            f"Before the car rolls: torque {names} to {figure}, on the ground, crosswise, and set the pressure as at its step below. "
            "Nobody has said that either was done."
        )


def _lamp_proves_nothing(job: Job) -> Iterator[str]:
    """The way with the other set in the car is no look at the lamp."""
    if job.direct:
        both = "a wheel on the car and one in it have the same" if _share_ids(job) else "it hears the wheels in it, too"
        yield f"If the lamp comes on on this way, look and gauge; of IDs it proves nothing: {both}."


def _share_ids(job: Job) -> bool:
    """Whether a wheel of the coming set has one ID with a wheel that comes off, by the plan, old clones included. A wheel that is
    written once it is off, or later, has its old ID until then."""
    before = job.then - timedelta(days=1)
    off = [w.as_on(before) for w in job.plan.wheels if w.wheel in job.coming_off]
    return any(share_an_id(job.garage, w, other) for w in job.wheels for other in off)


def _change_there(job: Job, place: Place) -> str:
    """The other way to do it alone: the car goes to the wheels."""
    text = f"Where the ground at {place.name} is level and firm: drive there, change the wheels there"
    if job.storage == place:
        text += f", and leave there what comes off; when it is torqued and gauged, drive {job.car.name} away from it"
    return f"{text}. A car on stands, or with a corner bare, drives nowhere: have them brought."


def carry_away(job: Job) -> Iterator[Step]:
    """Carrying away what came off, once the wheels that are on are fastened and gauged: it may take a drive on them."""
    if job.coming_off and job.direct:
        yield _carry_away(job)


def _aside(job: Job) -> bool:
    """Whether they can't go where they are kept before the car is proven: it would hear them there."""
    place = job.storage
    return place is not None and heard_at(job.garage, job.car, place.id).heard


def _carry_away(job: Job) -> Step:
    place, name, shared, driving = job.storage, job.named_off, _share_ids(job), drives_away(job)
    torqued = (step_id(Does.TORQUE),) if job.road_wheels_off else ()
    return Step(
        stage=Stage.AWAY,
        title=f"Carry {name} away from the car",
        what=(*_where_to(job, driving=driving), *(_lamp_proves_nothing(job) if driving else ())),
        why="It carries the same IDs as the set that is on now."
        if shared
        else "Its sensors are awake, and the car would hear them beside its own.",
        where=f"from {job.car.name}" + (f" to {place.name}" if place and driving else ""),
        expect=f"{name} is out of the car's earshot",
        evidence=(Channel.TYPED,),
        minutes=acts.MOVE_SET if driving else acts.CARRY,
        if_fails="Where it can't be carried away, drive the car away from it before anything is taught, looked at or proven.",
        basis=COMMON_PRACTICE,
        cautions=(cautions.LOAD, cautions.LAMP) if driving else (cautions.CARRY,),
        waits_for=(*torqued, *(s.id for s in pressures(job))),
        lock=shared,
        asks=(ask.done("It is out of the car's earshot"),),
        does=Does.CARRY_AWAY,
        moves=tuple(Move(w, at=place.id if place and not _aside(job) else None) for w in job.coming_off),
    )


def _where_to(job: Job, *, driving: bool) -> Iterator[str]:
    place, here = job.storage, _here(job)
    if driving and place is not None and here is not None:
        yield (
            f"Load the wheels that came off, drive {job.car.name} to {place.name}, unload them there, and drive back to {here.name}. "
            "Nothing stays in the boot."
        )
        yield "While there, note what storing them asks for at the end: pressures with the tyres' temperature, treads."
        return
    far = f"to {place.name}" if place else f"to where it will be kept, out of earshot of {job.car.name}"
    if place and _aside(job):
        far = f"well away from {job.car.name}, further than {place.name}, until the car has been driven and proven"
    yield f"Take the wheels that came off {far}. Nothing stays in the boot."
    if place is None:
        yield "If you drive for that, hold them fast in the car; what the lamp does on that way proves nothing."
