"""What remains once the car is back: retorque, storage, and putting the record right."""

from __future__ import annotations

from collections.abc import Iterator

from wheelside.garage import acts
from wheelside.garage.words import TakenOut
from wheelside.identity.plan import WheelPlan
from wheelside.rim import fasten
from wheelside.sheet import ask, cautions
from wheelside.sheet.carry import put_away_later
from wheelside.sheet.context import Job
from wheelside.sheet.extent import Extent
from wheelside.sheet.option import Fasteners
from wheelside.sheet.prove import look_later
from wheelside.sheet.step import Channel, Does, OnCard, Stage, Step, step_id
from wheelside.sheet.write import write_out_list


def after(job: Job) -> Iterator[Step]:
    """Retorque, storing what could not be stored before, sensors taken out, the garage file, and the look in a week."""
    if job.road_wheels_off:
        yield retorque(job)
    yield from put_away_later(job)
    if any(w.sensor for w in job.refits):
        yield _taken_out(job)
    yield from record(job)
    yield from look_later(job)


def after_on_stand(job: Job) -> Iterator[Step]:
    """Sensors taken out, and the garage file, for a set that goes on no car."""
    if any(w.sensor for w in job.refits):
        yield _taken_out(job)
    yield from record(job)


def record(job: Job) -> Iterator[Step]:
    """Putting a file right; a book is put right by finishing the job. Nothing where a car was proven and not taught by it."""
    if job.in_book or (job.extent is Extent.PROVE and not job.teaches):
        return
    yield _record_in_file(job)


def retorque(job: Job) -> Step:
    """The fasteners once more, after some driving."""
    figure = job.torque_figure
    return Step(
        does=Does.TORQUE_AGAIN,
        card=OnCard.AGAIN,
        stage=Stage.AFTER,
        title=f"Torque again {fasten.retorque_after()}",
        what=(f"Cold, on the ground, crosswise, to {figure}.",),
        where="all four corners",
        expect="no fastener moves",
        evidence=(Channel.TYPED,),
        minutes=acts.TORQUE_AGAIN,
        basis=fasten.RETORQUE,
        cautions=cautions.of_act(Does.TORQUE_AGAIN),
        asks=(
            ask.pick("moved", "Did any fastener move", Fasteners, Fasteners.NONE_MOVED, words=True),
            ask.odometer(),
        ),
    )


def _taken_out(job: Job) -> Step:
    scrap = job.garage.plan.taken_out is TakenOut.SCRAP
    rows = []
    for w in job.refits:
        sensor = job.parts(w.wheel).sensor
        if sensor is not None:
            rows.append(f"{sensor.name} from wheel {job.name(w.wheel)}, printed {sensor.printed or 'not known'}")
    fate = (
        f"Hand them in as batteries, and note each as gone on {job.plan.day}."
        if scrap
        else "Take them to the place that is planned for them, labelled, and note where they lie."
    )
    return Step(
        does=Does.TAKEN_OUT,
        card=OnCard.AGAIN,
        stage=Stage.AFTER,
        title="See to the sensors that came out",
        what=(*rows, fate),
        where="at the bench",
        expect="each one is accounted for",
        evidence=(Channel.TYPED, Channel.PHOTO),
        minutes=acts.SEE_TO_TAKEN_OUT,
        cautions=cautions.of_act(Does.TAKEN_OUT),
        waits_for=(step_id(Does.CHANGE_SENSORS),),
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
        card=OnCard.AGAIN,
        stage=Stage.AFTER,
        title="Put the garage file right",
        what=(
            *(write_out_list(job) if changes and not job.teaches else ()),
            *(f"{c[:1].upper()}{c[1:]}." for c in changes),
        )
        or ("Nothing of the standing facts has changed; keep this sheet with its figures.",),
        where="at the garage file",
        expect="'wheelside plan' finds nothing to do for this set",
        evidence=(Channel.TYPED,),
        minutes=acts.PUT_FILE_RIGHT,
        asks=(ask.done("The record is right"),),
    )
