"""Why the choices that were not taken were not: the rule that forbids each, or its exact extra cost."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from wheelside.finding import COMMON_PRACTICE, Basis, Finding, Ground, Way, WayKind, Weight, note
from wheelside.garage.model import Garage
from wheelside.garage.words import TakenOut
from wheelside.identity.choice import (
    Action,
    Candidate,
    FreshFrom,
    IdChoice,
    Member,
    left_as_it_is,
    on_its_day,
    sensor_and_id,
)
from wheelside.identity.conflict import ConflictFact, smallest_conflict, told
from wheelside.identity.costs import WEIGHT, Price, Tariff
from wheelside.identity.meeting import Clash
from wheelside.identity.naming import wheel_named
from wheelside.identity.solution import Solution
from wheelside.identity.solve import PlanModel
from wheelside.identity.task import PlanProblem
from wheelside.identity.ways import WayOut
from wheelside.said import Figure, Joined, Said, Table, count, listed, say
from wheelside.sensor.ident import SensorId

_INVARIANT = Basis(Ground.COMPUTED, "season line, paths and IDs of the garage file")


@dataclass(frozen=True, slots=True)
class NotTaken:
    """A choice not taken: the `rule` that forbids it, or what the best plan with it would cost more.

    `extra` and `extra_weight` are None where a rule forbids it; a negative part of `extra` is what
    that plan would save of the one at the price of the other. `own`: whether it is about the wheel's own old ID.
    `text` has what else would change with it, `by_itself` has not.
    """

    action: Action
    choice: IdChoice
    rule: str
    text: Said
    by_itself: Said
    basis: Basis
    way_out: Way | None
    extra: Price | None
    extra_weight: int | None
    own: bool = False


MOST_FOR_REASONS, MOST_FOR_WHY = 3.5, 0.5
"""So much of the solver's effort goes into choices not taken, or, unasked, into why wheels are not left as they are; wheels after that are
named as not answered."""


@dataclass
class Explainer:
    """Answers what was not chosen: by a rule, by solving with it, or by the facts that can't all hold with it."""

    garage: Garage
    model: PlanModel
    best: Solution
    day: date
    loosen: Callable[[], PlanModel]
    """The model of the loosened problem, made when it is first asked for."""
    unanswered: list[str] = field(default_factory=list)
    """The wheels that were not answered any more, the effort being spent."""

    def not_taken(self, member: Member, taken: Candidate) -> tuple[NotTaken, ...]:
        """Every other choice for one wheel, sensor and ID; none, and `unanswered` has the wheel, where the effort is spent."""
        if self.model.effort > MOST_FOR_REASONS:
            self.unanswered.append(member.wheel)
            return ()
        out = []
        for action in Action:
            for choice in IdChoice:
                group = [c for c in member.candidates if (c.action, c.choice) == (action, choice)]
                if group and (action, choice) != (taken.action, taken.choice):
                    out.append(self.of_group(member, group))
        return tuple(out)

    def not_now(self, member: Member, taken: Candidate, *, asked: bool) -> Said | None:
        """Why a wheel is not written now but later, in short: what that would cost more, or what forbids it; `asked` as of `not_left`."""
        if taken.when is None or (self.model.effort > MOST_FOR_WHY and not asked):
            return None
        same = (taken.action, taken.choice, taken.carries, taken.fresh_from)
        group = [c for c in member.candidates if (c.action, c.choice, c.carries, c.fresh_from, c.when) == (*same, None)]
        return self.of_group(member, group).by_itself if group else None

    def not_left(self, member: Member, taken: Candidate, *, asked: bool) -> Said | None:
        """Why a wheel is not left as it is, in short: what forbids it, or what it would meet; None where it is. `asked`: whether it is
        worked out whatever it takes, else `unanswered` has the wheel where the effort is spent."""
        group = [c for c in member.candidates if left_as_it_is(c.action, c.choice)]
        if left_as_it_is(taken.action, taken.choice) or not group:
            return None
        if group[0].refusal is not None:
            return group[0].refusal.text
        if self.model.effort > MOST_FOR_WHY and not asked:
            self.unanswered.append(member.wheel)
            return None
        own = self.model.problem.of_member[self.model.problem.members.index(member)]
        meets = self._meets(tuple(i for i in own if self.model.problem.candidates[i] in group))
        return meets or self.of_group(member, group).by_itself

    def of_group(self, member: Member, group: list[Candidate]) -> NotTaken:
        """The answer for some candidates of one wheel that have one action and one choice."""
        return replace(self._answer(member, group), own=all(c.own for c in group))

    def _answer(self, member: Member, group: list[Candidate]) -> NotTaken:
        action, choice = group[0].action, group[0].choice
        allowed = [c for c in group if c.refusal is None]
        if not allowed:
            refusal = group[0].refusal
            assert refusal is not None, "a candidate is allowed or refused"
            text = refusal.text
            return NotTaken(action, choice, refusal.rule, text, text, refusal.basis, refusal.way_out, None, None)
        task, best = self.model.problem, self.best
        n = task.members.index(member)
        indices = tuple(i for i in task.of_member[n] if task.candidates[i] in allowed)
        forced = self.model.best_with(indices)
        if forced is None:
            rule, text = self._why_not(n, indices)
            return NotTaken(action, choice, rule, text, text, _INVARIANT, None, None, None)
        extra, weight = forced.price - best.price, forced.weight - best.weight
        alone = extra_text(extra, weight, task.tariff, proven=forced.proven)
        if meets := self._meets(indices):
            alone = say("{clash}; to avoid that {extra}", clash=meets, extra=alone)
        text = _also(alone, changes(self.garage, task, best, forced, n))
        basis = Basis(Ground.COMPUTED, "solved again with it")
        return NotTaken(action, choice, "", text, alone, basis, None, extra, weight)

    def _meets(self, indices: tuple[int, ...]) -> Said | None:
        """What the candidates would clash with in the best plan, so that it has to change with them; None for nothing."""
        there, picked = set(self.best.chosen), set(self.best.picked)
        for clash in self.model.problem.clashes:
            mine, others = set(clash.candidates) & set(indices), set(clash.candidates) - set(indices)
            if mine and others <= there and set(clash.picks) <= picked:
                return clash_text(self.garage, clash, {*mine, *others})
        return None

    def _why_not(self, n: int, indices: tuple[int, ...]) -> tuple[str, Said]:
        """A clash that forbids the candidates by itself, for its other side can't be changed; else the facts in conflict."""
        task = self.model.problem
        for clash in task.clashes:
            mine = [i for i in clash.candidates if i in indices]
            others = [i for i in clash.candidates if i not in indices]
            stuck = not others or any(set(own) <= set(others) for m, own in enumerate(task.of_member) if m != n)
            if set(mine) == set(indices) and not clash.picks and stuck:
                told_clash = clash_text(self.garage, clash, {*mine, *others})
                if others:
                    told_clash = say("{clash}, and the other can't be changed", clash=told_clash)
                return clash.rule, told_clash
        return "no-plan", self._conflict_with(n, indices)

    def _conflict_with(self, n: int, indices: tuple[int, ...]) -> Said:
        """The facts that leave no plan with these candidates."""
        loose = self.loosen()
        wanted = {self.model.problem.candidates[i].mark for i in indices}
        same = tuple(i for i in loose.problem.of_member[n] if loose.problem.candidates[i].mark in wanted)
        facts = smallest_conflict(loose, some_of=same)
        self.model.effort, loose.effort = self.model.effort + loose.effort, 0.0
        texts = [told(self.garage, loose.problem, fact, self.day).text for fact in facts]
        if not texts:
            return say("no plan keeps every rule with it")
        return say("no plan has it, for {facts}", facts=listed(texts, Joined.SEMICOLON))


