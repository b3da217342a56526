"""May this set go on this car: what sheet and air card say of it, by the rules of the fit and no others.

A line that does not fit is a must not, but for advice to whoever buys (`Rule.advice`). Lines on what is not known are left to the fit's own
report; said here is what the known facts speak against.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from enum import StrEnum

from wheelside.corner import Corner
from wheelside.finding import Finding, Way, WayKind, Weight
from wheelside.fit.bearing import contradicts, perhaps_for_winter, slow_for_winter
from wheelside.fit.match import side_by_side
from wheelside.fit.rims import a_shade_tight
from wheelside.fit.rule import Rule, SetRule, View
from wheelside.fit.rules import RULES
from wheelside.fit.verdict import MEASURE, NOT, way_of
from wheelside.fit.view import views
from wheelside.garage.model import Car, Garage, WheelSet
from wheelside.garage.present import present
from wheelside.said import Said, say


class Unsettled(StrEnum):
    """What is to be found out before a sheet is made: the codes of these findings."""

    CONTRADICTION = "capacity-contradicts"
    SEASON = "speed-season"


_UNSETTLED = frozenset(one.value for one in Unsettled)
_ASKS = (
    ("centre-bore", a_shade_tight, Weight.ASK, "centre-bore"),
    ("speed-symbol", slow_for_winter, Weight.WARNING, "speed-symbol"),
    ("speed-symbol", perhaps_for_winter, Weight.ASK, Unsettled.SEASON),
    ("capacity", contradicts, Weight.ASK, Unsettled.CONTRADICTION),
)
"""Where a line asks though the facts for it are known: the rule, where it is so, how serious that is, and its code."""


def to_be_settled(finding: Finding) -> bool:
    """Whether no sheet is made until a finding is settled: what must not be done, and facts that can't all be so."""
    return finding.weight is Weight.FORBIDDEN or finding.code in _UNSETTLED


def at_wheel(corner: Corner, name: str) -> Said:
    """How findings name a wheel of a set: by its corner and its name."""
    return say("{corner}, wheel {wheel}", corner=corner.value, wheel=name)


def may_go(garage: Garage, car: Car, wheel_set: WheelSet, day: date) -> tuple[Finding, ...]:
    """What speaks against a set on a car as the facts stand; nothing where nothing does."""
    on = _present(garage, car, day)
    looked_at = views(garage, car, wheel_set, on, day, side_by_side(garage, car, wheel_set, on, day))
    return tuple(finding for rule in RULES for finding in _said(rule, looked_at))


def _present(garage: Garage, car: Car, day: date) -> WheelSet | None:
    """The set that is on a car, where that matters: beside it room was measured."""
    if car.room_inside is None and car.room_outside is None:
        return None
    return next((garage.sets[one] for one, its in present(garage, day).car_of.items() if its == car.id), None)


def _said(rule: Rule | SetRule, looked_at: tuple[View, ...]) -> Iterator[Finding]:
    if isinstance(rule, SetRule):
        for view in looked_at[:1]:
            if view.grade(rule) == NOT:
                yield _finding(rule, view, NOT, Weight.FORBIDDEN, rule.code, view.set.name)
        return
    for view in looked_at:
        grade = view.grade(rule)
        if grade == NOT and not rule.advice:
            yield _finding(rule, view, grade, Weight.FORBIDDEN, rule.code, at_wheel(view.corner, view.parts.wheel.name))
        for code, so, weight, name in _ASKS if grade == MEASURE else ():
            if code == rule.code and so(view.match):
                yield _finding(rule, view, grade, weight, str(name), at_wheel(view.corner, view.parts.wheel.name))


def _finding(rule: Rule | SetRule, view: View, grade: int, weight: Weight, code: str, about: str | Said) -> Finding:
    told = rule.tell(view, grade)
    way = way_of(grade, told.way_out) or Way(WayKind.LEAVE, say("do not fit it"))
    return Finding(weight, code, about, told.text, told.basis, way)
