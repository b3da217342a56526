"""Doing a job with a phone in hand: beginning it, taking in what is claimed, and seeing how far it has come."""

from __future__ import annotations

import secrets
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from functools import lru_cache

from wheelside.book.entry import View, Writing
from wheelside.book.events import Event, Happened, add_events
from wheelside.book.evidence import add_claims, claims_by, claims_of, last_number
from wheelside.book.jobs import FINISHED, JobRow, begin_job, job_mark, job_of, jobs_of
from wheelside.book.older import as_code
from wheelside.book.photos import checked_name
from wheelside.book.readings import add_readings
from wheelside.errors import BadRequest, Meanwhile, NotThere
from wheelside.finding import Finding
from wheelside.garage.model import Garage
from wheelside.garage.present import present
from wheelside.identity.states import IdState
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.work.air import NEAR_DAYS
from wheelside.jobs.work.asking import asking_for
from wheelside.jobs.work.seen import keep_seen, rows_of_job
from wheelside.jobs.work.sheet import make_sheet
from wheelside.jobs.work.step_readings import step_readings
from wheelside.proof.plain import read_start, start_text
from wheelside.sheet.answers import ReadAnswer, read_answer
from wheelside.sheet.ask import Asked, Tells
from wheelside.sheet.claim import Claim, ClaimKind, Kept
from wheelside.sheet.extent import Extent
from wheelside.sheet.option import YesNo
from wheelside.sheet.progress import StepState, progress
from wheelside.sheet.start import JobStart, PlannedWheel, job_start
from wheelside.sheet.step import Does, RunSheet, Step
from wheelside.sheet.title import called, kept_title
from wheelside.units.moment import US_PER_S, Moment

FUTURE_S = 120.0
"""How far a phone's clock may run ahead before its times are taken as uncertain by that much."""


@dataclass(frozen=True, slots=True)
class Doing:
    """One job as it stands."""

    row: JobRow
    start: JobStart
    claims: tuple[Kept, ...]
    states: tuple[StepState, ...]

    @property
    def open(self) -> bool:
        return self.row.outcome is None

    @property
    def last(self) -> int:
        """The number of its newest claim."""
        return self.claims[-1].num if self.claims else 0

    @property
    def next(self) -> StepState | None:
        """The first step that is still to be done and waits for none; one that an answer has called for goes before the others."""
        ready = [s for s in self.states if s.to_do and not s.waits]
        return min(ready, key=lambda s: not s.step.rare, default=None)

    @property
    def finished(self) -> int:
        return sum(s.finished for s in self.states)


@dataclass(frozen=True, slots=True)
class BegunJob:
    """A new job's id; None where there is none, with what forbids it, or with the job that is under way for the same car."""

    job: str | None
    forbidden: tuple[Finding, ...]
    under_way: str | None = None


def begin(
    desk: Desk, *, car: str | None = None, wheel_set: str | None = None, person: str = "", via: str = "page",
    extent: Extent = Extent.ALL, about: str = "",
) -> BegunJob:  # fmt: skip
    """Begins the job that is due, or the one asked for, with a run sheet that stays as it is; `extent`: or one part of the work on
    a set that is on its car now; `about`: on the one wheel that is called so, or is at that corner. A
    flat tyre waits for no other job. Raises Mendable, Outside."""
    plain, today = desk.loaded().garage, desk.clock().day
    garage = plain
    if extent.changes:
        garage = asking_for(plain, today, car, wheel_set, now=_far_ahead(plain, today, car, wheel_set))
    plan = desk.plan() if garage is plain else desk.plan_for(garage)
    _, sheet, forbidden = make_sheet(
        garage, plan, car=car, wheel_set=wheel_set, in_book=True, extent=extent, about=about
    )
    if sheet is None:
        return BegunJob(None, forbidden)
    other = None if extent is Extent.FLAT else _under_way(desk, sheet)
    if other is not None:
        return BegunJob(None, (), other)
    start = job_start(garage, plan, sheet)
    job = secrets.token_hex(8)
    with desk.writing(f"job begun: {job}", person=person, via=via) as writing:
        begin_job(writing, job, kept_title(called(garage, sheet)), sheet.day.isoformat(), start_text(start))
    return BegunJob(job, ())


