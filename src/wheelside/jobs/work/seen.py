"""Keeping in a book where wheels are: as a person says it, and as a job has shown it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from wheelside.book.entry import Writing
from wheelside.book.facts import FactRow, change_facts, facts_now
from wheelside.book.jobs import JobRow
from wheelside.errors import BadRequest
from wheelside.garage.change import known_change
from wheelside.garage.words import Corner, SeenHow
from wheelside.jobs.book.desk import Desk
from wheelside.sheet.ask import Tells
from wheelside.sheet.option import Instead
from wheelside.sheet.progress import StepState
from wheelside.sheet.start import JobStart
from wheelside.sheet.step import Does, Move
from wheelside.units.moment import Moment

Row = dict[str, Any]
KIND = "seen"


def say_on(desk: Desk, car: str, wheel_set: str, *, person: str = "", via: str = "page") -> None:
    """Keeps the owner's word that a set is on a car now. Raises BadRequest for one that there is not."""
    garage = desk.loaded().garage
    known_change(garage, car, wheel_set)
    with desk.writing(
        f"{garage.sets[wheel_set].name} is on {garage.cars[car].name}", person=person, via=via
    ) as writing:
        _say(writing, {"set": wheel_set, "on": car}, person)


def say_wheel(desk: Desk, car: str, corner: str, wheel: str, *, person: str = "", via: str = "page") -> None:
    """Keeps the owner's word that a wheel is at a corner of a car now. Raises BadRequest for one that there is not."""
    garage = desk.loaded().garage
    known_change(garage, car, None)
    if wheel not in garage.wheels or corner not in {c.value for c in Corner}:
        raise BadRequest(
            "there is no such wheel or corner", found=f"{wheel} {corner}"[:60], expected="a wheel of this book"
        )
    with desk.writing(
        f"{garage.wheels[wheel].name} is on {garage.cars[car].name}, {corner}", person=person, via=via
    ) as writing:
        _say(writing, {"wheel": wheel, "on": car, "corner": corner}, person)


def say_at(desk: Desk, wheel_set: str, place: str, *, person: str = "", via: str = "page") -> None:
    """Keeps the owner's word that a set lies at a place now. Raises BadRequest for one that there is not."""
    garage = desk.loaded().garage
    known_change(garage, None, wheel_set)
    if place not in garage.places:
        raise BadRequest("there is no such place", found=place[:60], expected="a place of this book")
    with desk.writing(
        f"{garage.sets[wheel_set].name} lies at {garage.places[place].name}", person=person, via=via
    ) as writing:
        _say(writing, {"set": wheel_set, "at": place}, person)


def _say(writing: Writing, spot: Row, person: str) -> None:
    """Keeps one row, in place of those that said the same before; later than every other row, however fast they were said."""
    before = _rows(writing)
    row = {**spot, **_free(writing.at, before), **({"by": person} if person else {})}
    same = [r for r in before if all(r.body.get(k) == spot.get(k) for k in ("set", "wheel", "on", "corner", "at"))]
    if same and "since" in same[-1].body:
        row["since"] = same[-1].body["since"]
    changes: dict[tuple[str, str], tuple[int, Row | None]] = {(KIND, r.key): (r.place, None) for r in same}
    changes[KIND, f"{writing.entry}.0"] = (_next_place(before), row)
    change_facts(writing, changes)


def _free(at: Moment, rows: list[FactRow]) -> Row:
    """The moment, or one after every row of the second that it begins: two words of one moment would have no order."""
    within = [_when(replace(at, us=at.us + ms * _MS)) for ms in range(1_000)]
    taken = {(r.body["as_of"], r.body.get("time")) for r in rows}
    last = max((n for n, w in enumerate(within) if (w["as_of"], w["time"]) in taken), default=-1)
    return _when(replace(at, us=at.us + (last + 1) * _MS))


_MS = 1_000


def _rows(writing: Writing) -> list[FactRow]:
    return [r for r in facts_now(writing.conn) if r.kind == KIND]


