"""The cost of a plan worked out anew from its wheels, teachings and places."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from itertools import combinations

from wheelside.garage.ids import proven_different
from wheelside.garage.joined import parts_on
from wheelside.garage.model import Car, WheelSet
from wheelside.garage.present import line_now
from wheelside.garage.rates import PLAN_MONEY
from wheelside.garage.words import ROAD_CORNERS, Corner, Teaching
from wheelside.identity.audit_base import Audited
from wheelside.identity.audit_blanks import most_saved
from wheelside.identity.breach import Breach
from wheelside.identity.choice import GOT, Action, IdChoice
from wheelside.identity.costs import (
    DEFAULT_MINUTES,
    DEFAULT_ODDS,
    MILLION,
    TEACH_MINUTES,
)
from wheelside.identity.plan import WheelPlan
from wheelside.identity.roll import Key, carried_by
from wheelside.sensor import life as life_law
from wheelside.units.quantity import DAYS_PER_YEAR


def cost_breaches(audited: Audited) -> Iterator[Breach]:
    """'price' where what is sure does not add up, 'weight' where the risks do not, 'bound' where more is claimed than can be."""
    plan, bill = audited.plan, _Bill(audited.garage, audited.plan, audited.roll)
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


class _Bill(Audited):
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
        seconds += self._time("shop_trip") * self._visits(refits) + self._moves() * self._time("move")
        seconds += self._time("show_corner") * sum(self._corners(s) for s in self.garage.set)
        got = self._money("writer") if any(w.writer == GOT for w in wheels) else 0
        hundredths = got + len(refits) * self._refit - self._saved(refits)
        for t in self.plan.teachings:
            if t.needed:
                time, money = self._teaching(self.garage.cars[t.car])
                seconds, hundredths = seconds + time, hundredths + money
        return seconds, hundredths

    def _moves(self) -> int:
        """How many spells are somewhere else than their stay names first."""
        asked = line_now(self.garage, self.plan.day, self.plan.end)
        return sum(want.at != has.at for want, has in zip(asked, self.plan.line, strict=False))

    def _visits(self, refits: list[WheelPlan]) -> int:
        """The fewest sets with each of which the shop is visited, so that every wheel whose sensor is changed is in one of them."""
        ways = [{name for name, _ in self.places(w.wheel)} for w in refits]
        sets = sorted({name for way in ways for name in way})
        only = {name for way in ways if len(way) == 1 for name in way}
        open_ones = [way for way in ways if not way & only]
        more = sorted(set(sets) - only) if open_ones else []
        return next(
            len(only) + n
            for n in range(len(more) + 1)
            for some in combinations(more, n)
            if all(way & set(some) for way in open_ones)
        )

    def _corners(self, wheel_set: WheelSet) -> int:
        """How many corners of a set are shown one by one: of the car that shows the most, after a clone or an old ID carried on."""
        if not any(w.choice is IdChoice.CLONE and w.is_in(wheel_set.id) for w in self.plan.wheels):
            return 0
        sizes: dict[str, set[str]] = {"front": set(), "rear": set()}
        for corner, wheel in wheel_set.wheels:
            tyre = parts_on(self.garage, wheel, self.plan.day).tyre
            if corner in ROAD_CORNERS and tyre is not None and tyre.designation is not None:
                sizes["front" if corner in (Corner.FRONT_LEFT, Corner.FRONT_RIGHT) else "rear"].add(
                    tyre.designation.size
                )
        if all(sizes.values()) and sizes["front"] != sizes["rear"]:
            return 0
        ours = [car for car in self.cars_of[wheel_set.id] if not car.somebody_elses and car.dash_shows]
        planned = {w.wheel for w in self.plan.wheels}
        road = [c for c, w in wheel_set.wheels if c in ROAD_CORNERS and w in planned]
        return max((sum(c in car.monitored_corners for c in road) for car in ours), default=0)

    def _saved(self, refits: list[WheelPlan]) -> int:
        """By how much the sensors in hand that are used are cheaper than bought ones, the most that can be saved with so many."""
        saved = 0
        for silent in (False, True):
            wants = Counter(self.family(w) for w in refits if w.in_hand and w.silent is silent)
            saved += most_saved(self.garage, wants, self._money("sensor"), silent=silent)
        return saved

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
        for years in self._paired_sets().values():
            yield self._expected(1.0 - (1.0 - self._odds("pair_meets")) ** years, fault)

    def _failing(self, w: WheelPlan) -> int:
        if not self.watched_by(w.wheel):
            return 0
        sensor = parts_on(self.garage, w.wheel, self.plan.day).sensor
        age = 0.0
        if w.action is Action.STAYS:
            if sensor is None or sensor.first_used is None:
                return 0
            age = max(0, (self.plan.day - sensor.first_used).days) / DAYS_PER_YEAR
        life = self.garage.odds.sensor_life.years if self.garage.odds.sensor_life else life_law.LIFE_YEARS
        then = age + self._years(self.gone(w.wheel))
        chance = 1.0 - math.exp((age / life) ** life_law.SHAPE - (then / life) ** life_law.SHAPE)
        return self._expected(chance, self._time("fault") + self._time("shop_trip"), self._refit)

    def _years(self, until: date) -> float:
        """How many years of the horizon there are until a day."""
        horizon = float(self.garage.plan.horizon_years)
        return horizon if until == date.max else min(horizon, (until - self.plan.day).days / DAYS_PER_YEAR)

    def _paired_sets(self) -> dict[tuple[str, str], float]:
        """Every two sets, or one, in which two wheels are sure to carry one ID, with the years from today to the last day of such a pair."""
        out: dict[tuple[str, str], float] = {}
        carried: dict[Key, list[_Spoken]] = defaultdict(list)
        for one in self._spoken():
            carried[one.key].append(one)
        for alike in carried.values():
            for a, b in combinations(alike, 2):
                together = a.since < b.until and b.since < a.until and not (a.theirs and b.theirs)
                if a.wheel != b.wheel and together and not proven_different(self.garage, a.family, b.family):
                    first, second = sorted((a.set, b.set))
                    years = self._years(min(a.until, b.until))
                    out[first, second] = max(out.get((first, second), 0.0), years)
        return out

    def _spoken(self) -> Iterator[_Spoken]:
        """What is surely carried by which wheel from when until when: what a plan decides, and wheels of somebody else's."""
        for w in self.plan.wheels:
            gone, family = self.gone(w.wheel), self.family(w)
            if w.id is not None:
                yield _Spoken(w.wheel, w.set, family, w.id.key, w.when or self.plan.day, gone)
            if w.when is not None and w.before is not None:
                yield _Spoken(w.wheel, w.set, family, w.before.key, self.plan.day, w.when)
        for wheel, sets in self.in_sets.items():
            sensor = self.sensor(wheel)
            ids = carried_by(self.garage, sensor)
            if sensor is not None and len(ids) == 1 and {s.id for s in sets} <= self.theirs:
                yield _Spoken(
                    wheel, sets[0].id, sensor.family or "", ids[0].key, self.plan.day, self.gone(wheel), theirs=True
                )


@dataclass(frozen=True, slots=True)
class _Spoken:
    """A wheel that carries an ID from a day until another."""

    wheel: str
    set: str
    family: str
    key: Key
    since: date
    until: date
    theirs: bool = False
