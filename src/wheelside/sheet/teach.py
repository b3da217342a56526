"""Waking the sensors and teaching the car, in its own order and within its own time limits."""

from __future__ import annotations

from collections.abc import Iterator

from wheelside.earshot.hearing import heard_at, set_heard
from wheelside.finding import COMMON_PRACTICE, Basis, Ground
from wheelside.garage import acts
from wheelside.garage.season import where
from wheelside.garage.words import Monitor, Teaching
from wheelside.identity.plan import WheelPlan
from wheelside.said import Joined, Key, Said, listed, say
from wheelside.sheet import ask, cautions
from wheelside.sheet.ask import Tells
from wheelside.sheet.carry import chooses_first, rests_meanwhile
from wheelside.sheet.context import Job, ask_id, ask_listed, pressure_step
from wheelside.sheet.option import Shown, YesNo
from wheelside.sheet.order import learns_driving, must_be_away, rolled_since, turn_of
from wheelside.sheet.slot import choose_list, chosen_first
from wheelside.sheet.step import Channel, Does, OnCard, Stage, Step, step_id
from wheelside.units import Duration

DEFAULT_REST = Duration(20 * 60)
"""A car that learns while driving often wants to stand first; one handbook says 20 minutes."""


def teach(job: Job) -> Iterator[Step]:
    """Everything between the last torque and the drive but the pressures; nothing for a car that knows no sensors."""
    if not job.direct:
        return
    if job.teaches:
        yield from () if chooses_first(job) else choose_list(job)
        if _wakes(job):
            yield from _wake_all(job)
        if must_be_away(job) or learns_driving(job):
            yield _clear_the_air(job)
        yield from _by_class(job)
    else:
        yield from _wake_all(job)
        if job.car.slots and job.car.slots > 1:
            yield _choose_set(job)


def store(job: Job) -> Iterator[Step]:
    """Telling the car that the pressures just set are right, where it keeps them."""
    if job.car.monitor is Monitor.INDIRECT:
        yield _store_reference(job, "so that it learns these tyres again")
    elif job.learns_gauged:
        yield _store_reference(job, "the car keeps them as what is right")


def _wakes(job: Job) -> bool:
    """Whether every wheel answers a trigger before the car is taught: where teaching itself shows no IDs, or a broken-off one empties the list or
    may. Elsewhere teaching is the waking."""
    return job.car.taught_by is not Teaching.STEPS or job.car.abort_erases is not False


def _wake_all(job: Job) -> Iterator[Step]:
    for w in _in_order(job):
        yield _wake(job, w)


def _in_order(job: Job) -> list[WheelPlan]:
    """The wheels in the car's order of teaching, or as one walks round it; those that its order does not name come last."""
    return sorted(job.wheels, key=lambda w: turn_of(job, w.corner))


def _wake(job: Job, plan: WheelPlan) -> Step:
    return Step(
        wheel=plan.wheel,
        does=Does.WAKE,
        card=OnCard.TEACH,
        stage=Stage.TEACH,
        title=f"Wake wheel {job.name(plan.wheel)}",
        what=("Trigger it at its corner.",),
        where=plan.corner.value,
        expect=f"it sends {job.spoken(plan.id)}",
        evidence=(Channel.TRIGGER,),
        minutes=acts.WAKE,
        asks=(ask_id(job, plan.wheel, plan.id, Tells.AWAKE),),
    )


def _clear_the_air(job: Job) -> Step:
    """For a car that takes what it hears, and for IDs that are shared."""
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
        text = "Carry these away, or drive the car away from them, before it rolls or learns: {wheels}."
        away = say(text, wheels=listed(near, Joined.COMMA))
    return Step(
        does=Does.CLEAR_AIR,
        card=OnCard.TEACH,
        stage=Stage.TEACH,
        title="Move other wheels away",
        what=(away, "Nothing in the boot: a set carried there is heard better than the wheels."),
        where=f"around {job.car.name}",
        expect="no other sensor of this family within earshot",
        evidence=(Channel.TYPED,),
        minutes=acts.CLEAR_AIR,
        asks=(ask.done("No other sensor of this family is within earshot"),),
    )


