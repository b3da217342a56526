"""A tyre that is flat on the road: the spare, sealant or air, how one drives on, and what the next fitter has to know."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from wheelside.finding import COMMON_PRACTICE
from wheelside.garage import acts
from wheelside.garage.words import Corner
from wheelside.sheet import ask, cautions
from wheelside.sheet.after import retorque
from wheelside.sheet.ask import Tells, When, slug
from wheelside.sheet.context import Job, ask_pressure
from wheelside.sheet.option import Became, OnFlat
from wheelside.sheet.step import Channel, Does, Move, OnCard, Stage, Step, step_id
from wheelside.sheet.swap import torque
from wheelside.units import GaugePressure

OFTEN_KMH, HOLDS, STOP_BELOW, AGAIN_MIN = 80, GaugePressure(180.0), GaugePressure(130.0), 10
"""How fast one drives at most on a temporary spare or on sealant where neither says: that of UN Regulation No. 64, from memory. What a filled tyre
holds before one drives off, below what one drives no farther, and after how many minutes it is gauged: common practice, no source."""
_WAY = f"{Does.STOP.value}/way"
_SPARE = When(_WAY, (OnFlat.SPARE,), way=True)
_FILLED = When(_WAY, (OnFlat.SEALANT, OnFlat.AIR), way=True)
_GOES_ON = When(_WAY, (OnFlat.SPARE, OnFlat.SEALANT, OnFlat.AIR), way=True)


def flat(job: Job) -> Iterator[Step]:
    """From the stop to the look at the fasteners some days later; what is done hangs on what there is: a spare, a kit, a pump, or a telephone."""
    yield _stop(job)
    yield _spare_on(job)
    yield _fill(job)
    yield _drive_on(job)
    yield _tell(job)
    yield replace(
        torque(job, []),
        stage=Stage.AFTER,
        where=_at(job),
        waits_for=(step_id(Does.SPARE_ON),),
        calls=(_SPARE,),
    )
    yield replace(retorque(job), calls=(_SPARE,))


def spare_of(job: Job) -> str:
    """The spare wheel that lies in the car; '' where none is known."""
    return job.at_corner.get(Corner.SPARE, "")


def _at(job: Job) -> str:
    return f"{job.corner_of(job.about).value} of {job.car.name}"


def _stop(job: Job) -> Step:
    return Step(
        does=Does.STOP,
        card=OnCard.STOP,
        stage=Stage.BEFORE,
        title=f"Look at {job.name(job.about)}, {job.corner_of(job.about).value}",
        what=(
            "What sticks in it stays in.",
            "Side hurt, bead off, driven flat, or a hole wider than a few millimetres: no sealant, no air. The spare, or help.",
        ),
        where=_at(job),
        expect="one of four ways on",
        evidence=(Channel.TYPED,),
        minutes=acts.STOP,
        cautions=cautions.of_act(Does.STOP),
        asks=(ask.pick("way", "How do you go on", OnFlat, "", Tells.FLAT_WAY), ask.odometer()),
    )


def _spare_on(job: Job) -> Step:
    spare, name, corner = spare_of(job), job.name(job.about), job.corner_of(job.about)
    its = job.name(spare) if spare else "the spare"
    moves = (Move(job.about), *((Move(spare, job.car.id, corner.value),) if spare else ()))
    return Step(
        does=Does.SPARE_ON,
        card=OnCard.SPARE,
        stage=Stage.SWAP,
        title=f"Take {name} off, put {its} on",
        what=(
            f"Loosen on the ground, lift, {name} off, {its} on, every fastener by hand.",
            "Lower it. Tighten crosswise with the car's own brace: by torque wrench as soon as there is one.",
            "Gauge the spare: its side or the car's label says what it needs.",
        ),
        where=_at(job),
        expect="it sits flat; no fastener binds",
        evidence=(Channel.TYPED,),
        minutes=acts.SPARE_ON,
        cautions=cautions.of_act(Does.SPARE_ON),
        waits_for=(step_id(Does.STOP),),
        calls=(_SPARE,),
        asks=(
            ask.done(f"{its[:1].upper()}{its[1:]} sits flat, tight crosswise, on the ground"),
            *((replace(ask_pressure(job, spare, Tells.NOTHING), required=False),) if spare else ()),
        ),
        moves=moves,
    )


def _fill(job: Job) -> Step:
    line = job.setting(job.about)
    figure = job.units.show_pressure(line.gauge_shows) if line is not None else "the car's label"
    least = job.units.show_pressure(HOLDS)
    return Step(
        does=Does.FILL,
        card=OnCard.FILL,
        stage=Stage.SWAP,
        title=f"Sealant or air into {job.name(job.about)}",
        what=(
            "Sealant: as its own label says, whose figures go before these; its speed sticker into view.",
            f"Pump to {figure}. Under {least} after {AGAIN_MIN} minutes of pumping: it does not hold. Say 'help is called'.",
        ),
        where=_at(job),
        expect=f"{least} or more",
        evidence=(Channel.GAUGE,),
        minutes=acts.FILL,
        basis=COMMON_PRACTICE,
        cautions=cautions.of_act(Does.FILL),
        waits_for=(step_id(Does.STOP),),
        calls=(_FILLED,),
        asks=(replace(ask_pressure(job, job.about, Tells.FILLED), least=HOLDS, bars=True),),
    )


def _drive_on(job: Job) -> Step:
    u = job.units
    return Step(
        does=Does.DRIVE_ON,
        card=OnCard.DRIVE_ON,
        stage=Stage.DRIVE,
        title="To a workshop, or home",
        what=(
            f"No faster than the spare's side or the kit's label says; often {OFTEN_KMH} km/h.",
            f"Sealant or air: stop and gauge after {AGAIN_MIN} minutes. Under {u.show_pressure(STOP_BELOW)}: no farther, call for help.",
            "The lamp may stay on or flash. That is right: the flat wheel still sends, and the spare may have no sensor.",
        ),
        where="on the road",
        expect="it drives straight; nothing shakes",
        evidence=(Channel.TYPED,),
        minutes=acts.DRIVE_ON,
        basis=COMMON_PRACTICE,
        cautions=cautions.of_act(Does.DRIVE_ON),
        waits_for=(step_id(Does.SPARE_ON), step_id(Does.FILL)),
        calls=(_GOES_ON,),
        asks=(
            replace(
                ask_pressure(job, job.about, Tells.HELD), id=slug("again", job.about), least=STOP_BELOW, only=(_FILLED,),
                label=f"Gauge at {job.name(job.about)} after {AGAIN_MIN} minutes",
            ),
            ask.done("You are there"),
        ),
    )  # fmt: skip


def _tell(job: Job) -> Step:
    sensor = (f"A sensor sits at its valve{_its_id(job)}: bead breaker away from it.",) if job.direct else ()
    return Step(
        does=Does.TELL_FITTER,
        card=OnCard.FITTER,
        stage=Stage.SHOP,
        title=f"Tell the fitter about {job.name(job.about)}",
        what=(
            f"{job.name(job.about)} was flat on {job.day}. Please look at it from inside.",
            "Is sealant in it? Clean it out; it can block a sensor's hole.",
            "Driven on without air? Then dust inside: a new tyre.",
            "Mend from inside, in the tread only. New seal, nickel-plated core.",
            *sensor,
        ),
        where="at the tyre shop",
        expect="they know before they begin",
        evidence=(Channel.TYPED,),
        minutes=acts.TELL_FITTER,
        cautions=cautions.of_act(Does.TELL_FITTER),
        waits_for=(step_id(Does.STOP),),
        asks=(
            ask.pick("became", "What became of it", Became, "", Tells.BECAME),
            ask.words("rolled", "How far it rolled without air"),
        ),
    )


def _its_id(job: Job) -> str:
    one = next((w.id for w in job.wheels if w.wheel == job.about), None)
    return f", ID {job.spoken(one)}" if one is not None else ""
