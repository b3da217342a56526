"""The door: letting another device in, by a code with a one-time key."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import Depends, Request
from markupsafe import Markup
from starlette.responses import Response

from wheelside.jobs.book.doors import come_in, new_key
from wheelside.sensor.qr import text_svg
from wheelside.web.form import SentForm, form_of, plain_text
from wheelside.web.frame import PageFrame, desk_of, frame_of, manners_of, page, see
from wheelside.web.guard import cookie_of
from wheelside.web.route import pages

router = pages()
A_YEAR_S = 365 * 86_400


@dataclass(frozen=True, slots=True)
class Door:
    """The pairing page: a code, or the button that makes one."""

    frame: PageFrame
    to: str
    address: str
    link: str
    qr: Markup
    secure: bool
    lan: bool
    authority: bool


@router.get("/door")
def door(request: Request, to: str = "/") -> Response:
    """Before a code is made."""
    return _door(request, to if to.startswith("/") else "/", "")


@router.post("/door")
def make(request: Request, form: SentForm = Depends(form_of)) -> Response:  # noqa: B008
    """A code that counts once, for a quarter of an hour."""
    to = form.get("to", "/")
    key = new_key(desk_of(request), to)
    return _door(request, to, f"{_base(request)}/in/{key}")


def _base(request: Request) -> str:
    return manners_of(request).address or str(request.base_url).rstrip("/")


def _door(request: Request, to: str, link: str) -> Response:
    manners = manners_of(request)
    picture = Markup(text_svg(link, "QR code of the link that lets a device in")) if link else Markup()  # noqa: S704
    shown = Door(
        frame_of(request, "/settings"),
        to,
        _base(request),
        link,
        picture,
        manners.secure,
        manners.lan,
        bool(manners.authority),
    )
    return page("door.html", shown)


@dataclass(frozen=True, slots=True)
class Entrance:
    """Where a link leads: one button, so that nothing but a person uses the link up."""

    frame: PageFrame
    key: str
    guess: str


@router.get("/in/{key}")
def entrance(request: Request, key: str) -> Response:
    """Before coming in."""
    return page("entrance.html", Entrance(frame_of(request), key[:100], _guess(request.headers.get("user-agent", ""))))


def _guess(agent: str) -> str:
    """A name for a browser's device, to begin with."""
    known = (("Android", "phone"), ("iPhone", "phone"), ("iPad", "tablet"), ("Mobile", "phone"))
    return next((name for sign, name in known if sign in agent), "computer")


@router.post("/in/{key}")
async def enter(request: Request, key: str) -> Response:
    """Comes in, once for each key."""
    from starlette.concurrency import run_in_threadpool

    form = await request.form(max_files=0, max_fields=10)
    label, person = plain_text(str(form.get("label", ""))), plain_text(str(form.get("person", "")))
    let = await run_in_threadpool(come_in, desk_of(request), key[:100], label, person)
    answer = see(let.goes_to)
    answer.set_cookie(
        cookie_of(desk_of(request)),
        let.token,
        max_age=A_YEAR_S,
        httponly=True,
        samesite="lax",
        secure=manners_of(request).secure,
        path="/",
    )
    return answer


@router.get("/authority.pem")
def authority(request: Request) -> Response:
    """The certificate of the authority that this program made, to be installed on a phone."""
    data = manners_of(request).authority
    if not data:
        return Response("There is none: start with --tls.\n", 404, media_type="text/plain")
    named = {"content-disposition": 'attachment; filename="wheelside-authority.pem"'}
    return Response(data, media_type="application/x-x509-ca-cert", headers=named)
