"""What remains once the car is back: retorque, storage, and putting the record right."""

from __future__ import annotations

from collections.abc import Iterator

from wheelside.earshot.hearing import heard_at
from wheelside.finding import COMMON_PRACTICE
from wheelside.garage import acts
from wheelside.garage.words import TakenOut
from wheelside.identity.plan import WheelPlan
from wheelside.rim import fasten
from wheelside.said import Joined, listed, say
from wheelside.sheet import ask, cautions
from wheelside.sheet.ask import Tells, slug
from wheelside.sheet.carry import drives_away
from wheelside.sheet.context import Job, ask_pressure
from wheelside.sheet.extent import Extent
from wheelside.sheet.option import Fasteners, Instead
from wheelside.sheet.step import Channel, Does, Move, Stage, Step
from wheelside.sheet.write import write_out_list


def after(job: Job) -> Iterator[Step]:
    """Retorque, storing the set that came off, sensors taken out, and the garage file."""
    if job.road_wheels_off:
        yield _retorque(job)
    if job.coming_off:
        yield _store(job)
    if any(w.sensor for w in job.refits):
        yield _taken_out(job)
    yield from record(job)


def after_on_stand(job: Job) -> Iterator[Step]:
    """Sensors taken out, and the garage file, for a set that goes on no car."""
    if any(w.sensor for w in job.refits):
        yield _taken_out(job)
    yield from record(job)


def record(job: Job) -> Iterator[Step]:
    """Putting the book or the file right; nothing to put right where a car was proven and not taught by it."""
    if job.extent is Extent.PROVE and not job.teaches:
        return
    yield _record_in_book() if job.in_book else _record_in_file(job)


def _retorque(job: Job) -> Step:
    torque = job.car.torque
    figure = job.units.show_torque(torque) if torque else "the handbook's figure"
    return Step(
        does=Does.TORQUE_AGAIN,
        stage=Stage.AFTER,
        title=f"Torque again {fasten.retorque_after()}",
        what=(f"Cold, on the ground, crosswise, to {figure}; note whether any fastener moved.",),
        why="Faces settle, and a joint that has settled clamps less.",
        where="all four corners",
        expect="no fastener moves",
        evidence=(Channel.TYPED,),
        minutes=acts.TORQUE_AGAIN,
        if_fails=f"One that moves by more than about {fasten.MOVED_DEG} degrees: look at its seat, and do it again after another "
        f"{fasten.RETORQUE_KM[0]} km.",
        basis=fasten.RETORQUE,
        cautions=(cautions.FASTEN,),
        asks=(ask.pick("moved", "Did any fastener move", Fasteners, Fasteners.NONE_MOVED, words=True),),
    )


def _store(job: Job) -> Step:
    place = job.storage
    at = place.name if place else "where it is to be kept"
    hearings = [
        (car.name, heard_at(job.garage, car, place.id if place else None)) for car in job.garage.car if car.direct
    ]
    hears, deaf = "{car} may hear it there ({where})", "{car} is stated not to hear it there ({where})"
    heard = [say(hears if h.heard else deaf, car=name, where=h.where) for name, h in hearings]
    rest = listed(sorted({_at_rest(job, wheel) for wheel in job.coming_off}), Joined.COMMA)
    pairs = [job.name(wheel) for wheel in job.paired]
    theirs = (w.as_on(job.then) for w in job.plan.wheels if w.is_in(job.coming.id) or w.wheel in job.coming_off)
    known = all(w.id is not None for w in theirs)
    rule = (
        "No ID of it is carried by the set that is on now."
        if known
        else "Some IDs are not known: read them before it is stored near a car."
    )
    if pairs:
        rule = f"Wheels {', '.join(pairs)} share IDs with it: it stays where the plan says, and is never brought nearer to the car."
    text = "{heard}. At rest its sensors: {rest}. {rule}"
    sensors = (say(text, heard=listed(heard, Joined.SEMICOLON), rest=rest, rule=rule),) if job.direct else ()
    covered = ("It is open to the air there: cover them against sun and rain.",) if place and place.open_air else ()
    return Step(
        does=Does.STORE,
        stage=Stage.AFTER,
        title=f"Store {job.named_off}" + (f" at {at}" if place else ""),
        what=(
            *(("They are there already: what you noted then counts here.",) if drives_away(job) else ()),
            "Wash and dry; note tread and damage wheel by wheel, and each pressure with the tyre's temperature.",
            "Leave them inflated; lay them flat, cool, dark and dry, away from motors and compressors.",
            *sensors,
            *covered,
        ),
        why="Pressures noted now are a six-month leak test for nothing, and a set that lies elsewhere than planned breaks the plan.",
        where=at,
        expect="four pressures with temperatures in the record",
        evidence=(Channel.GAUGE, Channel.TYPED),
        minutes=acts.PUT_AWAY,
        if_fails="If it has to lie somewhere else, change the season line and plan again before the next drive.",
        basis=hearings[0][1].basis if hearings else COMMON_PRACTICE,
        asks=(
            *_where_it_lies(job),
            *(ask_pressure(job, wheel, Tells.PUT_AWAY) for wheel in job.coming_off),
            ask.temperature("The tyres' own temperature"),
            *(ask.tread(slug("tread", wheel), f"Tread of wheel {job.name(wheel)}", wheel) for wheel in job.coming_off),
            ask.words("tread", "Damage, wheel by wheel"),
        ),
        moves=tuple(Move(wheel, at=place.id if place else None) for wheel in job.coming_off),
    )


