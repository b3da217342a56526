"""Writing sensors: new ones on the bench, mounted ones in a wheel that has been let down."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from wheelside.finding import Basis, Ground
from wheelside.garage import acts
from wheelside.garage.words import Skill
from wheelside.identity.choice import FreshFrom, IdChoice
from wheelside.identity.plan import WheelPlan
from wheelside.identity.roll import Roll
from wheelside.said import Begun, Said, say
from wheelside.sheet import ask, cautions
from wheelside.sheet.ask import Tells, When, slug
from wheelside.sheet.context import Job, ask_by_temperature, ask_id, ask_pressure
from wheelside.sheet.option import Bubbles, YesNo
from wheelside.sheet.step import Channel, Does, OnCard, Stage, Step, step_id
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
    if len(job.garage.writer) <= 1:
        return f"Write {job.spoken(wheel.id)}."
    return f"With {writer}, write {job.spoken(wheel.id)}."


def _only_copies(job: Job, wheel: WheelPlan) -> bool:
    return any(w.id == wheel.writer and Skill.GIVEN not in w.can for w in job.garage.writer)


def _write(job: Job, wheel: WheelPlan, *, mounted: bool) -> Step:
    name = job.name(wheel.wheel)
    note = ("Note the ID it made up.",) if wheel.fresh_from is FreshFrom.WRITER else ()
    return Step(
        wheel=wheel.wheel,
        does=Does.WRITE,
        card=OnCard.IN_WHEEL if mounted else OnCard.WRITE,
        stage=Stage.IN_WHEEL if mounted else Stage.BENCH,
        title=f"Write the sensor {'in' if mounted else 'for'} wheel {name}",
        what=(_how(job, wheel), *note),
        why=say("{why}.", why=Begun(wheel.why)) if wheel.why else "The identity plan has it so.",
        where=("at the wheel, off the car" if mounted else "on the bench, before it is fitted") + _apart(job, wheel),
        expect="the writer reports that it has written",
        evidence=(Channel.WRITER,),
        minutes=acts.WRITE if mounted else acts.WRITE_ON_BENCH,
        basis=_PLAN,
        cautions=cautions.of_act(Does.WRITE),
        waits_for=(step_id(Does.LET_DOWN, wheel.wheel),) if mounted else (step_id(Does.LAY_OUT),),
        asks=(
            ask.pick(
                "written", "The writer says it has written", YesNo, YesNo.YES, Tells.WRITTEN, Channel.WRITER,
                wheel=wheel.wheel,
            ),
        ),
    )  # fmt: skip


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
    """It is typed or scanned whole: what a writer sent is not shown by what it sent."""
    if wheel.fresh_from is FreshFrom.WRITER:
        expect = (
            "the ID noted as what this sensor sends, and planned again with it: it must meet no other, "
            "and is not all zeros or ones"
        )
    else:
        expect = f"{job.spoken(wheel.id)}, digit by digit"
    return Step(
        wheel=wheel.wheel,
        does=Does.READ_BACK,
        card=OnCard.IN_WHEEL if mounted else OnCard.WRITE,
        stage=Stage.IN_WHEEL if mounted else Stage.BENCH,
        title=f"Read it back and label it {job.name(wheel.wheel)}",
        what=("Read it with another instrument than the writer, if you have one. Label it.",),
        where="at the wheel" if mounted else "on the bench",
        expect=expect,
        evidence=(Channel.TRIGGER, Channel.PHOTO),
        minutes=acts.READ_BACK,
        waits_for=(step_id(Does.WRITE, wheel.wheel),),
        asks=(
            replace(ask_id(job, wheel.wheel, wheel.id, Tells.READ_BACK), tail=0, bars=True),
            ask.photo("Photo of the sensor with its label"),
        ),
    )


def _note_bought(job: Job, wheel: WheelPlan) -> Step:
    name = job.name(wheel.wheel)
    return Step(
        wheel=wheel.wheel,
        does=Does.NOTE_BOUGHT,
        card=OnCard.WRITE,
        stage=Stage.BENCH,
        title=f"Note the new sensor for wheel {name}",
        what=(
            "Trigger it and note the ID it sends and its print. Label it.",
            *write_out_list(job),
            f"Note it as the sensor of {name}, and plan again.",
        ),
        why="It comes with its own ID, which must meet no other in earshot.",
        where="on the bench, before it is fitted",
        expect="an ID of the car's width that the plan finds no fault with",
        evidence=(Channel.TRIGGER, Channel.PHOTO),
        minutes=acts.NOTE_BOUGHT,
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
        old = "the old one is in it" if sensor else "no sensor is in it now"
        lines.append(f"{job.name(w.wheel)}: new sensor {job.spoken(w.id)}; {old}")
    lines.append(
        "Bead breaker away from the valve. New seal, washer, nut and cap; nickel-plated cores only. "
        "Valve nut to the torque of the sensor's own sheet."
    )
    lines.append(
        "No sealant. Balance. Soap test at valve and both beads. Core tight, cap on. Old ones back in a bag, labelled."
    )
    return tuple(lines)


def _shop(job: Job) -> Step:
    sealed = tuple(
        step_id(Does.READ_BACK, w.wheel) if w.fresh_from is not FreshFrom.BOUGHT else step_id(Does.NOTE_BOUGHT, w.wheel)
        for w in job.refits
    )
    return Step(
        does=Does.CHANGE_SENSORS,
        card=OnCard.NOTE,
        stage=Stage.SHOP,
        title="Have the sensors fitted",
        what=shop_note(job),
        where="at the tyre shop, or with your own machine if you are trained on it",
        expect="each answers the trigger with its ID; no bubbles",
        evidence=(Channel.TRIGGER, Channel.TYPED),
        minutes=acts.SHOP_VISIT,
        cautions=cautions.of_act(Does.CHANGE_SENSORS),
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
        card=OnCard.IN_WHEEL,
        stage=Stage.IN_WHEEL,
        title=f"Let wheel {name} down",
        what=(f"It lies flat, off the car. Note its pressure, then let it down below {limit}.",),
        why="Many mounted sensors take no writing while they feel a tyre's pressure.",
        where=f"at wheel {name}, off the car",
        expect=f"the gauge reads below {limit}",
        evidence=(Channel.GAUGE,),
        minutes=acts.LET_DOWN,
        cautions=cautions.of_act(Does.LET_DOWN),
        asks=(
            *_noted_first(job, wheel.wheel),
            ask_pressure(
                job, wheel.wheel, Tells.NOTHING, GaugePressure(LET_DOWN_TO.kpa / 2), PressureSpan(LET_DOWN_TO.kpa / 2)
            ),
        ),
        waits_for=(
            step_id(Does.FETCH, wheel.wheel),
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
        card=OnCard.IN_WHEEL,
        stage=Stage.IN_WHEEL,
        title=f"Inflate wheel {name} again and gauge it",
        what=(f"Inflate to {aim} by your gauge, whether the writing went well or not. Core tight, cap on.",),
        why="A wheel that was let down and forgotten is the one way in which this sheet could put someone in danger.",
        where=f"at wheel {name}",
        expect=f"{aim}, within {job.units.show_pressure(job.tolerance)}",
        evidence=(Channel.GAUGE,),
        minutes=acts.INFLATE,
        cautions=cautions.of_act(Does.INFLATE),
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
    """What to do when a sensor holds another ID than planned: called for by a writing that failed, or that reads otherwise."""
    mine = [w for w in job.wheels if w.writes]
    if not mine:
        return
    yield Step(
        does=Does.WRITTEN_WRONGLY,
        card=OnCard.WRONG,
        stage=Stage.WRONG,
        title="Find out what each sensor holds now",
        what=(
            "Every wheel and loose sensor a metre apart: trigger each alone, note what it sends.",
            "One ID in two sensors: another one took the write.",
            *write_out_list(job),
            "Plan again with what each sends: the plan says which to write again.",
            "A write-once sensor that took a wrong ID is used up: scrap it, note it as gone, take another.",
        ),
        where="at the bench",
        expect="each sensor sends the ID that the new plan gives it",
        evidence=(Channel.TRIGGER,),
        minutes=acts.PUT_WRITING_RIGHT,
        cautions=cautions.of_act(Does.WRITTEN_WRONGLY),
        calls=tuple(_wrong(w.wheel) for w in mine),
        asks=tuple(ask_id(job, w.wheel, None, Tells.READ_BACK, required=False) for w in job.wheels),
    )


def _wrong(wheel: str) -> When:
    return When(f"{step_id(Does.READ_BACK, wheel)}/{slug('id', wheel)}", otherwise=True)
