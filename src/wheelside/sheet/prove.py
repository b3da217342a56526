"""The codes, the drive, and the proof to the evidence level that the job needs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from wheelside.fill.lamp import LampDue
from wheelside.finding import COMMON_PRACTICE, Basis, Ground
from wheelside.garage import acts
from wheelside.garage.model import Car
from wheelside.garage.words import ROAD_CORNERS, Corner, Instrumentation, Monitor
from wheelside.identity.plan import WheelPlan
from wheelside.said import Key, Said, say
from wheelside.sheet import ask, cautions
from wheelside.sheet.aim import aim
from wheelside.sheet.ask import Tells, When
from wheelside.sheet.context import Job, ask_pressure
from wheelside.sheet.ladder import NONE
from wheelside.sheet.option import (
    LAMP,
    LAMP_DRIVING,
    Clearing,
    Codes,
    Instead,
    Lamp,
    LampLater,
    LampTold,
    Listed,
    YesNo,
)
from wheelside.sheet.order import dash_follows, learns_driving
from wheelside.sheet.step import Channel, Does, OnCard, Stage, Step, step_id
from wheelside.units import GaugePressure, PressureSpan, Speed

USUAL_MINUTES, USUAL_ABOVE = 20.0, Speed(40)
"""A drive where the car's own is not noted: common practice, no source."""
LET_OUT, FLOOR = PressureSpan(40.0), GaugePressure(150.0)
"""So much is let out to show a corner, and never below this."""


def codes_now(job: Job) -> Iterator[Step]:
    """The codes once more before the drive; old ones of the tyre monitor are cleared, where that is all that would be cleared."""
    if job.car.monitor in (Monitor.NONE, None) or job.tool(Instrumentation.ADAPTER) is None:
        return
    yield Step(
        does=Does.CODES_NOW,
        card=OnCard.CODES,
        stage=Stage.TEACH,
        title="The codes again",
        what=("Read stored and pending codes, and keep them.",),
        where="parked, ignition on, engine off",
        expect="none, or those from before",
        evidence=(Channel.PORT,),
        minutes=acts.READ_CODES,
        cautions=cautions.of_act(Does.CODES_NOW),
        asks=(ask.pick("codes", "Stored and pending codes", Codes, Codes.NONE, Tells.CODES_NOW, Channel.PORT, words=True, also=(Codes.SOME,)),),
    )  # fmt: skip
    yield _clear(Does.CLEAR_CODES, Tells.CODES_CLEARED, f"{Does.CODES_NOW.value}/codes", OnCard.CODES, Stage.TEACH)


def _clear(does: Does, tells: Tells, of: str, card: OnCard, stage: Stage) -> Step:
    """Clearing: only old codes of the tyre monitor, none of them active, in a unit that is and keeps nothing else."""
    return Step(
        does=does,
        card=card,
        stage=stage,
        title="Clear the old codes, if all of this is so",
        what=(
            "All that is cleared was there before the work.",
            "All of it is the tyre monitor's.",
            "None of it is active now.",
            "No brake, airbag or steering unit, nor one that keeps other units' codes.",
            "Parked, engine off; the codes are saved.",
        ),
        where="parked, ignition on, engine off",
        expect="cleared; or left, where one of these is not so",
        evidence=(Channel.PORT,),
        minutes=acts.CLEAR_CODES,
        cautions=cautions.of_act(does),
        calls=(When(of, (Codes.SOME,)),),
        asks=(
            ask.pick(
                "cleared", "The old codes", Clearing, Clearing.CLEARED, tells, Channel.PORT, also=(Clearing.LEFT,)
            ),
        ),
    )


def drive(job: Job) -> Iterator[Step]:
    """The drive cycle and what is looked at around it."""
    if job.car.monitor in (Monitor.NONE, None):
        return
    yield _drive(job)
    yield _second_start()
    if job.tool(Instrumentation.ADAPTER):
        yield _codes_after()
        yield _clear(Does.CLEAR_LATER, Tells.CLEARED_LATER, f"{Does.CODES_AFTER.value}/codes", OnCard.LIST, Stage.DRIVE)


