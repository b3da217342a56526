"""Answering the steps of a job in tests, as planned or otherwise."""

from __future__ import annotations

import json
from dataclasses import replace
from itertools import count

from books import NOON, later
from wheelside.book.jobs import begin_job, job_of
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.work.doing import Received, doing, take_claims
from wheelside.sheet.ask import Ask, Asked, Tells
from wheelside.sheet.claim import Answer, Claim, ClaimKind
from wheelside.sheet.option import Battery, Codes
from wheelside.sheet.step import Step
from wheelside.units.moment import Moment

_FREE = {"codes": Codes.NONE, "battery": Battery.GOOD}
DASH = {Tells.DASH_BEFORE: "2.00", Tells.DASH_NOW: "2.40"}
"""The dash follows."""
_clients = count()


def as_planned(ask: Ask) -> str:
    """What a person says whose work goes as planned."""
    if ask.kind is Asked.DONE and not ask.only:
        return "yes"
    if ask.kind is Asked.PICK and not ask.only:
        return ask.expect or _FREE.get(ask.id, ask.options[0])
    if ask.only:
        return ""
    if ask.tells in DASH:
        return DASH[ask.tells]
    if ask.kind is Asked.PRESSURE:
        return f"{(ask.pressure.kpa if ask.pressure is not None else 240) / 100:.2f}"
    if ask.kind is Asked.ID:
        return ask.wanted.hex if ask.wanted else "0x1234ABCD"
    if ask.temperature is not None:
        return f"{ask.temperature.kelvin - 273.15:.2f} °C"
    if ask.tells is Tells.LAMP_OUT_AFTER:
        return ""
    return {Asked.TEMPERATURE: "17", Asked.MINUTES: "20", Asked.WORDS: "noted", Asked.PHOTO: "", Asked.TREAD: "5"}[
        ask.kind
    ]


def claim(
    job: str,
    step: Step,
    *,
    at: Moment = NOON,
    device: str = "phone",
    seen: int = 10**9,
    said: dict[str, str] | None = None,
) -> Claim:
    """A claim that a step is done as planned, but for what is said otherwise by the asks' names (with _ for -)."""
    told: dict[str, str] = {}
    for one in step.asks:
        plain = as_planned(replace(one, only=())) if _called(step, one, told) else as_planned(one)
        told[one.id] = (said or {}).get(one.id.replace("-", "_"), plain)
    answers = tuple(Answer(name, text) for name, text in told.items())
    return Claim(f"client-{next(_clients)}", job, step.id, ClaimKind.DONE, at, "Ada", device, seen, answers)


def _called(step: Step, one: Ask, told: dict[str, str]) -> bool:
    """Whether what was said at the step before calls for an ask."""
    return any(told.get(when.of.removeprefix(f"{step.id}/")) in when.said for when in one.only)


def same_again(desk: Desk, job: str, other: str) -> str:
    """A second job that begins just as `job` did, as books of before may hold for one car."""
    with desk.writing("the same again") as writing:
        row = job_of(writing.conn, job)
        assert row is not None
        begin_job(writing, other, row.title, row.day, row.body)
    return other


def without_cards(desk: Desk, job: str, other: str) -> str:
    """The same job as one that began before there were cards."""
    with desk.writing("the same as before there were cards") as writing:
        row = job_of(writing.conn, job)
        assert row is not None
        body = json.loads(row.body)
        assert body["sheet"].pop("cards")
        begin_job(writing, other, row.title, row.day, json.dumps(body))
    return other


def do_all(
    desk: Desk, job: str, *, skip: tuple[str, ...] = (), other: dict[str, dict[str, str]] | None = None
) -> Received:
    """Claims every step in its order, ten minutes apart; `other`: answers of a step, by its id with _ for -.

    A step that something has to call for is done where `other` names it.
    """
    steps, said = doing(desk, job).start.sheet.steps, other or {}
    claims = [
        claim(job, step, at=later(10 * n), said=said.get(step.id.replace("-", "_")))
        for n, step in enumerate(steps)
        if step.id not in skip and (not step.calls or step.id.replace("-", "_") in said)
    ]
    return take_claims(desk, job, claims)
