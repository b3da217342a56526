"""The conversation on a phone: what brings somebody, one question at a time, and what can be said so far."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from urllib.parse import urlencode

from fastapi import Depends, Request
from markupsafe import Markup
from starlette.exceptions import HTTPException
from starlette.responses import Response

from wheelside.errors import BadRequest, Meanwhile, Outside
from wheelside.inquiry.lamp import LampAdvice, lamp_advice, lamp_query
from wheelside.inquiry.opening import FROM_CAR, which_car
from wheelside.inquiry.query import AnswerRefused, Errand, Query
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.car.list_ids import car_can_say, ids_in_list
from wheelside.jobs.car.visit import Visit
from wheelside.jobs.work.codes_in_photo import ids_in_photo
from wheelside.jobs.work.starting import NEW_CAR, CourseLeg, NextTurn, looked_round
from wheelside.said import Listing, Said, count, listed
from wheelside.screens.screen import Screen
from wheelside.screens.start import known_so_far, said_so_far, so_far_screens
from wheelside.sheet import cautions
from wheelside.units import UnitChoice
from wheelside.web.asking import linked, the_car
from wheelside.web.draw.places import place_drawing
from wheelside.web.form import SentForm, form_of
from wheelside.web.frame import PageFrame, asker_of, desk_of, frame_of, own_address, page, person_of, see
from wheelside.web.route import pages

router = pages()
MOST_ASKED = 99


@dataclass(frozen=True, slots=True)
class StartDoor:
    """What brings somebody, with about how many questions each takes."""

    frame: PageFrame
    errands: tuple[tuple[str, str, Said, int], ...]
    example: bool
    cars: tuple[tuple[str, str], ...]


@router.get("/start")
def door(request: Request) -> Response:
    """The door."""
    garage = desk_of(request).loaded().garage
    cars = tuple((c.id, c.name) for c in garage.own_cars)
    known = bool(cars and garage.set)
    rows = (
        (Errand.LAMP, 4, "then the first thing to do"),
        (Errand.WHEELS, 5 if known else 12, "then a plan and the pressures"),
        (Errand.USED, 5 if known else 10, "then a verdict"),
        (Errand.PRESSURES, 1 if known else 5, "then four figures"),
    )
    errands = tuple(
        (e.value, e.words, count(n, "{n} question, {then}", "{n} questions, {then}", then=then), n)
        for e, n, then in rows
    )
    return page(
        "startdoor.html",
        StartDoor(
            frame_of(request, "/start", asks=False),
            errands,
            bool(request.app.state.example[0]) and not garage.set,
            cars,
        ),
    )


@dataclass(frozen=True, slots=True)
class AskPage:
    """One question. `asked`: how many were asked before it here; `more`: about how many are to come; `typed`: what was typed and refused.

    `by_port`: the caution before the car itself is asked for its IDs; '' where it can't be.
    """

    frame: PageFrame
    errand: str
    query: Query
    address: str
    car: str
    asked: int
    more: int
    typed: Mapping[str, str]
    wrong: Mapping[str, str]
    said: Listing
    known: tuple[Said, ...]
    drawing: Markup
    can_show: bool
    can_back: bool
    units: UnitChoice
    hidden: tuple[tuple[str, str], ...] = ()
    gets: bool = False
    by_port: str = ""


@dataclass(frozen=True, slots=True)
class LampPage:
    """What to do first about a lit lamp."""

    frame: PageFrame
    advice: LampAdvice
    units: UnitChoice


@router.get("/start/lamp")
def lamp(request: Request) -> Response:
    """The lamp's questions, which keep nothing: what was picked stands in the address. Where it is known what is on a car, its own page asks."""
    said = {k: v for k, v in request.query_params.items() if k in ("look", "way", "gauged", "worked", "cold")}
    now = desk_of(request).present()
    if not said and any(now.wheel_at(c.id) for c in now.garage.own_cars):
        return see("/why")
    query = lamp_query(said)
    frame = frame_of(request, "/start", short=True)
    units = desk_of(request).loaded().garage.units.choice
    if query is None:
        return page("startlamp.html", LampPage(frame, lamp_advice(said), units))
    shown = AskPage(
        frame, "lamp", query, "/start/lamp", "", len(said) + 1, 3 - len(said), {}, {}, listed([]), (), Markup(), can_show=False,
        can_back=False, units=units, hidden=tuple(said.items()), gets=True,
    )  # fmt: skip
    return page("ask.html", shown)


