"""Four figures in a minute, and what they say."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from urllib.parse import urlencode

from fastapi import Depends, Request
from starlette.responses import Response

from wheelside.errors import BadQuantity, BadRequest, Meanwhile, Outside
from wheelside.inquiry.query import AnswerRefused, Query
from wheelside.jobs.book.reading_row import AHEAD_US
from wheelside.jobs.car.told_pressures import car_tells_pressures, pressures_told
from wheelside.jobs.car.visit import Visit
from wheelside.jobs.work.gauging import (
    GAUGE,
    OUTSIDE,
    Came,
    GaugeCard,
    HowRead,
    gauge_card,
    keep_filled,
    keep_gauging,
    sets_put_away,
    tyres_of_card,
)
from wheelside.jobs.work.mornings import mornings_asked
from wheelside.jobs.work.tyres import TyreAt, tyres_now
from wheelside.said import Said
from wheelside.screens.tyres import Corner4, corners_said, filled_question, headline
from wheelside.sheet import cautions
from wheelside.units import Temperature, UnitChoice, read_temperature
from wheelside.units.moment import Moment
from wheelside.web.asking import linked, the_car
from wheelside.web.form import SentForm, form_of
from wheelside.web.frame import PageFrame, desk_of, frame_of, page, person_of, see
from wheelside.web.route import pages

router = pages()
LATE_US = 14 * 86400 * 1_000_000
"""A gauging that a phone kept may come so much later."""


@dataclass(frozen=True, slots=True)
class GaugePage:
    """The four fields, with what was typed and what is wrong with it; `others`: what else can be gauged, each by its query.

    `job`: the job from whose sheet this is asked, '' for none. `by_port`: the caution before the car itself is asked, '' where it can't be;
    `sent`: what it told, by the card's keys; `told`: how warm the air in each tyre is, as it told that, too.
    """

    frame: PageFrame
    card: GaugeCard
    typed: Mapping[str, str]
    wrong: Mapping[str, str]
    warm: bool
    came: Came
    odd: bool
    others: tuple[tuple[str, str], ...]
    job: str
    by_port: str
    sent: Mapping[str, str]
    told: Mapping[str, str]
    units: UnitChoice


@dataclass(frozen=True, slots=True)
class FilledAsked:
    """Air that seems to have been let into a wheel, to be asked about."""

    wheel: str
    day: date
    question: Said


@dataclass(frozen=True, slots=True)
class GaugedPage:
    """What the figures say, corner by corner; `first` and `then`: the gravest in large, and what follows. `at`: each wheel's corner;
    `mornings`: what is asked then."""

    frame: PageFrame
    card: GaugeCard
    first: Said
    then: tuple[Said, ...]
    corners: tuple[Corner4, ...]
    at: Mapping[str, str]
    job: str
    losing: tuple[TyreAt, ...]
    asked: tuple[FilledAsked, ...]
    units: UnitChoice
    mornings: Query | None


@router.get("/gauge")
def gauge(request: Request, car: str = "", set: str = "", job: str = "") -> Response:  # noqa: A002  its name in the address
    """The four fields, of a car or of a set that is put away."""
    return _asked(request, gauge_card(desk_of(request), car, set), {}, {}, job=_job(job))


def _job(text: str) -> str:
    """A job's id, as it is carried along; '' for anything else."""
    return text if re.fullmatch(r"[0-9a-f]{16}", text) else ""


def _asked(
    request: Request, card: GaugeCard, typed: Mapping[str, str], wrong: Mapping[str, str], *, warm: bool = False, came: Came = Came.GAUGE,
    job: str = "", sent: Mapping[str, str] | None = None, told: Mapping[str, str] | None = None,
) -> Response:  # fmt: skip
    garage = desk_of(request).loaded().garage
    others = tuple((urlencode({"car": c.id}), c.name) for c in garage.own_cars)
    others += tuple((urlencode({"set": s.id}), s.name) for s in sets_put_away(desk_of(request)))
    odd = bool(set(wrong) - {"", OUTSIDE}) and all(typed.get(k, "").strip() for k in set(wrong) - {"", OUTSIDE})
    asks = card.car is not None and linked(request) and car_tells_pressures(desk_of(request), card.car.id)
    shown = GaugePage(
        frame_of(request, "/", short=True), card, typed, wrong, warm, came, odd,
        tuple(one for one in others if one[0] != card.query), job, cautions.PORT if asks else "", sent or {}, told or {},
        garage.units.choice,
    )  # fmt: skip
    return page("gauge.html", shown, 422 if wrong else 200)


