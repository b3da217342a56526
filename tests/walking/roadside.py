"""What is done about one wheel: a tyre that is flat on the road, and a tyre or a valve that a shop changes."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from reading import Moved, SaysOtherwise, figures_in
from things import SPARE, CantBeDone, Car, Wheel

from spoken import lines
from wheelside.sheet.ask import Ask
from wheelside.sheet.option import OnFlat, Renewed
from wheelside.sheet.step import Does, Step

if TYPE_CHECKING:
    from acts import Act
    from person import Person

HOLE, HURT = "a small hole", "driven flat"


def _it(me: Person, step: Step, car: Car | None) -> tuple[Car, str, Wheel]:
    """The wheel that a step is about, at the corner that it names, on the car."""
    corner = me.corner_of(step)
    wheel = me.wheels_in(step.title)[0]
    if car is None or car.hubs.get(corner) is not wheel:
        raise CantBeDone(f"{step.id}: {wheel.name} is not at {corner}: it is {wheel.spot}")
    return car, corner, wheel


def stop(me: Person, step: Step, car: Car | None, moved: Moved) -> None:
    """Looks at the tyre, and goes on by what there is, as the text has it: no sealant and no air into one that was driven flat."""
    its, _, wheel = _it(me, step, car)
    text = " ".join(lines(step))
    if "driven flat" not in text or "no sealant, no air" not in text:
        raise SaysOtherwise(f"{step.id}: it does not say which tyres take no sealant: '{text}'")
    ways = [OnFlat.HELP, *([OnFlat.SPARE] if its.hubs.get(SPARE) is not None else [])]
    if wheel.lost == HOLE:
        ways += [OnFlat.SEALANT, OnFlat.AIR]
    me.way = me.random.choice(ways)


def spare_on(me: Person, step: Step, car: Car | None, moved: Moved) -> None:
    """The flat wheel off, the spare that the text names on, tightened with the brace."""
    its, corner, wheel = _it(me, step, car)
    named = [w for w in me.wheels_in(step.title) if w is not wheel]
    spare = its.hubs.get(SPARE)
    if spare is None or named != [spare]:
        raise SaysOtherwise(
            f"{step.id}: the spare is {spare.name if spare else 'nowhere'}, and it names {[w.name for w in named]}"
        )
    if "by torque wrench as soon as" not in " ".join(lines(step)):
        raise SaysOtherwise(f"{step.id}: it leaves the fasteners at what a brace does")
    me.world.take_off(wheel, its, corner)
    me.world.take_off(spare, its, SPARE)
    me.world.set_pressure(spare, 240.0)
    me.world.fit(spare, its, corner)
    spare.ungauged, its.tight[corner] = False, True
    moved += [(wheel.id, None, "", None), (spare.id, its.id, corner, None)]


def fill(me: Person, step: Step, car: Car | None, moved: Moved) -> None:
    _, _, wheel = _it(me, step, car)
    figure = next(iter(figures_in(next(line for line in lines(step) if line.startswith("Pump to")))))
    if wheel.lost != HOLE:
        me.world.breaches.append(f"{step.id}: {wheel.name} was {wheel.lost}, and is pumped up")
    me.fill(wheel, figure)


def drive_on(me: Person, step: Step, car: Car | None, moved: Moved) -> None:
    if car is None:
        raise CantBeDone(f"{step.id}: no car")
    if not re.search(r"often \d+ km/h", " ".join(lines(step))):
        raise SaysOtherwise(f"{step.id}: it does not say how fast")
    me.world.roll(car)


def change_tyre(me: Person, step: Step, car: Car | None, moved: Moved) -> None:
    """The shop takes the wheel off, changes what it is told, and puts it back, by the note."""
    its, corner, wheel = _it(me, step, car)
    text = " ".join(lines(step))
    if f"Back {corner}" not in text:
        raise SaysOtherwise(f"{step.id}: it does not say where {wheel.name} goes back to: '{text}'")
    if wheel.sensor is not None and its.direct and "The sensor stays" not in text:
        raise SaysOtherwise(f"{step.id}: it does not say that the sensor stays")
    wheel.lost = ""
    wheel.fill(240.0)


def way(me: Person, step: Step, one: Ask, car: Car | None) -> str:
    return me.way


def changed(me: Person, step: Step, one: Ask, car: Car | None) -> str:
    return me.random.choice(tuple(Renewed))


def any_of(me: Person, step: Step, one: Ask, car: Car | None) -> str:
    return me.random.choice(one.options)


ACTS: dict[Does, Act] = {
    Does.STOP: stop, Does.SPARE_ON: spare_on, Does.FILL: fill, Does.DRIVE_ON: drive_on, Does.CHANGE_TYRE: change_tyre,
}  # fmt: skip
