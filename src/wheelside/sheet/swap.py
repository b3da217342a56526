"""Swapping the wheels, and setting their pressures."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from wheelside.fill.bounds import MAXIMUM, PLACARD
from wheelside.fill.card import WheelSetting
from wheelside.fill.situation import Situation
from wheelside.finding import Basis, Ground
from wheelside.garage import acts
from wheelside.garage.words import ROAD_CORNERS, Corner
from wheelside.identity.choice import FreshFrom
from wheelside.sheet import ask, cautions
from wheelside.sheet.ask import Asked, Tells, slug
from wheelside.sheet.context import Job, ask_by_temperature, ask_pressure
from wheelside.sheet.extent import Extent
from wheelside.sheet.option import Instead
from wheelside.sheet.order import dash_follows, drives, here, turn_of
from wheelside.sheet.step import Channel, Does, Move, OnCard, Stage, Step, step_id
from wheelside.units import GaugePressure, PressureSpan

LOOSEN = "On the ground: chock the others, loosen every fastener of this wheel a quarter turn."
FOLLOWS_FROM = GaugePressure(30.0)
"""A change of so much at the least is looked for on the dash; where less is to be set, the wheel is taken higher first."""
OVER = PressureSpan(40.0)
"""So far above its figure, where what is to be set is too little a change to be seen."""


def take_off(job: Job) -> Iterator[Step]:
    """The wheels that are on the car and have to come off it for their sensors, or for another corner."""
    for corner, wheel in job.leaving:
        if corner is Corner.SPARE:
            yield _spare(job, wheel, out=True)
            continue
        yield Step(
            wheel=wheel,
            card=OnCard.OFF,
            stage=Stage.OFF,
            title=f"Take wheel {job.name(wheel)} off the car",
            what=(LOOSEN, "Lift the corner, set it on a stand, take the wheel off, tag it. Look at brake and hub."),
            where=corner.value,
            expect="the corner stands on a stand until the wheel is back",
            evidence=(Channel.PHOTO,),
            minutes=acts.TAKE_OFF,
            cautions=cautions.of_act(Does.TAKE_OFF),
            waits_for=(step_id(Does.LAY_OUT), *_found_good(job)),
            asks=(ask.done("It is off, tagged, and the car stands on a stand"), ask.photo("Photo of hub and brake")),
            does=Does.TAKE_OFF,
            moves=(Move(wheel),),
        )


def swap(job: Job) -> Iterator[Step]:
    """Lift, fit, fasten: the coming set, or the wheels that had to come off; nothing where none did."""
    goes = job.fitting
    on_road = [(c, w) for c, w in goes if c in ROAD_CORNERS]
    for corner, wheel in on_road:
        yield _corner(job, corner, wheel)
    for corner, wheel in goes:
        if corner is Corner.SPARE:
            yield _spare(job, wheel, out=False)
    if on_road or job.not_fastened:
        yield torque(job, [wheel for _, wheel in on_road])


def shop_swaps(job: Job) -> Iterator[Step]:
    """The change of wheels by a shop: what it is told, and what the owner sees before driving off."""
    if not job.fitting:
        return
    figure = job.torque_figure
    goes = "; ".join(f"{job.name(w)} {c.value}" for c, w in job.fitting)
    waits = dict.fromkeys(one for _, w in job.fitting for one in _first_done(job, w))
    moves = [m for c, w in job.fitting for m in (*_off_at(job, c), Move(w, job.car.id, c.value))]
    yield Step(
        card=OnCard.NOTE,
        stage=Stage.SHOP,
        title=f"Have {job.coming.name} fitted to {job.car.name}",
        what=(
            f"Please fit: {goes}. Each bears its name.",
            f"Hub and rim faces clean and dry; by torque wrench to {figure}. Air to the car's label.",
            "Tag each wheel that comes off with its name; all of them, and the locking key, come back with me.",
        ),
        where="at the tyre shop",
        expect="each wheel at its corner, torqued by wrench; what came off is in the car",
        evidence=(Channel.TYPED,),
        minutes=acts.SHOP_FITS if job.refits else acts.SHOP_VISIT,
        cautions=cautions.of_act(Does.SHOP_SWAPS),
        waits_for=tuple(waits),
        asks=(
            *(replace(ask.done(f"{job.name(w)} is {c.value}"), id=slug("at", w), wheel=w) for c, w in job.fitting),
            replace(ask.done(f"They torqued by wrench to {figure}; the key is back", Tells.TORQUE), id="torqued"),
            ask.odometer(),
        ),
        does=Does.SHOP_SWAPS,
        moves=tuple(moves),
    )


def _off_at(job: Job, corner: Corner) -> tuple[Move, ...]:
    there = job.makes_way(corner)
    return (Move(there),) if there is not None else ()


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
        card=OnCard.OFF if out else OnCard.WHEELS,
        stage=Stage.OFF if out else Stage.SWAP,
        title=f"Take the spare {name} out" if out else f"Put {name} into the spare's place",
        what=("Take it out of its place and tag it.",)
        if out
        else (*_have_it_here(job, wheel), f"Stow and fasten it as the handbook says.{other}"),
        where="at the spare's place",
        expect="it is out, and tagged" if out else "it lies fast",
        evidence=(Channel.TYPED,),
        minutes=acts.STOW_SPARE,
        cautions=cautions.of_act(Does.STOW_SPARE),
        waits_for=() if out else _first_done(job, wheel),
        asks=(ask.done("It is out, and tagged" if out else "It lies fast"),),
        does=Does.TAKE_OFF if out else Does.STOW_SPARE,
        moves=moves,
    )


def _found_good(job: Job) -> tuple[str, ...]:
    """What no wheel comes off before: every coming wheel was gauged as it lay, and what was written on the bench reads back. Else the car would
    stand with a corner that nothing can go on."""
    on_bench = (w.wheel for w in job.refits if w.fresh_from is not FreshFrom.BOUGHT)
    return (*(step_id(Does.FETCH, w) for w in job.fetched), *(step_id(Does.READ_BACK, w) for w in on_bench))


def _first_done(job: Job, wheel: str) -> tuple[str, ...]:
    """What a wheel waits for before it goes on, and another comes off for it: that all of them can, each with its sensor in it and written, and
    that they are here. One that was taken off for its sensor waits for its own alone."""
    written = [w.wheel for w in job.written_in_wheel if w.wheel == wheel or wheel not in job.off_first]
    shop = (step_id(Does.CHANGE_SENSORS),) if job.refits else ()
    read = tuple(step_id(Does.READ_BACK, w) for w in written if w in job.fetched or w == wheel)
    return (*_found_good(job), *read, *shop, step_id(Does.BRING))


def _have_it_here(job: Job, wheel: str) -> tuple[str, ...]:
    """How a wheel comes to the car, where no step of its own brings it."""
    if wheel in job.off_first or job.lies_beside(wheel):
        return ()
    place, at, name = job.lies_at(wheel), here(job), job.name(wheel)
    if place is None:
        return (f"Where it lies is not noted: have {name} beside the car first, held fast if it rides in it.",)
    near = at is not None and place != at and not drives(job, place)
    return (f"Carry or roll {name} from {place.name} to {at.name}.",) if near and at is not None else ()


def _corner(job: Job, corner: Corner, wheel: str) -> Step:
    tyre = job.parts(wheel).tyre
    turning = tyre is not None and tyre.direction is not None and tyre.direction.value in ("left", "right")
    side = (
        (f"This tyre turns one way and belongs on the {tyre.direction.value}.",)
        if turning and tyre and tyre.direction
        else ()
    )
    there = job.makes_way(corner)
    return Step(
        wheel=wheel,
        card=OnCard.WHEELS,
        stage=Stage.SWAP,
        title=f"Fit wheel {job.name(wheel)} {corner.value}",
        what=(*_have_it_here(job, wheel), *_first_off(job, corner), *side),
        where=corner.value,
        expect="it sits flat and turns freely",
        evidence=(Channel.TYPED,),
        minutes=acts.FIT,
        cautions=cautions.of_act(Does.FIT),
        waits_for=_first_done(job, wheel),
        asks=(ask.done(f"{job.name(wheel)} sits flat, every fastener went in by hand"),),
        does=Does.FIT,
        moves=(*((Move(there),) if there else ()), Move(wheel, job.car.id, corner.value)),
    )


def _first_off(job: Job, corner: Corner) -> tuple[str, ...]:
    """How the wheel that is there comes off; nothing where it is off already."""
    there = job.makes_way(corner)
    if there is not None:
        return (f"Take {job.name(there)} off, tag it.",)
    if corner in dict(job.leaving):
        return ()
    return ("Take off the wheel that is there, if any, tag it.",)


def also_torqued(job: Job) -> str:
    """What is said of wheels that were fitted before this job; '' where there are none."""
    now = [w for c, w in job.fitting if c in ROAD_CORNERS]
    before = ", ".join(job.name(w) for w in job.not_fastened if w not in now)
    return f" {before} too: fitted before, and not noted as torqued." if before else ""


def half_torque(job: Job) -> str:
    """What every fastener gets in the first round."""
    return f"{job.car.torque.nm / 2:.0f} Nm" if job.car.torque else "half of it"


def torque(job: Job, wheels: list[str]) -> Step:
    """The fasteners of these wheels, and of those that a job before this one fitted."""
    figure = job.torque_figure
    half = half_torque(job)
    rest = also_torqued(job)
    return Step(
        card=OnCard.TORQUE,
        stage=Stage.SWAP,
        title=f"Torque to {figure}",
        what=(
            f"On the ground, crosswise, first to {half}, then to {figure}, every fastener of every wheel that was off.{rest}",
            "Locking key back in its place.",
        ),
        where="all four corners",
        expect=f"every fastener reaches {figure} while still turning a little",
        evidence=(Channel.TYPED, Channel.PHOTO),
        minutes=acts.TORQUE,
        basis=job.car.basis("torque")
        if job.car.torque
        else Basis(Ground.UNKNOWN, "the torque is not noted: take it from the handbook"),
        cautions=cautions.of_act(Does.TORQUE),
        waits_for=tuple(step_id(Does.FIT, w) for w in wheels),
        asks=(
            ask.done(f"Every fastener reached {figure}; the key is back", Tells.TORQUE),
            ask.odometer(),
            ask.photo("Photo of the wrench's setting"),
        ),
        does=Does.TORQUE,
    )


def pressures(job: Job) -> Iterator[Step]:
    """Each wheel to its setting of the air card; a locked step where there is none."""
    set_here = {line.wheel: line for line in job.card.wheels}
    for corner, wheel in _in_order(job):
        line = set_here.get(wheel)
        if line is not None and job.card.situation is not None:
            yield _pressure(job, line, job.card.situation)
        elif corner in job.car.monitored_corners:
            yield _no_pressure(job, corner, wheel)


def _in_order(job: Job) -> list[tuple[Corner, str]]:
    """The wheels as one walks round the car, which is the order of teaching where there is one."""
    return sorted(job.coming.wheels, key=lambda one: turn_of(job, one[0]))


def fastened(job: Job) -> Iterator[Step]:
    """The torque of wheels that were fitted before, where nobody has said that it was done: never driven on without."""
    if job.not_fastened:
        yield torque(job, [])


def gauged(job: Job) -> Iterator[Step]:
    """The pressures, where the car keeps those that it finds, or wheels were fitted on which nobody has said that they were set."""
    if job.learns_gauged or (job.not_fastened and job.extent is Extent.TEACH):
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
    followed = dash_follows(job) and line.corner is not Corner.SPARE
    return Step(
        wheel=line.wheel,
        does=Does.SET_PRESSURE,
        card=OnCard.PRESSURE,
        stage=Stage.AIR,
        title=f"Set wheel {job.name(line.wheel)}: {figure} at {at}, by {s.gauge_name}",
        what=(
            f"At {at} set {figure} on {s.gauge_name}{bias}; at another temperature what the table says.",
            *((_over(job, line),) if followed else ()),
        ),
        why=_why_this_figure(line, s),
        where=line.corner.value,
        expect=f"{u.show_plus_minus(line.gauge_shows, job.tolerance)} at {at}, else the table's figure",
        evidence=(Channel.GAUGE, *((Channel.DASH,) if followed else ())),
        minutes=acts.SET_PRESSURE + acts.WATCH_DASH * followed,
        basis=line.target.basis,
        cautions=cautions.of_act(Does.SET_PRESSURE),
        asks=(
            ask.temperature(f"The tyre's own temperature (planned for {at})", planned),
            *((_dash(line.wheel, Tells.DASH_BEFORE, "Dash before"),) if followed else ()),
            ask_by_temperature(job, line, planned, Tells.SET_PRESSURE),
            *((_dash(line.wheel, Tells.DASH_NOW, "Dash now"), _moved(line)) if followed else ()),
        ),
    )


def _over(job: Job, line: WheelSetting) -> str:
    """What to do where the change is too little to be seen: higher first, and what the dash shows then is what is held against the figure
    before; where the tyre's own maximum leaves room for that."""
    limit, seen = line.highest, job.p(FOLLOWS_FROM.kpa)
    if limit is not None and line.gauge_shows + OVER > limit:
        return f"Less than {seen} to change: too little to be seen. Say that it was not shown while parked."
    return f"Less than {seen} to change: first {job.p(OVER.kpa)} above the figure, note that as 'Dash now', then back to the figure."


