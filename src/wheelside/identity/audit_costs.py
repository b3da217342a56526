"""The cost of a plan worked out anew from its wheels, teachings and places."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

from wheelside.garage.ids import proven_different
from wheelside.garage.joined import parts_on
from wheelside.garage.model import Car, Garage
from wheelside.garage.present import line_now
from wheelside.garage.rates import PLAN_MONEY
from wheelside.garage.words import Teaching
from wheelside.identity.breach import Breach
from wheelside.identity.choice import GOT, Action
from wheelside.identity.costs import (
    DEFAULT_MINUTES,
    DEFAULT_ODDS,
    MILLION,
    TEACH_MINUTES,
)
from wheelside.identity.plan import IdentityPlan, WheelPlan
from wheelside.identity.roll import carried_by
from wheelside.sensor import life as life_law
from wheelside.units.quantity import DAYS_PER_YEAR


def cost_breaches(garage: Garage, plan: IdentityPlan) -> Iterator[Breach]:
    """'price' where what is sure does not add up, 'weight' where the risks do not, 'bound' where more is claimed than can be."""
    bill = _Bill(garage, plan)
    seconds, hundredths = bill.sure()
    if (plan.total.seconds, plan.total.hundredths) != (seconds, hundredths):
        yield Breach("price", "together", f"it is {seconds} s and {hundredths} hundredths")
    listed = [c.price for c in plan.costs]
    if (sum(p.seconds for p in listed), sum(p.hundredths for p in listed)) != (seconds, hundredths):
        yield Breach("price", "lines", "the lines do not add up to what it is together")
    weight = seconds * bill.hour + hundredths * 3600 + sum(bill.risks())
    if plan.weight != weight:
        yield Breach("weight", "together", f"with its risks it weighs {weight}")
    if plan.bound > plan.weight:
        yield Breach("bound", "together", "the plan is below what is claimed to be the least")


@dataclass(frozen=True, slots=True)
class _Bill:
    garage: Garage
    plan: IdentityPlan

    def _money(self, name: str) -> int:
        given = getattr(self.garage.costs, name)
        return given.hundredths if given else 100 * PLAN_MONEY[name]

    def _time(self, name: str) -> int:
        given = getattr(self.garage.costs, name)
        return int(given.seconds) if given else 60 * DEFAULT_MINUTES[name]

    def _odds(self, name: str) -> float:
        given = getattr(self.garage.odds, name)
        return DEFAULT_ODDS[name] if given is None else given.fraction

    @property
    def hour(self) -> int:
        return self._money("hour")

    @property
    def _refit(self) -> int:
        return sum(self._money(name) for name in ("sensor", "kit", "fitting"))

    def sure(self) -> tuple[int, int]:
        """Seconds and hundredths that are sure to be spent."""
        wheels = self.plan.wheels
        refits = [w for w in wheels if w.action is Action.REFIT]
        seconds = sum(
            self._time("write" if w.action is Action.REFIT else "write_mounted") for w in wheels if w.writer is not None
        )
        seconds += self._time("shop_trip") * len({w.set for w in refits}) + self._moves() * self._time("move")
        got = self._money("writer") if any(w.writer == GOT for w in wheels) else 0
        hundredths = got + len(refits) * self._refit - sum(self._saved(w) for w in refits if w.in_hand)
        for t in self.plan.teachings:
            if t.needed:
                time, money = self._teaching(self.garage.cars[t.car])
                seconds, hundredths = seconds + time, hundredths + money
        return seconds, hundredths

    def _moves(self) -> int:
        """How many spells are somewhere else than their stay names first."""
        asked = line_now(self.garage, self.plan.day, self.plan.end)
        return sum(want.at != has.at for want, has in zip(asked, self.plan.line, strict=False))

    def _saved(self, w: WheelPlan) -> int:
        """By how much a sensor in hand is cheaper than a bought one."""
        car = next(c for t in self.plan.line if t.set == w.set for c in self.garage.car if c.id == t.on and c.planned)
        row = next((b for b in self.garage.blank if b.family == car.family), None)
        return self._money("sensor") - (row.each.hundredths if row and row.each else 0)

    def _teaching(self, car: Car) -> tuple[int, int]:
        given = self.garage.costs.teach
        seconds = int(given.seconds) if given else 60 * TEACH_MINUTES[car.taught_by or Teaching.STEPS]
        return seconds, self._money("teach_paid") if car.taught_by is Teaching.LOCKED else 0

    # --- risks, in the unit of the weight

    def _expected(self, odds: float, seconds: int, hundredths: int = 0) -> int:
        weight = seconds * self.hour + hundredths * 3600
        return (round(odds * MILLION) * weight + MILLION // 2) // MILLION

    def risks(self) -> Iterator[int]:
        fault = self._time("fault")
        for w in self.plan.wheels:
            if w.writer is not None:
                yield self._expected(self._odds("write_wrong"), fault + self._time("write_mounted"))
            yield self._failing(w)
        for t in self.plan.teachings:
            if t.needed:
                yield self._expected(self._odds("teach_fails"), *self._teaching(self.garage.cars[t.car]))
        for sets in self._paired_sets():
            years = min(self._years(name) for name in sets)
            yield self._expected(1.0 - (1.0 - self._odds("pair_meets")) ** years, fault)

    def _failing(self, w: WheelPlan) -> int:
        cars = {s.on for s in self.plan.line if s.set == w.set and s.on and s.until > self.plan.day}
        if not any(c.id in cars and c.planned and w.corner in c.monitored_corners for c in self.garage.car):
            return 0
        sensor = parts_on(self.garage, w.wheel, self.plan.day).sensor
        age = 0.0
        if w.action is Action.STAYS:
            if sensor is None or sensor.first_used is None:
                return 0
            age = max(0, (self.plan.day - sensor.first_used).days) / DAYS_PER_YEAR
        life = self.garage.odds.sensor_life.years if self.garage.odds.sensor_life else life_law.LIFE_YEARS
        then = age + self._years(w.set)
        chance = 1.0 - math.exp((age / life) ** life_law.SHAPE - (then / life) ** life_law.SHAPE)
        return self._expected(chance, self._time("fault") + self._time("shop_trip"), self._refit)

    def _years(self, set_id: str) -> float:
        """How long a set is still there within the horizon, in years."""
        horizon, leaves = float(self.garage.plan.horizon_years), self.garage.sets[set_id].leaves
        return horizon if leaves is None else min(horizon, (leaves - self.plan.day).days / DAYS_PER_YEAR)

    def _paired_sets(self) -> set[tuple[str, str]]:
        """Every two sets, or one, in which two wheels are sure to carry one ID."""
        out = set(self._with_theirs())
        carried = Counter(w.id.key for w in self.plan.wheels if w.id)
        alike = [w for w in self.plan.wheels if w.id and carried[w.id.key] > 1]
        for a, b in combinations(alike, 2):
            same = a.id is not None and b.id is not None and a.id.key == b.id.key
            if same and not proven_different(self.garage, self._voice(a), self._voice(b)):
                one, other = sorted((a.set, b.set))
                out.add((one, other))
        return out

    def _with_theirs(self) -> Iterator[tuple[str, str]]:
        """The same of a set of the owner's and one that is on cars of somebody else's alone."""
        on = {s.set: set[str]() for s in self.plan.line}
        for s in self.plan.line:
            if s.on and s.until > self.plan.day:
                on[s.set].add(s.on)
        theirs = [name for name, cars in on.items() if cars and all(self.garage.cars[c].somebody_elses for c in cars)]
        for name in theirs:
            for _, wheel in self.garage.sets[name].wheels:
                sensor = parts_on(self.garage, wheel, self.plan.day).sensor
                ids = carried_by(self.garage, sensor)
                for w in self.plan.wheels:
                    same = sensor is not None and w.id is not None and len(ids) == 1 and ids[0].key == w.id.key
                    if same and sensor and not proven_different(self.garage, sensor.family, self._voice(w)):
                        one, other = sorted((w.set, name))
                        yield one, other

    def _voice(self, w: WheelPlan) -> str:
        sensor = parts_on(self.garage, w.wheel, self.plan.day).sensor
        if w.action is Action.STAYS:
            return sensor.family or "" if sensor else ""
        return w.id.family if w.id else ""
