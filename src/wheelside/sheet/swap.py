"""Swapping the wheels, and setting their pressures."""

from __future__ import annotations

from collections.abc import Iterator

from wheelside.fill.bounds import MAXIMUM, PLACARD
from wheelside.fill.card import WheelSetting
from wheelside.fill.situation import Situation
from wheelside.finding import COMMON_PRACTICE, Basis, Ground
from wheelside.garage import acts
from wheelside.garage.words import ROAD_CORNERS, Corner
from wheelside.sheet import ask, cautions
from wheelside.sheet.ask import Tells
from wheelside.sheet.context import Job, ask_by_temperature, ask_pressure
from wheelside.sheet.step import Channel, Does, Move, Stage, Step, step_id

LOOSEN = "On the ground first: chock the wheels that stay down, and loosen every fastener of this wheel a quarter turn."


def take_off(job: Job) -> Iterator[Step]:
    """The wheels that are on the car and have to come off it for their sensors."""
    for corner, wheel in job.leaving:
        if corner is Corner.SPARE:
            yield _spare(job, wheel, out=True)
            continue
        meant = job.corner_of(wheel).value
        yield Step(
            wheel=wheel,
            stage=Stage.OFF,
            title=f"Take wheel {job.name(wheel)} off the car",
            what=(
                LOOSEN,
                "Lift the corner, set it on a stand, take the wheel off, and look at brake and hub.",
                "Tag it with its name.",
            ),
            why="Its sensor is changed or written, and that is done on a wheel that carries no load."
            if wheel in job.worked_on
            else f"It belongs {meant}.",
            where=f"{corner.value}, left and right as from the driver's seat",
            expect="the car stands on a stand at this corner, and stays there until the wheel is back",
            evidence=(Channel.PHOTO,),
            minutes=acts.TAKE_OFF,
            if_fails="Without a stand for each corner that is open, do one wheel at a time, or leave it to a workshop.",
            basis=COMMON_PRACTICE,
            cautions=(cautions.LIFT,),
            waits_for=(step_id(Does.LAY_OUT),),
            asks=(ask.done("It is off, tagged, and the car stands on a stand"), ask.photo("Photo of hub and brake")),
            does=Does.TAKE_OFF,
            moves=(Move(wheel),),
        )


def swap(job: Job) -> Iterator[Step]:
    """Label, lift, fit, fasten: the coming set, or the wheels that had to come off; nothing where none did."""
    goes = job.fitting
    if goes and not job.coming_is_on:
        yield _label(job, goes)
    on_road = [(c, w) for c, w in goes if c in ROAD_CORNERS]
    for corner, wheel in on_road:
        yield _corner(job, corner, wheel)
    if on_road or job.not_fastened:
        yield _torque(job, [wheel for _, wheel in on_road])
    for corner, wheel in goes:
        if corner is Corner.SPARE:
            yield _spare(job, wheel, out=False)


def _spare(job: Job, wheel: str, *, out: bool) -> Step:
    name = job.name(wheel)
    there = None if out else job.makes_way(Corner.SPARE)
    other = (
        f" {job.name(there)} comes out first."
        if there
        else ""
        if job.coming_is_on
        else " One that lies there comes out first."
    )
    moves = (
        (Move(wheel),) if out else ((Move(there),) if there else ()) + (Move(wheel, job.car.id, Corner.SPARE.value),)
    )
    return Step(
        wheel=wheel,
        stage=Stage.OFF if out else Stage.SWAP,
        title=f"Take the spare {name} out" if out else f"Put {name} into the spare's place",
        what=(
            "Take it out of its place and tag it with its name."
            if out
            else f"Stow and fasten it as the handbook says.{other}",
        ),
        why="Its sensor is changed or written."
        if out
        else "The car watches its spare too."
        if job.car.spare_counted
        else "It belongs to this set.",
        where="at the spare's place",
        expect="it is out, and tagged" if out else "it lies fast",
        evidence=(Channel.TYPED,),
        minutes=acts.STOW_SPARE,
        if_fails="A spare whose holder is seized is a workshop's work.",
        basis=COMMON_PRACTICE,
        asks=(ask.done("It is out, and tagged" if out else "It lies fast"),),
        does=Does.TAKE_OFF if out else Does.STOW_SPARE,
        moves=moves,
    )