def _by_class(job: Job) -> Iterator[Step]:
    taught = job.car.taught_by
    if taught is not None and taught.by_itself:
        yield _rest(job)
    elif taught is Teaching.STEPS or taught is None:
        yield from _steps(job)
    else:
        yield _port(job)


def _rest(job: Job) -> Step:
    rest = job.car.rest_before or DEFAULT_REST
    return Step(
        does=Does.REST,
        card=OnCard.TEACH,
        stage=Stage.TEACH,
        title=f"Let the car stand {rest.minutes:.0f} minutes",
        what=("Ignition off, doors shut, nothing moved.",),
        where=job.car.name,
        expect="it has stood undisturbed",
        evidence=(Channel.TYPED,),
        minutes=int(rest.minutes),
        basis=job.car.basis("rest_before")
        if job.car.rest_before
        else Basis(Ground.DEFAULT, say("20 min, one handbook; note {key}", key=Key("car", "rest_before", job.car.id))),
        wait_s=rest.seconds,
        asks=(ask.done("It has stood undisturbed"),),
    )


def teach_limits(job: Job) -> str:
    """The time that the car allows for its teaching, in words."""
    car, limits = job.car, []
    if car.teach_wheel_limit:
        limits.append(f"{car.teach_wheel_limit.minutes:g} min for each wheel")
    if car.teach_total_limit:
        limits.append(f"{car.teach_total_limit.minutes:g} min in all")
    return " and ".join(limits) or "not known: have everything at hand and do not pause"


def _steps(job: Job) -> Iterator[Step]:
    """Taught wheel by wheel; of a rest that the car wants, that counts in which what came off is put away."""
    car = job.car
    rest = car.rest_before
    stood = f"It has stood {rest.minutes:.0f} minutes, ignition off, nothing moved." if rest else ""
    erases = () if car.abort_erases is False else (cautions.Caution.ERASES.value,)
    yield Step(
        does=Does.TEACH_BEGIN,
        card=OnCard.TEACH,
        stage=Stage.TEACH,
        title="Put the car into teaching",
        what=(*((stood,) if stood else ()), "Steady supply, ignition as the handbook says, then start teaching."),
        where=car.name,
        expect=f"the car confirms; time allowed: {teach_limits(job)}",
        evidence=(Channel.TYPED,),
        minutes=acts.TEACH_BEGIN + _rest_left(job),
        basis=car.basis("taught_by") if car.taught_by else Basis(Ground.UNKNOWN, "how this car is taught is not noted"),
        cautions=erases,
        waits_for=(
            *chosen_first(job),
            *((step_id(Does.CLEAR_AIR),) if must_be_away(job) else ()),
            *((step_id(Does.WAKE, w.wheel) for w in job.wheels) if _wakes(job) else ()),
        ),
        timed="teaching",
        allowed_s=car.teach_total_limit.seconds if car.teach_total_limit else None,
        asks=(ask.pick("confirms", "The car confirms that it is being taught", YesNo, YesNo.YES, required=False),),
    )
    for n, wheel in enumerate(_in_order(job), start=1):
        yield _teach_wheel(job, n, wheel)


def _rest_left(job: Job) -> int:
    """The minutes of the car's rest that are left once what came off is put away."""
    rest = job.car.rest_before
    return 0 if rest is None else max(0, int(rest.minutes) - rests_meanwhile(job))


