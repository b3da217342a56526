"""Writing sensors: new ones on the bench, mounted ones in a wheel that has been let down."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from wheelside.finding import COMMON_PRACTICE, Basis, Ground
from wheelside.garage import acts
from wheelside.garage.words import Skill
from wheelside.identity.choice import FreshFrom, IdChoice
from wheelside.identity.plan import WheelPlan
from wheelside.identity.roll import Roll
from wheelside.said import Begun, Said, say
from wheelside.sheet import ask, cautions
from wheelside.sheet.ask import Tells, slug
from wheelside.sheet.context import Job, ask_by_temperature, ask_id, ask_pressure
from wheelside.sheet.option import Bubbles, YesNo
from wheelside.sheet.step import Channel, Does, Stage, Step, step_id
from wheelside.units import GaugePressure, PressureSpan

LET_DOWN_TO = GaugePressure(70.0)
"""Below this mounted sensors commonly accept writing (10 psi); common practice, no source."""
_PLAN = Basis(Ground.COMPUTED, "identity plan")


def bench(job: Job) -> Iterator[Step]:
    """Write and read back each new sensor before it is fitted."""
    for wheel in job.refits:
        if wheel.fresh_from is FreshFrom.BOUGHT:
            yield _note_bought(job, wheel)
        else:
            yield _write(job, wheel, mounted=False)
            yield _read_back(job, wheel, mounted=False)


def shop(job: Job) -> Iterator[Step]:
    """The visit to the tyre shop, where sensors are changed."""
    if job.refits:
        yield _shop(job)


def in_wheel(job: Job) -> Iterator[Step]:
    """For each mounted sensor to be written: let down, write, read back, inflate and gauge behind a lock."""
    for wheel in job.written_in_wheel:
        yield _let_down(job, wheel)
        yield _write(job, wheel, mounted=True)
        yield _read_back(job, wheel, mounted=True)
        yield _inflate(job, wheel)


def _how(job: Job, wheel: WheelPlan) -> str | Said:
    writer = next((w.name for w in job.garage.writer if w.id == wheel.writer), "the writer")
    if wheel.fresh_from is FreshFrom.WRITER:
        return f"With {writer}, let it make up a new ID."
    if wheel.own and not _only_copies(job, wheel):
        return f"With {writer}, give it the ID of its own old sensor, which the car knows: {job.spoken(wheel.id)}."
    if wheel.choice is IdChoice.CLONE and _only_copies(job, wheel):
        return say(
            "With {writer}, read the sensor that carries {id} ({whose}), at its own wheel; "
            "then go a metre away from it and copy what was read.",
            writer=writer, id=job.spoken(wheel.id), whose=say("its own old one") if wheel.own else wheel.source,
        )  # fmt: skip
    if wheel.choice is IdChoice.CLONE:
        text = "With {writer}, give it the ID of {whose}: {id}."
        return say(text, writer=writer, whose=wheel.source, id=job.spoken(wheel.id))
    return f"With {writer}, write {job.spoken(wheel.id)}."


def _only_copies(job: Job, wheel: WheelPlan) -> bool:
    return any(w.id == wheel.writer and Skill.GIVEN not in w.can for w in job.garage.writer)


def _write(job: Job, wheel: WheelPlan, *, mounted: bool) -> Step:
    name = job.name(wheel.wheel)
    alone = "Every other sensor and wheel lies at least a metre away, or in a closed metal tin."
    apart = "" if job.on_stand else _apart(job, wheel)
    note = ("Note the ID it made up.",) if wheel.fresh_from is FreshFrom.WRITER else ()
    return Step(
        wheel=wheel.wheel,
        does=Does.WRITE,
        stage=Stage.IN_WHEEL if mounted else Stage.BENCH,
        title=f"Write the sensor {'in' if mounted else 'for'} wheel {name}",
        what=(alone, _how(job, wheel), *note),
        why=say("{why}.", why=Begun(wheel.why)) if wheel.why else "The identity plan has it so.",
        where=("at the wheel, off the car" if mounted else "on the bench, before it is fitted") + _apart(job, wheel),
        expect="the writer reports that it has written",
        evidence=(Channel.WRITER,),
        minutes=acts.WRITE if mounted else acts.WRITE_ON_BENCH,
        if_fails=("Inflate and gauge the wheel first (the lock below). " if mounted else "")
        + "See 'Only if a sensor was written wrongly'."
        + (
            " No place out of earshot: do it with the ignition off; until the drive the lamp proves nothing."
            if apart
            else ""
        ),
        basis=_PLAN,
        cautions=(cautions.WRITE,),
        waits_for=(step_id(Does.LET_DOWN, wheel.wheel),) if mounted else (step_id(Does.LAY_OUT),),
        asks=(
            ask.pick(
                "written",
                "The writer reports that it has written",
                YesNo,
                YesNo.YES,
                Tells.WRITTEN,
                Channel.WRITER,
                wheel=wheel.wheel,
            ),
        ),
    )


def _apart(job: Job, wheel: WheelPlan) -> str:
    """A clone comes to life where the car can't hear both; an old ID that is carried on, where it can't hear the old sensor."""
    if wheel.own:
        return f", out of earshot of {job.car.name}, for the old sensor is still in its wheel"
    return (
        f", out of earshot of {'every car' if job.on_stand else job.car.name} and of the one it is cloned from"
        if wheel.choice is IdChoice.CLONE
        else ""
    )


def _read_back(job: Job, wheel: WheelPlan, *, mounted: bool) -> Step:
    if wheel.fresh_from is FreshFrom.WRITER:
        expect = (
            "the ID noted as what this sensor sends, and planned again with it: it must meet no other, "
            "and is not all zeros or ones"
        )
    else:
        expect = f"{job.spoken(wheel.id)}, digit by digit"
    pressure = (
        f"about {job.p(0)} gauge (100 kPa absolute)" if not mounted else f"what the gauge reads, within {job.p(10)}"
    )
    return Step(
        wheel=wheel.wheel,
        does=Does.READ_BACK,
        stage=Stage.IN_WHEEL if mounted else Stage.BENCH,
        title=f"Read it back and label it {job.name(wheel.wheel)}",
        what=(
            "Trigger it with something other than the writer if you have it, and compare.",
            f"Stick on the label {job.name(wheel.wheel)} with the ID.",
        ),
        why="A writer reports what it sent, not what arrived; a neighbour may have taken the write instead.",
        where="at the wheel" if mounted else "on the bench",
        expect=f"{expect}; pressure {pressure}, temperature that of the room",
        evidence=(Channel.TRIGGER, Channel.PHOTO),
        minutes=acts.READ_BACK,
        if_fails=("Inflate and gauge the wheel first. " if mounted else "")
        + "See 'Only if a sensor was written wrongly'.",
        basis=COMMON_PRACTICE,
        waits_for=(step_id(Does.WRITE, wheel.wheel),),
        asks=(
            ask_id(job, wheel.wheel, wheel.id, Tells.READ_BACK),
            ask.photo("Photo of the sensor with its label"),
        ),
    )


def _note_bought(job: Job, wheel: WheelPlan) -> Step:
    name = job.name(wheel.wheel)
    return Step(
        wheel=wheel.wheel,
        does=Does.NOTE_BOUGHT,
        stage=Stage.BENCH,
        title=f"Note the new sensor for wheel {name}",
        what=(
            "Trigger it and note the ID it sends and its print.",
            *write_out_list(job),
            f"Note it as the sensor of {name}, and plan again.",
        ),
        why="It comes with its own ID, which must meet no other in earshot.",
        where="on the bench, before it is fitted",
        expect=f"an ID of the car's width that the plan finds no fault with; pressure about {job.p(0)} gauge",
        evidence=(Channel.TRIGGER, Channel.PHOTO),
        minutes=acts.NOTE_BOUGHT,
        if_fails="No answer, or an ID that clashes: take it back to the seller before it is fitted.",
        basis=_PLAN,
        waits_for=(step_id(Does.LAY_OUT),),
        asks=(ask_id(job, wheel.wheel, None, Tells.READ_BACK), ask.photo("Photo of the sensor's print")),
    )  # fmt: skip


def shop_note(job: Job) -> tuple[str, ...]:
    """The note that goes to the tyre shop with the wheels."""
    lines = [
        f"Wheels {', '.join(job.name(w.wheel) for w in job.refits)}: please change the sensor; each new one bears its wheel's label."
    ]
    for w in job.refits:
        sensor = job.parts(w.wheel).sensor
        old = (
            "there is a sensor in it: keep the bead breaker away from the valve"
            if sensor
            else "there is no sensor in it now"
        )
        lines.append(f"{job.name(w.wheel)}: new sensor {job.spoken(w.id)}; {old}")
    lines.append(
        "New seal, washer, nut, core and cap for each; valve nut to the torque of the sensor's own sheet; port facing the air."
    )
    lines.append(
        "No sealant. Balance. Soap test at the valve and both beads. Old sensors come back to me in a bag, labelled."
    )
    return tuple(lines)


def _shop(job: Job) -> Step:
    sealed = tuple(
        step_id(Does.READ_BACK, w.wheel) if w.fresh_from is not FreshFrom.BOUGHT else step_id(Does.NOTE_BOUGHT, w.wheel)
        for w in job.refits
    )
    return Step(
        does=Does.CHANGE_SENSORS,
        stage=Stage.SHOP,
        title="Have the sensors fitted",
        what=("Hand this note over with the wheels:", *shop_note(job)),
        why="Changing a sensor takes the tyre off the rim, which is a tyre machine's work.",
        where="at the tyre shop, or with your own machine if you are trained on it",
        expect=f"each wheel answers the trigger with its planned ID; gauge and sensor agree within {job.p(10)}; no bubbles",
        evidence=(Channel.TRIGGER, Channel.TYPED),
        minutes=acts.SHOP_VISIT,
        if_fails="No answer from a sensor that answered on the bench: it was harmed in fitting, and the shop changes it.",
        basis=COMMON_PRACTICE,
        cautions=(
            cautions.SENSOR_BATTERY,
            "Seating a bead is done by a trained person, at no more than the tyre's marked limit. " + cautions.HANDBOOK,
        ),
        waits_for=(*sealed, *(step_id(Does.TAKE_OFF, w.wheel) for w in job.refits if w.wheel in job.off_first)),
        asks=(
            *(ask_id(job, w.wheel, w.id, Tells.READ_BACK) for w in job.refits),
            ask.pick("bubbles", "Soap test at valve and beads", Bubbles, Bubbles.NONE),
        ),
    )


def _let_down(job: Job, wheel: WheelPlan) -> Step:
    name, limit = job.name(wheel.wheel), job.units.show_pressure(LET_DOWN_TO)
    return Step(
        wheel=wheel.wheel,
        does=Does.LET_DOWN,
        stage=Stage.IN_WHEEL,
        title=f"Let wheel {name} down",
        what=(
            f"Wheel {name} is off the car, lies flat and carries no load; every other wheel is at least a metre away.",
            f"Note its pressure, then let it down below {limit}.",
        ),
        why="Many mounted sensors take no writing while they feel a tyre's pressure.",
        where=f"at wheel {name}, off the car",
        expect=f"the gauge reads below {limit}",
        evidence=(Channel.GAUGE,),
        minutes=acts.LET_DOWN,
        if_fails="A valve that can't be opened, or a bead that leaves its seat: leave the writing to a tyre shop.",
        basis=COMMON_PRACTICE,
        cautions=(cautions.LET_DOWN,),
        asks=(
            *_noted_first(job, wheel.wheel),
            ask_pressure(
                job, wheel.wheel, Tells.NOTHING, GaugePressure(LET_DOWN_TO.kpa / 2), PressureSpan(LET_DOWN_TO.kpa / 2)
            ),
        ),
        waits_for=(
            step_id(Does.TRIGGER, wheel.wheel),
            *((step_id(Does.TAKE_OFF, wheel.wheel),) if wheel.wheel in job.off_first else ()),
        ),
    )


def _noted_first(job: Job, wheel: str) -> tuple[ask.Ask, ...]:
    """The pressure before, where no card says what is to be set afterwards."""
    if job.setting(wheel) is not None:
        return ()
    label = f"Gauge at wheel {job.name(wheel)} before letting it down"
    return (replace(ask_pressure(job, wheel, Tells.NOTHING), id=_before(wheel), label=label),)


def _inflate(job: Job, wheel: WheelPlan) -> Step:
    name = job.name(wheel.wheel)
    setting, s = job.setting(wheel.wheel), job.card.situation
    aim = "what you noted before letting it down"
    asks: tuple[ask.Ask, ...] = (_as_before(job, wheel.wheel),)
    if setting is not None and s is not None:
        planned = s.thermometer_now
        aim = f"{job.units.show_pressure(setting.gauge_shows)} (at {job.units.show_temperature(planned)}, else what the table says)"
        asks = (
            ask.temperature("The tyre's own temperature", planned),
            ask_by_temperature(job, setting, planned, Tells.NOTHING),
        )
    return Step(
        wheel=wheel.wheel,
        does=Does.INFLATE,
        stage=Stage.IN_WHEEL,
        title=f"Inflate wheel {name} again and gauge it",
        what=(f"Inflate to {aim} by your gauge, whether the writing went well or not.",),
        why="A wheel that was let down and forgotten is the one way in which this sheet could put someone in danger.",
        where=f"at wheel {name}",
        expect=f"{aim}, within {job.units.show_pressure(job.tolerance)}",
        evidence=(Channel.GAUGE,),
        minutes=acts.INFLATE,
        if_fails="A bead that has come off its seat, or a tyre that does not hold: the wheel goes to a tyre shop, not on the car.",
        basis=COMMON_PRACTICE,
        cautions=(cautions.INFLATE,),
        waits_for=(step_id(Does.LET_DOWN, wheel.wheel),),
        lock=True,
        asks=asks,
    )


def _before(wheel: str) -> str:
    return slug("before", wheel)


def _as_before(job: Job, wheel: str) -> ask.Ask:
    """What the gauge reads, compared with what it read before the wheel was let down."""
    plain = ask_pressure(job, wheel, Tells.NOTHING)
    return replace(plain, beside=f"{step_id(Does.LET_DOWN, wheel)}/{_before(wheel)}", within=job.tolerance)


def write_out_list(job: Job) -> tuple[str, ...]:
    """Before sensors change in a garage file: what the car's list holds, written out, for 'holds' by set follows the wheels."""
    if job.in_book or not any(held.set is not None and held.as_of is None for held in job.car.holds or ()):
        return ()
    groups = []
    for group in Roll(job.garage, job.plan.day).held(job.car):
        rows = ", ".join(f'{h.corner.key} = "0x{h.id.hex}"' for h in group if h.corner)
        groups.append(f"{{ corners = {{ {rows} }} }}")
    return (
        f"First write out what {job.car.name} knows now, for its list does not change with the file: holds = [{', '.join(groups)}]",
    )


