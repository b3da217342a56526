"""From which figures another plan would win: how far each rate can go before this plan is no longer the best."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from wheelside.garage.model import Garage
from wheelside.garage.order import in_order
from wheelside.garage.present import line_now
from wheelside.garage.season import horizon_end
from wheelside.identity.costs import Price, Tariff, tariff
from wheelside.identity.explain import changes
from wheelside.identity.problem import problem
from wheelside.identity.solution import Solution
from wheelside.identity.solve import PlanModel
from wheelside.said import Said

MOST_TIMES = 10.0
"""Rates are looked at from nothing to this many times what they are."""
_STEPS = 14
_PROBES = {
    "sensor_life": ((0.8, 0.6, 0.45, 0.3, 0.15), (1.25, 1.6, 2.2, 3.5, MOST_TIMES)),
    "pair_meets": ((0.5, 0.0), (2.0, 4.0, MOST_TIMES)),
}
"""Where the cost is no straight line in a rate, more figures are looked at, the nearest first; else only the farthest."""
_MONEY = {"sensor": "sensor_hundredths", "kit": "kit_hundredths", "fitting": "fitting_hundredths"}
_TIMES = ("write", "write_mounted", "shop_trip", "move", "fault")
_ODDS = ("pair_meets", "write_wrong", "teach_fails")


@dataclass(frozen=True, slots=True)
class Tipping:
    """One rate and the figure beyond which another plan is better: below it where `factor` is under 1, above it else.

    `now` and `beyond` are in the rate's own unit: hundredths of the currency, seconds, a share, or years.
    `changes`: what that other plan does otherwise.
    """

    name: str
    now: float
    beyond: float
    factor: float
    changes: tuple[Said, ...]


def tipping_points(garage: Garage, day: date) -> tuple[Tipping, ...]:
    """For each rate the nearest figures, if any up to ten times what it is, at which the plan changes; nearest first.

    Empty where no plan is possible. Each point is found by planning again at other figures, to within a thousandth
    of the rate.
    """
    garage = in_order(garage)
    end = horizon_end(garage, day)
    line = line_now(garage, day, end)
    base = tariff(garage)

    def under(rates: Tariff) -> PlanModel:
        return PlanModel(problem(garage, day, end, line, rates=rates))

    task = problem(garage, day, end, line)
    best = PlanModel(task).best() if all(task.of_member) else None
    if best is None:
        return ()
    found = [t for name in rate_names(base) for t in _Search(garage, base, best, name, under).points()]
    return tuple(sorted(found, key=lambda t: (max(t.factor, 1 / t.factor if t.factor else MOST_TIMES), t.name)))


def rate_names(base: Tariff) -> tuple[str, ...]:
    """The rates that a plan's cost hangs on."""
    paid = ("teach_paid",) if base.teach_paid else ()
    return ("hour", *_MONEY, *_TIMES, "teach", *paid, *_ODDS, "sensor_life")


def scaled(base: Tariff, name: str, factor: float) -> Tariff:
    """The tariff with one rate so many times what it is."""
    if name == "hour":
        return replace(base, hour_hundredths=round(base.hour_hundredths * factor))
    if name in _MONEY:
        changed: dict[str, Any] = {_MONEY[name]: round(getattr(base, _MONEY[name]) * factor)}
        return replace(base, **changed)
    if name in _TIMES:
        times: dict[str, Any] = {name: Price(round(getattr(base, name).seconds * factor), 0)}
        return replace(base, **times)
    if name in _ODDS:
        odds = tuple((n, min(1.0, o * factor) if n == name else o) for n, o in base.odds)
        return replace(base, odds=odds)
    if name == "teach":
        return replace(base, teach_scale=factor)
    if name == "teach_paid":
        return replace(base, teach_paid=round(base.teach_paid * factor))
    assert name == "sensor_life", name
    return replace(base, life_years=max(0.1, base.life_years * factor))


def present(base: Tariff, name: str) -> float:
    """What a rate is now, in its own unit; for teaching, times what it is."""
    if name == "hour":
        return float(base.hour_hundredths)
    if name in _MONEY:
        return float(getattr(base, _MONEY[name]))
    if name in _TIMES:
        return float(getattr(base, name).seconds)
    if name in _ODDS:
        return dict(base.odds)[name]
    return {"teach": 1.0, "teach_paid": float(base.teach_paid), "sensor_life": base.life_years}[name]


@dataclass(frozen=True, slots=True)
class _Search:
    """Looks for the nearest points of one rate, upwards and downwards."""

    garage: Garage
    base: Tariff
    best: Solution
    name: str
    under: Callable[[Tariff], PlanModel]

    def points(self) -> Iterator[Tipping]:
        if present(self.base, self.name) == 0:
            return
        for probes in _PROBES.get(self.name, ((0.0,), (MOST_TIMES,))):
            near = 1.0
            for far in probes:
                rival = self._better_at(far)
                if rival is not None:
                    yield self._nearest(near, far, rival)
                    break
                near = far

    def _better_at(self, factor: float) -> tuple[Said, ...] | None:
        """What a plan that is better than this one at a figure does otherwise; None where this one is still the best."""
        model = self.under(scaled(self.base, self.name, factor))
        here, there = model.best_as(self.best), model.best()
        if here is None or there is None:
            raise AssertionError("other figures forbid nothing")
        return changes(self.garage, model.problem, self.best, there) if there.weight < here.weight else None

    def _nearest(self, near: float, far: float, rival: tuple[Said, ...]) -> Tipping:
        """The figure between two, of which the nearer leaves the plan the best, beyond which it changes; by halving."""
        for _ in range(_STEPS):
            middle = (near + far) / 2
            better = self._better_at(middle)
            if better is None:
                near = middle
            else:
                far, rival = middle, better
        now = present(self.base, self.name)
        return Tipping(self.name, now, now * far, far, rival)