def _also(text: Said, changed: Sequence[Said]) -> Said:
    """A text with what else changes in the forced plan: '…; then also: wheel S1: sensor refit, ID fresh'."""
    return (
        say("{text}; then also: {changes}", text=text, changes=listed(changed, Joined.SEMICOLON)) if changed else text
    )


def changes(
    garage: Garage, task: PlanProblem, best: Solution, other: Solution, but: int | None = None, *, days: bool = True
) -> tuple[Said, ...]:
    """What another plan does otherwise, like wheels and like places together; `but`: a wheel not told of. `days`: also on which day."""
    done: dict[Said, list[str]] = {}
    for n, (m, i, j) in enumerate(zip(task.members, other.chosen, best.chosen, strict=True)):
        then, now = (c if days else replace(c, when=None) for c in (task.candidates[i], task.candidates[j]))
        if n != but and _what(then) != _what(now):
            done.setdefault(did(task.candidates[i]), []).append(garage.wheels[m.wheel].name)
    kept: dict[str, list[str]] = {}
    for c, (_, there), (_, here) in zip(task.choices, other.picked, best.picked, strict=True):
        if there != here:
            kept.setdefault(there, []).append(garage.sets[c.set].name)
    return (*(_of_wheels(names, what) for what, names in done.items()), *(_at(garage, *one) for one in kept.items()))


