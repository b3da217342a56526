"""Swapping the wheels, and setting their pressures."""

from __future__ import annotations

from collections.abc import Iterator

from wheelside.finding import COMMON_PRACTICE, Basis, Ground
from wheelside.garage.words import ROAD_CORNERS, Corner
from wheelside.sheet import cautions
from wheelside.sheet.context import Job, slug
from wheelside.sheet.step import Channel, Stage, Step


def swap(job: Job) -> Iterator[Step]:
    """Label, lift, swap, fasten; nothing where the set is on the car already."""
    if job.going is None and job.coming_is_on:
        return
    wheels = [(corner, wheel) for corner, wheel in job.coming.wheels if corner in ROAD_CORNERS]
    yield Step(
        id="label",
        stage=Stage.SWAP,
        title="Label the wheels",
        what=(
            "Tag each coming wheel with its own name, which stays with it: "
            + ", ".join(f"{job.name(w)} goes {c.value}" for c, w in wheels)
            + ".",
            *(("Tag each wheel that comes off with its name before it leaves its corner.",) if job.going else ()),
        ),
        why="A corner is where a wheel was on a day; the name is what stays.",
        where="beside the car",
        expect="four tags that match the list",
        evidence=(Channel.PHOTO,),
        minutes=4,
        if_fails="A wheel whose name is in doubt: trigger it and go by its ID.",
        basis=COMMON_PRACTICE,
    )
    for corner, wheel in wheels:
        yield _corner(job, corner, wheel)
    yield _torque(job)


def _corner(job: Job, corner: Corner, wheel: str) -> Step:
    tyre = job.parts(wheel).tyre
    turning = tyre is not None and tyre.direction is not None and tyre.direction.value in ("left", "right")
    side = (
        (f"This tyre turns one way and belongs on the {tyre.direction.value}.",)
        if turning and tyre and tyre.direction
        else ()
    )
    return Step(
        id=slug("fit", wheel),
        stage=Stage.SWAP,
        title=f"Fit wheel {job.name(wheel)} {corner.value}",
        what=(
            "Lift this corner, take the wheel off, look at tyre, brake and hub.",
            "Brush hub and rim faces bright and dry; leave any centring ring in the rim it belongs to.",
            f"Fit {job.name(wheel)}, fasten by hand, then crosswise until it sits, and lower the car.",
            *side,
        ),
        why=f"The plan has {job.name(wheel)} at {corner.value}"
        + (", and this car tells corners apart." if job.car.corner_aware else "."),
        where=f"{corner.value}, left and right as from the driver's seat",
        expect="the wheel sits flat and turns freely; every fastener went in by hand",
        evidence=(Channel.TYPED,),
        minutes=9,
        if_fails="A fastener that binds or takes too few turns is the wrong one: stop, do not force it.",
        basis=COMMON_PRACTICE,
        cautions=(cautions.LIFT, cautions.FASTEN),
    )


def _torque(job: Job) -> Step:
    torque = job.car.torque
    figure = job.units.show_torque(torque) if torque else "the handbook's figure"
    half = f"{torque.nm / 2:.0f} Nm" if torque else "half of it"
    return Step(
        id="torque",
        stage=Stage.SWAP,
        title=f"Torque to {figure}",
        what=(f"On the ground, crosswise, first to {half}, then to {figure}, every fastener of every wheel.",),
        why="Even clamping holds the wheel; the figure is the car's own, whatever the rim.",
        where="all four corners",
        expect=f"every fastener reaches {figure} while still turning a little",
        evidence=(Channel.TYPED, Channel.PHOTO),
        minutes=6,
        if_fails="One that clicks without turning was too tight before: loosen it, clean it, and do it again.",
        basis=job.car.basis("torque")
        if torque
        else Basis(Ground.UNKNOWN, "torque not in the file: take it from the handbook"),
        cautions=(cautions.FASTEN,),
        waits_for=tuple(slug("fit", w) for c, w in job.coming.wheels if c in ROAD_CORNERS),
    )


def pressures(job: Job) -> Iterator[Step]:
    """Each wheel to its setting of the air card."""
    s = job.card.situation
    if s is None or not job.card.wheels:
        yield Step(
            id="air",
            stage=Stage.AIR,
            title="Set the pressures",
            what=(
                "The air card could not be worked out; see what is to be found out. Until then set the tyres cold, outside, to the placard.",
            ),
            why="Pressure is right at one temperature only.",
            where="at each wheel, outside, parked three hours",
            expect="the placard's figure for the load",
            evidence=(Channel.GAUGE,),
            minutes=12,
            if_fails="A tyre that does not hold it has a leak.",
            basis=Basis(Ground.UNKNOWN),
            cautions=(cautions.INFLATE,),
        )
        return
    u = job.units
    for line in job.card.wheels:
        yield Step(
            id=slug("air", line.wheel),
            stage=Stage.AIR,
            title=f"Set wheel {job.name(line.wheel)} to {u.show_pressure(line.gauge_shows)} by {s.gauge_name}",
            what=(
                f"Tyres cold at about {u.show_temperature(s.now)}: set {u.show_pressure(line.gauge_shows)} on {s.gauge_name}"
                + (
                    f" (true {u.show_pressure(line.set_to)}; it reads {u.show_pressure(s.gauge_bias)} too high)."
                    if s.gauge_bias.kpa
                    else "."
                ),
                "If the tyres have been driven or stand in the sun, wait: a hot tyre is never let down to a cold figure.",
            ),
            why=f"So that it reads {u.show_pressure(line.target.pressure)} at {u.show_temperature(s.use)}, where the car is used.",
            where=f"{line.corner.value}",
            expect=f"{u.show_plus_minus(line.gauge_shows, line.spread)}",
            evidence=(Channel.GAUGE,),
            minutes=3,
            if_fails="A figure that falls while you watch is a leak: soap the valve, the beads and the tread.",
            basis=line.target.row.basis("front"),
            cautions=(cautions.INFLATE,),
        )
