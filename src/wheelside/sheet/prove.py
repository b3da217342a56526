"""The drive, the codes, and the proof to the evidence level that the job needs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from wheelside.finding import COMMON_PRACTICE, Basis, Ground
from wheelside.garage.words import ROAD_CORNERS, Corner, Instrumentation, Monitor
from wheelside.identity.plan import WheelPlan
from wheelside.sheet import ask, cautions
from wheelside.sheet.ask import Tells
from wheelside.sheet.context import Job, ask_pressure, slug
from wheelside.sheet.option import Lamp
from wheelside.sheet.step import Channel, Does, EvidenceAim, Stage, Step
from wheelside.units import Speed

DIRECT_LADDER = {
    "E0": ("the lamp is off now", "everything"),
    "E1": ("the lamp lights at ignition-on, then goes out", "too short a drive, a clone answering"),
    "E2": ("E1 after a full drive cycle and two ignition cycles", "a clone or another set answering, wrong corners"),
    "E3": (
        "E2, no stored or pending codes, and the car's list, or what a receiver heard, is just the fitted IDs",
        "wrong corners on some cars, wrong limits",
    ),
    "E4": (
        "E3, and each corner's figure follows a change of 30 to 50 kPa (0.3 to 0.5 bar, 4 to 7 psi) at that corner",
        "a wrong limit, the lamp's path",
    ),
    "E5": (
        "one wheel taken below the limit lights the lamp, and it goes out after inflating",
        "nothing that this ladder knows of",
    ),
}
"""Evidence levels of a car with wheel sensors: what shows each, and what it still can't exclude."""

INDIRECT_LADDER = {
    "E0": ("the lamp is off now", "everything"),
    "E1": ("the lamp lights at ignition-on, then goes out", "that nothing was stored, or stored with a tyre low"),
    "E2": (
        "E1, the reference stored after gauging all four cold, and the learning drive done over two ignition cycles",
        "unequal tyres, a wrong limit",
    ),
    "E3": ("E2, and no stored or pending codes", "a wrong limit, the lamp's path"),
    "E5": (
        "one wheel taken below the limit lights the lamp after a drive, and it goes out once inflated and stored anew",
        "slow loss in all four at once",
    ),
}
"""The ladder of a car that watches by wheel speed: it knows no IDs, and E4 has no meaning for it."""


_LADDER = Basis(Ground.JUDGEMENT, "evidence ladder of this program")


def aim(job: Job) -> EvidenceAim:
    """The evidence level that this job needs, E3 or E4, and the one that the instruments in the file allow."""
    if job.on_stand:
        why, leaves = "the set goes on no car", "everything: no car is asked"
        return EvidenceAim("none", "each sensor read back", why, leaves, "none", (), _LADDER)
    if job.car.monitor is None:
        why, leaves = "how this car watches its tyres is not known", "everything: find that out first"
        return EvidenceAim("none", "nothing yet", why, leaves, "none", ("'monitor' in the garage file",), _LADDER)
    if job.car.monitor is Monitor.NONE:
        why, leaves = "this car does not watch its tyres", "everything between two gaugings"
        return EvidenceAim("none", "a gauge, now and in four weeks", why, leaves, "none", (), _LADDER)
    ladder, level, why = DIRECT_LADDER, "E3", "the least that shows whose wheels the car hears"
    if job.car.monitor is Monitor.INDIRECT:
        ladder, why = INDIRECT_LADDER, "this car watches by wheel speed and has learnt these tyres anew"
    elif reasons := _reasons_for_more(job):
        level, why = "E4", "; ".join(reasons)
    shown, leaves = ladder[level]
    reachable, missing = _reach(job, level)
    return EvidenceAim(level, shown, why, leaves, reachable, missing, _LADDER)


