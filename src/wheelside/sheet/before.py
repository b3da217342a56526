"""The steps before anything is touched, and what has to be bought and laid out."""

from __future__ import annotations

from collections.abc import Iterator

from wheelside.finding import COMMON_PRACTICE, Basis, Ground
from wheelside.garage import acts
from wheelside.garage.ids import car_band
from wheelside.garage.words import ROAD_CORNERS, Instrumentation, Monitor
from wheelside.identity.choice import GOT, Action, FreshFrom
from wheelside.identity.roll import carried_by
from wheelside.sheet import ask, cautions
from wheelside.sheet.ask import Tells
from wheelside.sheet.context import Job, ask_id, ask_pressure
from wheelside.sheet.option import LAMP, Battery, Codes, Lamp
from wheelside.sheet.step import Channel, Does, Stage, Step


def before(job: Job) -> Iterator[Step]:
    """The snapshot of the car, and the coming wheels answering one by one."""
    yield from lamp_before(job)
    yield from pressures_before(job)
    if job.direct:
        for wheel in job.wheels:
            if wheel.sensor is not None and not _has_none_yet(job, wheel.wheel):
                yield _answer(job, wheel.wheel)
    yield from _parts(job)


def lamp_before(job: Job) -> Iterator[Step]:
    """The snapshot of the car: its lamp, and its codes where there is an adapter."""
    if job.car.monitor is None:
        yield _find_out(job)
    elif job.car.monitor is not Monitor.NONE:
        yield _snapshot(job)
        if job.tool(Instrumentation.ADAPTER):
            yield _codes_before(job)


def before_on_stand(job: Job) -> Iterator[Step]:
    """The wheels to be written answering one by one, where they stand, and what is needed."""
    for wheel in job.written_in_wheel:
        if not _has_none_yet(job, wheel.wheel):
            yield _answer(job, wheel.wheel)
    if job.written_in_wheel or job.refits:
        yield from _parts(job)


def _find_out(job: Job) -> Step:
    return Step(
        does=Does.FIND_OUT,
        stage=Stage.BEFORE,
        title=f"Find out how {job.car.name} watches its tyres",
        what=(
            "Look into the handbook: sensors in the wheels, wheel speed alone, or nothing.",
            "A metal valve stem or four pressures on the dash speak for sensors; a button to store the pressures alone, for wheel speed.",
        ),
        why="What has to be done about sensors, teaching and proof depends on it; this sheet leaves all of that out.",
        where=f"in {job.car.name}",
        expect="how it watches its tyres is noted, and a new sheet made",
        evidence=(Channel.TYPED,),
        minutes=acts.FIND_MONITOR,
        if_fails="Only pressures and fastening are done today; the lamp proves nothing.",
        basis=Basis(Ground.UNKNOWN, "monitor"),
        lock=True,
        asks=(ask.words("found", "How the car watches its tyres, and where you read it", required=True),),
    )


def _snapshot(job: Job) -> Step:
    codes = job.tool(Instrumentation.ADAPTER) is not None
    return Step(
        does=Does.LOOK,
        stage=Stage.BEFORE,
        title=f"Look at {job.car.name} as it is",
        what=(
            "Switch the ignition on and watch the tyre lamp: does it light for a few seconds and go out, stay, or flash?",
            "Photograph the dash at ignition-on, and note the odometer.",
            *(() if codes else ("No adapter is noted: leave the codes out, and say so in the proof.",)),
        ),
        why="Only a record from before tells later whether a fault is new, and whether the lamp works at all.",
        where=f"in {job.car.name}",
        expect="the lamp lights at ignition-on and goes out; whatever it does is noted",
        evidence=(Channel.PHOTO, Channel.TYPED),
        minutes=acts.LOOK,
        if_fails="A lamp that never lights proves nothing later: have it looked at before relying on it.",
        basis=COMMON_PRACTICE,
        asks=(
            ask.pick("lamp", "The lamp at ignition-on", LAMP, Lamp.LIGHTS_GOES_OUT, Tells.LAMP_BEFORE),
            ask.out_after(),
            ask.words("odometer", "Odometer"),
            ask.photo("Photo of the dash at ignition-on"),
        ),
    )


