"""Why the choices that were not taken were not: the rule that forbids each, or its exact extra cost."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass

from wheelside.finding import Basis, Finding, Ground, Weight
from wheelside.garage.model import Garage
from wheelside.garage.words import TakenOut
from wheelside.identity.choice import Action, Candidate, IdChoice, Member
from wheelside.identity.costs import Price
from wheelside.identity.problem import Clash, Problem
from wheelside.identity.solve import PlanModel, Solution
from wheelside.sensor.ident import SensorId
from wheelside.units import UnitChoice

_RULES = {
    "heard-twice": "two sensors within earshot of a car would send one ID",
    "one-car": "an ID would be on two cars at a time",
}
_INVARIANT = Basis(Ground.COMPUTED, "season line, paths and IDs of the garage file")


@dataclass(frozen=True, slots=True)
class NotTaken:
    """A choice not taken: the `rule` that forbids it, or what the best plan with it would cost more.

    `extra` and `extra_weight` are None where a rule forbids it; a negative part of `extra` is what
    that plan would save of the one at the price of the other.
    """

    action: Action
    choice: IdChoice
    rule: str
    text: str
    basis: Basis
    way_out: str
    extra: Price | None
    extra_weight: int | None


def not_taken(
    garage: Garage, model: PlanModel, best: Solution, member: Member, taken: Candidate
) -> tuple[NotTaken, ...]:
    """Every other choice for one wheel, sensor and ID, each answered by a rule or by solving with it."""
    out = []
    for action in Action:
        for choice in IdChoice:
            group = [c for c in member.candidates if (c.action, c.choice) == (action, choice)]
            if group and (action, choice) != (taken.action, taken.choice):
                out.append(_answer(garage, model, best, member, group))
    return tuple(out)


def _answer(garage: Garage, model: PlanModel, best: Solution, member: Member, group: list[Candidate]) -> NotTaken:
    action, choice = group[0].action, group[0].choice
    allowed = [c for c in group if c.refusal is None]
    if not allowed:
        refusal = group[0].refusal
        assert refusal is not None, "a candidate is allowed or refused"
        return NotTaken(action, choice, refusal.rule, refusal.text, refusal.basis, refusal.way_out, None, None)
    n = model.problem.members.index(member)
    indices = tuple(i for i in model.problem.of_member[n] if model.problem.candidates[i] in allowed)
    forced = model.best_with(indices)
    if forced is None:
        rule, text = _why_not(garage, model.problem, n, indices)
        return NotTaken(action, choice, rule, text, _INVARIANT, "", None, None)
    extra = Price(forced.price.seconds - best.price.seconds, forced.price.hundredths - best.price.hundredths)
    weight = forced.weight - best.weight
    text = extra_text(extra, model.problem.tariff.currency, garage.units.choice, proven=forced.proven) + _also(
        garage, model.problem, best, forced, n
    )
    return NotTaken(action, choice, "", text, Basis(Ground.COMPUTED, "solved again with it"), "", extra, weight)


def _why_not(garage: Garage, task: Problem, n: int, indices: tuple[int, ...]) -> tuple[str, str]:
    """A clash that forbids the candidates by itself, for its other side can't be changed; else that no plan has them."""
    for clash in task.clashes:
        mine = [i for i, _ in clash.terms if i in indices]
        terms = {i for i, _ in clash.terms}
        stuck = {i for m, own in enumerate(task.of_member) if m != n and set(own) <= terms for i in own}
        if set(mine) == set(indices) and (clash.room == 0 or stuck or any(c > 1 for i, c in clash.terms if i in mine)):
            return clash.rule, f"{clash_text(garage, clash, {*mine, *stuck})}, and the other can't be changed"
    return "no-plan", "no plan keeps every rule with it"


def _also(garage: Garage, task: Problem, best: Solution, forced: Solution, but: int) -> str:
    """The other wheels whose choice changes in the forced plan: '; then also: wheel S1 sensor refit, ID fresh'."""
    changed = [
        f"wheel {garage.wheels[m.wheel].name} sensor {task.candidates[i].action.value}, ID {task.candidates[i].choice.value}"
        for n, (m, i, j) in enumerate(zip(task.members, forced.chosen, best.chosen, strict=True))
        if n != but and _what(task.candidates[i]) != _what(task.candidates[j])
    ]
    return f"; then also: {', '.join(changed)}" if changed else ""


