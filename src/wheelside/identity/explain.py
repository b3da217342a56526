"""Why the choices that were not taken were not: the rule that forbids each, or its exact extra cost."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date

from wheelside.finding import Basis, Finding, Ground, Weight
from wheelside.garage.model import Garage
from wheelside.garage.words import TakenOut
from wheelside.identity.choice import Action, Candidate, IdChoice, Member, id_label, id_words
from wheelside.identity.conflict import ConflictFact, smallest_conflict, told
from wheelside.identity.costs import Price, Tariff
from wheelside.identity.meeting import Clash
from wheelside.identity.problem import Problem
from wheelside.identity.solve import PlanModel, Solution
from wheelside.identity.ways import WayOut
from wheelside.sensor.ident import SensorId
from wheelside.units import UnitChoice

ALSO = "; then also: "
"""Between what a choice would cost and what else would change with it."""
_INVARIANT = Basis(Ground.COMPUTED, "season line, paths and IDs of the garage file")


@dataclass(frozen=True, slots=True)
class NotTaken:
    """A choice not taken: the `rule` that forbids it, or what the best plan with it would cost more.

    `extra` and `extra_weight` are None where a rule forbids it; a negative part of `extra` is what
    that plan would save of the one at the price of the other. `own`: whether it is about the wheel's own old ID.
    """

    action: Action
    choice: IdChoice
    rule: str
    text: str
    basis: Basis
    way_out: str
    extra: Price | None
    extra_weight: int | None
    own: bool = False


@dataclass
class Explainer:
    """Answers what was not chosen: by a rule, by solving with it, or by the facts that can't all hold with it."""

    garage: Garage
    model: PlanModel
    best: Solution
    day: date
    loosen: Callable[[], PlanModel]
    """The model of the loosened problem, made when it is first asked for."""

    def not_taken(self, member: Member, taken: Candidate) -> tuple[NotTaken, ...]:
        """Every other choice for one wheel, sensor and ID."""
        out = []
        for action in Action:
            for choice in IdChoice:
                group = [c for c in member.candidates if (c.action, c.choice) == (action, choice)]
                if group and (action, choice) != (taken.action, taken.choice):
                    out.append(self.of_group(member, group))
        return tuple(out)

    def of_group(self, member: Member, group: list[Candidate]) -> NotTaken:
        """The answer for some candidates of one wheel that have one action and one choice."""
        return replace(self._answer(member, group), own=all(c.own for c in group))

    def _answer(self, member: Member, group: list[Candidate]) -> NotTaken:
        action, choice = group[0].action, group[0].choice
        allowed = [c for c in group if c.refusal is None]
        if not allowed:
            refusal = group[0].refusal
            assert refusal is not None, "a candidate is allowed or refused"
            return NotTaken(action, choice, refusal.rule, refusal.text, refusal.basis, refusal.way_out, None, None)
        task, best = self.model.problem, self.best
        n = task.members.index(member)
        indices = tuple(i for i in task.of_member[n] if task.candidates[i] in allowed)
        forced = self.model.best_with(indices)
        if forced is None:
            rule, text = self._why_not(n, indices)
            return NotTaken(action, choice, rule, text, _INVARIANT, "", None, None)
        extra, weight = forced.price - best.price, forced.weight - best.weight
        units = self.garage.units.choice
        text = (
            self._meets(indices)
            + extra_text(extra, weight, task.tariff, units, proven=forced.proven)
            + _also(self.garage, task, best, forced, n)
        )
        return NotTaken(action, choice, "", text, Basis(Ground.COMPUTED, "solved again with it"), "", extra, weight)

    def _meets(self, indices: tuple[int, ...]) -> str:
        """What the candidates would clash with in the best plan, so that it has to change with them; '' for nothing."""
        there, picked = set(self.best.chosen), set(self.best.picked)
        for clash in self.model.problem.clashes:
            mine, others = set(clash.candidates) & set(indices), set(clash.candidates) - set(indices)
            if mine and others <= there and set(clash.picks) <= picked:
                return f"{clash_text(self.garage, clash, {*mine, *others})}; to avoid that "
        return ""

    def _why_not(self, n: int, indices: tuple[int, ...]) -> tuple[str, str]:
        """A clash that forbids the candidates by itself, for its other side can't be changed; else the facts in conflict."""
        task = self.model.problem
        for clash in task.clashes:
            mine = [i for i in clash.candidates if i in indices]
            others = [i for i in clash.candidates if i not in indices]
            stuck = not others or any(set(own) <= set(others) for m, own in enumerate(task.of_member) if m != n)
            if set(mine) == set(indices) and not clash.picks and stuck:
                told_clash = clash_text(self.garage, clash, {*mine, *others})
                return clash.rule, told_clash + (", and the other can't be changed" if others else "")
        return "no-plan", self._conflict_with(n, indices)

    def _conflict_with(self, n: int, indices: tuple[int, ...]) -> str:
        """The facts that leave no plan with these candidates, in words."""
        loose = self.loosen()
        wanted = {self.model.problem.candidates[i].rank for i in indices}
        same = tuple(i for i in loose.problem.of_member[n] if loose.problem.candidates[i].rank in wanted)
        facts = smallest_conflict(loose, some_of=same)
        texts = [told(self.garage, loose.problem, fact, self.day).text for fact in facts]
        return f"no plan has it, for {'; '.join(texts)}" if texts else "no plan keeps every rule with it"


