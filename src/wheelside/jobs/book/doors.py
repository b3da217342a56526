"""Letting browsers in: one-time keys, the tokens they get for them, and showing them out."""

from __future__ import annotations

import re
import secrets
from contextlib import suppress
from dataclasses import dataclass, replace

from wheelside.book.visitors import Visitor, add_key, change_visitor, let_in, use_key, visitor_of, visitors
from wheelside.errors import BadRequest, NotThere, Outside
from wheelside.jobs.book.desk import Desk
from wheelside.units.moment import US_PER_S

KEY_LASTS_S = 15 * 60
"""A one-time key counts for a quarter of an hour."""
LONGEST_NAME = 60
UNUSED_US = 180 * 86_400 * US_PER_S
"""A visit ends that was not used for so long."""
_NOTED_US = 30 * 86_400 * US_PER_S
"""That a browser was seen is written down at once where the book's own note of it is older than that."""


@dataclass(frozen=True, slots=True)
class LetIn:
    """A browser that was let in: its token, which only it knows, and the page that the key led to."""

    token: str
    goes_to: str


def new_key(desk: Desk, goes_to: str = "/", lasts_s: int = KEY_LASTS_S) -> str:
    """A one-time key that lets one browser in, to a page of this program. Raises BadRequest, Outside."""
    if (
        not goes_to.startswith("/")
        or goes_to.startswith(("//", "/\\"))
        or len(goes_to) > 200
        or not re.fullmatch(r"[!-~]+", goes_to)
    ):
        raise BadRequest("a key leads to a page of this program", found=goes_to[:60], expected="/")
    key, at = secrets.token_urlsafe(24), desk.clock()
    with desk.book.quietly() as conn:
        add_key(conn, key, at, at.us + lasts_s * US_PER_S, goes_to)
    return key


def come_in(desk: Desk, key: str, label: str, person: str) -> LetIn:
    """Lets a browser in for a key, which is used up by it. Raises BadRequest where the key does not count."""
    token, visitor, at = secrets.token_urlsafe(32), secrets.token_hex(6), desk.clock()
    with desk.book.quietly() as conn:
        goes_to = use_key(conn, key, at)
        if goes_to is None:
            raise BadRequest(
                "this link was used already, or is older than a quarter of an hour: make a new one under Settings, "
                "or with 'wheelside serve'",
                expected="a link that was not used",
            )
        let_in(conn, visitor, token, label.strip()[:LONGEST_NAME] or "a browser", at)
        if person.strip():
            change_visitor(conn, visitor, person=person.strip()[:LONGEST_NAME])
    return LetIn(token, goes_to)


def who_is(desk: Desk, token: str) -> Visitor | None:
    """The browser with a token; None where it is unknown, was disconnected, or was not used for too long.

    That it was seen is remembered, and kept with the next write: looking at a page waits for no writer, but once in a month.
    """
    at = desk.clock().us
    with desk.book.reading() as conn:
        visitor = visitor_of(conn, token)
    if visitor is None or _seen(desk, visitor).ended_us is not None:
        return None
    if at - visitor.seen_us > _NOTED_US:
        with suppress(Outside), desk.book.quietly() as conn:
            change_visitor(conn, visitor.id, seen_at=at)
    desk.saw(visitor.id, at)
    return visitor


def _seen(desk: Desk, visitor: Visitor) -> Visitor:
    """A browser as it stands now: seen since the book's last write, or ended as it was not used."""
    seen_us = max(visitor.seen_us, desk.seen.get(visitor.id, 0))
    over = visitor.ended_us is None and desk.clock().us - seen_us > UNUSED_US
    return replace(visitor, seen_us=seen_us, ended_us=seen_us + UNUSED_US if over else visitor.ended_us)


def everyone(desk: Desk) -> tuple[Visitor, ...]:
    """Every browser that was let in, the last seen first."""
    with desk.book.reading() as conn:
        found = visitors(conn)
    return tuple(sorted((_seen(desk, v) for v in found), key=lambda v: -v.seen_us))


def show_out(desk: Desk, visitor: str) -> None:
    """Ends a browser's visit; its token counts no more. Raises NotThere."""
    with desk.book.quietly() as conn:
        if not change_visitor(conn, visitor, ended_at=desk.clock().us):
            raise NotThere("there is no such browser", found=visitor[:40])


def call(desk: Desk, visitor: str, *, label: str, person: str) -> None:
    """Notes what a browser is called and who holds it."""
    with desk.book.quietly() as conn:
        change_visitor(
            conn, visitor, label=label.strip()[:LONGEST_NAME] or "a browser", person=person.strip()[:LONGEST_NAME]
        )
