"""Bringing the coming set to the car, and carrying away the one that came off: on foot where that is near, else by driving."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from wheelside.earshot.hearing import heard_at
from wheelside.finding import COMMON_PRACTICE
from wheelside.garage import acts
from wheelside.garage.model import Place
from wheelside.garage.words import Teaching
from wheelside.sheet import ask
from wheelside.sheet.ask import Tells, slug
from wheelside.sheet.cautions import Caution
from wheelside.sheet.context import Job, ask_pressure
from wheelside.sheet.option import Instead
from wheelside.sheet.order import (
    aside,
    drives,
    drives_away,
    gauged_first,
    here,
    must_be_away,
    share_ids,
    stored_at_once,
)
from wheelside.sheet.slot import choose_list, several_lists
from wheelside.sheet.step import Channel, Does, Move, OnCard, Stage, Step, step_id
from wheelside.sheet.swap import pressures

_BY_HAND = (Caution.CARRY.value,)
_BY_CAR = (Caution.LOAD.value, Caution.LAMP.value)


def bring_first(job: Job) -> Iterator[Step]:
    """Bringing the coming set, where wheels of it come off the car for their sensors: then it stands on stands, and drives nowhere."""
    if job.leaving:
        yield from _bring(job)


def bring(job: Job) -> Iterator[Step]:
    """Bringing the coming set once its sensors are done, which may be work that is done out of the car's earshot."""
    if not job.leaving:
        yield from _bring(job)


def _bring(job: Job) -> Iterator[Step]:
    """One step, of each place that is driven to in turn; what lies near is carried wheel by wheel, as it is fitted. Wheels that share IDs with
    those on the car lie beside it for the change alone: that is no fact for the next plan, which would part them by new IDs where a job is given
    up and begun again."""
    at, lie = here(job), dict[str, list[str]]()
    for wheel in job.fetched if at is not None else ():
        place = job.lies_at(wheel)
        if place is not None and place != at and drives(job, place):
            lie.setdefault(place.id, []).append(wheel)
    if at is None or not lie:
        return
    places = [job.garage.places[p] for p in lie]
    wheels = [w for own in lie.values() for w in own]
    shared = share_ids(job)
    gauged = tuple(step_id(Does.FETCH, w) for w in wheels)
    yield Step(
        does=Does.BRING,
        card=OnCard.OFF if job.leaving else OnCard.WHEELS,
        stage=Stage.OFF if job.leaving else Stage.SWAP,
        title=f"Bring {_named(job, wheels)} to {job.car.name}",
        what=(
            *((f"Any that lie beside {job.car.name} already need no bringing.",) if shared else ()),
            *_fasten_first(job),
            *(_fetch(job, place, lie[place.id], at) for place in places),
            *_lamp_proves_nothing(job),
            _change_there(job, places[0]),
        ),
        where=" and ".join(place.name for place in places),
        expect=f"every wheel of it lies beside {job.car.name}",
        evidence=(Channel.TYPED,),
        minutes=acts.MOVE_SET * len(places),
        cautions=_BY_CAR,
        waits_for=(*gauged, *((step_id(Does.CHANGE_SENSORS),) if job.refits and not job.leaving else ())),
        asks=(ask.done(f"They lie beside {job.car.name}"),),
        moves=() if shared else tuple(Move(w, at=at.id) for w in wheels),
    )


def _named(job: Job, wheels: list[str]) -> str:
    """The coming set by its name where all of it is meant, else wheel by wheel."""
    whole = {w for _, w in job.coming.wheels} <= set(wheels)
    return job.coming.name if whole else ", ".join(job.name(w) for w in wheels)


def _fetch(job: Job, place: Place, wheels: list[str], at: Place) -> str:
    names = ", ".join(job.name(w) for w in wheels)
    changed = not job.leaving and {w.wheel for w in job.refits} & set(wheels)
    shop = "where the wheels are now, the tyre shop or " if changed else ""
    return f"Drive {job.car.name} to {shop}{place.name}; load {names}, drive back to {at.name} and unload them there."


def _fasten_first(job: Job) -> Iterator[str]:
    if job.not_fastened:
        figure = job.torque_figure
        names = ", ".join(job.name(w) for w in job.not_fastened)
        yield (
            f"Before the car rolls: torque {names} to {figure}, on the ground, crosswise, and set the pressure as at its step below. "
            "Nobody has said that either was done."
        )


def _lamp_proves_nothing(job: Job) -> Iterator[str]:
    """The way with the other set in the car is no look at the lamp."""
    if job.direct:
        both = "a wheel on the car and one in it have the same" if share_ids(job) else "it hears the wheels in it, too"
        yield f"If the lamp comes on on this way, look and gauge; of IDs it proves nothing: {both}."


def _change_there(job: Job, place: Place) -> str:
    """The other way to do it alone: the car goes to the wheels."""
    text = f"Where the ground at {place.name} is level and firm: drive there, change the wheels there"
    if job.storage == place:
        text += f", and leave there what comes off; when it is torqued and gauged, drive {job.car.name} away from it"
    return f"{text}. A car on stands, or with a corner bare, drives nowhere: have them brought."


def put_away(job: Job) -> Iterator[Step]:
    """What came off, out of the way before the car is taught: carried away first where it must not be heard, and put away where it is kept
    unless that waits until after the drive. A list that has to be chosen is chosen before the car rests meanwhile."""
    if not job.coming_off:
        return
    if chooses_first(job):
        yield from (replace(step, card=OnCard.AWAY, stage=Stage.AWAY) for step in choose_list(job))
    if must_be_away(job):
        yield _carry_away(job)
    if stored_at_once(job):
        yield store_off(job)


