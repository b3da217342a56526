"""What a plan says of sensors that are written on a later day: which, when, and that they stay as they are until then."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from typing import Protocol

from wheelside.finding import Basis, Finding, Ground, Way, WayKind, Weight
from wheelside.garage.model import Garage
from wheelside.garage.season import Spell
from wheelside.garage.words import Corner
from wheelside.identity.naming import wheels_named
from wheelside.said import Said, count, say

_PLAN = (Basis(Ground.COMPUTED, "this plan"),)
_DAY = timedelta(days=1)


class Waiting(Protocol):
    """A wheel of a plan, and the later day on which its sensor is written, if any."""

    @property
    def wheel(self) -> str: ...

    @property
    def serves(self) -> tuple[tuple[str, Corner], ...]: ...

    @property
    def when(self) -> date | None: ...


def by_day(garage: Garage, line: tuple[Spell, ...], wheels: Sequence[Waiting]) -> dict[tuple[date, str], list[str]]:
    """The wheels that are written later, by day and by the set that has something on that day, in order of time."""
    out: dict[tuple[date, str], list[str]] = {}
    for w in wheels:
        if w.when is not None:
            sets = [name for name, _ in w.serves]
            about = next((name for name in sets if _has_something(garage, line, name, w.when)), sets[0])
            out.setdefault((w.when, about), []).append(w.wheel)
    return dict(sorted(out.items()))


def _has_something(garage: Garage, line: tuple[Spell, ...], set_id: str, day: date) -> bool:
    """Whether a set is changed on a day, or moved or sold the day after."""
    changed = any(s.set == set_id and s.on is not None and day in (s.since, s.until) for s in line)
    moved = any(s.set == set_id and s.on is None and s.since == day + _DAY for s in line)
    return changed or moved or garage.sets[set_id].sold == day + _DAY


def written_later(garage: Garage, line: tuple[Spell, ...], wheels: Sequence[Waiting]) -> Iterator[Finding]:
    """One finding for each day and set with sensors that are written then."""
    for (day, set_id), own in by_day(garage, line, wheels).items():
        one = "Write the sensor of {wheels} on {day}, {occasion}. Until then it stays as it is."
        text = count(
            len(own), one, "Write the sensors of {wheels} on {day}, {occasion}. Until then they stay as they are.",
            wheels=wheels_named(garage, own), day=day, occasion=occasion(garage, line, set_id, day),
        )  # fmt: skip
        way = Way(
            WayKind.WORK,
            say("when that day has come, and what is on the car is noted, make a sheet; the calendar has the day"),
        )
        yield Finding(Weight.WARNING, "written-later", garage.sets[set_id].name, text, _PLAN, way)


def occasion(garage: Garage, line: tuple[Spell, ...], set_id: str, day: date) -> Said:
    """What is on a day, or the day after, that a set's sensors are written for."""
    name = garage.sets[set_id].name
    if garage.sets[set_id].sold == day + _DAY:
        return say("the day before {set} is sold", set=name)
    for s in line:
        if s.set == set_id and s.on is not None and s.since == day:
            return say("when {set} goes on {car}", set=name, car=garage.cars[s.on].name)
    for s in line:
        if s.set == set_id and s.on is not None and s.until == day:
            return say("when {set} comes off {car}", set=name, car=garage.cars[s.on].name)
    return say("the day before {set} is moved", set=name)
