"""The drive, the codes, and the proof to the evidence level that the job needs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from wheelside.finding import COMMON_PRACTICE, Basis, Ground
from wheelside.garage import acts
from wheelside.garage.model import Car
from wheelside.garage.words import ROAD_CORNERS, Corner, Instrumentation, Monitor
from wheelside.identity.plan import WheelPlan
from wheelside.said import Key, Said, say
from wheelside.sheet import ask, cautions
from wheelside.sheet.ask import Tells
from wheelside.sheet.context import Job, ask_pressure
from wheelside.sheet.extent import Extent
from wheelside.sheet.ladder import NONE, EvidenceAim, Reason, Wants
from wheelside.sheet.option import LAMP, LAMP_DRIVING, Codes, Instead, Lamp, LampTold, Listed, YesNo
from wheelside.sheet.step import Channel, Does, Stage, Step, step_id
from wheelside.units import Speed

_SHOWS_NOTHING = {Extent.PRESSURES: Reason.PRESSURES_ONLY, Extent.TEACH: Reason.TEACH_ONLY}


def aim(job: Job) -> EvidenceAim:
    """The evidence level that this job needs, E3 or E4, and the one that the instruments in the file allow."""
    monitor = job.car.monitor
    if job.on_stand:
        return EvidenceAim(NONE, (Reason.NO_CAR,))
    if job.extent in _SHOWS_NOTHING:
        return EvidenceAim(NONE, (_SHOWS_NOTHING[job.extent],), monitor)
    if monitor is None:
        return EvidenceAim(NONE, (Reason.NOT_KNOWN,), missing=(Wants.MONITOR,))
    if monitor is Monitor.NONE:
        return EvidenceAim(NONE, (Reason.NOT_WATCHED,), monitor)
    more = tuple(_reasons_for_more(job)) if job.direct else (Reason.LEARNT_ANEW,)
    level = "E4" if job.direct and more else "E3"
    reachable, missing = _reach(job, level)
    return EvidenceAim(level, more or (Reason.LEAST,), monitor, reachable, missing)


def _reasons_for_more(job: Job) -> Iterator[Reason]:
    if any(not w.own for w in job.clones) or job.paired:
        yield Reason.CLONE
    if any(w.own for w in job.clones):
        yield Reason.CARRIED_ON
    if job.teaches and job.car.corner_aware is not False and not (job.car.taught_by and job.car.taught_by.by_itself):
        yield Reason.BY_CORNER
    if _staggered(job):
        yield Reason.STAGGERED


def _reach(job: Job, level: str) -> tuple[str, tuple[Wants, ...]]:
    """The level that can be shown with what is there, and what is missing for the one that is needed."""
    if job.tool(Instrumentation.ADAPTER) is None:
        return "E2", (Wants.ADAPTER,)
    if level == "E4" and job.car.dash_shows is not True:
        return "E3", (Wants.DASH,)
    return level, ()


def _staggered(job: Job) -> bool:
    sizes = {
        c.axle: t.designation.size
        for c, w in job.coming.wheels
        if c is not Corner.SPARE and (t := job.parts(w).tyre) and t.designation
    }
    return len(set(sizes.values())) > 1


def drive(job: Job) -> Iterator[Step]:
    """The drive cycle and what is looked at around it."""
    if job.car.monitor in (Monitor.NONE, None):
        return
    yield _drive(job)
    yield _second_start()
    if job.tool(Instrumentation.ADAPTER):
        yield _codes_after(job)


def _drive(job: Job) -> Step:
    """The drive; what it waits for is added once all steps are known."""
    car, u = job.car, job.units
    minutes = car.drive_for.minutes if car.drive_for else 20.0
    above = u.show_speed(car.drive_above or Speed(40))
    known = car.drive_for is not None and car.drive_above is not None
    sends = "Sensors send about once a minute while rolling" if job.direct else "It compares the wheels while they roll"
    unheard = "Flashing, then steady: a wheel is not heard. " if job.direct else ""
    learns = learns_driving(job)
    return Step(
        does=Does.DRIVE,
        stage=Stage.DRIVE,
        title=f"Drive {minutes:.0f} minutes above {above}",
        what=(
            f"In one piece, with few stops, all of it above {above} where the road allows.",
            "A passenger watches the lamp, or you look once parked.",
        ),
        why=f"{sends}, and the car judges only after a while.",
        where="on a road that allows it",
        expect=(
            "it may flash until it has learnt, then goes out"
            if learns
            else "the lamp stays off, or goes out if it was lit"
        )
        + ("; every corner shows a pressure" if car.dash_shows else ""),
        evidence=(Channel.TYPED,),
        minutes=int(minutes),
        if_fails=f"{unheard}Steady from the start: gauge first. Note which, and when it began.",
        basis=car.basis("drive_for") if known else Basis(Ground.DEFAULT, _usual_drive(car)),
        cautions=(cautions.DRIVE, cautions.LAMP),
        wait_s=minutes * 60.0,
        asks=(
            ask.Ask(
                "minutes",
                ask.Asked.MINUTES,
                Channel.TYPED,
                f"Minutes above {above} in one piece",
                Tells.DRIVEN,
                expect=f"{minutes:g}",
            ),
            _lamp_driving(job),
            ask.out_after(),
        ),
    )


def _usual_drive(car: Car) -> Said:
    drive_for, above = Key("car", "drive_for", car.id), Key("car", "drive_above", car.id)
    return say("20 min above 40 km/h, common practice; note {drive_for}, {above}", drive_for=drive_for, above=above)


def learns_driving(job: Job) -> bool:
    """Whether the car is taught by this job's drive."""
    return job.teaches and job.car.taught_by is not None and job.car.taught_by.by_itself