def _label(job: Job, wheels: tuple[tuple[Corner, str], ...]) -> Step:
    goes = ", ".join(f"{job.name(w)} goes {c.value}" for c, w in wheels)
    doubt = "trigger it and go by its ID" if job.direct else "go by its tyre's date code and its wear"
    return Step(
        stage=Stage.SWAP,
        title="Label the wheels",
        what=(
            f"Tag each coming wheel with its own name, which stays with it: {goes}.",
            *_have_them_here(job, [w for _, w in wheels]),
            *(("Tag each wheel that comes off with its name before it leaves its corner.",) if job.coming_off else ()),
        ),
        why="A corner is where a wheel was on a day; the name is what stays.",
        where="beside the car",
        expect="a tag on each that matches the list",
        evidence=(Channel.PHOTO,),
        minutes=acts.LABEL,
        if_fails=f"A wheel whose name is in doubt: {doubt}.",
        basis=COMMON_PRACTICE,
        asks=(ask.done("Each has its tag"), ask.photo("Photo of the tags")),
        does=Does.LABEL,
    )


def _have_them_here(job: Job, wheels: list[str]) -> Iterator[str]:
    """Wheels of which the file does not say where they lie are brought without a step of their own."""
    unknown = [w for w in wheels if w not in job.off_first and job.lies_at(w) is None and not job.lies_beside(w)]
    if unknown:
        names = ", ".join(job.name(w) for w in unknown)
        yield f"Where they lie is not noted: have {names} beside the car first, held fast if they ride in it."


def _corner(job: Job, corner: Corner, wheel: str) -> Step:
    there = job.makes_way(corner)
    tyre = job.parts(wheel).tyre
    turning = tyre is not None and tyre.direction is not None and tyre.direction.value in ("left", "right")
    side = (
        (f"This tyre turns one way and belongs on the {tyre.direction.value}.",)
        if turning and tyre and tyre.direction
        else ()
    )
    return Step(
        wheel=wheel,
        stage=Stage.SWAP,
        title=f"Fit wheel {job.name(wheel)} {corner.value}",
        what=(
            *_first_off(job, corner),
            "Brush hub and rim faces bright and dry; leave any centring ring in the rim it belongs to.",
            f"Fit {job.name(wheel)}, fasten by hand, then crosswise until it sits, and lower the car.",
            *side,
        ),
        why=f"The plan has {job.name(wheel)} at {corner.value}"
        + (", and this car tells corners apart." if job.car.corner_aware else "."),
        where=f"{corner.value}, left and right as from the driver's seat",
        expect="the wheel sits flat and turns freely; every fastener went in by hand",
        evidence=(Channel.TYPED,),
        minutes=acts.FIT,
        if_fails="A fastener that binds or takes too few turns is the wrong one: stop, do not force it.",
        basis=COMMON_PRACTICE,
        cautions=(cautions.LIFT, cautions.FASTEN),
        asks=(ask.done(f"{job.name(wheel)} sits flat, every fastener went in by hand"),),
        does=Does.FIT,
        moves=(*((Move(there),) if there else ()), Move(wheel, job.car.id, corner.value)),
    )


def _first_off(job: Job, corner: Corner) -> tuple[str, ...]:
    """How the wheel that is there comes off; nothing where it is off already."""
    there = job.makes_way(corner)
    if there is not None:
        return LOOSEN, f"Lift this corner, take {job.name(there)} off, look at tyre, brake and hub."
    if corner in dict(job.leaving):
        return ()
    return LOOSEN, "Lift this corner, take off the wheel that is there, if any, look at tyre, brake and hub."


def _torque(job: Job, wheels: list[str]) -> Step:
    torque = job.car.torque
    figure = job.units.show_torque(torque) if torque else "the handbook's figure"
    half = f"{torque.nm / 2:.0f} Nm" if torque else "half of it"
    before = ", ".join(job.name(w) for w in job.not_fastened if w not in wheels)
    rest = f" {before} too: fitted before, and nobody has said that it was torqued." if before else ""
    return Step(
        stage=Stage.SWAP,
        title=f"Torque to {figure}",
        what=(
            f"On the ground, crosswise, first to {half}, then to {figure}, every fastener of every wheel that was off.{rest}",
        ),
        why="Even clamping holds the wheel; the figure is the car's own, whatever the rim.",
        where="all four corners",
        expect=f"every fastener reaches {figure} while still turning a little",
        evidence=(Channel.TYPED, Channel.PHOTO),
        minutes=acts.TORQUE,
        if_fails="One that clicks without turning was too tight before: loosen it, clean it, and do it again.",
        basis=job.car.basis("torque")
        if torque
        else Basis(Ground.UNKNOWN, "the torque is not noted: take it from the handbook"),
        cautions=(cautions.FASTEN,),
        waits_for=tuple(step_id(Does.FIT, w) for w in wheels),
        asks=(ask.done(f"Every fastener reached {figure}", Tells.TORQUE), ask.photo("Photo of the wrench's setting")),
        does=Does.TORQUE,
    )


