"""What to find out before a car is taught, and what a list that has wheels at other corners would not warn of."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from wheelside.finding import Finding, Way, WayKind, Weight, note
from wheelside.garage.joined import parts_on
from wheelside.garage.model import Garage
from wheelside.identity.naming import wheels_named
from wheelside.identity.teaching import First, TeachPlan, WhyTaught
from wheelside.identity.unwarned import staggered, unwarned
from wheelside.said import Begun, Key, Table, listed, say


def teaching_findings(garage: Garage, teachings: Sequence[TeachPlan]) -> Iterator[Finding]:
    """One question for each teaching that hangs on something, and a warning for each list with wheels at other corners."""
    for t in teachings:
        if t.needed and t.first is not None:
            text = say("{why}.", why=Begun(t.why))
            yield Finding(Weight.ASK, _CODES[t.reason], garage.cars[t.car].name, text, (t.basis,), _way(garage, t))
        if t.reason is WhyTaught.OTHER_CORNERS:
            yield _other_corners(garage, t)


_CODES = {WhyTaught.TWO_READINGS: "two-readings", WhyTaught.LEFT_OVER: "left-over", WhyTaught.NOT_READ: "list-may-hold"}


def unlike_list(garage: Garage, day: date, teachings: Sequence[TeachPlan]) -> Iterator[Finding]:
    """Cars whose list surely does not hold the set that is on them: what a list was taught says nothing of what is on the car."""
    for t in teachings:
        car = garage.cars[t.car]
        if t.day == day and t.certain and car.holds:
            text = say("{set} is on it, and its list does not hold that set.", set=garage.sets[t.set].name)
            way = Way(WayKind.WORK, say("teach it, or correct what is on it"))
            yield Finding(Weight.WARNING, "list-differs", car.name, text, (car.basis("holds"),), way)


def _way(garage: Garage, t: TeachPlan) -> Way:
    names = wheels_named(garage, t.wheels)
    if t.first is First.BITS:
        return note(
            say(
                "find out how many bits the family's IDs have and note it: {place}; teach nothing before that",
                place=_width_of(garage, t),
            )
        )
    if t.first is First.FORM:
        form = "find out whether the IDs are hex or decimal, or trigger the wheels; teach nothing before that"
        return Way(WayKind.FIND_OUT, say(form))
    if t.likely:
        text = "trigger {wheels}: if it sends {id}, there is nothing to teach; teach nothing before that"
        return Way(WayKind.FIND_OUT, say(text, wheels=names, id=t.likely.aloud()))
    return Way(
        WayKind.FIND_OUT,
        say("trigger {wheels}, and note what it sends; teach nothing before that", wheels=names),
    )


def _width_of(garage: Garage, t: TeachPlan) -> Key | Table:
    """Where the width of the IDs is noted: in the family of the first of the wheels, or of the car."""
    sensor = parts_on(garage, t.wheels[0], t.day).sensor if t.wheels else None
    family = (sensor.family if sensor else None) or garage.cars[t.car].family
    return Key("family", "bits", family) if family else Table("family")


def _other_corners(garage: Garage, t: TeachPlan) -> Finding:
    """What comes of it that the list has the wheels elsewhere, and whether they may be put there."""
    car, wheel_set = garage.cars[t.car], garage.sets[t.set]
    places = tuple((m.wheel, m.corner, m.listed) for m in t.moved)
    late = tuple(unwarned(garage, car, wheel_set, places, t.day))
    told = [
        say("{wheel} between {lower} and {upper}", wheel=garage.wheels[u.wheel].name, lower=u.lower, upper=u.upper)
        for u in late
    ]
    text = say("{why}. Taught so, it would name the wrong wheel.", why=Begun(t.why))
    if told:
        text = say("{why}. Taught so, it would not warn of {wheels}.", why=Begun(t.why), wheels=listed(told))
    way = say("teach the car, or put each wheel at the corner where the list has it")
    if staggered(garage, wheel_set, t.day):
        way = say("teach the car; front and rear tyres of this set differ, so never swap its wheels front to rear")
    basis = tuple(dict.fromkeys((t.basis, *(u.basis for u in late))))
    return Finding(Weight.WARNING, "other-corners", wheel_set.name, text, basis, Way(WayKind.WORK, way))