def _drive(job: Job) -> Step:
    """The drive; what it waits for is added once all steps are known."""
    car, u = job.car, job.units
    minutes = car.drive_for.minutes if car.drive_for else USUAL_MINUTES
    above = u.show_speed(car.drive_above or USUAL_ABOVE)
    known = car.drive_for is not None and car.drive_above is not None
    return Step(
        does=Does.DRIVE,
        card=OnCard.DRIVE,
        stage=Stage.DRIVE,
        title=f"Drive {minutes:.0f} minutes above {above}",
        what=("In one piece, where the road allows.",),
        where="on a road that allows it",
        expect="the lamp may flash until it has learnt, then goes out"
        if learns_driving(job)
        else "the lamp stays off, or goes out if it was lit",
        evidence=(Channel.TYPED,),
        minutes=int(minutes),
        basis=car.basis("drive_for") if known else Basis(Ground.DEFAULT, _usual_drive(car)),
        cautions=cautions.of_act(Does.DRIVE),
        wait_s=minutes * 60.0,
        asks=(
            ask.Ask(
                "minutes", ask.Asked.MINUTES, Channel.TYPED, f"Minutes above {above} in one piece", Tells.DRIVEN,
                expect=f"{minutes:g}",
            ),
            _lamp_driving(job),
            ask.out_after(Does.DRIVE, Lamp.WAS_LIT_GOES_OUT, Lamp.FLASHES_GOES_OUT, Lamp.COMES_ON_GOES_OUT),
        ),
    )  # fmt: skip


def _usual_drive(car: Car) -> Said:
    drive_for, above = Key("car", "drive_for", car.id), Key("car", "drive_above", car.id)
    return say("20 min above 40 km/h, common practice; note {drive_for}, {above}", drive_for=drive_for, above=above)


def _lamp_driving(job: Job) -> ask.Ask:
    """The lamp on the drive. One that was lit before may go out; one that flashes, while the car is being taught by this drive."""
    also = (Lamp.WAS_LIT_GOES_OUT, Lamp.FLASHES_GOES_OUT) if learns_driving(job) else (Lamp.WAS_LIT_GOES_OUT,)
    return ask.pick("lamp", "The lamp while driving", LAMP_DRIVING, Lamp.STAYS_OFF, Tells.LAMP_DRIVING, also=also)


def _second_start() -> Step:
    return Step(
        does=Does.START_AGAIN,
        card=OnCard.DRIVE,
        stage=Stage.DRIVE,
        title="Switch off, wait, switch on again",
        what=("Park. Ignition off for a minute, then on: watch the lamp.",),
        where="parked",
        expect="it lights for a few seconds, then goes out",
        evidence=(Channel.PHOTO, Channel.TYPED),
        minutes=acts.START_AGAIN,
        waits_for=(step_id(Does.DRIVE),),
        asks=(
            ask.pick("lamp", "The lamp at ignition-on", LAMP, Lamp.LIGHTS_GOES_OUT, Tells.LAMP_AGAIN),
            ask.out_after(Does.START_AGAIN, Lamp.GOES_OUT_LATE),
            ask.photo("Photo of the dash after a few seconds"),
        ),
    )


def _codes_after() -> Step:
    return Step(
        does=Does.CODES_AFTER,
        card=OnCard.LIST,
        stage=Stage.DRIVE,
        title="The codes after the drive",
        what=("Read stored and pending codes of the one unit.",),
        where="parked, ignition on, engine off",
        expect="none",
        evidence=(Channel.PORT,),
        minutes=acts.READ_CODES,
        cautions=cautions.of_act(Does.CODES_AFTER),
        waits_for=(step_id(Does.START_AGAIN),),
        asks=(
            ask.pick(
                "codes", "Stored and pending codes", Codes, Codes.NONE, Tells.CODES_AFTER, Channel.PORT, words=True
            ),
            ask.pick(
                "lamp",
                "The lamp as the car tells it, parked",
                LampTold,
                LampTold.OFF,
                Tells.LAMP_TOLD,
                Channel.PORT,
                required=False,
            ),
        ),
    )


