"""A new tyre or valve for one wheel that is on the car, by a shop; its sensor goes back in."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from wheelside.garage import acts
from wheelside.sheet import ask, cautions
from wheelside.sheet.after import record, retorque
from wheelside.sheet.ask import Tells, When
from wheelside.sheet.context import Job, ask_id
from wheelside.sheet.option import Bubbles, Renewed
from wheelside.sheet.step import Channel, Does, OnCard, Stage, Step, step_id
from wheelside.sheet.swap import pressures


def change_tyre(job: Job) -> Iterator[Step]:
    """The visit to the shop: what it is told, and what is looked at before one drives off."""
    wheel, figure = job.about, job.torque_figure
    name, corner = job.name(wheel), job.corner_of(wheel).value
    one = next((w.id for w in job.wheels if w.wheel == wheel), None)
    inside = (
        "The sensor stays: bead breaker away from the valve. New seal, washer, nut and cap; nickel-plated core.",
        "Valve nut to the torque of the sensor's own sheet.",
    )
    yield Step(
        does=Does.CHANGE_TYRE,
        card=OnCard.NOTE,
        stage=Stage.SHOP,
        title=f"New tyre or valve for {name}, {corner}",
        what=(
            f"{name}, {corner}: new tyre, or new valve, as I say.",
            *(inside if job.direct else ()),
            f"No sealant. Balance. Soap test at valve and both beads. Back {corner}, by torque wrench to {figure}.",
        ),
        where="at the tyre shop",
        expect="no bubbles; it answers with its own ID" if job.direct else "no bubbles",
        evidence=(Channel.TRIGGER, Channel.TYPED) if job.direct else (Channel.TYPED,),
        minutes=acts.CHANGE_TYRE,
        cautions=cautions.of_act(Does.CHANGE_TYRE),
        asks=(
            ask.pick("changed", "What was changed", Renewed, "", Tells.CHANGED),
            *((replace(ask_id(job, wheel, one, Tells.AWAKE), tail=job.tail(one)),) if job.direct else ()),
            ask.pick("bubbles", "Soap at valve and beads", Bubbles, Bubbles.NONE),
            replace(ask.done(f"Back {corner}; torqued by wrench to {figure}", Tells.TORQUE), id="torqued"),
            ask.odometer(),
        ),
    )


def its_pressure(job: Job) -> Iterator[Step]:
    """The pressure of that wheel; of all, where the car keeps what it finds in its tyres."""
    yield from (step for step in pressures(job) if job.learns_gauged or step.wheel == job.about)


def note_tyre() -> Iterator[Step]:
    """A new tyre is noted: what may be driven on it, and at which pressure, hangs on it."""
    yield Step(
        does=Does.NOTE_TYRE,
        card=OnCard.AGAIN,
        stage=Stage.AFTER,
        title="Note the new tyre",
        what=(
            "Its size, load index, speed symbol and date code, as its side says: under Facts, or in the file's [[tyre]].",
        ),
        where="at the wheel",
        expect="the next pressures are for this tyre",
        evidence=(Channel.TYPED,),
        minutes=acts.NOTE_TYRE,
        waits_for=(step_id(Does.CHANGE_TYRE),),
        calls=(When(f"{step_id(Does.CHANGE_TYRE)}/changed", (Renewed.TYRE, Renewed.BOTH), way=True),),
        asks=(ask.done("The new tyre is noted"),),
    )


def again(job: Job) -> Iterator[Step]:
    """The fasteners once more, and the record."""
    yield retorque(job)
    yield from note_tyre()
    yield from record(job)
