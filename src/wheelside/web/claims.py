"""Claims out of forms and out of JSON, and the state of a job as JSON."""

from __future__ import annotations

import hashlib
from typing import Any

from pydantic import BaseModel, ConfigDict, Field

from wheelside.jobs.book.kept import FIRST_US, LAST_US
from wheelside.jobs.work.doing import Doing
from wheelside.sheet.answers import ReadAnswer
from wheelside.sheet.ask import Asked
from wheelside.sheet.claim import Answer, Claim, ClaimKind, Kept
from wheelside.sheet.option import Instead, option_of
from wheelside.sheet.progress import StepState
from wheelside.sheet.step import Step
from wheelside.speech.speech import Speech
from wheelside.units.moment import Moment
from wheelside.web.form import SentForm

_CLIENT = r"^[A-Za-z0-9_-]{8,64}$"


class _Model(BaseModel):
    model_config = ConfigDict(extra="forbid")


class AnswerIn(_Model):
    """One answer: the name of the ask, what was said, words beside it, the name of a photo that was sent before."""

    ask: str = Field(max_length=80)
    said: str = Field("", max_length=2000)
    words: str = Field("", max_length=2000)
    photo: str = Field("", pattern=r"^(?:[0-9a-f]{64}\.jpg)?$")


class ClaimIn(_Model):
    """One claim at one step, with an identifier that the sender made; sending it again keeps it once."""

    client: str = Field(pattern=_CLIENT)
    step: str = Field(max_length=200)
    kind: ClaimKind
    at_us: int = Field(ge=FIRST_US, le=LAST_US, description="Microseconds since 1970, UTC.")
    offset_min: int = Field(0, ge=-900, le=900)
    device: str = Field("", max_length=64)
    seen: int = Field(0, ge=0, le=2**53)
    answers: list[AnswerIn] = Field(default_factory=list, max_length=40)
    reason: str = Field("", max_length=2000)
    keep: str = Field("", max_length=64)
    instrument: str = Field("", max_length=60)


class ClaimsIn(_Model):
    """Claims to be kept, in the order in which they were made."""

    claims: list[ClaimIn] = Field(min_length=1, max_length=200)


class StepOut(BaseModel):
    """How a step stands."""

    id: str
    standing: str
    waits: list[str]
    problems: list[str]
    refused: dict[str, str] = Field(default={}, description="Why an answer can't be taken so, by its ask.")
    otherwise: list[str]
    not_as_planned: list[str] = Field(default=[], description="The asks whose answers are not as planned.")
    notes: list[str] = []
    by: str
    at: str
    client: str
    said: list[dict[str, str]]
    reason: str
    rival: dict[str, Any] | None


class ProgressOut(BaseModel):
    """How a job stands. `last`: the number of its newest claim."""

    job: str
    last: int
    open: bool
    finished: int
    steps: list[StepOut] | None = Field(description="None where nothing is newer than `after`.")


class ReceivedOut(BaseModel):
    """Which claims are kept now, how many of them are new, and the job's newest number."""

    kept: list[str]
    new: int
    last: int


class ErrorOut(BaseModel):
    """What went wrong, and what to do."""

    error: str
    found: str = ""
    expected: str = ""


def claim_of(job: str, given: ClaimIn, person: str, device: str) -> Claim:
    """The claim that a JSON body holds. `device`: the visit that it came by, where it names none itself."""
    return Claim(
        client=given.client,
        job=job,
        step=given.step,
        kind=given.kind,
        at=Moment(given.at_us, given.offset_min),
        person=person,
        device=given.device or device,
        seen=given.seen,
        answers=tuple(Answer(a.ask, a.said, a.words, a.photo) for a in given.answers),
        reason=given.reason,
        keep=given.keep,
        instrument=given.instrument,
    )