def _what(c: Candidate) -> tuple[Action, IdChoice, SensorId | None]:
    return c.action, c.choice, c.definite


def extra_text(extra: Price, currency: str, units: UnitChoice, *, proven: bool) -> str:
    """'it would add 45 min and 90.00 EUR'; 'at most' where the time for solving ran out."""
    if extra == Price(0, 0):
        return "it would cost the same; the stated order of ties decides"
    parts = []
    for amount, unit in ((extra.seconds / 60, "min"), (extra.hundredths / 100, currency)):
        if amount:
            verb = "add" if amount > 0 else "save"
            digits = units.number(abs(amount), 0 if unit == "min" else 2)
            parts.append(f"{verb} {digits} {unit}")
    return f"it would {'' if proven else 'at most '}" + " and ".join(parts)


def clash_text(garage: Garage, clash: Clash, among: Collection[int]) -> str:
    """One clash as a sentence, told of some candidates and of what is there anyway."""
    car = garage.cars[clash.car].name
    heard = f"within earshot of {car}" if clash.rule == "heard-twice" else "on two cars"
    return f"{' and '.join(clash.places(among))} would carry {clash.id.hex} {heard} from {clash.day}"


def standing_clashes(garage: Garage, task: Problem) -> Iterator[Finding]:
    """The clashes that exist now, before anything is done."""
    now = {i for own in task.of_member for i in own if _as_it_is(task.candidates[i])}
    told: set[SensorId] = set()
    for clash in task.clashes:
        voices = sum(n for i, n in clash.terms if i in now)
        if voices > clash.room and clash.id not in told:
            told.add(clash.id)
            text = clash_text(garage, clash, now).replace("would carry", "carry")
            yield Finding(
                Weight.WARNING,
                "clash-now",
                garage.cars[clash.car].name,
                f"As things stand, {text}.",
                (_INVARIANT,),
                "carry out the plan, or keep the two apart until then",
            )


def _as_it_is(c: Candidate) -> bool:
    return (c.action, c.choice) == (Action.STAYS, IdChoice.KEEP)


def taken_out_findings(garage: Garage, members: tuple[Member, ...], chosen: tuple[Candidate, ...]) -> Iterator[Finding]:
    """What has to become of the sensors that are taken out."""
    for member, c in zip(members, chosen, strict=True):
        wheel = garage.wheels[member.wheel].name
        if c.action is Action.REFIT and member.sensor is not None:
            kept = garage.plan.taken_out is TakenOut.KEEP
            fate = (
                "kept where [plan] says, and recorded"
                if kept
                else "scrapped that day, recycled as a battery, and noted as gone"
            )
            text = f"The sensor taken out may wake again: it is {fate}."
            yield Finding(
                Weight.WARNING,
                "taken-out",
                f"wheel {wheel}",
                text,
                (Basis(Ground.PRACTICE, "no source"),),
                "write down where it went on the day it comes out",
            )


def no_plan(garage: Garage, task: Problem) -> Iterator[Finding]:
    """Why no plan is possible: wheels about which nothing may be done, else clashes that nothing avoids."""
    stuck = [m for m, own in zip(task.members, task.of_member, strict=True) if not own]
    for member in stuck:
        for c in member.candidates:
            if c.refusal is not None:
                text = f"Sensor {c.action.value}, ID {c.choice.value}: {c.refusal.text}."
                yield Finding(
                    Weight.FORBIDDEN,
                    c.refusal.rule,
                    f"wheel {garage.wheels[member.wheel].name}",
                    text,
                    (c.refusal.basis,),
                    c.refusal.way_out,
                )
    if stuck:
        return
    single = {own[0] for own in task.of_member if len(own) == 1}
    for clash in task.clashes:
        if sum(n for i, n in clash.terms if i in single) > clash.room:
            told = clash_text(garage, clash, single)
            text = f"No plan is possible: {told}, and nothing else can be done about them. {_RULES[clash.rule].capitalize()}."
            yield Finding(
                Weight.FORBIDDEN,
                clash.rule,
                garage.cars[clash.car].name,
                text,
                (_INVARIANT,),
                "store one of them out of earshot and state so, or change its sensor",
            )
            return
    yield Finding(
        Weight.FORBIDDEN,
        "no-plan",
        "Plan",
        "No plan keeps all rules at every moment of the season line.",
        (_INVARIANT,),
        "store a set out of earshot, or note a writer that can write fresh IDs",
    )
