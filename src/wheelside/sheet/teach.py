"""Waking the sensors and teaching the car, in its own order and within its own time limits."""

from __future__ import annotations

from collections.abc import Iterator

from wheelside.earshot.hearing import heard_at, set_heard
from wheelside.finding import COMMON_PRACTICE, Basis, Ground
from wheelside.garage import acts
from wheelside.garage.season import where
from wheelside.garage.words import Corner, Monitor, Teaching
from wheelside.said import Joined, Key, Said, listed, say
from wheelside.sheet import ask, cautions
from wheelside.sheet.ask import Tells
from wheelside.sheet.carry import drives_away
from wheelside.sheet.context import Job, ask_id, ask_listed, pressure_step
from wheelside.sheet.option import Shown, YesNo
from wheelside.sheet.slot import choose_list, chosen_first
from wheelside.sheet.step import Channel, Does, Stage, Step, step_id
from wheelside.units import Duration

DEFAULT_REST = Duration(20 * 60)
"""A car that learns while driving often wants to stand first; one handbook says 20 minutes."""


def teach(job: Job) -> Iterator[Step]:
    """Everything between the last torque and the drive."""
    if not job.direct:
        yield from store(job)
        return
    for w in job.wheels:
        yield _wake(job, w.wheel)
    if job.teaches:
        yield from choose_list(job)
        yield _clear_the_air(job)
        if job.car.rest_before or (job.car.taught_by and job.car.taught_by.by_itself):
            yield _rest(job)
        yield from _by_class(job)
    elif job.car.slots and job.car.slots > 1:
        yield _choose_set(job)
    yield from store(job)


def store(job: Job) -> Iterator[Step]:
    """Telling the car that the pressures just set are right, where it keeps them."""
    if job.car.monitor is Monitor.INDIRECT:
        yield _store_reference(job, "so that it learns these tyres anew")
    elif job.learns_gauged:
        yield _store_reference(job, "the car keeps them as what is right")


def _wake(job: Job, wheel: str) -> Step:
    plan = next(w for w in job.wheels if w.wheel == wheel)
    setting = job.setting(wheel) if job.sets_pressures and not drives_away(job) else None
    reads = f", pressure {job.units.show_pressure(setting.set_to)} within {job.p(10)}" if setting else ""
    return Step(
        wheel=wheel,
        does=Does.WAKE,
        stage=Stage.TEACH,
        title=f"Wake wheel {job.name(wheel)}",
        what=("Trigger it at its corner.",),
        why="A sensor fresh from storage may sleep until it feels pressure, a trigger or the road.",
        where=job.corner_of(wheel).value,
        expect=f"it sends {job.spoken(plan.id)}{reads}",
        evidence=(Channel.TRIGGER,),
        minutes=acts.WAKE,
        if_fails=f"Let out {job.p(50)} quickly and put it back, wait a minute, try again; else drive ten minutes first. "
        "Only then is it silent.",
        basis=COMMON_PRACTICE,
        asks=(ask_id(job, wheel, plan.id, Tells.AWAKE),),
    )


def _clear_the_air(job: Job) -> Step:
    place = job.garage.places.get(job.car.stands_at or "")
    hearings = [
        (s.name, set_heard(job.garage, job.car, where(job.plan.line, s.id, job.then), job.then))
        for s in job.garage.set
        if s.id not in (job.coming.id, job.going.id if job.going else None) and not s.gone_by(job.then)
    ]
    near: list[Said | str] = [say("{set} (just taken off)", set=job.named_off)] if job.coming_off else []
    near += [say("{set} ({where})", set=name, where=h.where) for name, h in hearings if h.heard]
    told = {hearing.on for _, hearing in hearings}
    near += [
        car.name
        for car in job.garage.car
        if car.id not in (job.car.id, *told) and heard_at(job.garage, job.car, car.stands_at).heard
    ]
    away = say("No other wheels are known to be near.")
    if near:
        text = "Carry these out of earshot, or drive the car away from them: {wheels}."
        away = say(text, wheels=listed(near, Joined.COMMA))
    return Step(
        does=Does.CLEAR_AIR,
        stage=Stage.TEACH,
        title="Move other wheels away",
        what=(away, "Nothing in the boot: a set carried there is heard better than the wheels."),
        why="A car that is being taught takes what it hears, its own wheels or not.",
        where=f"around {job.car.name}{f' at {place.name}' if place else ''}, twenty metres and more",
        expect="no other sensor of this family within earshot",
        evidence=(Channel.TYPED,),
        minutes=acts.CLEAR_AIR,
        if_fails="Where they can't be moved, teach somewhere else.",
        basis=COMMON_PRACTICE,
        asks=(ask.done("No other sensor of this family is within earshot"),),
    )


