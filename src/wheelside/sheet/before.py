"""The steps before anything is touched, and what has to be bought and laid out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from wheelside.finding import Basis, Ground
from wheelside.garage import acts
from wheelside.garage.ids import car_band
from wheelside.garage.words import ROAD_CORNERS, Instrumentation, Monitor
from wheelside.identity.choice import GOT, Action, FreshFrom
from wheelside.identity.roll import carried_by
from wheelside.sheet import ask, cautions
from wheelside.sheet.ask import Asked, Tells, When, slug
from wheelside.sheet.context import Job, ask_id, ask_pressure
from wheelside.sheet.extent import Extent
from wheelside.sheet.option import LAMP, Battery, Cause, Codes, Lamp
from wheelside.sheet.order import drives, share_ids
from wheelside.sheet.step import Channel, Does, OnCard, Stage, Step, step_id
from wheelside.tyre.speed import speed_of
from wheelside.units import GaugePressure

LEAST = GaugePressure(150.0)
"""A wheel that lay with less goes on no car before the cause is found; judgement, at the floor below which no tyre is used."""
SOFT, PUMP_TO = GaugePressure(180.0), GaugePressure(200.0)
"""Below the first it is pumped up to the second before it carries load: judgement."""


def before(job: Job) -> Iterator[Step]:
    """The look at the car, and the coming wheels tagged, gauged and triggered one by one."""
    yield from lamp_before(job)
    for _, wheel in job.coming.wheels:
        if wheel in job.fetched:
            yield _fetch(job, wheel)
        if wheel in _answers(job):
            yield _answer(job, wheel)
    yield from _parts(job)


def lamp_before(job: Job) -> Iterator[Step]:
    """The look at the car: its lamp, and its codes where there is an adapter."""
    if job.car.monitor is None:
        yield _find_out(job)
    elif job.car.monitor is not Monitor.NONE:
        yield _look(job)
        if job.tool(Instrumentation.ADAPTER):
            yield _codes_before(job)


def before_on_stand(job: Job) -> Iterator[Step]:
    """The wheels to be written answering one by one, where they stand, and what is needed."""
    for wheel in job.written_in_wheel:
        if wheel.wheel in _answers(job):
            yield _answer(job, wheel.wheel)
    if job.written_in_wheel or job.refits:
        yield from _parts(job)


def _answers(job: Job) -> frozenset[str]:
    """The wheels whose sensors are asked what they send: not one that was never written, nor one that is taken out anyway. A wheel of which
    nothing is known is taken to have one, and is asked before anything hangs on it."""
    if not job.direct:
        return frozenset()
    kept = [w.wheel for w in job.wheels if w.action is not Action.REFIT]
    return frozenset(w for w in kept if not _has_none_yet(job, w))


def _find_out(job: Job) -> Step:
    return Step(
        does=Does.FIND_OUT,
        card=OnCard.LOOK,
        stage=Stage.BEFORE,
        title=f"Find out how {job.car.name} watches its tyres",
        what=(
            "Look into the handbook: sensors in the wheels, wheel speed alone, or nothing.",
            "A metal valve stem or four pressures on the dash speak for sensors; a button to store the pressures alone, for wheel speed.",
        ),
        where=f"in {job.car.name}",
        expect="how it watches its tyres is noted, and a new sheet made",
        evidence=(Channel.TYPED,),
        minutes=acts.FIND_MONITOR,
        basis=Basis(Ground.UNKNOWN, "monitor"),
        lock=True,
        asks=(ask.words("found", "How the car watches its tyres, and where you read it", required=True),),
    )


def _look(job: Job) -> Step:
    return Step(
        does=Does.LOOK,
        card=OnCard.LOOK,
        stage=Stage.BEFORE,
        title="The lamp, and the odometer",
        what=("Ignition on: what does the tyre lamp do?",),
        where=f"in {job.car.name}",
        expect="it lights for a few seconds, then goes out",
        evidence=(Channel.PHOTO, Channel.TYPED),
        minutes=acts.LOOK,
        asks=(
            ask.pick("lamp", "The lamp at ignition-on", LAMP, Lamp.LIGHTS_GOES_OUT, Tells.LAMP_BEFORE),
            ask.out_after(Does.LOOK, Lamp.GOES_OUT_LATE),
            ask.odometer(),
            ask.photo("Photo of the dash at ignition-on"),
        ),
    )


def _codes_before(job: Job) -> Step:
    adapter = job.tool(Instrumentation.ADAPTER)
    return Step(
        does=Does.CODES_BEFORE,
        card=OnCard.LOOK,
        stage=Stage.BEFORE,
        title="The codes",
        what=(
            f"With {adapter.name if adapter else 'the adapter'}: read and save stored and pending codes; clear nothing.",
        ),
        where="parked, ignition on, engine off",
        expect="what is there is noted, be it none",
        evidence=(Channel.PORT,),
        minutes=acts.READ_CODES,
        cautions=cautions.of_act(Does.CODES_BEFORE),
        asks=(ask.pick("codes", "Stored and pending codes", Codes, "", Tells.CODES_BEFORE, Channel.PORT, words=True),),
    )


def pressures_before(job: Job) -> Iterator[Step]:
    """What the tyres on the car read before anything is changed."""
    yield Step(
        does=Does.GAUGE,
        card=OnCard.LOOK,
        stage=Stage.BEFORE,
        title="The four pressures",
        what=("Gauge the tyres cold.",),
        where="at each wheel",
        expect=f"four figures that agree within {job.p(10)} on each axle",
        evidence=(Channel.GAUGE,),
        minutes=acts.GAUGE_ALL,
        asks=(
            *(ask_pressure(job, wheel, Tells.PRESSURE_BEFORE) for wheel in _fitted(job)),
            ask.outside_temperature(),
        ),
    )


def _fitted(job: Job) -> tuple[str, ...]:
    """The wheels at the road corners before anything is done."""
    return tuple(job.at_corner[corner] for corner in ROAD_CORNERS if corner in job.at_corner)


def _has_none_yet(job: Job, wheel: str) -> bool:
    """Whether its sensor was never written, so that there is nothing to hear before it is."""
    sensor = job.parts(wheel).sensor
    return sensor is not None and sensor.written is False and not carried_by(job.garage, sensor)


def _fetch(job: Job, wheel: str) -> Step:
    """A wheel as it lay: what it has kept, and that none carries a car on too little air. Its temperature is that of the place."""
    low = When(f"{step_id(Does.FETCH, wheel)}/{slug('pressure', wheel)}", below=LEAST)
    soft = (When(low.of, below=SOFT, least=LEAST), When(f"{step_id(Does.FETCH, wheel)}/cause", (Cause.MENDED,)))
    return Step(
        wheel=wheel,
        does=Does.FETCH,
        card=OnCard.TAG,
        stage=Stage.BEFORE,
        title=f"Tag and gauge wheel {job.name(wheel)}",
        what=(f"Tie its name to it: {job.name(wheel)}. Gauge it as it lay.",),
        where=_lies(job, wheel),
        expect=f"{job.p(SOFT.kpa)} or more",
        evidence=(Channel.GAUGE,),
        minutes=acts.FETCH,
        cautions=cautions.of_act(Does.FETCH),
        place=place.id if (place := job.lies_at(wheel)) is not None else "",
        asks=(
            replace(ask_pressure(job, wheel, Tells.FETCHED), least=LEAST),
            ask.Ask(
                "cause", Asked.PICK, Channel.TYPED, f"Under {job.p(LEAST.kpa)}: what was the cause", Tells.CAUSE, wheel,
                options=tuple(Cause), expect=Cause.MENDED, only=(low,), bars=True,
            ),
            replace(
                ask.done(f"Pumped up to {job.p(PUMP_TO.kpa)}, before it carries load"), id="pumped", only=soft, bars=True,
                wheel=wheel,
            ),
            ask.temperature("Temperature where it lay"),
            ask.photo("Photo of its tag"),
        ),
    )  # fmt: skip


def _answer(job: Job, wheel: str) -> Step:
    sensor = job.parts(wheel).sensor
    plan = next(w for w in job.wheels if w.wheel == wheel)
    ids = carried_by(job.garage, sensor)
    expect = "it answers; what it sends is noted"
    if len(ids) == 1:
        before = ", which it holds until it is written" if plan.writes and plan.action is Action.STAYS else ""
        expect = f"it sends {job.spoken(ids[0])}{before}"
    if sensor is not None and sensor.answers is False:
        expect = "no answer, as noted; an answer would be news"
    first = ask_id(job, wheel, ids[0] if len(ids) == 1 else None, Tells.SENT_BEFORE)
    flag = ask.pick("battery", "Its battery flag", Battery, "", Tells.BATTERY, required=False, wheel=wheel)
    return Step(
        wheel=wheel,
        does=Does.TRIGGER,
        card=OnCard.TAG,
        stage=Stage.BEFORE,
        title=f"Trigger wheel {job.name(wheel)}",
        what=("Trigger it beside the valve; other wheels a metre away.",),
        where=_lies(job, wheel),
        expect=expect,
        evidence=(Channel.TRIGGER,),
        minutes=acts.TRIGGER,
        waits_for=(step_id(Does.FETCH, wheel),),
        asks=(replace(first, tail=0), flag),
    )


def _lies(job: Job, wheel: str) -> str:
    """Where a wheel is before the job; one that shares its ID with those on the car may have been brought for a job that was given up."""
    place = job.lies_at(wheel)
    brought = wheel in job.fetched and place is not None and drives(job, place) and share_ids(job)
    return job.lies(wheel) + (f", or beside {job.car.name}" if brought else "")


def shopping(job: Job) -> tuple[str, ...]:
    """What to buy or lay out, line by line."""
    band = car_band(job.garage, job.car)
    family = job.garage.families.get(job.car.family or _family_on_stand(job))
    lines = []
    if job.refits:
        bought = [w for w in job.refits if w.fresh_from is FreshFrom.BOUGHT]
        silent = sum(w.silent for w in job.refits)
        in_hand = sum(w.in_hand for w in job.refits) - silent
        written = len(job.refits) - len(bought) - in_hand - silent
        kind = f"family {family.name if family else 'of the car (find out)'}, {band.value if band else 'band of the car (find out)'}"
        if silent:
            names = ", ".join(job.name(w.wheel) for w in job.refits if w.silent)
            lines.append(f"{silent} × blank sensor that is silent at rest, {kind}, from those in hand, for {names}")
        if in_hand:
            lines.append(f"{in_hand} × blank sensor, {kind}, from those in hand")
        if written:
            lines.append(f"{written} × blank sensor, {kind}, writable")
        if bought:
            lines.append(f"{len(bought)} × sensor, {kind}, coming with its own ID")
        n = len(job.refits)
        lines.append(f"{n} × valve service kit: seal, washer, nut, nickel-plated core, cap")
    lines.append("gauge, inflator, tags, a marker that stays")
    if _slower(job):
        lines.append(f"a sticker by the speedometer: {_slower(job)}")
    lines += _for_wheels(job)
    if job.direct:
        lines.append(" and ".join(("trigger", *_writers(job))))
        if any(w.writer == GOT for w in job.wheels):
            lines.append(
                f"the writer is bought, hired or lent: it has to write given IDs, family {family.name if family else 'of the car'}"
            )
    return tuple(lines)


def _writers(job: Job) -> tuple[str, ...]:
    """The handhelds that this job writes with, by the names that their owner gave them."""
    names = {w.id: w.name for w in job.garage.writer}
    return tuple(dict.fromkeys(names.get(w.writer or "", "writer") for w in job.wheels if w.writes))


def _family_on_stand(job: Job) -> str:
    """The family of the IDs that are written or fitted where no car says which it is; '' where they are of none, or of several."""
    named = (
        {w.id.family or "" for w in (*job.refits, *job.written_in_wheel) if w.id is not None} if job.on_stand else set()
    )
    return named.pop() if len(named) == 1 else ""


def _for_wheels(job: Job) -> tuple[str, ...]:
    """What changing wheels takes: the owner's tools, or what goes along to a shop that changes them."""
    if not job.road_wheels_off:
        return ()
    if job.extent is Extent.SHOP:
        return ("the key for locking bolts or nuts, and straps for the wheels in the car",)
    return (
        "torque wrench, jack, stands, chocks, wire brush, key for locking fasteners",
        "fasteners that fit the rims: seat shape, thread, length",
    )


def _slower(job: Job) -> str:
    """The speed of the coming tyres, where it is below the car's own; '' where it is not, or is not known."""
    if job.on_stand:
        return ""
    symbols = (t.designation.speed_symbol for _, w in job.coming.wheels if (t := job.parts(w).tyre) and t.designation)
    speeds = [speed_of(one) for one in symbols if one]
    least = min(speeds, default=None, key=lambda one: one.km_h)
    asked = speed_of(job.car.speed_symbol) if job.car.speed_symbol else None
    return job.units.show_speed(least) if least is not None and asked is not None and least < asked else ""


def _parts(job: Job) -> Iterator[Step]:
    torque = job.car.torque
    yield Step(
        does=Does.LAY_OUT,
        card=OnCard.WRITE,
        stage=Stage.PARTS,
        title="Lay everything out",
        what=shopping(job),
        where="at the bench",
        expect="every line is there"
        + (f"; fastening torque {job.units.show_torque(torque)}" if torque and job.road_wheels_off else ""),
        evidence=(Channel.TYPED,),
        minutes=acts.LAY_OUT,
        basis=job.car.basis("torque") if torque else Basis(Ground.UNKNOWN, "torque not known"),
        asks=(ask.done("Everything is there"),),
    )