def _reasons_for_more(job: Job) -> list[str]:
    reasons = []
    if any(not w.own for w in job.clones) or job.paired:
        reasons.append("the set carries a clone")
    if any(w.own for w in job.clones):
        reasons.append("new sensors carry old IDs on")
    if job.teaches and job.car.corner_aware is not False and not (job.car.taught_by and job.car.taught_by.by_itself):
        reasons.append("the car was taught by corner")
    if _staggered(job):
        reasons.append("front and rear tyres differ")
    return reasons


def _reach(job: Job, level: str) -> tuple[str, tuple[str, ...]]:
    """The level that can be shown with what is there, and what is missing for the one that is needed."""
    missing = []
    if job.tool(Instrumentation.ADAPTER) is None:
        missing.append("a diagnostic adapter, to read codes and the car's list")
    if missing:
        return "E2", tuple(missing)
    if level == "E4" and job.car.dash_shows is not True:
        return "E3", ("a dash that shows each wheel's pressure (note 'dash_shows'), or a receiver",)
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
        id="drive",
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
        basis=car.basis("drive_for")
        if known
        else Basis(Ground.DEFAULT, "20 min above 40 km/h, common practice; note 'drive_for', 'drive_above'"),
        cautions=(cautions.DRIVE, cautions.LAMP),
        wait_s=minutes * 60.0,
        asks=(
            ask.Ask(
                "minutes",
                ask.Asked.MINUTES,
                f"Minutes above {above} in one piece",
                Channel.TYPED,
                Tells.DRIVEN,
                expect=f"{minutes:g}",
            ),
            _lamp_driving(job),
            ask.out_after(),
        ),
    )


def learns_driving(job: Job) -> bool:
    """Whether the car is taught by this job's drive."""
    return job.teaches and job.car.taught_by is not None and job.car.taught_by.by_itself


def _lamp_driving(job: Job) -> ask.Ask:
    """The lamp on the drive. One that was lit before may go out; one that flashes, while the car is being taught by this drive."""
    also = (Lamp.WAS_LIT_GOES_OUT, Lamp.FLASHES_GOES_OUT) if learns_driving(job) else (Lamp.WAS_LIT_GOES_OUT,)
    return ask.pick("lamp", "The lamp while driving", ask.LAMP_DRIVING, Lamp.STAYS_OFF, Tells.LAMP_DRIVING, also=also)


def _second_start() -> Step:
    return Step(
        id="second-start",
        does=Does.START_AGAIN,
        stage=Stage.DRIVE,
        title="Switch off, wait, switch on again",
        what=("Park, ignition off for a minute, on again: watch the lamp light and go out.",),
        why="Two ignition cycles after a full drive are what evidence level E2 asks for.",
        where="parked",
        expect="the lamp lights at ignition-on and goes out",
        evidence=(Channel.PHOTO, Channel.TYPED),
        minutes=3,
        if_fails="A lamp that stays: read the codes, and do not drive on by habit.",
        basis=COMMON_PRACTICE,
        waits_for=("drive",),
        asks=(
            ask.pick("lamp", "The lamp at ignition-on", ask.LAMP, Lamp.LIGHTS_GOES_OUT, Tells.LAMP_AGAIN),
            ask.out_after(),
            ask.photo("Photo of the dash after a few seconds"),
        ),
    )


def _codes_after(job: Job) -> Step:
    ids = ", and its list of IDs where it can be read" if job.direct else ""
    return Step(
        id="codes-after",
        does=Does.READ_CODES,
        stage=Stage.DRIVE,
        title="Read the codes" + (" and the car's list" if job.direct else ""),
        what=(f"Read stored and pending codes of the one unit{ids}. Compare with those from before.",),
        why="A code that came today is today's work.",
        where="parked, ignition on",
        expect="no new code" + ("; the list is just the fitted IDs" if job.direct else ""),
        evidence=(Channel.PORT,),
        minutes=6,
        if_fails="Save what is there before clearing anything.",
        basis=COMMON_PRACTICE,
        cautions=(cautions.PORT,),
        waits_for=("second-start",),
        asks=(
            ask.pick(
                "codes", "Stored and pending codes", ask.CODES, "none", Tells.CODES_AFTER, Channel.PORT, words=True
            ),
            ask.pick(
                "lamp",
                "The lamp as the car tells it, parked",
                ask.LAMP_TOLD,
                ask.LAMP_TOLD[0],
                Tells.LAMP_TOLD,
                Channel.PORT,
                required=False,
            ),
        ),
    )


