"""What a plan costs, line by line: what is sure, and what may come at which odds."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from wheelside.finding import Basis, Ground
from wheelside.garage.model import Garage
from wheelside.identity.choice import id_label, on_its_day
from wheelside.identity.costs import NOTHING, Price, Risk
from wheelside.identity.solution import Solution, visits
from wheelside.identity.task import PlanProblem
from wheelside.identity.teaching import TeachPlan
from wheelside.said import Said, count, say

_RATES = Basis(Ground.COMPUTED, "the rates of this plan")
_RISKS = {
    "pair_meets": say("a pair meets after all, and the lamp has to be hunted"),
    "write_wrong": say("a sensor is written wrongly, found on the car"),
    "teach_fails": say("a teaching has to be done again"),
}


@dataclass(frozen=True, slots=True)
class CostLine:
    """One term of the plan's cost, by the rates of the plan."""

    what: Said
    price: Price
    basis: Basis


@dataclass(frozen=True, slots=True)
class RiskLine:
    """One risk, so many `times`, at odds in millionths each: what it would cost, and the expected cost as weight."""

    name: str
    what: Said
    times: int
    ppm: int
    price: Price
    weight: int
    basis: Basis


def cost_lines(
    garage: Garage, task: PlanProblem, best: Solution, teachings: tuple[TeachPlan, ...]
) -> tuple[CostLine, ...]:
    """Everything that is sure to be paid, in minutes and money."""
    return (*_wheels(garage, task, best), *_shared(garage, task, best), *_teachings(garage, teachings))


def _wheels(garage: Garage, task: PlanProblem, best: Solution) -> Iterator[CostLine]:
    for n, i in enumerate(best.chosen):
        c = task.candidates[i]
        if c.price != NOTHING:
            what = say(
                "wheel {wheel}: sensor {action}, ID {id}", wheel=garage.wheels[task.members[n].wheel].name,
                action=c.action, id=id_label(c.choice, own=c.own),
            )  # fmt: skip
            yield CostLine(on_its_day(what, c.when), c.price, _RATES)


def _shared(garage: Garage, task: PlanProblem, best: Solution) -> Iterator[CostLine]:
    for stock, used in zip(task.stocks, best.blanks, strict=True):
        if used and stock.saving:
            name = garage.families[stock.family].name
            text = "{n} {family} in hand, not bought again"
            what = count(used, text, text, family=name)
            yield CostLine(what, Price(0, -stock.saving * used), garage.blank[stock.row].basis("each"))
    there = set(best.chosen)
    if there & set(task.got):
        yield CostLine(say("a writer that is bought, hired or lent"), task.tariff.writer, _RATES)
    for set_id in visits(task, best.chosen):
        yield CostLine(say("tyre shop with {set}", set=garage.sets[set_id].name), task.tariff.shop_trip, _RATES)
    for proof in task.proofs:
        if there & set(proof.carried):
            what = say("show the corners of {set} one by one", set=garage.sets[proof.set].name)
            yield CostLine(what, proof.price, _RATES)
    for choice, (_, place) in zip(task.choices, best.picked, strict=True):
        if place != choice.places[0]:
            names = garage.sets[choice.set].name, garage.places[place].name
            yield CostLine(say("take {set} to {place}", set=names[0], place=names[1]), choice.price, _RATES)


def _teachings(garage: Garage, teachings: tuple[TeachPlan, ...]) -> Iterator[CostLine]:
    for t in teachings:
        if t.needed:
            car, name = garage.cars[t.car].name, garage.sets[t.set].name
            what = say("teach {car} the set {set}, {day}", car=car, set=name, day=t.day)
            if not t.certain:
                what = say("{what}, unless its list turns out to hold it", what=what)
            yield CostLine(what, t.price, _RATES)


def risk_lines(task: PlanProblem, best: Solution) -> tuple[RiskLine, ...]:
    """Everything that may come, like risks together."""
    bases = {rate.name: rate.basis for rate in task.tariff.rates}
    counted = Counter(best.risks)
    return tuple(_risk_line(task, risk, times, bases[risk.name]) for risk, times in counted.items() if risk.ppm)


def _risk_line(task: PlanProblem, risk: Risk, times: int, basis: Basis) -> RiskLine:
    weight = times * task.tariff.weigh_risk(risk)
    what = say("{what} fails, with another visit to the shop", what=risk.to) if risk.to else _RISKS[risk.name]
    return RiskLine(risk.name, what, times, risk.ppm, risk.price, weight, basis)
