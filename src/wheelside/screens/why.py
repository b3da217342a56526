"""What is said of a lit lamp, for every edge: what is most likely, what to do next and why, what counts already."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from wheelside.earshot.hearing import chance_said
from wheelside.garage.rates import currency_of
from wheelside.said import Said, say
from wheelside.sheet.cautions import Clause
from wheelside.units import Duration, Money
from wheelside.why.gate import AIR, BEHAVIOUR, CANNOT, DARK, LEAK, NOT_SURE, PLAINLY, care_before, worded
from wheelside.why.table import BASIS, WhyTest

if TYPE_CHECKING:
    from wheelside.garage.model import Garage
    from wheelside.jobs.work.why_evidence import KnownCase
    from wheelside.jobs.work.why_next import WhySaid, WhyTurn

LIKELY, PERHAPS = PLAINLY, 0.4
"""From which chance on a cause is called likely, and named without 'not clear yet'; judgement."""
SHOWN = 0.01
"""Causes below that chance are not listed."""


@dataclass(frozen=True, slots=True)
class WhyOption:
    """Something that can be answered: its code, its words, and what it would mean, None where that is not reckoned."""

    code: str
    words: Said
    then: Said | None = None


@dataclass(frozen=True, slots=True)
class WhyAct:
    """What to do next: in words, what it takes, why it comes now, what stands before it. `test`: '' for a cure."""

    test: str
    title: Said
    takes: Said
    why: tuple[Said, ...]
    cautions: tuple[Clause, ...]
    options: tuple[WhyOption, ...]
    then: tuple[Said, ...] = ()


def money(garage: Garage, amount: float) -> Money:
    """An amount in the owner's currency, whole."""
    return Money(Decimal(round(amount)), currency_of(garage))


def likely_said(case: KnownCase, turn: WhyTurn) -> Said:
    """What is most likely, in ten words, with how sure that is; never that it is so."""
    found = turn.belief
    if found is None:
        return say("A lit lamp means a tyre until shown otherwise.")
    cause = case.table.cause(found.likeliest)
    share = chance_said(found.causes[cause.code])
    if found.causes[cause.code] >= LIKELY:
        return say("Consistent with {cause}: {share}.", cause=say(cause.short), share=share)
    if found.causes[cause.code] >= PERHAPS:
        return say("Perhaps consistent with {cause}: {share}.", cause=say(cause.short), share=share)
    return say("Not clear yet. Likeliest: {cause}, {share}.", cause=say(cause.short), share=share)


def causes_said(case: KnownCase, turn: WhyTurn) -> tuple[tuple[str, Said, Said], ...]:
    """All that is still possible, the likeliest first: code, words, chance."""
    found = turn.belief.causes if turn.belief is not None else {}
    rows = sorted(((p, c) for c, p in found.items() if p >= SHOWN), key=lambda row: -row[0])
    return tuple((c, say(case.table.cause(c).words), chance_said(p)) for p, c in rows)


LOW = say("Before any drive set what is low to today's figure.")
"""What stands above all else where a gauging says that something is low."""


def basis_said() -> Said:
    """What the chances rest on. They sum to more than one, for two may be there at once."""
    return say(
        "Our judgement: {source}. Two causes can be there at once, so the shares add up to more than 100 %.",
        source=BASIS.source,
    )


def act_said(garage: Garage, case: KnownCase, turn: WhyTurn) -> WhyAct | None:
    """What to do next; None before the gate is open."""
    step = turn.step
    if step is None:
        return None
    if not step.test:
        return _cure(garage, case, turn, step.cures[0])
    test = case.table.test(step.test)
    return WhyAct(
        test.code,
        worded(test.words),
        _takes(garage, test.minutes, test.money),
        _why(garage, turn, test),
        care_before(test.code, low=turn.low),
        _options(case, turn, test),
    )


def _takes(garage: Garage, minutes: float, amount: float) -> Said:
    if not amount:
        return say("{minutes}, nothing to buy", minutes=Duration(minutes * 60))
    return say("{minutes}, about {money}", minutes=Duration(minutes * 60), money=money(garage, amount))


def _why(garage: Garage, turn: WhyTurn, test: WhyTest) -> tuple[Said, ...]:
    if test.code == BEHAVIOUR:
        return (say("It takes a minute, and parts air from sensors."),)
    if turn.step is not None and turn.step.forced and test.code == AIR:
        return (say("Air first, whatever is most likely: low air is the one that can hurt you."),)
    if turn.step is not None and turn.step.forced and test.code == LEAK:
        return (say("One tyre is low: where its air goes comes before anything electronic."),)
    return (
        say("It leaves the least to pay and to do on the way to a lamp that stays out, as far as can be reckoned."),
        say("Against trying cures now it is expected to save about {money}.", money=money(garage, turn.saves)),
    )


def _options(case: KnownCase, turn: WhyTurn, test: WhyTest) -> tuple[WhyOption, ...]:
    tells = {one.outcome: one for one in turn.tells}
    found = []
    first = ("steady", "flashes") if test.code == BEHAVIOUR else ()
    for outcome in (*first, *(o for o in test.outcomes if o not in first)):
        one = tells.get(outcome)
        then = None
        if one is not None and test.code != BEHAVIOUR:
            cause = say(case.table.cause(one.cause).short)
            then = say("fits {cause}: {share}", cause=cause, share=chance_said(one.sure))
        found.append(WhyOption(outcome, worded(test.saying(outcome)), then))
    return (
        *found,
        WhyOption(NOT_SURE, say("Not sure"), say("tells nothing, not asked again")),
        WhyOption(CANNOT, say("Could not do"), say("another test comes")),
    )


def _cure(garage: Garage, case: KnownCase, turn: WhyTurn, code: str) -> WhyAct:
    cause, found = case.table.cause(code), turn.belief
    why = [say("It fits what is known: {words}.", words=say(cause.words))]
    if found is not None and code == found.likeliest:
        why.append(say("It is the likeliest: {share}.", share=chance_said(found.causes[code])))
    elif found is not None and code in found.causes:
        why.append(say("It costs little, so it is tried first: {share}.", share=chance_said(found.causes[code])))
    then = [say("Then drive for half an hour, and look: the lamp lights when you switch on, goes out, and stays out.")]
    if code == DARK:
        then = [say("Until then nothing warns you of low air: check all four each week.")]
        why = [say("A lamp that never lights can't warn. It may be its bulb, or somebody's doing.")]
    later = [say(case.table.cause(c).cure) for c in (turn.step.cures[1:3] if turn.step is not None else ())]
    then += [say("Still lit: {cure}.", cure=cure) for cure in later]
    if code != DARK:
        then.append(say("Nothing helps: a workshop. Show it what was seen and tried."))
    return WhyAct(
        "", say(cause.cure), _takes(garage, cause.minutes, cause.money), tuple(why), care_before(code, cure=True, low=turn.low), (), tuple(then)
    )  # fmt: skip


def said_back(case: KnownCase, said: WhySaid) -> tuple[tuple[str, Said, Said], ...]:
    """What was answered: the test's code, its words, and the answer's."""
    words = {NOT_SURE: say("not sure"), CANNOT: say("could not do")}
    found = []
    for code, answer in said.answers.items():
        test = case.table.test(code)
        found.append((code, worded(test.words), words.get(answer) or worded(test.saying(answer))))
    return tuple(found)