def prove(job: Job) -> Iterator[Step]:
    """The steps that bring the evidence to the level aimed at."""
    goal = aim(job)
    if goal.level == "none":
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
        id="ids-heard",
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
        minutes=5,
        if_fails="A stranger or a swapped corner: look at the tags, and have the car taught away from other wheels.",
        basis=Basis(Ground.COMPUTED, "identity plan"),
        waits_for=("second-start",),
        asks=(_heard(),),
    )


def _heard() -> ask.Ask:
    label = "The IDs that the car holds, or that a receiver heard while driving, against those above"
    options = (*ask.LISTED[:2], ask.HEARD, ask.SWAPPED, *ask.LISTED[2:])
    return ask.pick("list", label, options, options[0], Tells.KNOWN_IDS, Channel.PORT, words=True)


def _blind(job: Job) -> Step:
    stated = job.car.dash_shows is False
    what = "Its dash shows no pressures." if stated else "Whether its dash shows pressures is not noted."
    return Step(
        id="corners",
        does=Does.NO_CORNERS,
        stage=Stage.PROOF,
        title="Corners can't be shown on this car",
        what=(f"{what} The proof stays below E4 unless a receiver or the port shows each corner's figure.",),
        why="E4 needs a figure for each corner that can be seen to move.",
        where=job.car.name,
        expect="the proof names the level that was reached, and no higher one",
        evidence=(Channel.TYPED,),
        minutes=1,
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
        id=slug("corner", w.wheel),
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
        minutes=5,
        if_fails="Another figure moves: the corners are swapped; inflate, look at the tags, then have the car taught in the right order. "
        "None moves: the sensor may send only while rolling; inflate, and look again after a drive.",
        basis=COMMON_PRACTICE,
        cautions=(cautions.CHALLENGE,),
        waits_for=("ids-heard",),
        asks=(
            replace(
                ask_pressure(job, w.wheel, Tells.NOTHING),
                label=f"Gauge at wheel {job.name(w.wheel)}, before letting out",
            ),
            ask.pick(
                "moved",
                "Which figure moved",
                (*(c.value for c in ROAD_CORNERS), "none"),
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
        id=slug("corner-back", w.wheel),
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
        minutes=3,
        if_fails="A tyre that does not come back to its pressure is leaking: do not drive on it.",
        basis=COMMON_PRACTICE,
        cautions=(cautions.INFLATE,),
        waits_for=(slug("corner", w.wheel),),
        lock=True,
        asks=(replace(before, beside=f"{slug('corner', w.wheel)}/{before.id}", within_kpa=within.kpa),),
    )


def _challenge(job: Job) -> Step:
    direct = job.direct
    again = "" if direct else " Store the reference anew, cold and gauged."
    return Step(
        id="challenge",
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
        minutes=30,
        if_fails="No lamp within 20 minutes: the limit or the lamp is in doubt; inflate, and have it looked at.",
        basis=COMMON_PRACTICE,
        cautions=(cautions.CHALLENGE, cautions.INFLATE),
        optional=True,
        asks=(
            ask.pick("lit", "The lamp came on, steady, below the limit", ask.YES_NO, "yes", Tells.LAMP_LIT),
            ask.pick("out", "It went out after inflating", ask.YES_NO, "yes", Tells.LAMP_OUT),
            ask.photo("Photo of the lit lamp"),
        ),
    )
