"""Your answers: what was said of each car and set, in the owner's words, to be answered once more in place."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import Depends, Request
from starlette.responses import Response

from wheelside.errors import NotThere
from wheelside.inquiry.given import FactGiven, of_car, of_rest, of_set, once_more
from wheelside.inquiry.query import AnswerRefused
from wheelside.said import listed
from wheelside.units import UnitChoice
from wheelside.web.draw.places import place_drawing
from wheelside.web.form import SentForm, form_of
from wheelside.web.frame import PageFrame, asker_of, desk_of, frame_of, own_address, page, person_of, see
from wheelside.web.pages.start import AskPage
from wheelside.web.route import pages

router = pages()
ANSWERS = "/facts"


@dataclass(frozen=True, slots=True)
class AnswersPage:
    """The answers about one thing: those that were given, and those that could be."""

    frame: PageFrame
    title: str
    here: str
    given: tuple[FactGiven, ...]
    open: tuple[FactGiven, ...]
    units: UnitChoice
    table: str
    wheels: str


@router.get("/answers/{kind}/{key}")
def answers(request: Request, kind: str, key: str) -> Response:
    """What was said of a car, of a set, or of the rest."""
    desk = desk_of(request)
    garage, day = desk.loaded().garage, desk.clock().day
    if kind == "car" and key in garage.cars:
        title, rows, table = garage.cars[key].name, of_car(garage.cars[key]), f"/facts/car/{key}"
    elif kind == "set" and key in garage.sets:
        title, rows, table = garage.sets[key].name, of_set(garage, garage.sets[key], day), f"/facts/set/{key}"
    elif (kind, key) == ("rest", "all"):
        title, rows, table = "Use, tools and costs", of_rest(garage), "/facts"
    else:
        raise NotThere("there are no such answers", found=key[:60])
    given = tuple(r for r in rows if r.answer is not None)
    left = tuple(r for r in rows if r.answer is None)
    here = f"/answers/{kind}/{key}"
    return page(
        "answers.html",
        AnswersPage(
            frame_of(request, "/facts"), title, here, given, left, garage.units.choice, table, f"/things/{kind}/{key}"
        ),
    )


@router.get("/answer")
def answer_page(request: Request, code: str = "", back: str = "/facts") -> Response:
    """One question once more."""
    return _page(request, code, own_address(back, ANSWERS), {}, {})


def _page(request: Request, code: str, back: str, typed: dict[str, str], wrong: dict[str, str]) -> Response:
    desk = desk_of(request)
    loaded = desk.loaded()
    garage = loaded.garage
    query = once_more(garage, loaded.table, code, desk.clock().day)
    if query is None:
        raise NotThere("there is no such question", found=code[:60])
    shown = AskPage(
        frame_of(request, "/facts", short=True), "again", query, "/answer", "", 0, 0, typed, wrong, listed([]), (),
        place_drawing(query.drawing), can_show=False, can_back=False, units=garage.units.choice, hidden=(("back", back),),
    )  # fmt: skip
    return page("ask.html", shown, 422 if wrong else 200)


@router.post("/answer")
def answer(request: Request, form: SentForm = Depends(form_of)) -> Response:  # noqa: B008
    """Keeps an answer, and goes back to where it was asked for."""
    code, back = form.get("code"), own_address(form.get("back"), ANSWERS)
    given = {"pick": form.get("pick"), **dict(form.starting("g."))}
    try:
        asker_of(request).answer(code, given, person=person_of(request))
    except AnswerRefused as error:
        return _page(request, code, back, given, error.wrong)
    return see(back)