def learning_drive(job: Job) -> Iterator[Step]:
    """The drive of a car that learns by it, where nothing but teaching is asked for."""
    if learns_driving(job):
        yield from drive(job)


def prove(job: Job) -> Iterator[Step]:
    """The steps that bring the evidence to the level aimed at."""
    goal = aim(job)
    if goal.level == NONE:
        return
    if job.direct:
        yield _ids_heard(job)
    if goal.level == "E4" and job.car.dash_shows is True:
        yield from _corners(job)
    if any(w.lamp for w in job.card.wheels) or job.car.monitor is Monitor.INDIRECT:
        yield _challenge(job)


def _ids_heard(job: Job) -> Step:
    rows = tuple(f"{w.corner.value}: {job.spoken(w.id)}" for w in job.wheels)
    return Step(
        does=Does.COMPARE_IDS,
        card=OnCard.LIST,
        stage=Stage.DRIVE,
        title="The car's list against the plan",
        what=("From the car's list, where it can be read:", *rows),
        where="parked",
        expect="just these IDs, each at its corner",
        evidence=(Channel.PORT, Channel.TRIGGER),
        minutes=acts.COMPARE_IDS,
        basis=Basis(Ground.COMPUTED, "identity plan"),
        waits_for=(step_id(Does.START_AGAIN),),
        asks=(_heard(),),
    )


def _heard() -> ask.Ask:
    label = "The IDs that the car holds, against those above"
    return ask.pick("list", label, Listed, Listed.JUST_THESE, Tells.KNOWN_IDS, Channel.PORT, words=True)


def _corners(job: Job) -> Iterator[Step]:
    """Each corner after the drive: always, or where it was not shown while its pressure was set."""
    for w in job.wheels:
        if w.corner is not Corner.SPARE:
            yield _corner_moves(job, w)
            yield _corner_back(job, w)


def _not_shown(job: Job, w: WheelPlan) -> tuple[When, ...]:
    return (When(f"{step_id(Does.SET_PRESSURE, w.wheel)}/moved", (Instead.NOT_PARKED,)),) if dash_follows(job) else ()


def _corner_moves(job: Job, w: WheelPlan) -> Step:
    return Step(
        wheel=w.wheel,
        does=Does.SHOW_CORNER,
        card=OnCard.CORNER,
        stage=Stage.PROOF,
        title=f"See that {w.corner.value} is {w.corner.value}",
        what=(
            "Note what the gauge reads, and the four figures on the dash.",
            f"Let out {job.p(LET_OUT.kpa)}, not below {job.p(FLOOR.kpa)}. Which figure moves, within three minutes?",
        ),
        where=f"{w.corner.value}, wheel {job.name(w.wheel)}, parked",
        expect=f"the figure for {w.corner.value} falls by {job.p(30)} to {job.p(50)}, and no other moves",
        evidence=(Channel.GAUGE, Channel.TYPED),
        minutes=acts.MOVE_CORNER,
        cautions=cautions.of_act(Does.SHOW_CORNER),
        waits_for=(step_id(Does.COMPARE_IDS),),
        calls=_not_shown(job, w),
        asks=(
            replace(
                ask_pressure(job, w.wheel, Tells.NOTHING),
                label=f"Gauge at wheel {job.name(w.wheel)}, before letting out",
            ),
            ask.pick(
                "moved",
                "Which figure moved",
                (*(c.value for c in ROAD_CORNERS), Instead.NO_FIGURE),
                w.corner.value,
                Tells.CORNER,
                wheel=w.wheel,
            ),
        ),
    )