def _dash(wheel: str, tells: Tells, label: str) -> ask.Ask:
    name = "dash-before" if tells is Tells.DASH_BEFORE else "dash-now"
    return ask.Ask(name, Asked.PRESSURE, Channel.DASH, label, tells, wheel, required=False)


def _moved(line: WheelSetting) -> ask.Ask:
    """Which figure followed; one that is not shown while the car is parked is no fault, and is looked at after the drive."""
    own, other = line.corner.value, [c.value for c in ROAD_CORNERS if c is not line.corner]
    return replace(
        ask.pick(
            "moved", "Which figure on the dash followed", (own, Instead.NOT_PARKED, *other), own, Tells.CORNER, Channel.DASH,
            wheel=line.wheel, also=(Instead.NOT_PARKED,),
        ),
        moved=("dash-before", "dash-now"),
    )  # fmt: skip


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
        card=OnCard.PRESSURE,
        stage=Stage.AIR,
        title=f"Find out the pressure of wheel {name}",
        what=(
            "The air card has no figure for it. Take the cold pressure for its size and load from the handbook or a tyre dealer; set it cold.",
        ),
        where=corner.value,
        expect="the handbook's figure for this size and load",
        evidence=(Channel.GAUGE, Channel.TYPED),
        minutes=acts.FIND_PRESSURE,
        basis=Basis(Ground.UNKNOWN),
        cautions=cautions.of_act(Does.FIND_PRESSURE),
        lock=True,
        asks=(
            ask_pressure(job, wheel, Tells.SET_PRESSURE),
            ask.words("source", "Where its figure is from", required=True),
        ),
    )
