"""What needs doing now."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from fastapi import Request
from markupsafe import Markup
from starlette.responses import Response

from wheelside.finding import Finding, Weight
from wheelside.garage.model import Garage, WheelSet
from wheelside.inquiry.query import Query
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.book.kept import clock_of, jobs_under_way
from wheelside.jobs.work.agenda import Due, Matter, agenda
from wheelside.jobs.work.doing import Doing
from wheelside.jobs.work.season_ahead import season_ahead
from wheelside.jobs.work.tyres import TyresNow, losing, tyres_now
from wheelside.said import Said
from wheelside.screens.now import CarStands, cars_stand
from wheelside.screens.shopping import SeasonCard, season_cards
from wheelside.screens.tyres import Corner4, corners_said, headline
from wheelside.web.drawn import grid_of, season_of
from wheelside.web.frame import PageFrame, asker_of, desk_of, frame_of, page, see
from wheelside.web.route import pages

router = pages()
SOON_DAYS = 60


@dataclass(frozen=True, slots=True)
class StoredGrave:
    """A set with tyres on no car of which something is to be done: those tyres."""

    set: WheelSet
    tyres: tuple[Corner4, ...]


@dataclass(frozen=True, slots=True)
class Now:
    """The first page: how each car stands and what is next, open jobs, what is due soon, what the plan warns of, the sets.

    `tyres`: by car what is said of its tyres; `tyres_whole`: whether all are worked out; `before`: by car what is to be done before the
    next set goes on; `stored`: what is to be done about tyres on no car.
    """

    frame: PageFrame
    title: str
    clock: Said | None
    cars: tuple[CarStands, ...]
    open_jobs: tuple[Doing, ...]
    overdue: tuple[Due, ...]
    due: tuple[Due, ...]
    findings: tuple[Finding, ...]
    more_findings: int
    grid: Markup
    season: Markup
    possible: bool
    ask: Query | None
    tyres: Mapping[str, tuple[Said | None, tuple[Corner4, ...]]]
    tyres_whole: bool
    before: Mapping[str, tuple[SeasonCard, ...]]
    stored: tuple[StoredGrave, ...]


@router.get("/")
def now(request: Request) -> Response:
    """The first page."""
    desk = desk_of(request)
    garage = desk.loaded().garage
    frame = frame_of(request, "/")
    if not garage.set and not garage.car:
        return see("/start")
    plan = desk.plan()
    today = desk.clock().day
    going = jobs_under_way(desk)
    ahead = season_ahead(desk)
    due = tuple(d for d in agenda(desk) if d.matter is not Matter.SEASON)
    read = tyres_now(desk)
    serious = [f for f in plan.findings if f.weight in (Weight.FORBIDDEN, Weight.WARNING)]
    return page(
        "now.html",
        Now(
            frame=frame,
            title=garage.title or "",
            clock=clock_of(desk),
            cars=cars_stand(desk.present(), plan),
            open_jobs=going,
            overdue=tuple(d for d in due if d.day < today),
            due=tuple(d for d in due if 0 <= (d.day - today).days <= SOON_DAYS),
            findings=tuple(serious)[:8],
            more_findings=len(plan.findings) - len(serious[:8]),
            grid=grid_of(garage, plan) if len(garage.set) <= 12 else Markup(),
            season=season_of(garage, today) if len(garage.set) <= 12 else Markup(),
            possible=plan.possible,
            ask=asker_of(request).suggestion(),
            tyres=_tyres(desk, read),
            tyres_whole=read.whole,
            before=season_cards(garage, ahead, today),
            stored=_stored(garage, read, today),
        ),
    )


def _tyres(desk: Desk, now: TyresNow) -> dict[str, tuple[Said | None, tuple[Corner4, ...]]]:
    """By car one line about its tyres, and the corners where something is to be done; no line where nothing was read."""
    found: dict[str, tuple[Said | None, tuple[Corner4, ...]]] = {}
    by_car, today = now.by_car, desk.clock().day
    for car in desk.loaded().garage.car:
        tyres = by_car.get(car.id, ())
        grave = corners_said(losing(tyres), today)
        said = headline(tyres, today)[0] if any(t.read for t in tyres) and not grave else None
        found[car.id] = (said, grave)
    return found


def _stored(garage: Garage, now: TyresNow, today: date) -> tuple[StoredGrave, ...]:
    """Sets with tyres on no car of which something is to be done, in the garage's order."""
    grave = losing(t for t in now.tyres if t.car is None)
    by_set = {s.id: corners_said((t for t in grave if t.set == s.id), today) for s in garage.set}
    return tuple(StoredGrave(garage.sets[set_id], tyres) for set_id, tyres in by_set.items() if tyres)
