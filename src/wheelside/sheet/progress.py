"""How far a job has come, worked out from its claims: which steps are done, open, waiting, or two different answers."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from wheelside.said import Coded, Said
from wheelside.sheet.answers import ReadAnswer, read_answer
from wheelside.sheet.ask import When
from wheelside.sheet.claim import ClaimKind, Kept
from wheelside.sheet.judge import by_dash, by_other_steps, by_temperature
from wheelside.sheet.step import RunSheet, Step
from wheelside.units import UnitChoice


class Standing(Coded):
    """How a step stands."""

    OPEN = "open"
    DONE = "done"
    SKIPPED = "skipped"
    TO_CORRECT = "to-correct", "to be corrected"
    TWO_CLAIMS = "two-claims", "two different answers"


@dataclass(frozen=True, slots=True)
class StepState:
    """One step and how it stands.

    `kept`: the claim that holds, None while it is open. `answers`: what that claim says, read. `rival`: a claim made by
    another device that did not know of `kept`, and says otherwise. `waits`: the ids of steps that have to be done first.
    `called`: whether the job asks for it; False where what would call for it has not come.
    """

    step: Step
    standing: Standing
    kept: Kept | None
    answers: tuple[ReadAnswer, ...]
    rival: Kept | None
    waits: tuple[str, ...]
    called: bool = True

    @property
    def finished(self) -> bool:
        return self.standing in (Standing.DONE, Standing.SKIPPED)

    @property
    def counts(self) -> bool:
        """Whether what is done at it was done, as far as one claim says so and no other says otherwise."""
        done = self.kept is not None and self.kept.claim.kind is ClaimKind.DONE
        return done and self.standing in (Standing.DONE, Standing.TO_CORRECT)

    @property
    def problems(self) -> tuple[Said, ...]:
        return tuple(a.problem for a in self.answers if a.problem)

    @property
    def notes(self) -> tuple[ReadAnswer, ...]:
        """The answers that were kept with several readings."""
        return tuple(a for a in self.answers if a.note is not None and not a.problem)

    @property
    def barred(self) -> bool:
        """Whether an answer keeps the steps that wait for this one from opening."""
        return self.standing is Standing.DONE and any(a.ask.bars and a.as_planned is False for a in self.answers)

    @property
    def to_do(self) -> bool:
        """Whether it is still to be done by this job."""
        return self.called and not self.finished and not self.step.optional

    @property
    def as_planned(self) -> bool:
        """Whether no answer says not as planned."""
        return all(a.as_planned is not False for a in self.answers)


def progress(sheet: RunSheet, claims: Iterable[Kept], units: UnitChoice) -> tuple[StepState, ...]:
    """Each step of a sheet with its state, in the sheet's order."""
    by_step: dict[str, list[Kept]] = {}
    for kept in claims:
        by_step.setdefault(kept.claim.step, []).append(kept)
    states = [_state(step, by_step.get(step.id, []), units) for step in sheet.steps]
    said = {f"{s.step.id}/{a.ask.id}": a for s in states if s.finished for a in s.answers}
    judged = [replace(s, answers=by_other_steps(s.answers, said)) for s in states]
    told = {f"{s.step.id}/{a.ask.id}": a for s in judged if s.kept for a in s.answers}
    judged = [replace(s, called=called(s.step.calls, told) or s.kept is not None) for s in judged]
    open_to_all = {s.step.id for s in judged if (s.finished or not s.called) and not s.barred}
    return tuple(_waiting(s, judged, open_to_all) for s in judged)


def called(calls: tuple[When, ...], told: Mapping[str, ReadAnswer]) -> bool:
    """Whether any of these has come; True where nothing has to. `told`: the answers by 'step/ask'."""
    return not calls or any(_came(one, told.get(one.of)) for one in calls)


def _came(one: When, answer: ReadAnswer | None) -> bool:
    if answer is None or answer.empty:
        return False
    low = one.below is not None and answer.pressure is not None and answer.pressure < one.below
    low = low and (one.least is None or (answer.pressure is not None and answer.pressure >= one.least))
    return low or answer.said in one.said or (one.otherwise and answer.as_planned is False)


def _state(step: Step, claims: list[Kept], units: UnitChoice) -> StepState:
    kept, rival = _holding(claims)
    if kept is None or kept.claim.kind is ClaimKind.REOPENED:
        return StepState(step, Standing.OPEN, None, (), None, ())
    answers: tuple[ReadAnswer, ...] = ()
    if kept.claim.kind is ClaimKind.DONE:
        said = {a.ask: a for a in kept.claim.answers}
        read = tuple(read_answer(one, said.get(one.id), units) for one in step.asks)
        answers = by_dash(by_temperature(_only_asked(step, read)))
    standing = Standing.SKIPPED if kept.claim.kind is ClaimKind.SKIPPED else Standing.DONE
    if rival is not None:
        standing = Standing.TWO_CLAIMS
    elif any(a.problem for a in answers):
        standing = Standing.TO_CORRECT
    return StepState(step, standing, kept, answers, rival, ())


def _holding(claims: list[Kept]) -> tuple[Kept | None, Kept | None]:
    """The claim that holds after all of them came, and the one that stands against it."""
    holds: Kept | None = None
    rival: Kept | None = None
    by_client = {k.claim.client: k for k in claims}
    for kept in claims:
        claim = kept.claim
        if claim.kind is ClaimKind.SETTLED:
            if claim.keep in by_client:
                holds, rival = by_client[claim.keep], None
            continue
        unseen = holds is not None and holds.claim.device != claim.device and claim.seen < holds.num
        if unseen and holds is not None and claim.content != holds.claim.content:
            rival = kept
        elif not unseen:
            holds, rival = kept, None
    return holds, rival


def _only_asked(step: Step, answers: tuple[ReadAnswer, ...]) -> tuple[ReadAnswer, ...]:
    """The answers, none missed where nothing calls for it, nor one more that would bar where another does already: a wheel that a workshop has
    is pumped up by nobody."""
    told = {f"{step.id}/{a.ask.id}": a for a in answers}
    barred = any(a.ask.bars and a.as_planned is False for a in answers)
    missed = (called(a.ask.only, told) and not (barred and a.ask.bars) for a in answers)
    return tuple(
        a if wanted or not a.empty else replace(a, problem=None) for a, wanted in zip(answers, missed, strict=True)
    )


def _waiting(state: StepState, states: list[StepState], done: set[str]) -> StepState:
    """The state with the steps that it waits for: those it names, and every lock before it. What an answer has called for waits only for locks
    that have opened themselves: else it might never come."""
    if state.finished:
        return state
    ids = {s.step.id for s in states}
    waits = [w for w in state.step.waits_for if w in ids and w not in done]
    for one in states:
        if one.step.id == state.step.id:
            break
        shut = state.step.calls and any(w in ids and w not in done for w in one.step.waits_for)
        if one.step.lock and one.step.id not in done and one.step.id not in waits and not shut:
            waits.append(one.step.id)
    return replace(state, waits=tuple(waits))
