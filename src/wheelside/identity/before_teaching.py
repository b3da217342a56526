"""What to find out before a car is taught, and what a list that has wheels at other corners would not warn of."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from wheelside.finding import Finding, Weight
from wheelside.garage.model import Garage
from wheelside.identity.explain import listed
from wheelside.identity.teaching import First, Reason, TeachPlan
from wheelside.identity.unwarned import staggered, unwarned


def teaching_findings(garage: Garage, teachings: Sequence[TeachPlan]) -> Iterator[Finding]:
    """One question for each teaching that hangs on something, and a warning for each list with wheels at other corners."""
    for t in teachings:
        if t.needed and t.first is not None:
            text = f"{t.why[0].upper()}{t.why[1:]}."
            yield Finding(Weight.ASK, _CODES[t.reason], garage.cars[t.car].name, text, (t.basis,), _way(garage, t))
        if t.reason is Reason.OTHER_CORNERS:
            yield _other_corners(garage, t)


_CODES = {Reason.TWO_READINGS: "two-readings", Reason.LEFT_OVER: "left-over", Reason.NOT_READ: "list-may-hold"}


def unlike_list(garage: Garage, day: date, teachings: Sequence[TeachPlan]) -> Iterator[Finding]:
    """Cars whose list surely does not hold the set that is on them: what a list was taught says nothing of what is on the car."""
    for t in teachings:
        car = garage.cars[t.car]
        if t.day == day and t.certain and car.holds:
            text = f"{garage.sets[t.set].name} is on it, and its list does not hold that set."
            way = "teach it, or correct what is on it"
            yield Finding(Weight.WARNING, "list-differs", car.name, text, (car.basis("holds"),), way)


def _way(garage: Garage, t: TeachPlan) -> str:
    names = listed([garage.wheels[w].name for w in t.wheels])
    if t.first is First.BITS:
        return "find out how many bits the family's IDs have and note 'bits' in [[family]]; teach nothing before that"
    if t.first is First.FORM:
        return "find out whether the IDs are hex or decimal, or trigger the wheels; teach nothing before that"
    sends = f": if it sends {t.likely.aloud()}, there is nothing to teach" if t.likely else ", and note what it sends"
    return f"trigger {names}{sends}; teach nothing before that"


def _other_corners(garage: Garage, t: TeachPlan) -> Finding:
    """What comes of it that the list has the wheels elsewhere, and whether they may be put there."""
    car, wheel_set, units = garage.cars[t.car], garage.sets[t.set], garage.units.choice
    places = tuple((m.wheel, m.corner, m.listed) for m in t.moved)
    late = tuple(unwarned(garage, car, wheel_set, places, t.day))
    told = listed(
        [
            f"{garage.wheels[u.wheel].name} between {units.show_pressure(u.lower)} and {units.show_pressure(u.upper)}"
            for u in late
        ]
    )
    ends = f"Taught so, it would not warn of {told}." if told else "Taught so, it would name the wrong wheel."
    way = (
        "teach the car; front and rear tyres of this set differ, so never swap its wheels front to rear"
        if staggered(garage, wheel_set, t.day)
        else "teach the car, or put each wheel at the corner where the list has it"
    )
    basis = tuple(dict.fromkeys((t.basis, *(u.basis for u in late))))
    return Finding(
        Weight.WARNING, "other-corners", wheel_set.name, f"{t.why[0].upper()}{t.why[1:]}. {ends}", basis, way
    )
