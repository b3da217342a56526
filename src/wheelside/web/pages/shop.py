"""The shop's note: for the owner to print, to send and to make a link of, and for the shop that comes by that link."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path

from fastapi import Depends, Request
from markupsafe import Markup
from starlette.responses import Response

from wheelside.jobs.work.doing import Doing, doing
from wheelside.jobs.work.shop import (
    THE_SHOP,
    AtTheShop,
    ShopNote,
    at_the_shop,
    end_shop_link,
    links_out,
    new_shop_link,
    note_in,
    take_shop_answers,
)
from wheelside.sensor.qr import text_svg
from wheelside.sheet.answers import ReadAnswer
from wheelside.sheet.ask import Ask, Asked
from wheelside.sheet.option import Instead
from wheelside.units import UnitChoice
from wheelside.units.moment import Moment
from wheelside.web.claims import claim_from_form
from wheelside.web.form import SentForm, bare_form, form_of, need_ticket
from wheelside.web.frame import PageFrame, TroublePage, desk_of, frame_of, manners_of, page, see, stamp
from wheelside.web.guard import OWN_STYLE, ticket_for
from wheelside.web.route import pages

router = pages()
_STYLES = tuple(Path(__file__).parents[1] / "static" / name for name in ("base.css", "style.css"))


@dataclass(frozen=True, slots=True)
class NotePage:
    """The note with what its owner can do with it. `link`, `qr`: of a link that was made just now; `until`: of the one that is out."""

    frame: PageFrame
    note: ShopNote
    now: Doing
    link: str
    qr: Markup
    until: str
    lan: bool
    secure: bool


@router.get("/jobs/{job}/note")
def note(request: Request, job: str) -> Response:
    """The note."""
    return _note(request, job)


def _note(request: Request, job: str, link: str = "") -> Response:
    desk, manners = desk_of(request), manners_of(request)
    now = doing(desk, job)
    qr = Markup(text_svg(link, "QR code of the link for the shop")) if link else Markup()  # noqa: S704
    ends = next((one.until_us for one in links_out(desk) if one.job == job), None)
    until = "" if ends is None else Moment(ends, desk.clock().offset_min).short()
    frame = frame_of(request, "/jobs", asks=False)
    return page("note.html", NotePage(frame, note_in(now), now, link, qr, until, manners.lan, manners.secure))


@dataclass(frozen=True, slots=True)
class NoteFile:
    """The note as one file, which needs nothing else."""

    note: ShopNote
    style: Markup


@router.get("/jobs/{job}/note.html")
def note_file(request: Request, job: str) -> Response:
    """The note as one file, to keep or to send."""
    shown = note_in(doing(desk_of(request), job))
    answer = page("notefile.html", NoteFile(shown, _style()))
    answer.headers["content-disposition"] = f'attachment; filename="note-for-the-shop-{shown.day}.html"'
    answer.headers["content-security-policy"] = OWN_STYLE
    return answer


@cache
def _style() -> Markup:
    """The style of every page, to stand within one."""
    return Markup("".join(one.read_text(encoding="utf-8") for one in _STYLES))  # noqa: S704  a file of ours


@router.post("/jobs/{job}/note/link")
def make(request: Request, job: str, form: SentForm = Depends(form_of)) -> Response:  # noqa: ARG001, B008
    """A link for the shop, in place of the one before. It is shown this once."""
    _, token = new_shop_link(desk_of(request), job)
    base = manners_of(request).address or str(request.base_url).rstrip("/")
    return _note(request, job, f"{base}/shop/{token}")


@router.post("/jobs/{job}/note/end")
def end(request: Request, job: str, form: SentForm = Depends(form_of)) -> Response:  # noqa: ARG001, B008
    """Ends the link."""
    end_shop_link(desk_of(request), job)
    return see(f"/jobs/{job}/note")


@dataclass(frozen=True, slots=True)
class ShopPage:
    """All that a shop sees: the note, and what it is asked, with what it answered. `wrong`: whether any of that is not as it should be."""

    note: ShopNote
    asks: tuple[tuple[Ask, ReadAnswer | None], ...]
    answered: bool
    wrong: bool
    token: str
    ticket: str
    no_answer: Instead
    units: UnitChoice
    stamp: str


@router.get("/shop/{token}")
def shop(request: Request, token: str) -> Response:
    """The note and the form, for whoever has the link."""
    here = at_the_shop(desk_of(request), token)
    return _over() if here is None else page("shop.html", _shown(here, token))


def _shown(here: AtTheShop, token: str) -> ShopPage:
    answers = {a.ask.id: a for a in here.answers}
    asks = tuple((ask, answers.get(ask.id)) for ask in _asks(here))
    wrong = any(a.problem is not None or a.as_planned is False for a in here.answers)
    return ShopPage(
        here.note, asks, bool(answers), wrong, token, f"{ticket_for(token)}.{here.now.last}", Instead.NO_ANSWER,
        here.now.start.units, stamp(),
    )  # fmt: skip


def _asks(here: AtTheShop) -> tuple[Ask, ...]:
    """What the shop is asked: all of the step, but for photos."""
    return tuple(a for a in here.note.step.asks if a.kind is not Asked.PHOTO)


@router.post("/shop/{token}")
def answer(request: Request, token: str, form: SentForm = Depends(bare_form)) -> Response:  # noqa: B008
    """Takes what the shop answers: the step's own answers, and nothing else that a form may hold."""
    desk = desk_of(request)
    here = at_the_shop(desk, token)
    if here is None:
        return _over()
    need_ticket(token, form.get("ticket").partition(".")[0])
    names = {"ticket", *(f"{before}-{ask.id}" for ask in _asks(here) for before in "an")}
    fields = tuple((k, v) for k, v in form.fields if k in names)
    claim = claim_from_form(
        here.link.job, here.note.step, SentForm(fields, ()), desk.clock(), THE_SHOP, here.link.id, photo=""
    )
    take_shop_answers(desk, here, claim)
    return see(f"/shop/{token}")


def _over() -> Response:
    """The same for a link that never was and for one that has ended."""
    frame = PageFrame("", inside=False, ticket="", person="", stamp=stamp())
    text = "It has ended, or is not whole. Ask whoever gave it to you for a new one."
    return page("trouble.html", TroublePage(frame, "This link leads nowhere", (text,), ""), 401)