def _of_wheels(names: list[str], what: Said) -> Said:
    return count(len(names), "wheel {wheels}: {what}", "wheels {wheels}: {what}", wheels=listed(names), what=what)


def _at(garage: Garage, place: str, names: list[str]) -> Said:
    return say("{sets} kept at {place}", sets=listed(dict.fromkeys(names)), place=garage.places[place].name)


def did(c: Candidate) -> Said:
    """A candidate: 'sensor stays, ID clone of front left of Summer set'."""
    said = sensor_and_id(c.action, c.choice, c.source, own=c.own)
    said = say("{what}, a blank that rests silent", what=said) if c.silent_blank is not None else said
    said = say("{what}, {source}", what=said, source=c.fresh_from) if c.fresh_from is FreshFrom.BOUGHT else said
    return on_its_day(said, c.when)


def _what(c: Candidate) -> tuple[Action, IdChoice, SensorId | None, bool, date | None, int | None]:
    return c.action, c.choice, c.definite, c.writes, c.when, c.silent_blank


def extra_text(extra: Price, weight: int, tariff: Tariff, *, proven: bool) -> Said:
    """'it would add 45 min and 90.00 EUR'; with what the risks differ by; 'at most' where the effort for solving ran out."""
    signed = [*_amounts(extra, tariff.currency)]
    risk = (weight - tariff.weigh(extra)) / WEIGHT
    if abs(risk) >= 0.005:
        what = say("{amount} {currency} of risk", amount=Figure(abs(risk), 2), currency=tariff.currency)
        signed.append((risk, what))
    if not signed:
        return say("it would cost the same; the stated order of ties decides")
    added = listed(text for amount, text in signed if amount > 0)
    saved = listed(text for amount, text in signed if amount < 0)
    if added.parts and saved.parts:
        both = "it would add {added}, and save {saved}" if proven else "it would at most add {added}, and save {saved}"
        return say(both, added=added, saved=saved)
    if added.parts:
        return say("it would add {added}" if proven else "it would at most add {added}", added=added)
    return say("it would save {saved}" if proven else "it would at most save {saved}", saved=saved)


def _amounts(extra: Price, currency: str) -> Iterator[tuple[float, Said]]:
    if extra.seconds:
        yield extra.seconds, say("{minutes} min", minutes=Figure(abs(extra.seconds) / 60, 0))
    if extra.hundredths:
        amount = Figure(abs(extra.hundredths) / 100, 2)
        yield extra.hundredths, say("{amount} {currency}", amount=amount, currency=currency)