@router.get("/start/example")
def example_page(request: Request) -> Response:
    """What comes out for an invented household: nothing of it is kept."""
    text, day = request.app.state.example
    if not text:
        raise HTTPException(404, "There is no example here.")
    found = looked_round(text, day)
    shown = SoFarPage(
        frame_of(request, "/start", asks=False), "example", "", so_far_screens(found), next=None, sure=True, asked=1,
        units=found.garage.units.choice,
    )  # fmt: skip
    return page("startsofar.html", shown)


def _errand(name: str) -> Errand:
    try:
        return Errand(name)
    except ValueError:
        raise HTTPException(404, "There is no such page.") from None


@router.get("/start/{errand}")
def ask(request: Request, errand: str, car: str = "", n: int = 1, again: str = "", back: str = "") -> Response:
    """The next question; what comes out where there is none."""
    what = _errand(errand)
    which = which_car(desk_of(request).loaded().garage) if not (car or again) else None
    if which is not None:
        return _which(request, what, which)
    turn = asker_of(request).turn(what, car, again=again)
    if turn.query is None:
        return see(_address(what, turn.car, "/so-far"))
    return _asked(request, turn, turn.query, max(1, min(n, MOST_ASKED)), back=own_address(back, "/") if back else "")


def _which(request: Request, errand: Errand, query: Query) -> Response:
    """Which car it is about, where there are several."""
    units = desk_of(request).loaded().garage.units.choice
    shown = AskPage(
        frame_of(request, "/start", short=True), errand.value, query, f"/start/{errand.value}", "", 1, 3, {}, {}, listed([]), (),
        Markup(), can_show=False, can_back=False, units=units, gets=True,
    )  # fmt: skip
    return page("ask.html", shown)


def _address(errand: Errand, car: str, more: str = "", **named: object) -> str:
    return f"/start/{errand.value}{more}?" + urlencode({"car": car, **named})


def _asked(
    request: Request, turn: NextTurn, query: Query, asked: int, typed: Mapping[str, str] | None = None, wrong: Mapping[str, str] | None = None,
    *, back: str = "",
) -> Response:  # fmt: skip
    so_far = asker_of(request).so_far(turn.errand, turn.car)
    garage = so_far.garage
    shown = AskPage(
        frame=frame_of(request, "/start", short=True),
        errand=turn.errand.value,
        query=query,
        address=f"/start/{turn.errand.value}",
        car=turn.car,
        asked=asked,
        more=max(turn.more, 1) - 1,
        typed=typed or {},
        wrong=wrong or {},
        said=said_so_far(garage, so_far.car),
        known=known_so_far(so_far),
        drawing=place_drawing(query.drawing),
        can_show=bool(so_far_screens(so_far)) and turn.leg is not CourseLeg.OPENING,
        can_back=asker_of(request).can_go_back,
        units=garage.units.choice,
        hidden=(
            *((("back", back),) if back else ()),
            *((("g." + k, v) for k, v in (typed or {}).items() if k == FROM_CAR)),
        ),
        by_port=cautions.PORT
        if linked(request) and car_can_say(garage, so_far.car, query, desk_of(request).clock())
        else "",
    )
    return page("ask.html", shown, 422 if wrong else 200)


