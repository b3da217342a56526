"""One turn of looking for why the lamp is on: how the gate stands, what is most likely, what comes next, and what each outcome would change.

turn = why_turn(known_of(desk, "estate"), WhySaid("no", {"lamp-at-start": "flashes"}, ("air",)))

What was said is kept by nobody: whoever asks, a page's address or a command line, has it whole.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from wheelside.errors import BadRequest
from wheelside.jobs.work.why_evidence import KnownCase
from wheelside.jobs.work.why_radio import CaseKnown
from wheelside.why.belief import Belief, CaseSeen, WhyModel, believe
from wheelside.why.choose import Lookout, Owns
from wheelside.why.gate import CANNOT, NOT_SURE, FirstGate, WhyStep, gate_of, low_air, next_step, saves
from wheelside.why.table import WhyTable

LOOK = "look"
"""By which name it is said what was seen in walking round the car."""


@dataclass(frozen=True, slots=True)
class WhySaid:
    """What was said so far. `look`: 'yes', 'no', 'not-sure', '' for not asked; `answers`: by test.

    `struck`: codes of what is known and does not count.
    """

    look: str = ""
    answers: Mapping[str, str] = field(default_factory=dict)
    struck: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class OutcomeTells:
    """What one outcome of a test would change: how likely it is, the cause that would be likeliest then, and how likely."""

    outcome: str
    chance: float
    cause: str
    sure: float


@dataclass(frozen=True, slots=True)
class WhyTurn:
    """One turn. `counted`: what is known and counts; `step`: None before the gate is open.

    `saves`: what the next test is expected to save, in money. `low`: air is to be let in before any drive.
    """

    said: WhySaid
    gate: FirstGate
    counted: tuple[CaseKnown, ...]
    belief: Belief | None = None
    step: WhyStep | None = None
    tells: tuple[OutcomeTells, ...] = ()
    saves: float = 0.0
    low: bool = False


def why_turn(case: KnownCase, said: WhySaid) -> WhyTurn:
    """What is to be said and done now. Behind a shut gate nothing is reckoned. Raises KeyError for a test or an outcome that there is not."""
    gate = gate_of(said.look, (t.says for t in case.tyres))
    counted = case.counted(said.answers, said.struck)
    if gate is not FirstGate.OPEN:
        return WhyTurn(said, gate, counted)
    seen = case.seen(said.answers, said.struck)
    step = next_step(
        case.table, seen, case.owns(said.answers, said.struck), aired=case.aired(said.answers, said.struck)
    )
    tells = outcomes_tell(case.table, seen, step.test) if step.test else ()
    saving = saves(step.best) if step.best is not None and step.test else 0.0
    return WhyTurn(said, gate, counted, believe(case.table, seen), step, tells, saving, low_air(seen))


def outcomes_tell(table: WhyTable, seen: CaseSeen, code: str) -> tuple[OutcomeTells, ...]:
    """What each outcome of a test that was not made yet would change; those that can't come are left out."""
    at = Lookout(table, seen, Owns(), WhyModel())
    weights = {o: float(at.weights({code: o}).sum()) for o in table.test(code).outcomes}
    whole = sum(weights.values())
    found = []
    for outcome, weight in weights.items():
        if weight > 0:
            after = believe(
                table, CaseSeen({**seen.outcomes, code: {outcome: 1.0}}, seen.contexts, seen.excluded)
            ).causes
            likeliest = max(after, key=lambda c: after[c])
            found.append(OutcomeTells(outcome, weight / whole, likeliest, after[likeliest]))
    return tuple(found)


def said_from(case: KnownCase, pairs: Iterable[tuple[str, str]], *, strict: bool = False) -> WhySaid:
    """What was said, out of names and values: 'look', a test's code with an outcome, 'not' with what does not count.

    What there is not is left out, or with `strict` refused. Raises BadRequest.
    """
    look, answers, struck = "", dict[str, str](), list[str]()
    codes = {k.code for k in case.known}
    tests = {t.code: (*t.outcomes, NOT_SURE, CANNOT) for t in case.table.tests}
    for name, value in pairs:
        if name == LOOK and value in ("yes", "no", NOT_SURE):
            look = value
        elif value in tests.get(name, ()):
            answers[name] = value
        elif name == "not" and value in codes:
            struck.append(value)
        elif strict:
            raise BadRequest(_no_such(name, value, tests, codes), found=f"{name}={value}"[:60])
    return WhySaid(look, answers, tuple(dict.fromkeys(struck)))


def _no_such(name: str, value: str, tests: Mapping[str, tuple[str, ...]], codes: set[str]) -> str:
    if name == LOOK:
        return f"'{value[:20]}' is no answer to '{LOOK}': yes, no, {NOT_SURE}"
    if name == "not":
        return f"nothing known is called '{value[:20]}': {', '.join(sorted(codes)) or 'nothing is known'}"
    if name in tests:
        return f"'{value[:20]}' is no answer to '{name}': {', '.join(tests[name])}"
    return f"there is no test '{name[:20]}': {', '.join((LOOK, *tests))}"
