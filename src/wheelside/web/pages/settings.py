"""Settings: devices that are in, garage file and back-up, calendar, the journal."""

from __future__ import annotations

import ipaddress
import tempfile
from dataclasses import dataclass
from pathlib import Path

from fastapi import Depends, Request
from starlette.background import BackgroundTask
from starlette.exceptions import HTTPException
from starlette.responses import FileResponse, Response

from wheelside.errors import BadFile
from wheelside.jobs.book.doors import call, everyone, show_out
from wheelside.jobs.book.files import Coming, back_up, garage_text, look_at, take_in_text
from wheelside.jobs.book.kept import Visitor, Written, journal
from wheelside.jobs.work.agenda import agenda
from wheelside.jobs.work.calendar import calendar_text
from wheelside.jobs.work.calendar_key import book_id, calendar_key, renew_calendar
from wheelside.jobs.work.shop import links_out
from wheelside.units.moment import Moment
from wheelside.web.form import SentForm, form_of
from wheelside.web.frame import PageFrame, desk_of, frame_of, manners_of, page, person_of, see, visitor_of
from wheelside.web.route import pages

router = pages()
SHOWN = 30


@dataclass(frozen=True, slots=True)
class SettingsPage:
    """The page. `problems`: what is wrong with a garage file that was sent. `shops`: jobs with a link out for the shop, each until when.
    `here`: whether its browser runs on the server's own machine. `renewed`: whether the calendar's address was made anew just now."""

    frame: PageFrame
    me: Visitor
    visitors: tuple[tuple[Visitor, str, str], ...]
    calendar: str
    journal: tuple[Written, ...]
    problems: tuple[str, ...]
    taken: str
    readings: str
    shops: tuple[tuple[str, str], ...]
    here: bool
    renewed: bool


@router.get("/settings")
def settings(request: Request, taken: str = "", readings: str = "", renewed: str = "") -> Response:
    """The page."""
    return _settings(request, (), _number(taken), _number(readings), renewed=bool(renewed))


def _number(text: str) -> str:
    return text if text.isascii() and text.isdigit() else ""


def _settings(
    request: Request, problems: tuple[str, ...], taken: str = "", readings: str = "", *, renewed: bool = False
) -> Response:
    desk, me = desk_of(request), visitor_of(request)
    assert me is not None, "the guard lets nobody else come here"
    offset = desk.clock().offset_min
    rows = tuple((v, _at(v.seen_us, offset), _at(v.ended_us, offset) if v.ended_us else "") for v in everyone(desk))
    base = manners_of(request).address or str(request.base_url).rstrip("/")
    shown = SettingsPage(
        frame_of(request, "/settings"), me, rows, f"{base}/calendar/{calendar_key(desk)}.ics", journal(desk, SHOWN), problems, taken,
        readings, tuple((link.job, _at(link.until_us, offset)) for link in links_out(desk)), on_this_machine(request), renewed,
    )  # fmt: skip
    return page("settings.html", shown, 422 if problems else 200)


def _at(us: int, offset_min: int) -> str:
    return Moment(us, offset_min).short()


@router.post("/settings/me")
def me(request: Request, form: SentForm = Depends(form_of)) -> Response:  # noqa: B008
    """What this device is called, and who holds it."""
    visitor = visitor_of(request)
    assert visitor is not None, "the guard lets nobody else come here"
    call(desk_of(request), visitor.id, label=form.get("label"), person=form.get("person"))
    return see("/settings")


@router.post("/settings/show-out")
def out(request: Request, form: SentForm = Depends(form_of)) -> Response:  # noqa: B008
    """Ends a device's visit."""
    show_out(desk_of(request), form.get("visitor"))
    return see("/settings")


@router.get("/settings/garage.toml")
def garage_file(request: Request) -> Response:
    """The garage file."""
    named = {"content-disposition": 'attachment; filename="garage.toml"'}
    return Response(garage_text(desk_of(request)), media_type="application/toml", headers=named)


@dataclass(frozen=True, slots=True)
class LookFirst:
    """What a garage file that was sent would change, before it is taken in."""

    frame: PageFrame
    coming: Coming
    most: int


@router.post("/settings/garage-file")
def take_garage_file(request: Request, form: SentForm = Depends(form_of)) -> Response:  # noqa: B008
    """Takes a garage file in; first shows what it would change, or all that is wrong with it."""
    desk, text, since = desk_of(request), form.get("text"), form.get("revision")
    data = form.file("file")
    if not data and not text:
        return _settings(request, ("no file was sent: pick one first",))
    try:
        if text and since.isascii() and since.isdigit():
            taken = take_in_text(
                desk, text, "garage.toml", since=int(since[:15]), person=person_of(request), via="page"
            )
            return see(f"/settings?taken={taken.rows}")
        coming = look_at(desk, data, "garage.toml")
    except BadFile as error:
        return _settings(request, tuple(p.text("garage.toml") for p in error.problems))
    return page("lookfirst.html", LookFirst(frame_of(request, "/settings"), coming, 40))


@router.get("/settings/back-up.zip")
def back_up_file(request: Request) -> Response:
    """A back-up of the whole book. It holds the book's signing key, so it never leaves the machine by this way."""
    if not on_this_machine(request):
        raise HTTPException(
            403, "A back-up holds the book's signing key: make it on the machine itself, with 'wheelside book back-up'."
        )
    folder = tempfile.TemporaryDirectory(prefix="wheelside-")
    path = Path(folder.name) / "book.zip"
    desk = desk_of(request)
    back_up(desk, path)
    name = f"wheelside-{desk.clock().day}.zip"
    return FileResponse(path, filename=name, media_type="application/zip", background=BackgroundTask(folder.cleanup))


def on_this_machine(request: Request) -> bool:
    """Whether the browser runs where the server does: it comes over loopback, and nobody passes it on from elsewhere."""
    passed_on = any(name in request.headers for name in ("forwarded", "x-forwarded-for", "via"))
    try:
        host = request.client.host if request.client else ""
        return ipaddress.ip_address(host).is_loopback and not passed_on
    except ValueError:
        return False


@router.post("/settings/calendar")
def new_address(request: Request, form: SentForm = Depends(form_of)) -> Response:  # noqa: ARG001, B008
    """Makes the calendar's address new."""
    renew_calendar(desk_of(request), person_of(request))
    return see("/settings?renewed=1#calendar")


@router.get("/calendar/{key}.ics")
def calendar(request: Request, key: str) -> Response:
    """The calendar, for whoever knows its address."""
    import hmac

    desk = desk_of(request)
    if not hmac.compare_digest(key.encode(), calendar_key(desk).encode()):
        raise HTTPException(404, "There is no such page.")
    base = manners_of(request).address or str(request.base_url).rstrip("/")
    text = calendar_text(agenda(desk), book_id(desk), desk.clock(), base)
    return Response(text, media_type="text/calendar; charset=utf-8")