@router.post("/start/{errand}")
def answer(request: Request, errand: str, form: SentForm = Depends(form_of)) -> Response:  # noqa: B008
    """Keeps an answer and asks the next question; shows the question again where it can't be taken."""
    what, asker = _errand(errand), asker_of(request)
    car, code, back = form.get("car"), form.get("code"), form.get("back")
    asked = int(form.get("n")) if form.get("n").isdigit() and len(form.get("n")) < 4 else 1
    if form.get("do") == "back":
        asker.go_back(person=person_of(request))
        there = car if car in desk_of(request).loaded().garage.cars else ""
        return see(_address(what, there, n=max(1, asked - 1)))
    back = own_address(back, "/") if back else ""
    given = {"pick": form.get("pick"), **dict(form.starting("g."))}
    before = asker.must(what, car)
    mine = before if before is not None and before.query is not None and before.query.code == code else None
    if form.get("do") == "photo" and mine is not None and mine.query is not None:
        return _with_photo(request, mine, mine.query, asked, given, form.file("photo"))
    if form.get("do") == "port" and mine is not None and mine.query is not None:
        return _with_list(request, mine, mine.query, asked, given)
    try:
        asker.answer(code, given, person=person_of(request))
    except AnswerRefused as error:
        turn = mine or asker.turn(what, car, again=code)
        if turn.query is None or turn.query.code != code:
            return see(_address(what, car, n=asked))
        return _asked(request, turn, turn.query, asked, given, error.wrong, back=back)
    if back:
        return see(back)
    car = _car_now(desk_of(request), car)
    through = before is not None and before.leg is CourseLeg.ALWAYS and asker.must(what, car) is None
    return see(_address(what, car, "/so-far" if through else "", n=asked + 1))


def _with_photo(
    request: Request, turn: NextTurn, query: Query, asked: int, given: dict[str, str], photo: bytes
) -> Response:
    """The question with the IDs that a photo shows, in the gaps that are still empty, in their order."""
    try:
        found = list(ids_in_photo(photo))
    except BadRequest as error:
        return _asked(request, turn, query, asked, given, {"": error.message})
    for gap in query.gaps:
        if not given.get(gap.name) and found:
            given[gap.name] = found.pop(0)
    return _asked(request, turn, query, asked, given)


def _with_list(request: Request, turn: NextTurn, query: Query, asked: int, given: dict[str, str]) -> Response:
    """The question with the IDs that the car's list holds, in the gaps that are still empty."""
    try:
        with the_car(request) as link:
            found = ids_in_list(Visit(desk_of(request), turn.car, person_of(request)), link)
    except (BadRequest, Meanwhile, Outside) as error:
        return _asked(request, turn, query, asked, given, {"": str(error)})
    read = {g.name: found[g.name] for g in query.gaps if g.name in found and not given.get(g.name)}
    return _asked(request, turn, query, asked, {**given, **read, FROM_CAR: " ".join(read.values())})


def _car_now(desk: Desk, car: str) -> str:
    """The car that is talked about: one that was just made is the last."""
    garage = desk.loaded().garage
    return garage.car[-1].id if car in ("", NEW_CAR) and garage.car else car


@dataclass(frozen=True, slots=True)
class SoFarPage:
    """What comes out, the answer first; `next`: a question that would change it most."""

    frame: PageFrame
    errand: str
    car: str
    shown: tuple[Screen, ...]
    next: Query | None
    sure: bool
    asked: int
    units: UnitChoice


@router.get("/start/{errand}/so-far")
def so_far(request: Request, errand: str, car: str = "", n: int = 1) -> Response:
    """What can be said now."""
    what, asker = _errand(errand), asker_of(request)
    found = asker.so_far(what, car)
    turn = asker.turn(what, car)
    return page(
        "startsofar.html",
        SoFarPage(
            frame_of(request, "/start", asks=False), what.value, turn.car, so_far_screens(found), turn.query, turn.sure,
            max(1, min(n, MOST_ASKED)), found.garage.units.choice,
        ),
    )  # fmt: skip
