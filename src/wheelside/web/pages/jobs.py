"""Jobs: beginning one, doing it step by step, and ending it."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass

from fastapi import Depends, Request
from markupsafe import Markup
from starlette.responses import Response

from wheelside.errors import BadRequest, NotThere
from wheelside.finding import Finding
from wheelside.garage.change import next_change
from wheelside.garage.present import Present
from wheelside.garage.words import Corner, Instrumentation
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.book.kept import JobRow, all_jobs, job_beside_garage, jobs_under_way
from wheelside.jobs.work.doing import Doing, begin, doing, take_claims
from wheelside.jobs.work.finish import finish, give_up, settling
from wheelside.jobs.work.photo import take_photo
from wheelside.jobs.work.settle import Ended
from wheelside.jobs.work.shop import shop_note
from wheelside.jobs.work.tyres import tyres_now
from wheelside.said import Said
from wheelside.screens.tyres import BesideAsk, beside_asks
from wheelside.sheet.extent import Extent
from wheelside.sheet.judge import FOLLOWS
from wheelside.sheet.option import Instead
from wheelside.sheet.progress import Standing
from wheelside.speech.speech import Speech
from wheelside.web.cards import CardView, cards_of, written
from wheelside.web.claims import claim_from_form
from wheelside.web.form import SentForm, form_of
from wheelside.web.frame import PageFrame, desk_of, frame_of, page, person_of, see, visitor_of
from wheelside.web.route import pages
from wheelside.web.stepview import StepView, codes_of, view_of

router = pages()
SHARED = ("clock.js", "queue.js", "figures.js")
"""The scripts that every run sheet shares."""


@dataclass(frozen=True, slots=True)
class Jobs:
    """Every job, and what can be begun. `next`: the change that is due or comes next, '' where there is none. `not_known`: cars of
    which nobody has said what is on them. `worn`: cars with a set on, each with both names.
    `each`: the wheels that are on cars, each by its corner. `noted`: jobs that have a note for the shop.

    `forbidden`, `under_way`, `trouble`: why the last one that was asked for was not begun.
    """

    frame: PageFrame
    jobs: tuple[JobRow, ...]
    cars: tuple[tuple[str, str], ...]
    sets: tuple[tuple[str, str], ...]
    next: str
    not_known: tuple[tuple[str, str], ...]
    worn: tuple[tuple[str, str], ...]
    each: tuple[tuple[str, str], ...]
    forbidden: tuple[Finding, ...]
    under_way: str
    trouble: str
    noted: frozenset[str]


@router.get("/jobs")
def jobs(request: Request) -> Response:
    """The list."""
    return _jobs(request)


def _jobs(request: Request, forbidden: tuple[Finding, ...] = (), under_way: str = "", trouble: str = "") -> Response:
    desk = desk_of(request)
    garage = desk.loaded().garage
    rows = all_jobs(desk)
    cars, sets = (
        tuple((c.id, c.name) for c in garage.own_cars),
        _ours(desk),
    )
    frame, refused = frame_of(request, "/jobs"), bool(forbidden or under_way or trouble)
    now = desk.present()
    not_known = tuple((c.id, c.name) for c in now.garage.car if now.set_on(c.id) is None and not now.wheel_at(c.id))
    each = tuple(_each_wheel(now))
    worn = tuple((car, f"{now.garage.cars[car].name}: {now.garage.sets[s].name}") for s, car in now.car_of.items())
    noted = frozenset(one.row.id for one in jobs_under_way(desk) if shop_note(one) is not None)
    shown = Jobs(frame, rows, cars, sets, _next(desk), not_known, worn, each, forbidden, under_way, trouble, noted)
    return page("jobs.html", shown, 400 if trouble else 409 if refused else 200)


def _each_wheel(now: Present) -> Iterator[tuple[str, str]]:
    """The wheels that are on cars at road corners, and what they are called."""
    several = len(now.car_of) > 1
    for wheel_set, car in now.car_of.items():
        for corner, wheel in now.garage.sets[wheel_set].wheels:
            if corner is not Corner.SPARE:
                whose = f"{now.garage.cars[car].name}: " if several else ""
                yield wheel, f"{whose}{corner.value}, {now.garage.wheels[wheel].name}"


def _ours(desk: Desk) -> tuple[tuple[str, str], ...]:
    """The sets that can go on a car: not those on offer, sold or scrapped."""
    today = desk.clock().day
    return tuple((s.id, s.name) for s in desk.loaded().garage.set if not s.on_offer and not s.gone_by(today))


def _next(desk: Desk) -> str:
    """The change that is due or comes next, in words; '' where there is none."""
    now = desk.present()
    try:
        change = next_change(now, None, None)
    except BadRequest:
        return ""
    if change.day == change.then and change.then <= now.day:
        return ""
    return f"{now.garage.sets[change.coming].name} on {now.garage.cars[change.car].name}"


def _extent(asked: str) -> Extent:
    try:
        return Extent(asked)
    except ValueError:
        raise BadRequest("There is no such part of the work.") from None


@router.post("/jobs")
def begin_job(request: Request, form: SentForm = Depends(form_of)) -> Response:  # noqa: B008  FastAPI's way
    """Begins a job."""
    desk, car, wheel_set = desk_of(request), form.get("car") or None, form.get("set") or None
    extent = _extent(form.get("extent") or Extent.ALL)
    try:
        begun = begin(
            desk, car=car, wheel_set=wheel_set, person=person_of(request), extent=extent, about=form.get("wheel") or ""
        )
    except BadRequest as error:
        if not extent.changes:
            return _jobs(request, trouble=error.message)
        if wheel_set is not None:
            raise
        return _jobs(request, trouble="Which set goes on which car? Choose both.")
    if begun.job is None:
        return _jobs(request, begun.forbidden, begun.under_way or "")
    return see(f"/jobs/{begun.job}")


@dataclass(frozen=True, slots=True)
class StepsPage:
    """The run sheet of a job from before there were cards: all steps on one page, and each QR code once."""

    frame: PageFrame
    now: Doing
    views: tuple[StepView, ...]
    codes: tuple[tuple[str, Markup], ...]
    numbers: dict[str, int]
    gauges: tuple[str, ...]
    no_answer: Instead
    standings: str
    device: str
    modules: tuple[str, ...] = SHARED


@dataclass(frozen=True, slots=True)
class CardsPage:
    """The run sheet as cards, all on one page, and each QR code once.

    `of_card`: what each card is called. `follows`: by how many kPa the dash has to follow. `modules`: further scripts of the page. `plain`: for a
    browser without script.
    """

    frame: PageFrame
    now: Doing
    cards: tuple[CardView, ...]
    of_card: dict[str, str | Said]
    codes: tuple[tuple[str, Markup], ...]
    gauges: tuple[str, ...]
    no_answer: Instead
    standings: str
    device: str
    plain: bool
    follows: float = FOLLOWS.kpa
    modules: tuple[str, ...] = (*SHARED, "called.js", "care.js", "rows.js")


@router.get("/jobs/{job}")
def sheet(request: Request, job: str, plain: bool = False) -> Response:
    """The run sheet: cards, or the list of steps for a job that began without cards. `plain`: without script, all below one another."""
    now, gauges = _now(request, job)
    says = _says(request, now)
    views = tuple(view_of(request, now, n, s, says) for n, s in enumerate(now.states, start=1))
    cards, visitor = cards_of(now, views), visitor_of(request)
    frame, device = frame_of(request, "/jobs", short=True), visitor.id if visitor else ""
    standings = json.dumps({one.value: Speech().text(one) for one in Standing})
    if not cards:
        steps = StepsPage(frame, now, views, _codes(views), _numbers(now), gauges, Instead.NO_ANSWER, standings, device)
        return page("steplist.html", steps)
    codes = codes_of(tuple(one.hex for c in cards for row in c.rows if (one := written(row))))
    titles: dict[str, str | Said] = {c.card.of.value: c.card.title for c in cards}
    return page(
        "sheet.html", CardsPage(frame, now, cards, titles, codes, gauges, Instead.NO_ANSWER, standings, device, plain)
    )


@dataclass(frozen=True, slots=True)
class OneStep:
    """One step on a page of its own, for a browser without script."""

    frame: PageFrame
    now: Doing
    view: StepView
    codes: tuple[tuple[str, Markup], ...]
    numbers: dict[str, int]
    gauges: tuple[str, ...]
    no_answer: Instead


@router.get("/jobs/{job}/steps/{step_id}")
def one_step(request: Request, job: str, step_id: str) -> Response:
    """One step."""
    now, gauges = _now(request, job)
    number = next((n for n, s in enumerate(now.states) if s.step.id == step_id), None)
    if number is None:
        raise NotThere("this job has no such step", found=step_id[:60])
    view = view_of(request, now, number + 1, now.states[number], _says(request, now))
    frame = frame_of(request, "/jobs", short=True)
    return page("onestep.html", OneStep(frame, now, view, _codes((view,)), _numbers(now), gauges, Instead.NO_ANSWER))


def _now(request: Request, job: str) -> tuple[Doing, tuple[str, ...]]:
    now, garage = job_beside_garage(desk_of(request), job)
    return now, tuple(i.name for i in garage.instrument if i.kind is Instrumentation.GAUGE)


def _says(request: Request, now: Doing) -> dict[str, BesideAsk]:
    """What stands beside the pressures that an open job asks for, by wheel."""
    desk, wheels = desk_of(request), {w for s in now.states for w in s.step.gauged}
    if not wheels or not now.open:
        return {}
    return beside_asks(tyres_now(desk, wheels=wheels).tyres, wheels, desk.clock().day)


def _numbers(now: Doing) -> dict[str, int]:
    return {s.step.id: n for n, s in enumerate(now.states, start=1)}


def _codes(views: tuple[StepView, ...]) -> tuple[tuple[str, Markup], ...]:
    return codes_of(tuple(b.hex for v in views for b in v.big))


@router.post("/jobs/{job}/steps/{step_id}")
def take_step(request: Request, job: str, step_id: str, form: SentForm = Depends(form_of)) -> Response:  # noqa: B008
    """Takes what a form without script claims at a step."""
    desk = desk_of(request)
    now = doing(desk, job)
    step = next((s.step for s in now.states if s.step.id == step_id), None)
    if step is None:
        raise NotThere("this job has no such step", found=step_id[:60])
    if form.get("kind", "done") == "done" and step.cautions and now.start.sheet.cards and form.get("read") != "yes":
        raise BadRequest("Read the cautions first, and tick that you did: nothing of this was kept.")
    picture = form.file("photo")
    name = take_photo(desk, picture) if picture else ""
    visitor = visitor_of(request)
    claim = claim_from_form(job, step, form, desk.clock(), person_of(request), visitor.id if visitor else "", name)
    take_claims(desk, job, [claim])
    after = doing(desk, job)
    mine = next(s for s in after.states if s.step.id == step_id)
    stays = not mine.finished
    following = after.next.step.id if after.next and not stays else step_id
    return see(f"/jobs/{job}{'?plain=1' if now.start.sheet.cards else ''}#step-{following}")


@dataclass(frozen=True, slots=True)
class Ending:
    """What finishing a job would do."""

    frame: PageFrame
    now: Doing
    settling: Ended


@router.get("/jobs/{job}/finish")
def ending(request: Request, job: str) -> Response:
    """Before a job is finished: what is open, and what changes in the book."""
    desk = desk_of(request)
    now = doing(desk, job)
    if not now.open:
        return see(f"/jobs/{job}/proof" if now.row.proof else f"/jobs/{job}")
    return page("finish.html", Ending(frame_of(request, "/jobs", asks=False), now, settling(desk, now)))


def _bits(form: SentForm) -> int | None:
    """The width that the form says the IDs have; None where it says none."""
    said = form.get("bits")
    return int(said) if said.isascii() and said.isdigit() and len(said) < 4 else None


@router.post("/jobs/{job}/finish")
def end(request: Request, job: str, form: SentForm = Depends(form_of)) -> Response:  # noqa: B008
    """Finishes a job, or gives it up."""
    desk = desk_of(request)
    if form.get("how") == "give up":
        give_up(desk, job, form.get("reason")[:500] or "no reason given", person=person_of(request))
        return see(f"/jobs/{job}")
    finish(
        desk,
        job,
        put_right=form.get("put_right") == "yes",
        leave_open=form.get("leave_open") == "yes",
        bits=_bits(form),
        person=person_of(request),
    )
    return see(f"/jobs/{job}/proof")