def clash_text(garage: Garage, clash: Clash, among: Collection[int]) -> Said:
    """One clash that a choice would bring, told of some candidates and of what is there anyway."""
    told = _told_of(garage, clash, among)
    if clash.rule == "sold-alike":
        return say("{voices} would carry {id} after the sale on {day}", **told)
    if clash.rule == "heard-twice":
        return say("{voices} would carry {id} within earshot of {car} from {day}", **told)
    return say("{voices} would carry {id} on two cars from {day}", **told)


def _standing_text(garage: Garage, clash: Clash, among: Collection[int]) -> Said:
    """One clash that stands as things are."""
    told = _told_of(garage, clash, among)
    if clash.rule == "sold-alike":
        return say("As things stand, {voices} carry {id} after the sale on {day}.", **told)
    if clash.rule == "heard-twice":
        return say("As things stand, {voices} carry {id} within earshot of {car} from {day}.", **told)
    return say("As things stand, {voices} carry {id} on two cars from {day}.", **told)


def _told_of(garage: Garage, clash: Clash, among: Collection[int]) -> dict[str, object]:
    voices = listed(there.said for there in clash.places(among))
    car = {"car": garage.cars[clash.car].name} if clash.rule == "heard-twice" else {}
    return {"voices": voices, "id": clash.id.hex, "day": clash.day, **car}


def standing_clashes(garage: Garage, task: PlanProblem) -> Iterator[Finding]:
    """The clashes that exist now, before anything is done."""
    now = {
        i for own in task.of_member for i in own if left_as_it_is(task.candidates[i].action, task.candidates[i].choice)
    }
    standing: dict[tuple[SensorId, str], list[Clash]] = {}
    for clash in task.clashes:
        if set(clash.candidates) <= now and not clash.picks:
            standing.setdefault((clash.id, clash.rule), []).append(clash)
    for (_, rule), alike in standing.items():
        first = min(alike, key=lambda c: c.day)
        text = _standing_text(garage, first, now)
        if len(alike) > 1:
            voices = listed(dict.fromkeys(there.voice for c in alike for there in c.places(now)))
            text = say("{clash} {voices} all carry it.", clash=text, voices=voices)
        about = garage.cars[first.car].name if rule != "sold-alike" else say("sale")
        way = Way(WayKind.PLAN, say("carry out the plan, or keep them apart until then"))
        yield Finding(Weight.WARNING, "clash-now", about, text, (_INVARIANT,), way)


def taken_out_findings(garage: Garage, members: tuple[Member, ...], chosen: tuple[Candidate, ...]) -> Iterator[Finding]:
    """What has to become of the sensors that are taken out."""
    text = say(
        "The sensor taken out may wake again: it is scrapped that day, recycled as a battery, and noted as gone."
    )
    if garage.plan.taken_out is TakenOut.KEEP:
        text = say(
            "The sensor taken out may wake again: it is kept where {plan} says, and recorded.",
            plan=Table("plan", many=False),
        )
    way = Way(WayKind.WORK, say("write down where it went on the day it comes out"))
    for member, c in zip(members, chosen, strict=True):
        if c.action is Action.REFIT and member.sensor is not None:
            about = wheel_named(garage, member.wheel)
            yield Finding(Weight.WARNING, "taken-out", about, text, (COMMON_PRACTICE,), way)


def no_plan(conflict: Sequence[ConflictFact], ways: Sequence[WayOut]) -> Iterator[Finding]:
    """Why no plan is possible, as a finding: the facts that can't all hold, and the cheapest way out."""
    basis = tuple(dict.fromkeys(f.basis for f in conflict)) or (_INVARIANT,)
    way = note(say("change one of these facts"))
    if ways:
        way = Way(ways[0].kinds[0], ways[0].text)
    text = say("No plan is possible.")
    if conflict:
        facts = listed((f.text for f in conflict), Joined.SEMICOLON)
        text = say("No plan is possible, for these can't all hold: {facts}.", facts=facts)
    yield Finding(Weight.FORBIDDEN, "no-plan", say("Plan"), text, basis, way)