def _far_ahead(garage: Garage, day: date, car: str | None, wheel_set: str | None) -> bool:
    """Whether the season line has the change that is asked for only some weeks from now, so that it is done out of its turn."""
    if wheel_set is None:
        return False
    ahead = [s for s in present(garage, day).line if s.set == wheel_set and s.on is not None and s.on == (car or s.on)]
    if car is None and not ahead:
        return False  # it goes on no car, and is worked on where it stands
    return not any((s.since - day).days <= NEAR_DAYS for s in ahead)


def _under_way(desk: Desk, sheet: RunSheet) -> str | None:
    """The open job for the same car, or one that moves one of the same sets."""
    sets = {sheet.coming, sheet.going} - {None}
    with desk.book.reading() as conn:
        for row in jobs_of(conn):
            if row.outcome is None:
                start = start_in(conn, row.id)
                if (sheet.car and start.car == sheet.car) or sets & {start.coming, start.going}:
                    return row.id
    return None


def doing_in(conn: View, job: str) -> Doing:
    """One job as a transaction sees it. Raises BadRequest where there is none."""
    mark = (str(conn.engine.url), job, *job_mark(conn, job))
    held = _HELD.get(mark)
    if held is None:
        row = job_of(conn, job)
        if row is None:
            raise _no_job(job)
        start = _start(row.body)
        claims = claims_of(conn, job)
        held = Doing(row, start, claims, progress(start.sheet, claims, start.units))
        if len(_HELD) >= MOST_HELD:
            _HELD.clear()
        _HELD[mark] = held
    return held


MOST_HELD = 64
_HELD: dict[tuple[str, str, int, str, str], Doing] = {}
"""Jobs as they were worked out last, by their book. Claims are only ever added, so that the newest one and the outcome tell all."""


def start_in(conn: View, job: str) -> JobStart:
    """What a job began with. Raises NotThere."""
    row = job_of(conn, job)
    if row is None:
        raise _no_job(job)
    return _start(row.body)


def _no_job(job: str) -> NotThere:
    return NotThere("there is no such job in this book", found=job[:40], expected="a job of this book")


@lru_cache(maxsize=16)
def _start(body: str) -> JobStart:
    return read_start(body)


def doing(desk: Desk, job: str) -> Doing:
    """One job as it stands. Raises BadRequest where there is none."""
    with desk.book.reading() as conn:
        return doing_in(conn, job)


@dataclass(frozen=True, slots=True)
class Received:
    """What came of claims: which are kept now, be it from before, and the job's newest number."""

    kept: tuple[str, ...]
    new: int
    last: int


def take_claims(desk: Desk, job: str, claims: Iterable[Claim], *, via: str = "page") -> Received:
    """Keeps claims once each, with the readings and events that follow from them, in one transaction.

    A claim that came before is acknowledged and not kept twice. Raises BadRequest for a step or job that there is not;
    then none of them is kept.
    """
    came = [_timed(c, desk.clock()) for c in claims]
    if not came:
        raise BadRequest("nothing was claimed", expected="one claim at least")
    person = came[0].person
    with desk.writing(f"evidence of job {job}", person=person, via=via) as writing:
        start = start_in(writing.conn, job)
        steps = {step.id: step for step in start.sheet.steps}
        for claim in came:
            if claim.job != job or claim.step not in steps:
                raise BadRequest("this job has no such step", found=claim.step[:60], expected=", ".join(steps))
        wanted = [_in_codes(claim, steps[claim.step]) for claim in came]
        known = claims_by(writing.conn, [c.client for c in wanted])
        new = []
        for claim in wanted:
            if claim.client not in known:
                new.append(claim)
            _refuse_another(known.setdefault(claim.client, claim), claim)
        _refuse_unknown_photos(desk, new)
        add_claims(writing, new)
        for claim in new:
            _follow(desk, writing, start, steps[claim.step], claim)
        if any(steps[c.step].moves or any(a.tells is Tells.AWAKE for a in steps[c.step].asks) for c in new):
            _see(desk, writing, job, start)
        last = last_number(writing.conn, job)
    return Received(tuple(c.client for c in wanted), len(new), last)


def _in_codes(claim: Claim, step: Step) -> Claim:
    """The claim, its answers in codes where its sender is a page from before there were codes."""
    asks = {one.id: one for one in step.asks}
    answers = (
        replace(a, said=as_code(a.said, asks[a.ask].kind.value, asks[a.ask].tells.value)) if a.ask in asks else a
        for a in claim.answers
    )
    return replace(claim, answers=tuple(answers))


