"""The application: its pages, its API, its guard. Write it like this."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from datetime import date
from pathlib import Path

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect
from starlette.responses import FileResponse, JSONResponse, Response

from wheelside import __version__
from wheelside.car.frames import CarTrouble
from wheelside.errors import Meanwhile, Mendable, NotThere, Outside
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.report import write_report
from wheelside.jobs.work.starting import Asker
from wheelside.web import api, api_readings, api_tyres
from wheelside.web.asking import CarLink
from wheelside.web.callers import Callers
from wheelside.web.frame import TroublePage, frame_of, outside_page, page, stamp
from wheelside.web.guard import HEADERS, Guard, Manners
from wheelside.web.lean import lean_script, lean_style
from wheelside.web.pages import (
    air,
    answers,
    door,
    facts,
    fit,
    gauge,
    hand_over,
    jobs,
    leak,
    now,
    plan,
    port,
    proof,
    readings,
    settings,
    shop,
    shopping,
    start,
    things,
    why,
)

_STATIC = Path(__file__).parent / "static"
_A_YEAR = "public, max-age=31536000, immutable"
PAGES = (
    now,
    gauge,
    leak,
    why,
    start,
    answers,
    things,
    hand_over,
    port,
    fit,
    plan,
    air,
    jobs,
    proof,
    facts,
    settings,
    readings,
    door,
    shop,
    shopping,
)


def make_app(
    desk: Desk, manners: Manners, car_link: str = "", example: tuple[str, date] = ("", date.min),
    callers: Callers | None = None,
) -> FastAPI:  # fmt: skip
    """The application for one book. `car_link`: the way to a car, as `wheelside car --link` names it; '' for none. `example`: a garage
    file to look round in, with the day that it is told for. `callers`: the connections of the server that it runs in.
    """
    app = FastAPI(
        title="Wheelside",
        version=__version__,
        description="The same rules as the pages: a browser's cookie and ticket, or a token in the header Authorization: Bearer.",
        docs_url=None,
        redoc_url=None,
        openapi_url="/api/openapi.json",
    )
    app.state.desk, app.state.manners, app.state.car_link = desk, manners, CarLink(car_link)
    callers = callers or Callers()
    app.state.asker, app.state.example = Asker(desk, busy=callers.crowded), example
    for module in PAGES:
        app.include_router(module.router, include_in_schema=False)
    app.include_router(api.router, prefix="/api")
    app.include_router(api_readings.router, prefix="/api")
    app.include_router(api_tyres.router, prefix="/api")
    app.add_api_route("/static/{version}/{name}", static, include_in_schema=False)
    app.add_api_route("/sw.js", service_worker, include_in_schema=False)
    for kind, handler in _HANDLERS.items():
        app.add_exception_handler(kind, handler)
    app.add_middleware(Guard, desk=desk, manners=manners, outside=outside_page, callers=callers)
    return app


def static(version: str, name: str) -> Response:
    """A file of ours, which may be kept for long, as its address changes with it."""
    known = {path.name for path in _STATIC.iterdir()}
    if name not in known or version != stamp():
        raise HTTPException(404, "There is no such file.")
    path, kept = _STATIC / name, {"cache-control": _A_YEAR}
    if path.suffix == ".css":
        return Response(lean_style(path.read_text(encoding="utf-8")), media_type="text/css", headers=kept)
    if path.suffix == ".js":
        return Response(lean_script(path.read_text(encoding="utf-8")), media_type="text/javascript", headers=kept)
    return FileResponse(path, headers=kept)


def service_worker() -> Response:
    """The service worker, at the root so that it may answer for every page."""
    text = (_STATIC / "sw.js").read_text(encoding="utf-8").replace("STAMP", stamp())
    return Response(text, media_type="text/javascript", headers={"cache-control": "no-cache"})


def _tell(request: Request, status: int, title: str, text: str, found: str = "", expected: str = "") -> Response:
    if request.url.path.startswith("/api/"):
        body = {"error": text, "found": found, "expected": expected}
        return JSONResponse({k: v for k, v in body.items() if v}, status)
    lines = tuple(line for line in text.split("\n") if line.strip())
    return page("trouble.html", TroublePage(frame_of(request), title, lines, "/"), status)


async def _mendable(request: Request, error: Mendable) -> Response:
    status = 404 if isinstance(error, NotThere) else 409 if isinstance(error, Meanwhile) else 400
    title = "Not there" if status == 404 else "This can't be done so"
    return _tell(request, status, title, error.message, error.found, error.expected)


async def _car(request: Request, error: CarTrouble) -> Response:
    return _tell(request, 503, "The car could not be asked", str(error))


async def _outside(request: Request, error: Outside) -> Response:
    return _tell(request, 503, "The book can't be reached", str(error))


async def _http(request: Request, error: HTTPException) -> Response:
    text = str(error.detail)
    if error.status_code == 404 and text == "Not Found":
        text = "There is no such page."
    return _tell(request, error.status_code, "Not there" if error.status_code == 404 else "Refused", text)


async def _invalid(request: Request, error: RequestValidationError) -> Response:
    first = error.errors()[0]
    where = ".".join(str(part) for part in first["loc"])
    return _tell(request, 422, "This can't be read", f"{where}: {first['msg']}")


async def _gone(request: Request, error: ClientDisconnect) -> Response:  # noqa: ARG001
    """Nobody is there any more to read this."""
    return Response(status_code=400)


async def _bug(request: Request, error: Exception) -> Response:
    text = f"That is a bug of this program: {type(error).__name__}; {write_report()}. Nothing of what you sent was kept by half."
    answer = _tell(request, 500, "A bug", text)
    answer.headers.update({**HEADERS, "cache-control": "no-store"})
    return answer


_HANDLERS: dict[type[Exception], Callable[..., Awaitable[Response]]] = {
    Mendable: _mendable,
    CarTrouble: _car,
    Outside: _outside,
    HTTPException: _http,
    RequestValidationError: _invalid,
    ClientDisconnect: _gone,
    Exception: _bug,
}