def _corner_back(job: Job, w: WheelPlan) -> Step:
    name = job.name(w.wheel)
    before = ask_pressure(job, w.wheel, Tells.BACK)
    within = job.tolerance
    return Step(
        wheel=w.wheel,
        does=Does.FILL_CORNER,
        card=OnCard.CORNER,
        stage=Stage.PROOF,
        title=f"Inflate wheel {name} again and gauge it",
        what=("Back to what the gauge read before letting out, not to the cold figure.",),
        why="No other corner is tried, and nobody drives, while this one is low.",
        where=f"{w.corner.value}, wheel {name}",
        expect=f"the gauge reads what it did before, within {job.units.show_pressure(within)}",
        evidence=(Channel.GAUGE,),
        minutes=acts.CORNER_BACK,
        cautions=cautions.of_act(Does.FILL_CORNER),
        waits_for=(step_id(Does.SHOW_CORNER, w.wheel),),
        calls=_not_shown(job, w),
        lock=True,
        asks=(replace(before, beside=f"{step_id(Does.SHOW_CORNER, w.wheel)}/{before.id}", within=within),),
    )


def _challenge(job: Job) -> Step:
    """Once a year: one wheel below the limit. A lamp that lights shows it, one that does not shows nothing."""
    return Step(
        does=Does.CHALLENGE,
        card=OnCard.LAMP_TEST,
        stage=Stage.PROOF,
        title="Once a year: make the lamp come on",
        what=_how_to_light(job),
        where="parked, or a quiet road under 50 km/h, unladen" if job.direct else "a quiet road under 50 km/h, unladen",
        expect="the lamp comes on, and goes out after inflating",
        evidence=(Channel.GAUGE, Channel.PHOTO),
        minutes=acts.CHALLENGE,
        basis=COMMON_PRACTICE,
        cautions=cautions.of_act(Does.CHALLENGE),
        optional=True,
        asks=(
            ask.pick("lit", "The lamp came on below the limit", YesNo, YesNo.YES, Tells.LAMP_LIT),
            replace(
                ask.pick("out", "It went out after inflating", YesNo, YesNo.YES, Tells.LAMP_OUT),
                only=(When(f"{Does.CHALLENGE.value}/lit", (YesNo.YES,)),),
            ),
            ask.photo("Photo of the lit lamp"),
        ),
    )


def _how_to_light(job: Job) -> tuple[str, ...]:
    if not job.direct:
        return (
            f"Let one tyre down by a quarter, never below {job.p(FLOOR.kpa)}. It can only warn while it rolls: drive slowly, up to 20 minutes.",
            "Inflate at once, gauge, store the pressures again, cold; drive until the lamp is off.",
        )
    figure = max((_below(w.lamp) for w in job.card.wheels if w.lamp), key=lambda p: p.kpa)
    return (
        f"Let one tyre down to {job.units.show_pressure(figure)}. Wait, up to 20 minutes, or drive slowly.",
        "When it lights, or after 20 minutes: inflate at once, and gauge.",
    )


def _below(lamp: tuple[LampDue, ...]) -> GaugePressure:
    """The one figure, cold or warm, below every limit that may be the car's, and never below the floor."""
    limits = [one.limit for one in lamp if one.applies is not False] or [one.limit for one in lamp]
    return max(FLOOR, min(limits, key=lambda p: p.kpa) + -PressureSpan(5.0), key=lambda p: p.kpa)


def look_later(job: Job) -> Iterator[Step]:
    """The look in a week, which a sensor that says nothing can't outlast: six starts or a week."""
    if job.car.monitor in (Monitor.NONE, None) or aim(job).level == NONE:
        return
    codes = job.tool(Instrumentation.ADAPTER) is not None
    later = When(f"{Does.CLEAR_LATER.value}/cleared", (Clearing.CLEARED,))
    again = replace(
        ask.pick("codes", "The codes, read again", Codes, Codes.NONE, Tells.CODES_WEEK, Channel.PORT, words=True),
        only=(later,),
    )
    yield Step(
        does=Does.LOOK_LATER,
        card=OnCard.WEEK,
        stage=Stage.AFTER,
        title="Is the lamp still off?",
        what=("After six starts, or a week.",),
        where="in the car",
        expect="still off",
        evidence=(Channel.TYPED,),
        minutes=acts.LOOK_LATER,
        waits_for=(step_id(Does.START_AGAIN),),
        asks=(
            ask.pick("lamp", "The lamp", LampLater, LampLater.STILL_OFF, Tells.LAMP_WEEK, also=(LampLater.TOO_EARLY,)),
            *((again,) if codes else ()),
        ),
    )