def _see(desk: Desk, writing: Writing, job: str, start: JobStart) -> None:
    """Puts where wheels are now, by all that the job has shown, into the book's facts."""
    row = job_of(writing.conn, job)
    if row is None or row.outcome == FINISHED:
        return  # its facts were settled when it was finished; what comes later is evidence, and changes none
    states = progress(start.sheet, claims_of(writing.conn, job), start.units)
    known = {w.id for w in desk.loaded_in(writing.conn).garage.wheel}
    keep_seen(writing, job, [r for r in rows_of_job(row, start, states, desk.clock()) if r["wheel"] in known])


def _refuse_another(kept: Claim, claim: Claim) -> None:
    """Raises Meanwhile where an identifier stands for something else already."""
    if (kept.job, kept.step, kept.content) != (claim.job, claim.step, claim.content):
        raise Meanwhile(
            f"another claim came under the identifier {claim.client} already: send this one under one of its own",
            found=claim.client,
        )


def _refuse_unknown_photos(desk: Desk, claims: Iterable[Claim]) -> None:
    for name in {a.photo for c in claims for a in c.answers if a.photo}:
        if not (desk.photos / checked_name(name)).is_file():
            raise BadRequest("a photo is named that was not sent: send the photo first", found=name[:20])


def _timed(claim: Claim, now: Moment) -> Claim:
    """The claim; with its moment marked uncertain where the phone's clock runs ahead of this one's."""
    ahead = (claim.at.us - now.us) / US_PER_S
    return replace(claim, spread_s=max(claim.spread_s, ahead)) if ahead > FUTURE_S else claim


def _follow(desk: Desk, writing: Writing, start: JobStart, step: Step, claim: Claim) -> None:
    """Adds what follows from a claim to the readings and events of its wheels."""
    if claim.kind is not ClaimKind.DONE:
        return
    said = {a.ask: a for a in claim.answers}
    answers = tuple(read_answer(ask, said.get(ask.id), start.units) for ask in step.asks)
    if any(a.pressure is not None for a in answers):
        add_readings(writing, step_readings(start, step, claim, answers, desk.loaded_in(writing.conn).garage))
    wheels = {w.wheel: w for w in start.wheels}
    events = [e for a in answers if (e := _id_event(claim, wheels, a)) is not None]
    add_events(writing, [*events, *_moved(start, step, claim)])


_STATES = {
    Tells.WRITTEN: IdState.WRITTEN,
    Tells.READ_BACK: IdState.READ_BACK,
    Tells.AWAKE: IdState.HEARD,
    Tells.SENT_BEFORE: IdState.HEARD,
    Tells.TAUGHT: IdState.KNOWN,
}


def _id_event(claim: Claim, wheels: dict[str, PlannedWheel], a: ReadAnswer) -> Event | None:
    state = _STATES.get(a.ask.tells)
    if state is None or a.problem is not None or a.empty:
        return None
    planned = wheels.get(a.ask.wheel)
    one = a.id if a.ask.kind is Asked.ID else (planned.id if planned and a.said == YesNo.YES else None)
    if one is None:
        return None
    return Event(
        Happened.ID_STATE, claim.at, wheel=a.ask.wheel, hex=one.hex, job=claim.job,
        sensor=None if planned is None or planned.refit else planned.sensor, detail={"state": state.value, "said": a.said},
    )  # fmt: skip


def _moved(start: JobStart, step: Step, claim: Claim) -> Iterable[Event]:
    """The wheels that were fitted or taken off at this step."""
    for move in step.moves if step.does in _MOVING else ():
        kind = Happened.FITTED if move.on else Happened.TAKEN_OFF
        ours = any(w.wheel == move.wheel for w in start.wheels)
        on_set = start.coming if ours else start.going
        yield Event(
            kind, claim.at, wheel=move.wheel, car=start.car or None, set=on_set, corner=move.corner or None, job=claim.job
        )  # fmt: skip


_MOVING = (Does.FIT, Does.TAKE_OFF, Does.STOW_SPARE, Does.SHOP_SWAPS, Does.SPARE_ON)
"""Steps at which wheels are fitted or taken off."""