def _also(garage: Garage, task: Problem, best: Solution, forced: Solution, but: int) -> str:
    """What else changes in the forced plan: '; then also: wheel S1: sensor refit, ID fresh'."""
    changed = changes(garage, task, best, forced, but)
    return f"{ALSO}{'; '.join(changed)}" if changed else ""


def changes(garage: Garage, task: Problem, best: Solution, other: Solution, but: int | None = None) -> tuple[str, ...]:
    """What another plan does otherwise, like wheels and like places together; `but`: a wheel not told of."""
    done: dict[str, list[str]] = {}
    for n, (m, i, j) in enumerate(zip(task.members, other.chosen, best.chosen, strict=True)):
        if n != but and _what(task.candidates[i]) != _what(task.candidates[j]):
            done.setdefault(did(task.candidates[i]), []).append(garage.wheels[m.wheel].name)
    kept: dict[str, list[str]] = {}
    for c, (_, there), (_, here) in zip(task.choices, other.picked, best.picked, strict=True):
        if there != here:
            kept.setdefault(garage.places[there].name, []).append(garage.sets[c.set].name)
    wheels = [f"wheel{'s' if len(names) > 1 else ''} {listed(names)}: {what}" for what, names in done.items()]
    return (*wheels, *(f"{listed(list(dict.fromkeys(names)))} kept at {place}" for place, names in kept.items()))


def listed(names: list[str]) -> str:
    """Names in a row: 'B1', 'B1 and B2', 'B1, B2 and B3'."""
    return " and ".join(part for part in (", ".join(names[:-1]), *names[-1:]) if part)


def did(c: Candidate) -> str:
    """A candidate in words: 'sensor stays, ID clone of front left of Summer set'."""
    return f"sensor {c.action.value}, ID {id_label(c.choice, own=True) if c.own else id_words(c.choice, c.source, own=False)}"


def _what(c: Candidate) -> tuple[Action, IdChoice, SensorId | None]:
    return c.action, c.choice, c.definite


def extra_text(extra: Price, weight: int, tariff: Tariff, units: UnitChoice, *, proven: bool) -> str:
    """'it would add 45 min and 90.00 EUR'; with what the risks differ by; 'at most' where the effort for solving ran out."""
    signed = [*_amounts(extra, tariff.currency, units)]
    risk = (weight - tariff.weigh(extra)) / 360_000
    if abs(risk) >= 0.005:
        signed.append((risk, f"{units.number(abs(risk), 2)} {tariff.currency} of risk"))
    if not signed:
        return "it would cost the same; the stated order of ties decides"
    added = listed([text for amount, text in signed if amount > 0] or [""])
    saved = listed([text for amount, text in signed if amount < 0] or [""])
    parts = [f"{verb} {what}" for verb, what in (("add", added), ("save", saved)) if what]
    return f"it would {'' if proven else 'at most '}" + ", and ".join(parts)


def _amounts(extra: Price, currency: str, units: UnitChoice) -> Iterator[tuple[float, str]]:
    if extra.seconds:
        yield extra.seconds, f"{units.number(abs(extra.seconds) / 60, 0)} min"
    if extra.hundredths:
        yield extra.hundredths, f"{units.number(abs(extra.hundredths) / 100, 2)} {currency}"


def clash_text(garage: Garage, clash: Clash, among: Collection[int]) -> str:
    """One clash as a sentence, told of some candidates and of what is there anyway."""
    carriers = " and ".join(clash.places(among))
    if clash.rule == "sold-alike":
        return f"{carriers} would carry {clash.id.hex} after the sale on {clash.day}"
    heard = f"within earshot of {garage.cars[clash.car].name}" if clash.rule == "heard-twice" else "on two cars"
    return f"{carriers} would carry {clash.id.hex} {heard} from {clash.day}"


def standing_clashes(garage: Garage, task: Problem) -> Iterator[Finding]:
    """The clashes that exist now, before anything is done."""
    now = {i for own in task.of_member for i in own if _as_it_is(task.candidates[i])}
    standing: dict[tuple[SensorId, str], list[Clash]] = {}
    for clash in task.clashes:
        if set(clash.candidates) <= now and not clash.picks:
            standing.setdefault((clash.id, clash.rule), []).append(clash)
    for (_, rule), alike in standing.items():
        first = min(alike, key=lambda c: c.day)
        carriers = listed(list(dict.fromkeys(place.split(" (")[0] for c in alike for place in c.places(now))))
        text = clash_text(garage, first, now).replace("would carry", "carry")
        more = f" {carriers} all carry it." if len(alike) > 1 else ""
        about = garage.cars[first.car].name if rule != "sold-alike" else "sale"
        way = "carry out the plan, or keep them apart until then"
        yield Finding(Weight.WARNING, "clash-now", about, f"As things stand, {text}.{more}", (_INVARIANT,), way)


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


def no_plan(conflict: Sequence[ConflictFact], ways: Sequence[WayOut]) -> Iterator[Finding]:
    """Why no plan is possible, as a finding: the facts that can't all hold, and the cheapest way out."""
    listed = "; ".join(f.text for f in conflict)
    basis = tuple(dict.fromkeys(f.basis for f in conflict)) or (_INVARIANT,)
    way = ways[0].text if ways else "change one of these facts"
    text = f"No plan is possible, for these can't all hold: {listed}." if listed else "No plan is possible."
    yield Finding(Weight.FORBIDDEN, "no-plan", "Plan", text, basis, way)