def _by_class(job: Job) -> Iterator[Step]:
    taught = job.car.taught_by
    if taught is not None and taught.by_itself:
        return
    if taught is Teaching.STEPS or taught is None:
        yield from _steps(job)
    else:
        yield _port(job)


def _rest(job: Job) -> Step:
    rest = job.car.rest_before or DEFAULT_REST
    return Step(
        does=Does.REST,
        stage=Stage.TEACH,
        title=f"Let the car stand {rest.minutes:.0f} minutes",
        what=("Ignition off, doors shut, nothing moved.",),
        why="It begins to learn only after a rest.",
        where=job.car.name,
        expect="it has stood undisturbed",
        evidence=(Channel.TYPED,),
        minutes=int(rest.minutes),
        if_fails="If it was moved, begin the rest again.",
        basis=job.car.basis("rest_before")
        if job.car.rest_before
        else Basis(Ground.DEFAULT, say("20 min, one handbook; note {key}", key=Key("car", "rest_before", job.car.id))),
        wait_s=rest.seconds,
        asks=(ask.done("It has stood undisturbed"),),
    )


def _steps(job: Job) -> Iterator[Step]:
    car = job.car
    limits = []
    if car.teach_wheel_limit:
        limits.append(f"{car.teach_wheel_limit.minutes:g} min for each wheel")
    if car.teach_total_limit:
        limits.append(f"{car.teach_total_limit.minutes:g} min in all")
    limit = " and ".join(limits) or "not known: have everything at hand and do not pause"
    erases = (
        "On this car a broken-off teaching empties the list: do not begin unless you can finish."
        if car.abort_erases
        else ""
    )
    unknown = (
        "Whether a broken-off teaching empties the list is not known: do not begin unless you can finish."
        if car.abort_erases is None
        else ""
    )
    yield Step(
        does=Does.TEACH_BEGIN,
        stage=Stage.TEACH,
        title="Put the car into teaching",
        what=(
            "Read through to the end of this group first; the trigger is charged and in hand.",
            "Steady supply, ignition as the handbook says, then start teaching.",
        ),
        why="The car does not know these IDs, or not at these corners.",
        where=job.car.name,
        expect=f"the car confirms; time allowed: {limit}",
        evidence=(Channel.TYPED,),
        minutes=acts.TEACH_BEGIN,
        if_fails="No confirmation: the car was not at rest, or its supply is low. Wait, then begin again.",
        basis=car.basis("taught_by") if car.taught_by else Basis(Ground.UNKNOWN, "how this car is taught is not noted"),
        cautions=tuple(x for x in (erases, unknown) if x),
        waits_for=(
            *chosen_first(job),
            step_id(Does.CLEAR_AIR),
            *((step_id(Does.REST),) if car.rest_before else ()),
            *(step_id(Does.WAKE, w.wheel) for w in job.wheels),
        ),
        timed="teaching",
        allowed_s=car.teach_total_limit.seconds if car.teach_total_limit else None,
        asks=(ask.pick("confirms", "The car confirms that it is being taught", YesNo, YesNo.YES),),
    )
    by_corner = {w.corner: w for w in job.wheels}
    usual = (Corner.FRONT_LEFT, Corner.FRONT_RIGHT, Corner.REAR_RIGHT, Corner.REAR_LEFT, Corner.SPARE)
    order = car.teach_order or usual
    stated = "" if car.teach_order else " (a usual order; the handbook's goes before it)"
    for n, corner in enumerate(order, start=1):
        wheel = by_corner.get(corner)
        if wheel is None:
            continue
        yield Step(
            wheel=wheel.wheel,
            does=Does.TEACH_WHEEL,
            stage=Stage.TEACH,
            title=f"Teach {n}: {corner.value}, wheel {job.name(wheel.wheel)}{stated}",
            what=("Trigger it beside the valve and wait for the car's confirmation.",),
            why="The order tells the car which corner it is.",
            where=f"{corner.value}, left and right as from the driver's seat",
            expect=f"the car confirms; the trigger shows {job.spoken(wheel.id)}",
            evidence=(Channel.TRIGGER,),
            minutes=acts.TEACH_WHEEL,
            if_fails="Another ID answers: a wheel is at the wrong corner or another one is near. "
            "Finish or stop as the handbook says, then begin again.",
            basis=car.basis("teach_order") if car.teach_order else COMMON_PRACTICE,
            waits_for=(step_id(Does.TEACH_BEGIN),),
            timed="teaching",
            allowed_s=car.teach_wheel_limit.seconds if car.teach_wheel_limit else None,
            asks=(
                ask.pick("confirms", "The car confirms this wheel", YesNo, YesNo.YES, Tells.TAUGHT, wheel=wheel.wheel),
                ask_id(job, wheel.wheel, wheel.id, Tells.AWAKE, required=False),
            ),
        )