def _where_it_lies(job: Job) -> tuple[ask.Ask, ...]:
    """Asked where nobody has said where the set is to be kept."""
    if job.storage is not None or not job.garage.place:
        return ()
    options = (*(p.id for p in job.garage.place), Instead.ELSEWHERE)
    names = (*(p.name for p in job.garage.place), "somewhere else")
    return (ask.pick("place", "Where it lies now", options, "", Tells.PUT_AT, names=names),)


def _at_rest(job: Job, wheel: str) -> str:
    sensor = job.parts(wheel).sensor
    if sensor is None and not job.garage.wheels[wheel].joined:
        return f"{job.name(wheel)} not known"
    if sensor is None:
        return f"{job.name(wheel)} none"
    return f"{job.name(wheel)} {sensor.at_rest.value if sensor.at_rest else 'not known'}"


def _taken_out(job: Job) -> Step:
    scrap = job.garage.plan.taken_out is TakenOut.SCRAP
    rows = []
    for w in job.refits:
        sensor = job.parts(w.wheel).sensor
        if sensor is not None:
            rows.append(f"{sensor.name} from wheel {job.name(w.wheel)}, printed {sensor.printed or 'not known'}")
    fate = (
        f"Hand them in as batteries today, and note each as gone on {job.plan.day}."
        if scrap
        else "Take them to the place that is planned for them, labelled, and note where they lie."
    )
    return Step(
        does=Does.TAKEN_OUT,
        stage=Stage.AFTER,
        title="See to the sensors that came out",
        what=(*rows, fate),
        why="A sensor that was silent may wake again, and would then speak with its old ID.",
        where="at the bench",
        expect="each one is accounted for",
        evidence=(Channel.TYPED, Channel.PHOTO),
        minutes=acts.SEE_TO_TAKEN_OUT,
        if_fails="One that is missing counts as stored within earshot until it is found.",
        basis=COMMON_PRACTICE,
        cautions=(cautions.SENSOR_BATTERY,),
        asks=(ask.done("Each one is accounted for"), ask.photo("Photo of the sensors taken out")),
    )


def _new_list(job: Job) -> str:
    """What the car's list holds once it has been taught."""
    taught = f'{{ set = "{job.coming.id}", as_of = {job.plan.day} }}'
    if (job.car.slots or 1) <= 1:
        return f"'holds' of {job.car.id} becomes [{taught}]"
    return f"'holds' of {job.car.id}: add {taught} at the end"


def _written(w: WheelPlan) -> str:
    """The ID as the file is to have it, in a form that can't be read in two ways."""
    return f"0x{w.id.hex}" if w.id else "0x and the hex digits that you noted"


def _seen_today(job: Job) -> str:
    return f'as_of = {job.plan.day}, since = {job.plan.day}, how = "fitted"'


def _record_in_book() -> Step:
    """Finishing a job puts the book's facts right; this is the look at what it will do."""
    return Step(
        does=Does.RECORD,
        stage=Stage.AFTER,
        title="Look over what changes in the book",
        what=(
            "'Finish the job' shows what follows from your answers: new sensors, what they send, what the car holds.",
        ),
        why="The next plan begins where this job ended.",
        where="on this phone",
        expect="the changes are right, and finishing puts them into the book",
        evidence=(Channel.TYPED,),
        minutes=acts.LOOK_OVER_RECORD,
        if_fails="Open the step whose answer is wrong and send it again; correct anything else under Facts.",
        asks=(ask.done("The record is right"),),
    )


def _record_in_file(job: Job) -> Step:
    changes = [
        f"a new [[sensor]] with sends = \"{_written(w)}\", joined to wheel {w.wheel}, the old joining given an 'until'"
        for w in job.refits
    ]
    changes += [f"'sends' of {w.sensor} to \"{_written(w)}\"" for w in job.written_in_wheel]
    if job.teaches:
        changes.append(_new_list(job))
    if job.fitting:
        changes.append(f'a [[seen]] with set = "{job.coming.id}", on = "{job.car.id}", {_seen_today(job)}')
    if job.going is not None and job.storage is not None:
        changes.append(f'a [[seen]] with set = "{job.going.id}", at = "{job.storage.id}", as_of = {job.plan.day}')
    if changes and job.day > job.plan.day:
        changes.append("for every day above write the one on which you did it")
    return Step(
        does=Does.RECORD,
        stage=Stage.AFTER,
        title="Put the garage file right",
        what=(
            *(write_out_list(job) if changes and not job.teaches else ()),
            *(f"{c[:1].upper()}{c[1:]}." for c in changes),
        )
        or ("Nothing of the standing facts has changed; keep this sheet with its figures.",),
        why="The next plan begins where this job ended.",
        where="at the garage file",
        expect="'wheelside plan' finds nothing to do for this set",
        evidence=(Channel.TYPED,),
        minutes=acts.PUT_FILE_RIGHT,
        if_fails="'wheelside check' names the line.",
        basis=COMMON_PRACTICE,
        asks=(ask.done("The record is right"),),
    )