def claim_from_form(job: str, step: Step, form: SentForm, at: Moment, person: str, device: str, photo: str) -> Claim:
    """The claim that a form holds; its identifier comes of what it says."""
    kind = form.get("kind", "done")
    known = {k.value for k in ClaimKind}
    answers = tuple(_answer(form, a.id, a.kind, photo) for a in step.asks)
    return Claim(
        client=_client(form, job, step, device),
        job=job,
        step=step.id,
        kind=ClaimKind(kind) if kind in known else ClaimKind.DONE,
        at=at,
        person=person,
        device=device,
        seen=_seen(form),
        answers=answers if kind == "done" else (),
        reason=form.get("reason")[:2000],
        keep=form.get("keep")[:64],
        instrument=form.get("instrument")[:60],
    )


def _seen(form: SentForm) -> int:
    """The job's newest number when the form's page was drawn; it stands behind the ticket."""
    number = form.get("ticket").partition(".")[2]
    return int(number) if number.isascii() and number.isdigit() and len(number) < 16 else 0


def _client(form: SentForm, job: str, step: Step, device: str) -> str:
    """The same for the same form of the same page, so that a form sent twice counts once."""
    said = [
        job,
        step.id,
        device,
        *(f"{k}={v}" for k, v in form.fields),
        *(hashlib.sha256(d).hexdigest() for _, d in form.files),
    ]
    return hashlib.sha256("\x00".join(said).encode()).hexdigest()[:40]


def _answer(form: SentForm, name: str, kind: Asked, photo: str) -> Answer:
    said = form.get(f"a-{name}")[:2000]
    if kind is Asked.ID and form.get(f"n-{name}") == "yes":
        said = Instead.NO_ANSWER.value
    if kind is Asked.ID and form.get(f"k-{name}") in (Instead.NO_ANSWER, Instead.AS_SHOWN):
        said = form.get(f"k-{name}")
    return Answer(
        name, "" if kind is Asked.PHOTO else said, form.get(f"w-{name}")[:2000], photo if kind is Asked.PHOTO else ""
    )


def progress_out(now: Doing, after: int | None = None) -> ProgressOut:
    """The state of a job; without its steps where nothing is newer than `after`."""
    steps = (
        None if after is not None and after >= now.last else [_step_out(s, Speech(now.start.units)) for s in now.states]
    )
    return ProgressOut(job=now.row.id, last=now.last, open=now.open, finished=now.finished, steps=steps)


def _step_out(s: StepState, speech: Speech) -> StepOut:
    claim = s.kept.claim if s.kept else None
    return StepOut(
        id=s.step.id,
        standing=s.standing.value,
        waits=list(s.waits),
        problems=[speech.text(one) for one in s.problems],
        refused={a.ask.id: speech.text(a.problem) for a in s.answers if a.problem},
        not_as_planned=[a.ask.id for a in s.answers if a.as_planned is False],
        otherwise=[a.ask.label for a in s.answers if a.as_planned is False],
        notes=[f"{a.said}: kept with every reading, {kept_as(a)}. You are asked at the end." for a in s.notes],
        by=claim.person if claim else "",
        at=claim.at.short() if claim else "",
        client=claim.client if claim else "",
        said=_said(claim, speech) if claim else [],
        reason=claim.reason if claim else "",
        rival=_rival(s.rival, speech) if s.rival else None,
    )


def _said(claim: Claim, speech: Speech) -> list[dict[str, str]]:
    """What was said; `shown` is that as a person reads it, where an option is kept as a code."""
    return [
        {"ask": a.ask, "said": a.said, "shown": speech.text(option_of(a.said) or a.said), "words": a.words}
        for a in claim.answers
    ]


def kept_as(a: ReadAnswer) -> str:
    """The IDs that an answer can be, in words: '2C41A7F3 (32 bits) or C41A7F3 (28 bits)'."""
    return " or ".join(f"{one.hex} ({one.bits} bits)" for one in a.readings)


def _rival(kept: Kept, speech: Speech) -> dict[str, Any]:
    c = kept.claim
    return {
        "client": c.client, "by": c.person, "at": c.at.short(), "kind": c.kind.value, "reason": c.reason,
        "said": _said(c, speech),
    }  # fmt: skip
