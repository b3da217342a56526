"""What every part of an audit asks of a garage and a plan: which cars watch a wheel, whose sets they are, and what has left by when."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from wheelside.garage.joined import parts_on
from wheelside.garage.model import Car, Garage, Sensor, WheelSet
from wheelside.garage.season import Spell
from wheelside.garage.words import Corner
from wheelside.identity.choice import Action
from wheelside.identity.plan import IdentityPlan, WheelPlan
from wheelside.identity.roll import Roll

Places = tuple[tuple[str, Corner], ...]
"""The sets of a wheel by id, with its corner in each."""


@dataclass(frozen=True)
class Audited:
    """A plan beside its garage."""

    garage: Garage
    plan: IdentityPlan
    roll: Roll

    @cached_property
    def direct(self) -> tuple[Car, ...]:
        return tuple(car for car in self.garage.car if car.direct)

    @cached_property
    def spells_of(self) -> dict[str, list[Spell]]:
        out: dict[str, list[Spell]] = defaultdict(list)
        for spell in self.plan.line:
            out[spell.set].append(spell)
        return out

    @cached_property
    def cars_of(self) -> dict[str, tuple[Car, ...]]:
        out: dict[str, set[str]] = defaultdict(set)
        for spell in self.plan.line:
            if spell.on and spell.until > self.plan.day:
                out[spell.set].add(spell.on)
        return {
            s.id: tuple(self.garage.cars[c] for c in sorted(out[s.id]) if self.garage.cars[c].direct)
            for s in self.garage.set
        }

    @cached_property
    def theirs(self) -> frozenset[str]:
        """The sets that are on cars of somebody else's alone."""
        found = set()
        for wheel_set in self.garage.set:
            on = {s.on for s in self.plan.line if s.set == wheel_set.id and s.on and s.until > self.plan.day}
            if on and all(self.garage.cars[car].somebody_elses for car in on):
                found.add(wheel_set.id)
        return frozenset(found)

    def left(self, set_id: str, day: date) -> bool:
        leaves = self.garage.sets[set_id].leaves if set_id in self.garage.sets else None
        return leaves is not None and leaves <= day

    @cached_property
    def in_sets(self) -> dict[str, tuple[WheelSet, ...]]:
        """The sets that each wheel is in, by id, those that have left included."""
        out: dict[str, list[WheelSet]] = defaultdict(list)
        for wheel_set in sorted(self.garage.set, key=lambda s: s.id):
            for _, wheel in wheel_set.wheels:
                out[wheel].append(wheel_set)
        return {wheel: tuple(sets) for wheel, sets in out.items()}

    def last_of(self, wheel: str) -> WheelSet | None:
        """The set with which a wheel leaves, the last of its sets; None where one of them stays."""
        sets = self.in_sets.get(wheel, ())
        leaving = sorted((s.leaves, s.id) for s in sets if s.leaves is not None)
        return self.garage.sets[leaving[-1][1]] if sets and len(leaving) == len(sets) else None

    def gone(self, wheel: str) -> date:
        """The day on which a wheel leaves; the last of all days where it stays."""
        last = self.last_of(wheel)
        return last.leaves if last is not None and last.leaves is not None else date.max

    def places(self, wheel: str) -> Places:
        """The sets of a wheel that are there today and the owner's."""
        there = [
            s for s in self.in_sets.get(wheel, ()) if not self.left(s.id, self.plan.day) and s.id not in self.theirs
        ]
        return tuple((s.id, corner) for s in there for corner, one in s.wheels if one == wheel)

    def watched_by(self, wheel: str) -> tuple[Car, ...]:
        """The owner's cars with wheel sensors that watch a wheel in any of its sets."""
        return self._watching.get(wheel, ())

    @cached_property
    def _watching(self) -> dict[str, tuple[Car, ...]]:
        out = {}
        for wheel in self.in_sets:
            on = {
                car.id: car
                for set_id, corner in self.places(wheel)
                for car in self.cars_of[set_id]
                if not car.somebody_elses and corner in car.monitored_corners
            }
            out[wheel] = tuple(car for _, car in sorted(on.items()))
        return out

    def sensor(self, wheel: str) -> Sensor | None:
        return parts_on(self.garage, wheel, self.plan.day).sensor

    def family(self, w: WheelPlan) -> str:
        """The family in whose frames the wheel speaks under the plan."""
        cars, sensor = self.watched_by(w.wheel), self.sensor(w.wheel)
        if w.action is Action.REFIT:
            return cars[0].family or "" if cars else ""
        return sensor.family or "" if sensor else ""
