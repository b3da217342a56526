"""Keeping in a book where wheels are: as a person says it, and as a job has shown it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from wheelside.book.entry import Writing
from wheelside.book.facts import change_facts, facts_now
from wheelside.errors import BadRequest
from wheelside.garage.change import known_change
from wheelside.garage.words import Corner, SeenHow
from wheelside.jobs.desk import Desk
from wheelside.sheet.ask import ELSEWHERE, Tells
from wheelside.sheet.claim import Claim
from wheelside.sheet.progress import StepState
from wheelside.sheet.start import JobStart
from wheelside.sheet.step import Move
from wheelside.units.moment import Moment

Row = dict[str, Any]
KIND = "seen"


def say_on(desk: Desk, car: str, wheel_set: str, *, person: str = "", via: str = "page") -> None:
    """Keeps the owner's word that a set is on a car now. Raises BadRequest for one that there is not."""
    garage = desk.loaded().garage
    known_change(garage, car, wheel_set)
    with desk.writing(f"{wheel_set} is on {car}", person=person, via=via) as writing:
        _say(writing, {"set": wheel_set, "on": car}, person)


def say_wheel(desk: Desk, car: str, corner: str, wheel: str, *, person: str = "", via: str = "page") -> None:
    """Keeps the owner's word that a wheel is at a corner of a car now. Raises BadRequest for one that there is not."""
    garage = desk.loaded().garage
    known_change(garage, car, None)
    if wheel not in garage.wheels or corner not in {c.value for c in Corner}:
        raise BadRequest(
            "there is no such wheel or corner", found=f"{wheel} {corner}"[:60], expected="a wheel of this book"
        )
    with desk.writing(f"{wheel} is on {car}, {corner}", person=person, via=via) as writing:
        _say(writing, {"wheel": wheel, "on": car, "corner": corner}, person)


def say_at(desk: Desk, wheel_set: str, place: str, *, person: str = "", via: str = "page") -> None:
    """Keeps the owner's word that a set lies at a place now. Raises BadRequest for one that there is not."""
    garage = desk.loaded().garage
    known_change(garage, None, wheel_set)
    if place not in garage.places:
        raise BadRequest("there is no such place", found=place[:60], expected="a place of this book")
    with desk.writing(f"{wheel_set} lies at {place}", person=person, via=via) as writing:
        _say(writing, {"set": wheel_set, "at": place}, person)


def _say(writing: Writing, spot: Row, person: str) -> None:
    """Keeps one row, in place of those that said the same before."""
    row = {**spot, **_when(writing.at), **({"by": person} if person else {})}
    before = [r for r in facts_now(writing.conn) if r.kind == KIND]
    same = [r for r in before if all(r.body.get(k) == spot.get(k) for k in ("set", "wheel", "on", "corner", "at"))]
    if same and "since" in same[-1].body:
        row["since"] = same[-1].body["since"]
    changes: dict[tuple[str, str], tuple[int, Row | None]] = {(KIND, r.key): (r.place, None) for r in same}
    changes[KIND, f"{writing.entry}.0"] = (max((r.place for r in before), default=-1) + 1, row)
    change_facts(writing, changes)


def _when(at: Moment) -> Row:
    """The day and the time of a moment where the person was."""
    return {"as_of": at.day, "time": at.local.strftime("%H:%M:%S")}


def rows_of_job(job: str, start: JobStart, states: Iterable[StepState], now: Moment) -> list[Row]:
    """Where each wheel is by what a job has shown so far: one row a wheel, by its last move, or by the ID that it sent at its corner."""
    found: dict[str, tuple[int, Row]] = {}
    for state in states:
        claim = state.kept.claim if state.kept is not None else None
        if claim is None or not state.counts:
            continue
        at = claim.at if claim.at.us <= now.us else now
        base = {**_when(at), "job": job, **({"by": claim.person} if claim.person else {})}
        for move in _moves(state):
            if move.wheel not in found or found[move.wheel][0] <= at.us:
                found[move.wheel] = (at.us, {"wheel": move.wheel, **_spot(move), **base, "how": SeenHow.FITTED.value})
    for state in states:
        for row in _heard_at(job, start, state, now):
            found.setdefault(row["wheel"], (0, row))
    return [row for _, row in found.values()]


def _moves(state: StepState) -> tuple[Move, ...]:
    """The moves of a step; to the place that was named at it, where one was."""
    named = next((a.said for a in state.answers if a.ask.tells is Tells.PUT_AT and not a.problem and a.said), "")
    if not named or named == ELSEWHERE:
        return state.step.moves
    return tuple(replace(m, at=named) if m.on is None else m for m in state.step.moves)


def _spot(move: Move) -> Row:
    if move.on is not None:
        return {"on": move.on, "corner": move.corner}
    return {"at": move.at} if move.at is not None else {}


def _heard_at(job: str, start: JobStart, state: StepState, now: Moment) -> Iterable[Row]:
    """Wheels whose planned ID came from their corner of the car."""
    if state.kept is None or not state.counts or not start.car:
        return
    claim: Claim = state.kept.claim
    corners = {w.wheel: w.corner for w in start.wheels}
    for a in state.answers:
        if a.ask.tells is Tells.AWAKE and a.as_planned and a.ask.wheel in corners:
            at = claim.at if claim.at.us <= now.us else now
            who = {"by": claim.person} if claim.person else {}
            yield {
                "wheel": a.ask.wheel, "on": start.car, "corner": corners[a.ask.wheel], **_when(at), "job": job,
                "how": SeenHow.TRIGGER.value, **who,
            }  # fmt: skip


def keep_seen(writing: Writing, job: str, rows: Iterable[Row]) -> None:
    """Makes the rows of a job those that it has shown by now."""
    before = [r for r in facts_now(writing.conn) if r.kind == KIND]
    place = max((r.place for r in before), default=-1) + 1
    changes: dict[tuple[str, str], tuple[int, Row | None]] = {
        (KIND, r.key): (r.place, None) for r in before if r.body.get("job") == job
    }
    places = {r.key: r.place for r in before}
    for n, row in enumerate(rows):
        key = f"{job}.{row['wheel']}"
        changes[KIND, key] = (places.get(key, place + n), row)
    if changes:
        change_facts(writing, changes)