def _port(job: Job) -> Step:
    locked = job.car.taught_by is Teaching.LOCKED
    rows = tuple(f"{w.corner.value}: {job.spoken(w.id)}" for w in job.wheels)
    return Step(
        does=Does.TEACH_PORT,
        stage=Stage.TEACH,
        title="Have the IDs written to the car",
        what=(
            (
                "A workshop with access to this car writes them; hand it this list:"
                if locked
                else "Save the list that the car holds, then write through the diagnostic port:"
            ),
            *rows,
        ),
        why="The car does not know these IDs, or not at these corners.",
        where=job.car.name,
        expect="the list read back is this one, corner by corner",
        evidence=(Channel.PORT,),
        minutes=acts.TEACH_BY_PORT,
        if_fails="Put the saved list back.",
        waits_for=(*chosen_first(job), step_id(Does.CLEAR_AIR), *(step_id(Does.WAKE, w.wheel) for w in job.wheels)),
        basis=job.car.basis("taught_by"),
        cautions=(cautions.PORT,),
        timed="teaching",
        asks=(ask_listed(),),
    )


def _choose_set(job: Job) -> Step:
    return Step(
        does=Does.CHOOSE_SET,
        stage=Stage.TEACH,
        title=f"Choose the set {job.coming.name}",
        what=("Choose it in the car's menu, where it has one; some cars find it by themselves.",),
        why="The car remembers this set, and applies that set's pressures once it is chosen.",
        where=job.car.name,
        expect="the car shows this set, or nothing at all until it has driven",
        evidence=(Channel.TYPED,),
        minutes=acts.CHOOSE_SET,
        if_fails="If the set is not offered, the list has lost it: correct what the car's list holds, and plan again.",
        basis=job.car.basis("remembers_sets"),
        asks=(ask.pick("chosen", "The car shows", Shown, Shown.THIS, also=(Shown.NOTHING_YET,)),),
    )


def _store_reference(job: Job, why: str) -> Step:
    driven = drives_away(job)
    return Step(
        does=Does.STORE_REFERENCE,
        stage=Stage.TEACH,
        title="Tell the car that these pressures are right",
        what=(
            *(
                ("The tyres were driven on since they were set: let the car stand three hours first.",)
                if driven
                else ()
            ),
            "Store the tyre pressures in the car as its handbook says.",
        ),
        why=f"Only with the pressures just set and gauged, the tyres cold: {why}.",
        where=job.car.name,
        expect="the car confirms",
        evidence=(Channel.TYPED,),
        minutes=acts.STORE_REFERENCE,
        if_fails="Never store with a tyre low, hot or not gauged: the car would take the fault for right.",
        basis=job.car.basis("stores_reference") if job.car.stores_reference else COMMON_PRACTICE,
        waits_for=tuple(pressure_step(job, w) for c, w in job.coming.wheels if c in job.car.monitored_corners),
        asks=(ask.pick("stored", "The car confirms", YesNo, YesNo.YES, Tells.REFERENCE),),
    )