def _codes_before(job: Job) -> Step:
    adapter = job.tool(Instrumentation.ADAPTER)
    label = "Stored and pending codes, one after the other"
    return Step(
        does=Does.CODES_BEFORE,
        stage=Stage.BEFORE,
        title="Read the codes from before",
        what=(f"Read and save the stored codes with {adapter.name if adapter else 'the adapter'}; clear nothing.",),
        why="Only codes from before tell later which ones came today.",
        where="parked, ignition on",
        expect="what is there is noted, be it none",
        evidence=(Channel.PORT,),
        minutes=acts.READ_CODES,
        if_fails="No answer: ignition on, the plug seated, the right port card? Say 'not read' and go on.",
        basis=COMMON_PRACTICE,
        cautions=(cautions.PORT,),
        asks=(ask.pick("codes", label, Codes, "", Tells.CODES_BEFORE, Channel.PORT, words=True),),
    )


def pressures_before(job: Job) -> Iterator[Step]:
    """What the tyres on the car read before anything is changed."""
    shows = " and what the dash shows" if job.car.dash_shows else ""
    yield Step(
        does=Does.GAUGE,
        stage=Stage.BEFORE,
        title="Note the pressures before",
        what=(f"Gauge the fitted tyres cold{shows}, with the outside temperature.",),
        why="A tyre that is already low is a leak to find, not a sensor to change.",
        where="at each wheel",
        expect=f"four figures that agree within {job.p(10)} on each axle",
        evidence=(Channel.GAUGE,),
        minutes=acts.GAUGE_ALL,
        if_fails=f"A tyre more than {job.p(30)} below its fellow: look for the leak first.",
        basis=COMMON_PRACTICE,
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
    news = "An answer from a sensor noted as silent, or another ID than this: note it, and plan again."
    return Step(
        wheel=wheel,
        does=Does.TRIGGER,
        stage=Stage.BEFORE,
        title=f"Trigger wheel {job.name(wheel)}",
        what=(
            "Hold the trigger to the sidewall beside the valve for up to ten seconds, other wheels at least a metre away.",
            "Note the ID it sends, its pressure and its battery flag.",
        ),
        why="The print can be misread, and a silent sensor is found now rather than on the road.",
        where=job.lies(wheel),
        expect=expect,
        evidence=(Channel.TRIGGER,),
        minutes=acts.TRIGGER,
        if_fails=f"No answer: inflate to its pressure, trigger again; let out {job.p(50)} quickly, wait a minute, trigger again. "
        f"Say 'no answer within two minutes', not 'dead'. {news}",
        basis=COMMON_PRACTICE,
        asks=(
            ask_id(job, wheel, ids[0] if len(ids) == 1 else None, Tells.SENT_BEFORE),
            ask.pick(
                "battery",
                "Its battery flag",
                Battery,
                "",
                Tells.BATTERY,
                required=False,
                wheel=wheel,
            ),
        ),
    )


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
            lines.append(f"{written} × blank sensor, {kind}, that the writer can write")
        if bought:
            lines.append(f"{len(bought)} × sensor, {kind}, coming with its own ID")
        n = len(job.refits)
        lines.append(f"{n} × valve service kit for it: seal, washer, nut, core with nickel plating, cap with seal")
        lines.append(f"{n} × balancing at the shop, and the shop's torque figure for the valve nut")
    lines.append("gauge and inflator, tags and a marker that stays")
    if job.road_wheels_off:
        lines.append("torque wrench, jack, stands, chocks, wire brush")
        lines.append("fasteners that fit the rims: seat shape, thread, length; the key for locking ones")
    if job.direct:
        lines.append("trigger" + (" and writer" if any(w.writes for w in job.wheels) else ""))
        if any(w.writer == GOT for w in job.wheels):
            lines.append(
                f"the writer is bought, hired or lent: it has to write given IDs, family {family.name if family else 'of the car'}"
            )
    return tuple(lines)


def _family_on_stand(job: Job) -> str:
    """The family of the IDs that are written or fitted where no car says which it is; '' where they are of none, or of several."""
    named = (
        {w.id.family or "" for w in (*job.refits, *job.written_in_wheel) if w.id is not None} if job.on_stand else set()
    )
    return named.pop() if len(named) == 1 else ""


def _parts(job: Job) -> Iterator[Step]:
    torque = job.car.torque
    yield Step(
        does=Does.LAY_OUT,
        stage=Stage.PARTS,
        title="Lay everything out",
        what=shopping(job),
        why="A missing seal or a wrong fastener is found now, not with the car on stands.",
        where="at the bench",
        expect="every line is there"
        + (f"; fastening torque {job.units.show_torque(torque)}" if torque and job.road_wheels_off else ""),
        evidence=(Channel.TYPED,),
        minutes=acts.LAY_OUT,
        if_fails="Do not begin with a part missing."
        + ("" if torque else " The torque is not noted: take it from the handbook."),
        basis=job.car.basis("torque") if torque else Basis(Ground.UNKNOWN, "torque not known"),
        asks=(ask.done("Everything is there"),),
    )