def written_wrongly(job: Job) -> Iterator[Step]:
    """What to do when a sensor holds another ID than planned."""
    if not any(w.writes for w in job.wheels):
        return
    yield Step(
        does=Does.WRITTEN_WRONGLY,
        stage=Stage.WRONG,
        title="Find out what each sensor holds now",
        what=(
            "Stop writing. Move every wheel and loose sensor a metre apart and trigger each one alone; note what it sends.",
            "Another sensor may have taken the write: look for one ID in two sensors.",
            *write_out_list(job),
            "Note what each sends, and plan again: the plan says which to write anew.",
            "A write-once sensor that took a wrong ID is used up: scrap it, note it as gone, take another.",
        ),
        why="Two sensors with one ID, or one that the car does not know, are easy to put right now and hard to find later.",
        where="at the bench",
        expect="each sensor sends the ID that the new plan gives it",
        evidence=(Channel.TRIGGER,),
        minutes=acts.PUT_WRITING_RIGHT,
        if_fails="A sensor that can't be made to send its planned ID is not fitted.",
        basis=COMMON_PRACTICE,
        cautions=(cautions.WRITE, cautions.SENSOR_BATTERY),
        optional=True,
        asks=tuple(ask_id(job, w.wheel, None, Tells.READ_BACK, required=False) for w in job.wheels),
    )
