"""What an owner gets from a garage, as far as questions can change it: the choices of the plan, its price, pressures, verdicts."""

from __future__ import annotations

import random
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from wheelside.fill.card import air_card
from wheelside.finding import Weight
from wheelside.fit.report import fit
from wheelside.garage.model import Garage
from wheelside.garage.offers import without_offers
from wheelside.identity.plan import IdentityPlan, Reasons, identity_plan
from wheelside.inquiry.course import offered, set_on, sets_of
from wheelside.inquiry.query import Errand

FIGURE_KPA = 1.0
"""Pressures that differ by less are the same to a gauge. Judgement."""


@dataclass(frozen=True, slots=True)
class OutcomeSeen:
    """`choices`: what is done about each wheel; `taught`: which cars learn which sets on which days; `weight`: the plan's price, time at its
    worth, in the plan's own weight; `figures`: the pressures by car, set and wheel, in kPa; `verdicts`: of the fit.
    """

    choices: tuple[tuple[object, ...], ...] = ()
    taught: tuple[tuple[object, ...], ...] = ()
    weight: int = 0
    figures: tuple[tuple[str, str, str, float], ...] = ()
    verdicts: tuple[tuple[str, str], ...] = ()


def outcome(garage: Garage, day: date, errand: Errand, bits: int = 0) -> OutcomeSeen:
    """What comes out for an errand. `bits`: a seed for fresh IDs, which are no part of it."""
    if errand is Errand.USED:
        return OutcomeSeen(verdicts=tuple(_verdicts(garage, day)))
    figures = tuple(_figures(garage, day))
    if errand is Errand.PRESSURES:
        return OutcomeSeen(figures=figures)
    plan = identity_plan(without_offers(garage), day, (), random.Random(bits).getrandbits, reasons=Reasons.NONE)  # noqa: S311  nothing is kept of these
    return OutcomeSeen(choices_of(plan), taught_by(plan), plan.weight, figures)


def choices_of(plan: IdentityPlan) -> tuple[tuple[object, ...], ...]:
    """What is done about each wheel, without the digits of fresh IDs."""
    return tuple((w.wheel, w.action.value, w.choice.value, w.writes, w.own, w.when) for w in plan.wheels)


def taught_by(plan: IdentityPlan) -> tuple[tuple[object, ...], ...]:
    """What is taught when, as far as the plan allows for it."""
    return tuple((t.car, t.set, t.day, t.first) for t in plan.teachings if t.needed)


def _figures(garage: Garage, day: date) -> Iterator[tuple[str, str, str, float]]:
    for car in garage.car:
        for one in sets_of(garage, car):
            card = air_card(garage, car, one, day)
            if not any(f.weight is Weight.FORBIDDEN for f in card.first):
                for w in card.wheels:
                    yield car.id, one.id, w.wheel, round(w.gauge_shows.kpa / FIGURE_KPA)


def _verdicts(garage: Garage, day: date) -> Iterator[tuple[str, str]]:
    one = offered(garage)
    if one is None:
        return
    for car in garage.car:
        present: Mapping[str, str] = {car.id: on.id} if (on := set_on(garage, car, day)) is not None else {}
        found = fit(garage, car, one, day, present)
        yield f"{car.id}", found.verdict.value
        yield from ((f"{car.id} {question.value}", verdict.value) for question, verdict in found.verdicts)
        yield from ((f"{car.id} {line.code} {line.corners}", line.verdict.value) for line in found.lines)
