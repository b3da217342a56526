"""A car's port: its card, asking it, its codes, and teaching it with a way back."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass

from fastapi import Depends, Request
from starlette.responses import Response

from wheelside.car.broadcast import decode_text
from wheelside.car.card import IdList
from wheelside.car.codes import read_code
from wheelside.car.conditions import Condition, conditions
from wheelside.car.draft import Draft
from wheelside.car.frames import CarTrouble
from wheelside.car.permit import Permit
from wheelside.car.portcard import dbc_named
from wheelside.car.taught import Outcome, Taught
from wheelside.errors import BadFile, BadRequest, Meanwhile, NotThere, Outside
from wheelside.garage.model import Car, Garage
from wheelside.jobs.car.page import PortState, port_state
from wheelside.jobs.car.port import MAY_BE_LOST, OpenLine, clear_codes, codes_and_keep, lined, read_and_keep, talking
from wheelside.jobs.car.step import ask_car
from wheelside.jobs.car.teach import refuse_conditions, set_of, wanted_ids, writable_list
from wheelside.jobs.car.visit import (
    KeptCard,
    KeptTeaching,
    Visit,
    keep_port_card,
    kept_card,
    last_teaching,
    records,
    way_back,
)
from wheelside.jobs.car.ways_back import Settles, accept, finish_teaching, undo
from wheelside.jobs.car.write import GoAhead, write_list
from wheelside.screens.port import draft_parts, list_part
from wheelside.screens.screen import Section
from wheelside.sensor.ident import SensorId
from wheelside.sheet import cautions
from wheelside.web.asking import linked, the_car
from wheelside.web.form import SentForm, form_of
from wheelside.web.frame import PageFrame, desk_of, frame_of, page, person_of, see, visitor_of
from wheelside.web.route import pages

router = pages()


@dataclass(frozen=True, slots=True)
class PortPage:
    """All that is known of a car's port, and what can be asked of it."""

    frame: PageFrame
    car: Car
    linked: bool
    state: PortState
    lists: tuple[Section, ...]
    sets: tuple[tuple[str, str], ...]
    caution: str
    writing: str
    may_be_lost: str
    done: str
    ended: KeptTeaching | None


@router.get("/things/car/{car_id}/port")
def port(request: Request, car_id: str, done: str = "", of: str = "") -> Response:
    """One car's port."""
    desk = desk_of(request)
    garage = desk.loaded().garage
    car = _car(garage, car_id)
    state = port_state(desk, garage, car, desk.clock().day)
    sets = tuple((s.id, s.name) for s in garage.set if not s.on_offer)
    told = state.read.lists if state.read else ()
    lists = tuple(list_part(name, found, goes_by=by) for name, found, by in told)
    shown = PortPage(
        frame_of(request, "/things"), car, linked(request), state, lists, sets, cautions.PORT, cautions.WRITING, MAY_BE_LOST,
        _DONE.get(done, ""), next((one for one in state.teachings if str(one.num) == of), None),
    )  # fmt: skip
    return page("port.html", shown)


_DONE = {
    "read": "The car was asked; what it said is kept in the book.",
    "cleared": "Codes were cleared; those from before are kept in the book.",
    "refused": "Not all that was asked for is known to be cleared: see what is still there, and what was not told.",
    "card": "The port card is kept for this car.",
}


def _car(garage: Garage, car_id: str) -> Car:
    if car_id not in garage.cars:
        raise NotThere("there is no such car in this book", found=car_id[:60])
    return garage.cars[car_id]


def _at(car_id: str, done: str, of: int = 0) -> Response:
    from urllib.parse import quote

    return see(f"/things/car/{quote(car_id, safe='')}/port?done={done}{f'&of={of}' if of else ''}")


def _visit(request: Request, car_id: str) -> Visit:
    desk = desk_of(request)
    return Visit(desk, _car(desk.loaded().garage, car_id).id, person_of(request))


def _card(request: Request, car_id: str) -> KeptCard:
    desk = desk_of(request)
    kept = kept_card(desk, _car(desk.loaded().garage, car_id).id)
    if kept is None:
        raise BadRequest("this car has no port card yet: give it one first", expected="a port card")
    return kept


@router.post("/things/car/{car_id}/port/card")
def take_card(request: Request, car_id: str, form: SentForm = Depends(form_of)) -> Response:  # noqa: B008  FastAPI's way
    """Keeps a port card, from a file or as text."""
    data = form.file("card") or form.get("text").encode()
    if not data:
        raise BadRequest("no port card was sent: choose a file, or paste its text", expected="a port card")
    visit, sent = _visit(request, car_id), form.file("dbc")
    keep_port_card(visit, data, "port card", decode_text(sent) if sent else _dbc_before(visit, data))
    return _at(car_id, "card")


def _dbc_before(visit: Visit, data: bytes) -> str:
    """The DBC file that was sent with the card before, where the new one names the same."""
    with suppress(BadFile):
        before = kept_card(visit.desk, visit.car)
        if before is not None and dbc_named(before.text.encode()) == dbc_named(data):
            return before.card.dbc
    return ""


@router.post("/things/car/{car_id}/port/read")
def read(request: Request, car_id: str, form: SentForm = Depends(form_of)) -> Response:  # noqa: B008, ARG001
    """Reads everything that the card names, and the codes."""
    visit, kept = _visit(request, car_id), _card(request, car_id)
    with the_car(request) as link, lined(kept.card, link) as line:
        read_and_keep(visit, line, kept.card)
        if kept.card.asked:
            with line.talk(kept.card) as talk:
                codes_and_keep(visit, talk, kept.card)
    return _at(car_id, "read")


