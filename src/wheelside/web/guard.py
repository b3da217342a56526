"""What stands before every page: the name it is asked by, its size, who asks, and from where.

Everything is refused that is not known to be right: another host's name, a body too large, a browser that was not
let in, a form of another site.
"""

from __future__ import annotations

import hashlib
import hmac
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import cookie_parser
from starlette.responses import JSONResponse, PlainTextResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from wheelside.errors import Outside
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.book.doors import who_is
from wheelside.jobs.work.calendar_key import book_id
from wheelside.web.callers import Call, Callers
from wheelside.web.guesses import SPAN_S, Guesses

MB = 1_000_000
_LIMITS = (
    (re.compile(r"/jobs/[^/]+/steps/|/api/jobs/[^/]+/photos$"), 16 * MB),
    (re.compile(r"/settings/(garage-file|readings)$"), 9 * MB),
    (re.compile(r"/port/card$"), 6 * MB),
    (re.compile(r"/api/readings$"), 8 * MB),
)
_LIMIT = 1 * MB
_OPEN = re.compile(r"/(?:in/[^/]+|static/.+|calendar/[^/]+\.ics|shop/[^/]+|authority\.pem|sw\.js)")
"""What may be seen without having been let in: each is either public, or has a secret in its address."""
_SECRET = re.compile(r"/(?:in/[^/]+|calendar/[^/]+\.ics|shop/[^/]+)")
"""What has a secret in its address."""
_WRONG = (400, 401, 404)
"""What is answered where that secret leads nowhere."""
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; connect-src 'self'; "
    "worker-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'"
)
OWN_STYLE = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; frame-ancestors 'none'; base-uri 'none'; form-action 'none'"
"""Of a page that is a file by itself: it carries its own style, and runs nothing."""
HEADERS = {
    "content-security-policy": POLICY,
    "x-frame-options": "DENY",
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(self), geolocation=(), microphone=()",
}
_SAFE = ("GET", "HEAD", "OPTIONS")


@dataclass(frozen=True, slots=True)
class Manners:
    """How this server is reached: the host names that are its own, whether over TLS, and the address for other devices."""

    names: frozenset[str]
    secure: bool = False
    address: str = ""
    lan: bool = False
    authority: bytes = b""


def ticket_for(token: str) -> str:
    """What forms of one browser carry, so that no other site can send them."""
    return hmac.new(token.encode(), b"wheelside form", hashlib.sha256).hexdigest()[:32]


def cookie_of(desk: Desk) -> str:
    """The name of a book's cookie: two books served by one machine have two."""
    return f"wheelside-{book_id(desk)[:8]}"


class TooLarge(Exception):
    """A body is larger than its page takes."""


