"""May the old IDs be carried on in new sensors? The answer for each wheel whose sensor is changed."""

from __future__ import annotations

from collections.abc import Iterator

from wheelside.finding import Basis, Finding, Ground, Weight
from wheelside.garage.model import Garage
from wheelside.garage.words import TakenOut
from wheelside.identity.choice import Action, Candidate, Member
from wheelside.identity.explain import Explainer
from wheelside.identity.naming import wheels_named
from wheelside.identity.solution import Solution
from wheelside.identity.task import PlanProblem
from wheelside.said import Said, say

_PLAN = (Basis(Ground.COMPUTED, "this plan"),)


def carry_on(garage: Garage, task: PlanProblem, best: Solution, explainer: Explainer | None) -> Iterator[Finding]:
    """One answer for each set with changed sensors, wheels with the same answer together.

    `explainer`: asks what a plan with the old ID would cost more; None where that is not asked.
    """
    told: dict[tuple[str, Said], list[str]] = {}
    for member, i in zip(task.members, best.chosen, strict=True):
        c = task.candidates[i]
        if c.action is Action.REFIT and member.sensor is not None:
            answer = _yes(garage) if c.own else _else(member, explainer)
            told.setdefault((member.set, answer), []).append(member.wheel)
    for (set_id, answer), wheels in told.items():
        names = wheels_named(garage, wheels)
        text = say("May the old IDs of {wheels} be carried on? {answer}.", wheels=names, answer=answer)
        yield Finding(Weight.NOTE, "carry-on", garage.sets[set_id].name, text, _PLAN)


def _yes(garage: Garage) -> Said:
    if garage.plan.taken_out is TakenOut.KEEP:
        return say("Yes: the car knows them, while each old sensor is silent, or kept where no car of the set hears it")
    return say("Yes: the car knows them, while each old sensor is scrapped that day and noted as gone")


def _else(member: Member, explainer: Explainer | None) -> Said:
    """Why a new sensor does not get the old ID, or what it would cost more."""
    own = [c for c in member.candidates if c.action is Action.REFIT and c.own]
    refused = [c.refusal.text for c in own if c.refusal]
    if own and len(refused) == len(own):
        return say("No: {why}", why=refused[0])
    if own:
        return _dearer(member, own, explainer)
    if not member.ids:
        return say("No: the old ID is not known; trigger the old sensor first, if it answers")
    if len(member.ids) > 1:
        return say("No: the old ID can be read in several ways; settle that first")
    return say("No: no car of this set holds it for this corner, so nothing is saved by it")


def _dearer(member: Member, own: list[Candidate], explainer: Explainer | None) -> Said:
    answer = explainer.of_group(member, own) if explainer else None
    if answer is None:
        return say("Yes, but this plan is cheaper")
    if answer.extra is None:
        return say("No: {why}", why=answer.text)
    return say("Yes, but {what}", what=answer.text)