def pressures(job: Job) -> Iterator[Step]:
    """Each wheel to its setting of the air card; a locked step where there is none."""
    set_here = {line.wheel: line for line in job.card.wheels}
    for corner, wheel in job.coming.wheels:
        line = set_here.get(wheel)
        if line is not None and job.card.situation is not None:
            yield _pressure(job, line, job.card.situation)
        elif corner in job.car.monitored_corners:
            yield _no_pressure(job, corner, wheel)


def fastened(job: Job) -> Iterator[Step]:
    """The torque of wheels that were fitted before, where nobody has said that it was done: never driven on without."""
    if job.not_fastened:
        yield _torque(job, [])


def gauged(job: Job) -> Iterator[Step]:
    """The pressures, where the car keeps those that it finds."""
    if job.learns_gauged:
        yield from pressures(job)


def _pressure(job: Job, line: WheelSetting, s: Situation) -> Step:
    u = job.units
    planned = s.thermometer_now
    figure, at = u.show_pressure(line.gauge_shows), u.show_temperature(planned)
    bias = (
        f" (true {u.show_pressure(line.set_to)}; it reads {u.show_pressure(s.gauge_bias)} too high)"
        if s.gauge_bias.kpa
        else ""
    )
    return Step(
        wheel=line.wheel,
        does=Does.SET_PRESSURE,
        stage=Stage.AIR,
        title=f"Set wheel {job.name(line.wheel)}: {figure} at {at}, by {s.gauge_name}",
        what=(
            "Take the tyre's own temperature first. One figure does for all tyres that lie together.",
            f"At {at} set {figure} on {s.gauge_name}{bias}; at another temperature set what the table says.",
            "If the tyres have been driven or stand in the sun, wait: a hot tyre is never let down to a cold figure.",
        ),
        why=_why_this_figure(line, s),
        where=line.corner.value,
        expect=f"{u.show_plus_minus(line.gauge_shows, job.tolerance)} at {at}, else the table's figure",
        evidence=(Channel.GAUGE,),
        minutes=acts.SET_PRESSURE,
        if_fails="A figure that falls while you watch is a leak: soap the valve, the beads and the tread.",
        basis=line.target.basis,
        cautions=(cautions.INFLATE,),
        asks=(
            ask.temperature(f"The tyre's own temperature (planned for {at})", planned),
            ask_by_temperature(job, line, planned, Tells.SET_PRESSURE),
        ),
    )


def _why_this_figure(line: WheelSetting, s: Situation) -> str:
    u = s.units
    reads, use = u.show_pressure(line.reads.true_there), u.show_temperature(s.use)
    if line.limited_by == MAXIMUM:
        return f"Bound by the maximum of tyre or rim: at {use} it will read {reads}, below the {u.show_pressure(line.target.pressure)} wanted."
    if line.limited_by == PLACARD:
        return f"The placard's figure is never gone below; at {use} it will read {reads}."
    return f"So that it reads {reads} at {use}, where the car is used."


def _no_pressure(job: Job, corner: Corner, wheel: str) -> Step:
    name = job.name(wheel)
    return Step(
        wheel=wheel,
        does=Does.FIND_PRESSURE,
        stage=Stage.AIR,
        title=f"Find out the pressure of wheel {name}",
        what=(
            "The air card has no figure for it; what is to be found out stands at the end of this sheet.",
            "Take the cold pressure for this tyre size and load from the handbook or a tyre dealer, and set it cold, outside.",
        ),
        why="No pressure is guessed, and another size's figure is not its own.",
        where=corner.value,
        expect="the handbook's figure for this size and load",
        evidence=(Channel.GAUGE, Channel.TYPED),
        minutes=acts.FIND_PRESSURE,
        if_fails="Do not drive on it before its pressure is known.",
        basis=Basis(Ground.UNKNOWN),
        cautions=(cautions.INFLATE,),
        lock=True,
        asks=(
            ask_pressure(job, wheel, Tells.SET_PRESSURE),
            ask.words("source", "Where its figure is from", required=True),
        ),
    )