def _lamp_driving(job: Job) -> ask.Ask:
    """The lamp on the drive. One that was lit before may go out; one that flashes, while the car is being taught by this drive."""
    also = (Lamp.WAS_LIT_GOES_OUT, Lamp.FLASHES_GOES_OUT) if learns_driving(job) else (Lamp.WAS_LIT_GOES_OUT,)
    return ask.pick("lamp", "The lamp while driving", LAMP_DRIVING, Lamp.STAYS_OFF, Tells.LAMP_DRIVING, also=also)


def _second_start() -> Step:
    return Step(
        does=Does.START_AGAIN,
        stage=Stage.DRIVE,
        title="Switch off, wait, switch on again",
        what=("Park, ignition off for a minute, on again: watch the lamp light and go out.",),
        why="Two ignition cycles after a full drive are what evidence level E2 asks for.",
        where="parked",
        expect="the lamp lights at ignition-on and goes out",
        evidence=(Channel.PHOTO, Channel.TYPED),
        minutes=acts.START_AGAIN,
        if_fails="A lamp that stays: read the codes, and do not drive on by habit.",
        basis=COMMON_PRACTICE,
        waits_for=(step_id(Does.DRIVE),),
        asks=(
            ask.pick("lamp", "The lamp at ignition-on", LAMP, Lamp.LIGHTS_GOES_OUT, Tells.LAMP_AGAIN),
            ask.out_after(),
            ask.photo("Photo of the dash after a few seconds"),
        ),
    )


