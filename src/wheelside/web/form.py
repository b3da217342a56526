"""Forms: read whole, with the browser's ticket looked at first."""

from __future__ import annotations

import hmac
from collections.abc import Iterator
from dataclasses import dataclass

from starlette.datastructures import FormData, UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request

from wheelside.web.guard import ticket_for

MOST_FIELDS = 3000
MOST_TEXT = 20_000
MOST_FILE_TEXT = 8_000_000
"""A whole file may come back in the field 'text': one of readings, or a garage file, of which its reader takes less."""


@dataclass(frozen=True, slots=True)
class SentForm:
    """A form's fields by name, in their order; files apart."""

    fields: tuple[tuple[str, str], ...]
    files: tuple[tuple[str, bytes], ...]

    def get(self, name: str, default: str = "") -> str:
        """The last value of a field, without blanks around it."""
        return next((v.strip() for k, v in reversed(self.fields) if k == name), default)

    def file(self, name: str) -> bytes:
        """The bytes of a file that was sent; empty where none was."""
        return next((data for k, data in self.files if k == name), b"")

    def starting(self, prefix: str) -> Iterator[tuple[str, str]]:
        """The fields whose names begin so, without that beginning."""
        return ((k.removeprefix(prefix), v) for k, v in self.fields if k.startswith(prefix))


def plain_text(text: str) -> str:
    """Text with plain line ends, and without signs that no text has: NUL, and halves of signs."""
    return text.replace("\r\n", "\n").replace("\x00", "").encode("utf-8", "replace").decode()


async def form_of(request: Request) -> SentForm:
    """The form of a request. Refuses one without its browser's ticket, and one that is too long."""
    form = await bare_form(request)
    check_ticket(request, form.get("ticket").partition(".")[0])
    return form


async def bare_form(request: Request) -> SentForm:
    """The form of a request, whose ticket is still to be looked at. Refuses one that is too long."""
    data: FormData = await request.form(max_files=4, max_fields=MOST_FIELDS, max_part_size=16_000_000)
    fields, files = [], []
    for name, value in data.multi_items():
        if isinstance(value, UploadFile):
            files.append((name, await value.read()))
        else:
            fields.append((name, _whole(name, value)))
    await data.close()
    return SentForm(tuple(fields), tuple(files))


def _whole(name: str, value: str) -> str:
    """The value of a field, never cut: one that is too long is refused."""
    most = MOST_FILE_TEXT if name == "text" else MOST_TEXT
    if len(value) > most:
        raise HTTPException(
            422, f"The field {name[:40]} holds more than {most} characters: shorten it. Nothing was kept."
        )
    return plain_text(value)


def check_ticket(request: Request, ticket: str) -> None:
    """Refuses what does not carry the ticket of the browser that sends it."""
    if not request.state.by_cookie and request.state.visitor is not None:
        return  # a program that names its token itself; no other site can make a browser do that
    need_ticket(request.state.token, ticket)


def need_ticket(token: str, ticket: str) -> None:
    """Refuses a ticket that is not the one of a token; any, where there is no token."""
    wanted = ticket_for(token) if token else ""
    if not wanted or not hmac.compare_digest(wanted, ticket.encode("ascii", "replace").decode()):
        raise HTTPException(
            403, "This form is not of this browser's visit any more: go back, load the page again, send it again."
        )