def _teach_wheel(job: Job, n: int, wheel: WheelPlan) -> Step:
    """One wheel: that the car confirms it, and the ID that the trigger shows, are one answer of a person and two for the proof."""
    car = job.car
    return Step(
        wheel=wheel.wheel,
        does=Does.TEACH_WHEEL,
        card=OnCard.TEACH,
        stage=Stage.TEACH,
        title=f"Teach {n}: {wheel.corner.value}, wheel {job.name(wheel.wheel)}",
        what=("Trigger it beside the valve, and wait for the car.",),
        where=wheel.corner.value,
        expect=f"the car confirms; the trigger shows {job.spoken(wheel.id)}",
        evidence=(Channel.TRIGGER,),
        minutes=acts.TEACH_WHEEL,
        basis=car.basis("teach_order") if car.teach_order else COMMON_PRACTICE,
        waits_for=(step_id(Does.TEACH_BEGIN),),
        timed="teaching",
        allowed_s=car.teach_wheel_limit.seconds if car.teach_wheel_limit else None,
        asks=(
            ask.pick("confirms", "The car confirms this wheel", YesNo, YesNo.YES, Tells.TAUGHT, wheel=wheel.wheel),
            ask_id(job, wheel.wheel, wheel.id, Tells.AWAKE),
        ),
    )


def _port(job: Job) -> Step:
    locked = job.car.taught_by is Teaching.LOCKED
    rows = tuple(f"{w.corner.value}: {job.spoken(w.id)}" for w in job.wheels)
    return Step(
        does=Does.TEACH_PORT,
        card=OnCard.TEACH,
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
        where=job.car.name,
        expect="the list read back is this one, corner by corner",
        evidence=(Channel.PORT,),
        minutes=acts.TEACH_BY_PORT,
        waits_for=(
            *chosen_first(job),
            *((step_id(Does.CLEAR_AIR),) if must_be_away(job) else ()),
            *(step_id(Does.WAKE, w.wheel) for w in job.wheels),
            *(_gauged(job) if locked else ()),
        ),
        basis=job.car.basis("taught_by"),
        cautions=cautions.of_act(Does.TEACH_PORT),
        timed="teaching",
        asks=(ask_listed(),),
    )


def _choose_set(job: Job) -> Step:
    return Step(
        does=Does.CHOOSE_SET,
        card=OnCard.TEACH,
        stage=Stage.TEACH,
        title=f"Choose the set {job.coming.name}",
        what=("Choose it in the car's menu, where it has one; some cars find it by themselves.",),
        where=job.car.name,
        expect="the car shows this set, or nothing at all until it has driven",
        evidence=(Channel.TYPED,),
        minutes=acts.CHOOSE_SET,
        basis=job.car.basis("remembers_sets"),
        asks=(ask.pick("chosen", "The car shows", Shown, Shown.THIS, also=(Shown.NOTHING_YET,)),),
    )


def _store_reference(job: Job, why: str) -> Step:
    driven = rolled_since(job)
    when = "The" if driven else "If the"
    return Step(
        does=Does.STORE_REFERENCE,
        card=OnCard.REFERENCE,
        stage=Stage.TEACH,
        title="Tell the car that these pressures are right",
        what=(
            *(
                (f"{when} tyres were driven on since they were set: let the car stand three hours first.",)
                if driven is not False
                else ()
            ),
            "Store the tyre pressures in the car as its handbook says.",
        ),
        why=f"Only with the pressures just set and gauged, the tyres cold: {why}.",
        where=job.car.name,
        expect="the car confirms",
        evidence=(Channel.TYPED,),
        minutes=acts.STORE_REFERENCE,
        basis=job.car.basis("stores_reference") if job.car.stores_reference else COMMON_PRACTICE,
        waits_for=_gauged(job),
        asks=(ask.pick("stored", "The car confirms", YesNo, YesNo.YES, Tells.REFERENCE),),
    )


def _gauged(job: Job) -> tuple[str, ...]:
    """The steps at which the wheels get their pressures."""
    return tuple(pressure_step(job, w) for c, w in job.coming.wheels if c in job.car.monitored_corners)