class Guard:
    """The middleware."""

    def __init__(
        self, app: ASGIApp, desk: Desk, manners: Manners, outside: Callable[[str], Response], callers: Callers
    ) -> None:
        self.app, self.desk, self.manners, self.outside, self.callers = app, desk, manners, outside, callers
        self.cookie = cookie_of(desk)
        self.guesses = Guesses()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        call = self.callers.request(scope)
        try:
            await self._answer(scope, call.receiving(receive), call.sending(send), call)
        except BaseException:
            call.over()
            raise

    async def _answer(self, scope: Scope, receive: Receive, send: Send, call: Call) -> None:
        headers = Headers(scope=scope)
        polite = _with_headers(send, self.manners.secure)
        try:
            refusal = (
                self._refused(scope, headers) or self._guessing(scope) or await self._stranger(scope, headers, call)
            )
        except Outside as error:
            refusal = _say(scope, 503, str(error))
        if refusal is not None:
            await refusal(scope, receive, polite)
            return
        if _SECRET.fullmatch(scope["path"]):
            polite = _telling(polite, lambda: self.guesses.was_right(_client(scope)))
        try:
            await self.app(scope, _limited(receive, _limit_for(scope["path"])), polite)
        except TooLarge:
            await _too_large(scope)(scope, receive, polite)

    def _refused(self, scope: Scope, headers: Headers) -> Response | None:
        """Refuses by name, size and origin."""
        host = headers.get("host", "")
        if _name_of(host) not in self.manners.names:
            return _say(scope, 421, "This program does not answer to that name. Start it with --name to add one.")
        if "\x00" in scope["path"] or b"%00" in scope.get("query_string", b""):
            return _say(scope, 400, "No address here has such a character in it.")
        length = headers.get("content-length", "0")
        if not length.isascii() or not length.isdigit() or int(length) > _limit_for(scope["path"]):
            return _too_large(scope)
        if scope["method"] not in _SAFE and not self._from_here(headers, host):
            return _say(scope, 403, "This was sent by another site's page, and is refused.")
        return None

    def _from_here(self, headers: Headers, host: str) -> bool:
        site = headers.get("sec-fetch-site")
        if site is not None and site not in ("same-origin", "none"):
            return False
        origin = headers.get("origin")
        scheme = "https" if self.manners.secure else "http"
        return origin is None or origin.lower() == f"{scheme}://{host.lower()}"

    def _guessing(self, scope: Scope) -> Response | None:
        """Refuses a client that tried too many wrong secrets, a right one too."""
        if not _SECRET.fullmatch(scope["path"]) or self.guesses.may_try(_client(scope)):
            return None
        refusal = _say(
            scope, 429, "Too many links that lead nowhere were tried from this device: wait a minute, then try again."
        )
        refusal.headers["retry-after"] = str(round(SPAN_S))
        return refusal

    async def _stranger(self, scope: Scope, headers: Headers, call: Call) -> Response | None:
        """Notes who asks; refuses those that were not let in."""
        token, by_cookie = _token_of(headers, self.cookie)
        if token:
            call.look_up()
        elif not await call.turn():
            return Response(status_code=400)  # nobody is there any more
        visitor = await run_in_threadpool(who_is, self.desk, token) if token else None
        call.has_session(visitor is not None)
        scope.setdefault("state", {}).update(visitor=visitor, token=token if visitor else "", by_cookie=by_cookie)
        if visitor is not None or _OPEN.fullmatch(scope["path"]):
            return None
        text = "This browser is not connected, or was disconnected. "
        way = "Open the link that 'wheelside serve' prints, or scan the code that Settings show on a device that is in."
        return _say(scope, 401, text + way) if scope["path"].startswith("/api/") else self.outside(text + way)


def _name_of(host: str) -> str:
    """A host without its port, in small letters."""
    found = re.fullmatch(r"(\[[0-9a-fA-F:.]+\]|[^:]*)(?::\d{1,5})?", host)
    return found[1].lower().rstrip(".") if found else ""


def _token_of(headers: Headers, cookie: str) -> tuple[str, bool]:
    """The token of a request, and whether it came as a cookie."""
    bearer = headers.get("authorization", "")
    if bearer.startswith("Bearer "):
        return bearer.removeprefix("Bearer ").strip()[:200], False
    return cookie_parser(headers.get("cookie", "")).get(cookie, "")[:200], True


def _limit_for(path: str) -> int:
    return next((limit for pattern, limit in _LIMITS if pattern.search(path)), _LIMIT)


def _limited(receive: Receive, limit: int) -> Receive:
    """`receive`, until the body is larger than the limit, whatever its header said."""
    got = 0

    async def counted() -> Message:
        nonlocal got
        message = await receive()
        got += len(message.get("body", b""))
        if got > limit:
            raise TooLarge
        return message

    return counted


def _client(scope: Scope) -> str:
    """The address of the machine that asks."""
    return str((scope.get("client") or ("",))[0])


def _telling(send: Send, right: Callable[[], None]) -> Send:
    """`send`, which says so where what was asked for is there."""

    async def told(message: Message) -> None:
        if message["type"] == "http.response.start" and message["status"] not in _WRONG:
            right()
        await send(message)

    return told


def _too_large(scope: Scope) -> Response:
    most = _limit_for(scope["path"]) // MB
    refusal = _say(scope, 413, f"That is more than the {most} MB that this page takes; nothing of it was kept.")
    refusal.headers["connection"] = "close"
    return refusal


def _say(scope: Scope, status: int, text: str) -> Response:
    if scope["path"].startswith("/api/"):
        return JSONResponse({"error": text}, status)
    return PlainTextResponse(text + "\n", status)


def _with_headers(send: Send, secure: bool) -> Send:
    async def polite(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers.setdefault(name, value)
            headers.setdefault("cache-control", "no-store")
            if secure:
                headers.setdefault("strict-transport-security", "max-age=86400")
        await send(message)

    return polite


def names_with(extra: Iterable[str]) -> frozenset[str]:
    """This machine's own names, and those given."""
    return frozenset({"localhost", "127.0.0.1", "[::1]", *(n.lower().rstrip(".") for n in extra)})