@router.post("/gauge")
def keep(request: Request, form: SentForm = Depends(form_of)) -> Response:  # noqa: B008  FastAPI's way
    """Keeps the figures and goes on to what they say; shows the fields again where one can't be taken."""
    desk, job = desk_of(request), _job(form.get("job"))
    card = gauge_card(desk, form.get("car"), form.get("set"))
    names = [key for w in card.wheels for key in w.keys]
    typed = {name: form.get(f"g.{name}") for name in (*names, OUTSIDE, GAUGE)}
    sent = {name: form.get(f"sent.{name}") for name in names if form.get(f"sent.{name}")}
    told = {name: form.get(f"told.{name}") for name in sent if form.get(f"told.{name}")}
    warm, came = form.get("tyres") == "warm", _came(form, sent)
    if form.get("do") == "port":
        return _from_car(request, card, typed, warm=warm, job=job)
    try:
        how = HowRead(
            warm, came, as_it_is=form.get("sure") == "yes", at=_when(desk.clock(), form.get("at")), sent=sent, tyre=_warmths(told)
        )  # fmt: skip
        keep_gauging(desk, form.get("car"), typed, how, set_id=form.get("set"), person=person_of(request))
    except AnswerRefused as error:
        return _asked(request, card, typed, error.wrong, warm=warm, came=came, job=job, sent=sent, told=told)
    return see(f"/gauge/said?{card.query}{f'&job={job}' if job else ''}")


def _came(form: SentForm, sent: Mapping[str, str]) -> Came:
    """Where the figures come from; from the car's port only what the car told."""
    wanted = form.get("came")
    return Came(wanted) if wanted == Came.DASH or (wanted == Came.PORT and sent) else Came.GAUGE


def _from_car(request: Request, card: GaugeCard, typed: Mapping[str, str], *, warm: bool, job: str) -> Response:
    """The fields with what the car tells of its wheels, to be looked at and kept; what was typed stays where it tells nothing."""
    desk = desk_of(request)
    units = desk.loaded().garage.units.choice
    try:
        with the_car(request) as link:
            told = pressures_told(Visit(desk, card.car.id if card.car is not None else "", person_of(request)), link)
    except (BadRequest, Meanwhile, Outside) as error:
        return _asked(request, card, typed, {"": str(error)}, warm=warm, job=job)
    per_unit = units.pressure_form[0]
    mine = {w.key: told[w.wheel] for w in card.wheels if w.wheel in told}
    sent = {key: units.plain(one.pressure.kpa / per_unit) for key, one in mine.items()}
    warmths = {key: _exact(one.tyre, units) for key, one in mine.items() if one.tyre is not None}
    return _asked(request, card, {**typed, **sent}, {}, warm=warm, came=Came.PORT, job=job, sent=sent, told=warmths)


def _exact(tyre: Temperature, units: UnitChoice) -> str:
    """A temperature as the car told it, in the owner's scale."""
    return f"{units.plain(units.degrees(tyre))} {units.temperature}"


def _warmths(told: Mapping[str, str]) -> dict[str, Temperature]:
    """How warm the air in tyres is, as the car told it. Raises BadRequest."""
    try:
        return {key: read_temperature(text) for key, text in told.items()}
    except BadQuantity:
        raise BadRequest("this form is not of this program", expected="temperatures of tyres") from None


def _when(now: Moment, text: str) -> Moment | None:
    """The moment at which a phone noted the figures, in milliseconds since 1970; None where that can't be so."""
    if not (text.isascii() and text.isdigit() and len(text) < 15):
        return None
    us = int(text) * 1000
    return Moment(us, now.offset_min) if now.us - LATE_US <= us <= now.us + AHEAD_US else None


@router.get("/gauge/said")
def said(request: Request, car: str = "", set: str = "", job: str = "") -> Response:  # noqa: A002  its name in the address
    """What is said of the tyres of a car or a set now."""
    desk = desk_of(request)
    card, today = gauge_card(desk, car, set), desk.clock().day
    tyres, asked = tyres_of_card(desk, card)
    garage = desk.loaded().garage
    first, then = headline(tyres, today)
    shown = GaugedPage(
        frame_of(request, "/", short=True), card, first, then, corners_said(tyres, today),
        {w.wheel: w.corner.value for w in card.wheels}, _job(job), tuple(t for t in tyres if t.says.loss is not None),
        tuple(FilledAsked(t.wheel, a.day, filled_question(t, a)) for t, a in asked), garage.units.choice,
        mornings_asked(garage, tyres_now(desk, car=card.car.id), card.car.id) if card.car is not None else None,
    )  # fmt: skip
    return page("gauged.html", shown)


@router.post("/gauge/filled")
def filled(request: Request, form: SentForm = Depends(form_of)) -> Response:  # noqa: B008  FastAPI's way
    """Keeps whether somebody let air into a tyre."""
    try:
        day = date.fromisoformat(form.get("day"))
    except ValueError:
        raise BadRequest("this form is not of this program", found=form.get("day")[:20], expected="a day") from None
    if form.get("filled") not in ("yes", "no"):
        raise BadRequest("choose yes or no", found=form.get("filled")[:20], expected="yes, no")
    keep_filled(desk_of(request), form.get("wheel"), day, filled=form.get("filled") == "yes", person=person_of(request))
    return see(f"/gauge/said?{urlencode({'car': form.get('car')} if form.get('car') else {'set': form.get('set')})}")