def rests_meanwhile(job: Job) -> int:
    """The minutes for which a car that is taught wheel by wheel stands untouched while what came off is put away; 0 where it is driven for that,
    or its menu is opened before it is taught."""
    steps = (
        job.car.taught_by in (None, Teaching.STEPS) and job.teaches and (chooses_first(job) or not several_lists(job))
    )
    stands = steps and job.extent.changes and not drives_away(job)
    return sum(step.minutes for step in put_away(job) if step.does is not Does.CHOOSE_LIST) if stands else 0


def chooses_first(job: Job) -> bool:
    """Whether the list is chosen before what came off is put away, so that the car rests from then on."""
    steps = job.car.taught_by in (None, Teaching.STEPS) and several_lists(job) and job.car.rest_before is not None
    put_by = job.extent.changes and bool(job.coming_off) and stored_at_once(job)
    return steps and put_by and not gauged_first(job)


def put_away_later(job: Job) -> Iterator[Step]:
    """The same after the drive, where it could not be done before."""
    if job.coming_off and not stored_at_once(job):
        yield store_off(job)


def _carry_away(job: Job) -> Step:
    place, name, shared, driving = job.storage, job.named_off, share_ids(job), drives_away(job)
    torqued = (step_id(Does.TORQUE),) if job.road_wheels_off else ()
    return Step(
        card=OnCard.AWAY,
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
        cautions=_BY_CAR if driving else _BY_HAND if place else (*_BY_HAND, *_BY_CAR),
        waits_for=(*torqued, *((s.id for s in pressures(job)) if gauged_first(job) else ())),
        lock=shared,
        asks=(ask.done("It is out of the car's earshot"),),
        does=Does.CARRY_AWAY,
        moves=tuple(Move(w, at=place.id if place and not aside(job) else None) for w in job.coming_off),
    )


def _where_to(job: Job, *, driving: bool) -> Iterator[str]:
    place, at = job.storage, here(job)
    if driving and place is not None and at is not None:
        yield (
            f"Load the wheels that came off, drive {job.car.name} to {place.name}, unload them there, and drive back to {at.name}. "
            "Nothing stays in the boot."
        )
        yield "While there, note what putting them away asks for: pressures, treads."
        return
    far = f"to {place.name}" if place else f"to where it will be kept, out of earshot of {job.car.name}"
    if place and aside(job):
        far = f"well away from {job.car.name}, further than {place.name}, until the car has been driven and proven"
    else_drive = f" Else drive {job.car.name} away from them." if gauged_first(job) else ""
    yield f"Take the wheels that came off {far}. Nothing stays in the boot.{else_drive}"
    if place is None:
        yield "If you drive for that, hold them fast in the car; what the lamp does on that way proves nothing."


def store_off(job: Job) -> Step:
    """The set that came off: cleaned, gauged, noted, laid down where it is kept."""
    place = job.storage
    at = place.name if place else "where it is to be kept"
    listens = next((car for car in job.garage.car if car.direct), None)
    later = not stored_at_once(job)
    return Step(
        does=Does.STORE,
        card=OnCard.AWAY if not later else OnCard.AGAIN,
        stage=Stage.AWAY if not later else Stage.AFTER,
        title=f"Store {job.named_off}" + (f" at {at}" if place else ""),
        what=(
            *(("They are there already: what you noted then counts here.",) if drives_away(job) else ()),
            "Clean, gauge, note damage. Lay them flat, inflated, cool, dark and dry.",
            *_kept_apart(job),
            *(("It is open to the air there: cover them.",) if place and place.open_air else ()),
        ),
        why="Pressures noted now are a six-month leak test for nothing, and a set that lies elsewhere than planned breaks the plan.",
        where=at,
        expect="four pressures in the record",
        evidence=(Channel.GAUGE, Channel.TYPED),
        minutes=acts.PUT_AWAY,
        basis=heard_at(job.garage, listens, place.id if place else None).basis if listens else COMMON_PRACTICE,
        cautions=(*_BY_HAND, *_BY_CAR) if place is None or (drives(job, place) and not drives_away(job)) else _BY_HAND,
        waits_for=(step_id(Does.START_AGAIN),) if later else (),
        asks=(
            *_where_it_lies(job),
            *(ask_pressure(job, wheel, Tells.PUT_AWAY) for wheel in job.coming_off),
            ask.temperature("The tyres' own temperature"),
            *(ask.tread(slug("tread", wheel), f"Tread of wheel {job.name(wheel)}", wheel) for wheel in job.coming_off),
            ask.words("tread", "Damage, wheel by wheel"),
        ),
        moves=tuple(Move(wheel, at=place.id if place else None) for wheel in job.coming_off),
    )


def _kept_apart(job: Job) -> tuple[str, ...]:
    """What of a set's IDs binds it to its place."""
    if not job.direct:
        return ()
    if job.paired:
        names = ", ".join(job.name(wheel) for wheel in job.paired)
        return (f"Wheels {names} share IDs with it: it stays there, and is never brought nearer to the car.",)
    theirs = (w.as_on(job.then) for w in job.plan.wheels if w.is_in(job.coming.id) or w.wheel in job.coming_off)
    known = all(w.id is not None for w in theirs)
    return () if known else ("Some IDs are not known: read them before it is stored near a car.",)


def _where_it_lies(job: Job) -> tuple[ask.Ask, ...]:
    """Asked where nobody has said where the set is to be kept."""
    if job.storage is not None or not job.garage.place:
        return ()
    options = (*(p.id for p in job.garage.place), Instead.ELSEWHERE)
    names = (*(p.name for p in job.garage.place), "somewhere else")
    return (ask.pick("place", "Where it lies now", options, "", Tells.PUT_AT, names=names),)
