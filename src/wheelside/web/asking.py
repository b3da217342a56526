"""The server's way to a car: given on its command line, never by a page, and used by one visitor at a time."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

from starlette.requests import Request

from wheelside.errors import BadRequest, Meanwhile

WAIT_S = 1.0


@dataclass(frozen=True, slots=True)
class CarLink:
    """A link as `wheelside car --link` names it; '' where the server has none."""

    said: str = ""
    busy: threading.Lock = field(default_factory=threading.Lock)


def linked(request: Request) -> bool:
    """Whether this server has a way to a car."""
    link: CarLink = request.app.state.car_link
    return bool(link.said)


@contextmanager
def the_car(request: Request) -> Iterator[str]:
    """The link, for one visitor alone. Raises BadRequest where there is none, Meanwhile where somebody else has it."""
    link: CarLink = request.app.state.car_link
    if not link.said:
        raise BadRequest(
            "this server has no way to a car: start it with one, as the guide “Asking a car” says",
            expected="a way to a car",
        )
    if not link.busy.acquire(timeout=WAIT_S):
        raise Meanwhile("somebody else is asking the car just now: wait until that is done, then try again")
    try:
        yield link.said
    finally:
        link.busy.release()
