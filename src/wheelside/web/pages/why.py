"""The lamp is on: the gate, what it does, what the book knows, the next test, and what is most likely. What was said stands in the address."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from urllib.parse import urlencode

from fastapi import Depends, Request
from starlette.responses import Response

from wheelside.inquiry.lamp import LOOK as LOOK_QUERY
from wheelside.inquiry.lamp import LampAdvice, lamp_advice
from wheelside.inquiry.query import AnswerRefused, Query
from wheelside.jobs.work.gauging import GAUGE, OUTSIDE, GaugeCard, HowRead, gauge_card, keep_gauging
from wheelside.jobs.work.tyres import TyreAt
from wheelside.jobs.work.why_evidence import KnownCase, known_of
from wheelside.jobs.work.why_next import LOOK, WhySaid, WhyTurn, said_from, why_turn
from wheelside.jobs.work.why_radio import CaseKnown
from wheelside.said import Said
from wheelside.screens.why import LOW, WhyAct, act_said, basis_said, causes_said, likely_said, said_back
from wheelside.sheet.cautions import Caution
from wheelside.units import UnitChoice
from wheelside.web.form import SentForm, form_of
from wheelside.web.frame import PageFrame, desk_of, frame_of, page, person_of, see
from wheelside.web.route import pages
from wheelside.why.gate import AIR, FirstGate

router = pages()
Pairs = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class WhichCar:
    """Several cars: whose lamp is on?"""

    frame: PageFrame
    cars: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class WhyPage:
    """One turn. `state`: car, answers and what does not count, as a form carries them; `act`: what to do next, None behind a gate that is not open.

    `card`: the four fields where the air comes next; `losing`: tyres that a leak is looked for at. `known`: with whether it counts.
    """

    frame: PageFrame
    case: KnownCase
    turn: WhyTurn
    look: Query
    stop: LampAdvice | None
    stopping: tuple[TyreAt, ...]
    act: WhyAct | None
    likely: Said
    low: Said
    causes: tuple[tuple[str, Said, Said], ...]
    basis: Said
    known: tuple[tuple[CaseKnown, bool], ...]
    back: tuple[tuple[str, Said, Said], ...]
    state: Pairs
    care: str
    roadside: str
    losing: tuple[TyreAt, ...]
    card: GaugeCard | None
    typed: Mapping[str, str]
    wrong: Mapping[str, str]
    units: UnitChoice


@dataclass(frozen=True, slots=True)
class _Typed:
    """Figures as they were typed, and what is wrong with them."""

    figures: Mapping[str, str] = field(default_factory=dict)
    wrong: Mapping[str, str] = field(default_factory=dict)


@router.get("/why")
def why(request: Request, car: str = "") -> Response:
    """One turn, from what stands in the address; which car, where there are several and none is named."""
    garage = desk_of(request).loaded().garage
    own = garage.own_cars
    if not car and len(own) > 1:
        return page("whycar.html", WhichCar(frame_of(request, "/", short=True), tuple((c.id, c.name) for c in own)))
    case = known_of(desk_of(request), car)
    return _shown(request, case, _said(case, _changed(request.query_params.multi_items())), _Typed())


def _said(case: KnownCase, pairs: Iterable[tuple[str, str]]) -> WhySaid:
    """What stands in an address or a form. What was seen in walking round the car counts on that day only: 'on' says which that was."""
    given = tuple(pairs)
    said = said_from(case, given)
    stale = any(name == "on" and value != case.day.isoformat() for name, value in given)
    return replace(said, look="") if stale else said


def _changed(pairs: list[tuple[str, str]]) -> list[tuple[str, str]]:
    """What stands in the address, without what was taken back: 'again' names an answer to be given anew, 'counts' what counts once more."""
    again = {value for name, value in pairs if name == "again"}
    counts = {value for name, value in pairs if name == "counts"}
    return [(n, v) for n, v in pairs if n not in again and not (n == "not" and v in counts)]


def _state(case: KnownCase, said: WhySaid) -> Pairs:
    look = ((LOOK, said.look),) if said.look else ()
    return (
        ("car", case.car.id),
        ("on", case.day.isoformat()),
        *look,
        *said.answers.items(),
        *(("not", one) for one in said.struck),
    )


def _shown(request: Request, case: KnownCase, said: WhySaid, typed: _Typed) -> Response:
    desk = desk_of(request)
    garage, turn = desk.loaded().garage, why_turn(case, said)
    act = act_said(garage, case, turn)
    shut = turn.gate is FirstGate.SHUT
    airs = act is not None and act.test == AIR
    shown = WhyPage(
        frame_of(request, "/", short=True), case, turn, LOOK_QUERY, lamp_advice({}) if shut else None, case.stopping, act,
        likely_said(case, turn), LOW, causes_said(case, turn), basis_said(),
        tuple((k, k in turn.counted) for k in case.known if k in turn.counted or k.code in said.struck),
        said_back(case, said), _state(case, said), Caution.LAMP.value, Caution.ROADSIDE.value,
        tuple(t for t in case.tyres if t.says.loss is not None), gauge_card(desk, case.car.id) if airs else None,
        typed.figures, typed.wrong, garage.units.choice,
    )  # fmt: skip
    return page("why.html", shown, 422 if typed.wrong else 200)


@router.post("/why")
def gauged(request: Request, form: SentForm = Depends(form_of)) -> Response:  # noqa: B008  FastAPI's way
    """Keeps the four figures as a gauging, and goes on with them; shows the fields again where one is missing or can't be taken."""
    desk = desk_of(request)
    case = known_of(desk, form.get("car"))
    said = _said(case, form.fields)
    card = gauge_card(desk, case.car.id)
    typed = {name: form.get(f"g.{name}") for name in (*(w.key for w in card.wheels), OUTSIDE)}
    wrong = {w.key: "type it too, or say that you could not" for w in card.wheels if not typed[w.key]}
    if not wrong:
        try:
            figures = {**typed, GAUGE: card.gauge}
            how = HowRead(form.get("tyres") == "warm", as_it_is=form.get("sure") == "yes")
            keep_gauging(desk, case.car.id, figures, how, person=person_of(request))
        except AnswerRefused as error:
            wrong = dict(error.wrong)
    if wrong:
        return _shown(request, case, said, _Typed(typed, wrong))
    return see(f"/why?{urlencode(_state(case, said))}")