def _next_place(rows: list[FactRow]) -> int:
    return max((r.place for r in rows), default=-1) + 1


def _when(at: Moment) -> Row:
    """The day and the time of a moment where the person was, to the millisecond: taps come two in a second."""
    return {"as_of": at.day, "time": at.local.time().isoformat("milliseconds")}


def rows_of_job(row: JobRow, start: JobStart, states: Iterable[StepState], now: Moment) -> list[Row]:
    """Where each wheel is by what a job has shown so far: one row a wheel, by its last move, or by the ID that it sent at its corner.

    Moments are the book's, in the zone of `now`: never after the claim was recorded, nor before the job began.
    """
    found: dict[str, tuple[int, Row]] = {}
    counting = [s for s in states if s.counts and s.kept is not None]
    off = {m.wheel for s in counting for m in _moves(s) if m.on is None and s.step.does not in _PUTS}
    came_off = {m.wheel for s in states for m in _moves(s) if m.on is None and s.step.does not in _PUTS}
    for state in counting:
        at, base = _told(row, state, now)
        for move in _moves(state):
            stays = state.step.does in _PUTS and move.wheel in came_off - off
            if not stays and (move.wheel not in found or found[move.wheel][0] <= at):
                found[move.wheel] = (at, {"wheel": move.wheel, **_spot(move), **base, "how": SeenHow.FITTED.value})
    for state in counting:
        for heard in _heard_at(row, start, state, now):
            found.setdefault(heard["wheel"], (0, heard))
    return [one for _, one in found.values()]


_PUTS = (Does.BRING, Does.CARRY_AWAY, Does.STORE)
"""Steps that say where wheels lie that are on no car."""


def _told(row: JobRow, state: StepState, now: Moment) -> tuple[int, Row]:
    """When a step was done, in microseconds, and what its rows have in common."""
    assert state.kept is not None, "only steps with a claim are told"
    claim, recorded = state.kept.claim, state.kept.recorded
    us = max(min(claim.at.us, recorded.us), row.begun.us)
    who = {"by": claim.person} if claim.person else {}
    return us, {**_when(Moment(us, now.offset_min)), "job": row.id, **who}


def _moves(state: StepState) -> tuple[Move, ...]:
    """The moves of a step; to the place that was named at it, where one was."""
    step = state.step
    named = next((a.said for a in state.answers if a.ask.tells is Tells.PUT_AT and a.problem is None and a.said), "")
    if not named or named == Instead.ELSEWHERE:
        return step.moves
    return tuple(replace(m, at=named) if m.on is None else m for m in step.moves)


def _spot(move: Move) -> Row:
    if move.on is not None:
        return {"on": move.on, "corner": move.corner}
    return {"at": move.at} if move.at is not None else {}


def _heard_at(row: JobRow, start: JobStart, state: StepState, now: Moment) -> Iterable[Row]:
    """Wheels whose planned ID came from their corner of the car."""
    corners = {w.wheel: w.corner for w in start.wheels} if start.car else {}
    for a in state.answers:
        if a.ask.tells is Tells.AWAKE and a.as_planned and a.ask.wheel in corners:
            _, base = _told(row, state, now)
            spot = {"on": start.car, "corner": corners[a.ask.wheel]}
            yield {"wheel": a.ask.wheel, **spot, **base, "how": SeenHow.TRIGGER.value}


def keep_seen(writing: Writing, job: str, rows: Iterable[Row]) -> None:
    """Makes the rows of a job those that it has shown by now."""
    before = _rows(writing)
    place = _next_place(before)
    changes: dict[tuple[str, str], tuple[int, Row | None]] = {
        (KIND, r.key): (r.place, None) for r in before if r.body.get("job") == job
    }
    places = {r.key: r.place for r in before}
    for n, row in enumerate(rows):
        key = f"{job}.{row['wheel']}"
        changes[KIND, key] = (places.get(key, place + n), row)
    if changes:
        change_facts(writing, changes)