def _codes_after(job: Job) -> Step:
    ids = ", and its list of IDs where it can be read" if job.direct else ""
    return Step(
        does=Does.CODES_AFTER,
        stage=Stage.DRIVE,
        title="Read the codes" + (" and the car's list" if job.direct else ""),
        what=(f"Read stored and pending codes of the one unit{ids}. Compare with those from before.",),
        why="A code that came today is today's work.",
        where="parked, ignition on",
        expect="no new code" + ("; the list is just the fitted IDs" if job.direct else ""),
        evidence=(Channel.PORT,),
        minutes=acts.READ_CODES_AND_LIST,
        if_fails="Save what is there before clearing anything.",
        basis=COMMON_PRACTICE,
        cautions=(cautions.PORT,),
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
    if goal.level == "E4" and job.car.dash_shows is not True:
        yield _blind(job)
    elif goal.level == "E4":
        yield from _corners(job)
    if any(w.lamp for w in job.card.wheels):
        yield _challenge(job)


def _ids_heard(job: Job) -> Step:
    rows = tuple(f"{w.corner.value}: {job.spoken(w.id)}" for w in job.wheels)
    return Step(
        does=Does.COMPARE_IDS,
        stage=Stage.PROOF,
        title="Hold the fitted IDs against the plan",
        what=(
            "From the car's list where it can be read. Triggering shows what the wheels send, not what the car hears:",
            *rows,
        ),
        why="A lamp that is off may be off because another wheel answered.",
        where="parked, other wheels out of earshot",
        expect="just these IDs, each at its corner",
        evidence=(Channel.PORT, Channel.TRIGGER),
        minutes=acts.COMPARE_IDS,
        if_fails="A stranger or a swapped corner: look at the tags, and have the car taught away from other wheels.",
        basis=Basis(Ground.COMPUTED, "identity plan"),
        waits_for=(step_id(Does.START_AGAIN),),
        asks=(_heard(),),
    )


def _heard() -> ask.Ask:
    label = "The IDs that the car holds, or that a receiver heard while driving, against those above"
    return ask.pick("list", label, Listed, Listed.JUST_THESE, Tells.KNOWN_IDS, Channel.PORT, words=True)


def _blind(job: Job) -> Step:
    stated = job.car.dash_shows is False
    what = "Its dash shows no pressures." if stated else "Whether its dash shows pressures is not noted."
    return Step(
        does=Does.NO_CORNERS,
        stage=Stage.PROOF,
        title="Corners can't be shown on this car",
        what=(f"{what} The proof stays below E4 unless a receiver or the port shows each corner's figure.",),
        why="E4 needs a figure for each corner that can be seen to move.",
        where=job.car.name,
        expect="the proof names the level that was reached, and no higher one",
        evidence=(Channel.TYPED,),
        minutes=acts.READ_NOTICE,
        if_fails="-",
        basis=job.car.basis("dash_shows") if stated else Basis(Ground.UNKNOWN, "dash_shows"),
        asks=(ask.done("Read"),),
    )


def _corners(job: Job) -> Iterator[Step]:
    for w in job.wheels:
        if w.corner is not Corner.SPARE:
            yield _corner_moves(job, w)
            yield _corner_back(job, w)


def _corner_moves(job: Job, w: WheelPlan) -> Step:
    return Step(
        wheel=w.wheel,
        does=Does.SHOW_CORNER,
        stage=Stage.PROOF,
        title=f"See that {w.corner.value} is {w.corner.value}",
        what=(
            "Parked, gauge this wheel and write down what the gauge reads: the tyre is warm, so no cold figure holds now.",
            "Note the four figures on the dash.",
            f"Let out {job.p(40)} at this wheel, not below {job.p(150)}.",
            "Wait up to three minutes, and note which figure moved.",
        ),
        why="Only a change at one wheel shows which figure is its own.",
        where=f"{w.corner.value}, wheel {job.name(w.wheel)}, parked",
        expect=f"the figure for {w.corner.value} falls by {job.p(30)} to {job.p(50)}, and no other moves",
        evidence=(Channel.GAUGE, Channel.TYPED),
        minutes=acts.MOVE_CORNER,
        if_fails="Another figure moves: the corners are swapped; inflate, look at the tags, then have the car taught in the right order. "
        "None moves: the sensor may send only while rolling; inflate, and look again after a drive.",
        basis=COMMON_PRACTICE,
        cautions=(cautions.CHALLENGE,),
        waits_for=(step_id(Does.COMPARE_IDS),),
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
        stage=Stage.PROOF,
        title=f"Inflate wheel {name} again and gauge it",
        what=(
            "Back to what the gauge read before letting out, not to the cold figure.",
            "Let no more out of a warm tyre than went in.",
        ),
        why="No other corner is tried, and nobody drives, while this one is low.",
        where=f"{w.corner.value}, wheel {name}",
        expect=f"the gauge reads what it did before, within {job.units.show_pressure(within)}",
        evidence=(Channel.GAUGE,),
        minutes=acts.CORNER_BACK,
        if_fails="A tyre that does not come back to its pressure is leaking: do not drive on it.",
        basis=COMMON_PRACTICE,
        cautions=(cautions.INFLATE,),
        waits_for=(step_id(Does.SHOW_CORNER, w.wheel),),
        lock=True,
        asks=(replace(before, beside=f"{step_id(Does.SHOW_CORNER, w.wheel)}/{before.id}", within=within),),
    )


def _challenge(job: Job) -> Step:
    direct = job.direct
    again = "" if direct else " Store the reference anew, cold and gauged."
    return Step(
        does=Does.CHALLENGE,
        stage=Stage.PROOF,
        title="Once a year: make the lamp come on",
        what=(
            f"Let one tyre down to just below the lamp's limit on the air card, never below {job.p(150)}.",
            "Wait, or drive slowly, until the lamp comes on; inflate at once, gauge, and see it go out." + again,
        ),
        why="It is the only thing that shows the limit and the lamp itself (evidence level E5).",
        where="parked, or a quiet road under 50 km/h, unladen",
        expect="the lamp comes on steady, and goes out after inflating",
        evidence=(Channel.GAUGE, Channel.PHOTO),
        minutes=acts.CHALLENGE,
        if_fails="No lamp within 20 minutes: the limit or the lamp is in doubt; inflate, and have it looked at.",
        basis=COMMON_PRACTICE,
        cautions=(cautions.CHALLENGE, cautions.INFLATE),
        optional=True,
        asks=(
            ask.pick("lit", "The lamp came on, steady, below the limit", YesNo, YesNo.YES, Tells.LAMP_LIT),
            ask.pick("out", "It went out after inflating", YesNo, YesNo.YES, Tells.LAMP_OUT),
            ask.photo("Photo of the lit lamp"),
        ),
    )