@router.post("/things/car/{car_id}/port/clear")
def clear(request: Request, car_id: str, form: SentForm = Depends(form_of)) -> Response:  # noqa: B008
    """Clears the codes that were picked."""
    wanted = tuple(read_code(value) for name, value in form.fields if name == "code")
    if not wanted:
        raise BadRequest("no code was picked: nothing was cleared", expected="the codes that were repaired")
    visit, kept = _visit(request, car_id), _card(request, car_id)
    with the_car(request) as link, talking(kept.card, link, permit=Permit.CLEAR) as talk:
        done = clear_codes(visit, talk, kept.card, wanted, owner_says=form.get("sure") == "yes")
    return _at(car_id, "cleared" if done.whole(wanted) else "refused")


@dataclass(frozen=True, slots=True)
class DraftPage:
    """What would be written, place by place, and what has to be so before."""

    frame: PageFrame
    car: Car
    set_name: str
    set_id: str
    draft: Draft
    screen: tuple[Section, ...]
    conditions: tuple[Condition, ...]
    caution: str


@router.post("/things/car/{car_id}/port/draft")
def show_draft(request: Request, car_id: str, form: SentForm = Depends(form_of)) -> Response:  # noqa: B008
    """Reads the list and shows what would change; writes nothing."""
    desk, kept = desk_of(request), _card(request, car_id)
    garage = desk.loaded().garage
    row, wanted = _wanted(request, kept, form)
    with the_car(request) as link, talking(kept.card, link) as talk:
        written = write_list(_visit(request, car_id), talk, kept.card, row, wanted)
    draft = written.draft
    shown = DraftPage(
        frame_of(request, "/things"), _car(garage, car_id), garage.sets[form.get("set")].name, form.get("set"), draft,
        draft_parts(draft, written.conditions), written.conditions, cautions.WRITING,
    )  # fmt: skip
    return page("portdraft.html", shown)


def _wanted(request: Request, kept: KeptCard, form: SentForm) -> tuple[IdList, dict[str, SensorId | None]]:
    """The list that is meant, and the IDs of the set that is meant by its places."""
    desk = desk_of(request)
    garage, day = desk.loaded().garage, desk.clock().day
    wheel_set = set_of(garage, form.get("set"))
    row = writable_list(kept.card, form.get("list") or None)
    return row, wanted_ids(garage, wheel_set, day, row)


@router.post("/things/car/{car_id}/port/teach")
def write(request: Request, car_id: str, form: SentForm = Depends(form_of)) -> Response:  # noqa: B008
    """Writes just the draft that was shown."""
    if form.get("go") != "yes":
        raise BadRequest("tick that it is to be written: nothing was written", expected="your word")
    visit, kept = _visit(request, car_id), _card(request, car_id)
    row, wanted = _wanted(request, kept, form)
    with the_car(request) as link, lined(kept.card, link) as line:
        _read_after(visit, line, kept, _written(visit, line, kept, row, wanted, form))
    return _at(car_id, "ended", _last_num(visit))


def _written(
    visit: Visit, line: OpenLine, kept: KeptCard, row: IdList, wanted: dict[str, SensorId | None], form: SentForm
) -> Taught:
    word = GoAhead(form.get("sure") == "yes", form.get("one_id") == "yes", (form.get("old"), form.get("new")))
    with line.talk(kept.card, Permit.TEACH) as talk:
        taught = write_list(visit, talk, kept.card, row, wanted, word).taught
    if taught is None:
        raise BadRequest("the list holds these IDs already: nothing was written", expected="other IDs")
    return taught


def _last_num(visit: Visit) -> int:
    """The number of the teaching that has just ended."""
    last = last_teaching(records(visit.desk, visit.car))
    return last.num if last is not None else 0


def _read_after(visit: Visit, line: OpenLine, kept: KeptCard, taught: Taught) -> None:
    """Reads what the car holds after a teaching, so that the page shows it; what came of the teaching is known without that."""
    if taught.outcome in (Outcome.DONE, Outcome.AS_BEFORE):
        with suppress(CarTrouble, Outside):
            read_and_keep(visit, line, kept.card)


@router.post("/things/car/{car_id}/port/settle")
def settle(request: Request, car_id: str, form: SentForm = Depends(form_of)) -> Response:  # noqa: B008
    """Finishes the last teaching, puts the old list back, or takes what the car holds as it is."""
    visit, kept = _visit(request, car_id), _card(request, car_id)
    last = way_back(records(visit.desk, visit.car))
    ways: dict[str, Settles] = {"finish": finish_teaching, "undo": undo, "accept": accept}
    way = ways.get(form.get("how"))
    if last is None or way is None:
        raise BadRequest("there is no teaching to finish or undo", expected="a teaching")
    if str(last.num) != form.get("of"):
        raise Meanwhile("another teaching has come since this was shown: look at it again. Nothing was written")
    sure = form.get("sure") == "yes"
    writes = way is not accept
    with the_car(request) as link, lined(kept.card, link) as line:
        with line.talk(kept.card, Permit.TEACH if writes else Permit.READ) as talk:
            if writes:
                refuse_conditions(conditions(talk, kept.card), owner_says=sure)
            taught = way(visit, talk, kept.card, last, owner_says=sure)
        _read_after(visit, line, kept, taught)
    return _at(car_id, "ended", last.num)


@router.post("/jobs/{job}/steps/{step_id}/ask-car")
def ask_step(request: Request, job: str, step_id: str, form: SentForm = Depends(form_of)) -> Response:  # noqa: B008
    """Has the car answer a step."""
    visitor = visitor_of(request)
    with the_car(request) as link:
        ask_car(
            desk_of(request), job, step_id, link, person=person_of(request), device=visitor.id if visitor else "",
            passenger=form.get("passenger") == "yes",
        )  # fmt: skip
    return see(f"/jobs/{job}#step-{step_id}")
