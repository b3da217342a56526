"""How each car stands, in one sentence, and what is next for it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from wheelside.garage.model import Car, Garage
from wheelside.garage.present import Present
from wheelside.identity.plan import IdentityPlan
from wheelside.inquiry.course import sets_of
from wheelside.jobs.work.air import NEAR_DAYS
from wheelside.said import Said, count, listed, say


@dataclass(frozen=True, slots=True)
class CarStands:
    """One car: how it stands, what is next, and what its button begins; None where nothing is to be begun."""

    car: Car
    stands: Said
    next: Said | None
    begins: Said | None


def cars_stand(now: Present, plan: IdentityPlan) -> tuple[CarStands, ...]:
    """The owner's cars, in their order."""
    return tuple(_stands(now, plan, car) for car in now.garage.car if not car.somebody_elses)


def _stands(now: Present, plan: IdentityPlan, car: Car) -> CarStands:
    garage = now.garage
    on = garage.sets.get(now.set_on(car.id) or "")
    due = next((o for o in now.open if o.car == car.id), None)
    coming_on = (s for s in now.line if s.on == car.id and s.since > now.day and (on is None or s.set != on.id))
    ahead = min(coming_on, key=lambda s: s.since, default=None)
    is_on = say("{set} is on.", set=on.name) if on is not None else say("What is on it is not known.")
    if due is not None:
        coming, day = garage.sets[due.coming], due.due
        then = (
            say("{set} was due, {day}.", set=coming.name, day=day)
            if day
            else say("{set} is to go on.", set=coming.name)
        )
        return CarStands(
            car,
            say("{on} {then}", on=is_on, then=then),
            _work(garage, plan, car, now.day),
            say("{set} goes on", set=coming.name),
        )
    if ahead is not None:
        coming, near = garage.sets[ahead.set], (ahead.since - now.day).days <= NEAR_DAYS
        then = say("{set} goes on, {day}.", set=coming.name, day=ahead.since)
        work = _work(garage, plan, car, now.day)
        begins = say("{set} goes on", set=coming.name) if near or work is not None else None
        return CarStands(car, say("{on} {then}", on=is_on, then=then), work, begins)
    work = _work(garage, plan, car, now.day)
    calm = say("{on} No change is planned.", on=is_on) if work is None else is_on
    return CarStands(car, calm, work, say("the work on its sensors") if work is not None else None)


def _work(garage: Garage, plan: IdentityPlan, car: Car, day: date) -> Said | None:
    """What has to be done to sensors by now; else what the car is to learn next, where that is soon."""
    mine = {s.id for s in sets_of(garage, car)}
    wheels = [w for w in plan.wheels if w.has_work(day) and any(w.is_in(s) for s in mine)]
    if wheels:
        names = listed(tuple(_names(garage, [w.wheel for w in wheels])))
        return count(len(wheels), "First one sensor: {wheels}.", "First {n} sensors: {wheels}.", wheels=names)
    taught = next(
        (t for t in plan.teachings if t.car == car.id and t.certain and (t.day - day).days <= NEAR_DAYS), None
    )
    if taught is None:
        return None
    return say("Then it learns {set}: {n} minutes.", set=garage.sets[taught.set].name, n=taught.price.seconds // 60)


def _names(garage: Garage, wheels: list[str]) -> Iterator[str]:
    yield from (garage.wheels[w].name for w in wheels)
