"""The secret part of the calendar's address: who knows it can read the calendar, and nothing else."""

from __future__ import annotations

import hashlib
import hmac

from wheelside.book.book import identity_of
from wheelside.book.calendar_word import calendar_word, new_word
from wheelside.jobs.book.desk import Desk


def calendar_key(desk: Desk) -> str:
    """The secret word of this book's calendar, made from the book's own key; it stays until it is made anew."""
    with desk.book.reading() as conn:
        (book, seal), word = identity_of(conn), calendar_word(conn)
    told = f"calendar of {book}" + (f", {word}" if word else "")
    return hmac.new(seal, told.encode(), hashlib.sha256).hexdigest()[:32]


def renew_calendar(desk: Desk, person: str = "") -> None:
    """Makes the calendar's address new; the one before leads nowhere. Raises Outside."""
    with desk.book.writing(new_word(desk.clock(), "the calendar has a new address", person)):
        pass


def book_id(desk: Desk) -> str:
    """The book's permanent identifier."""
    with desk.book.reading() as conn:
        return identity_of(conn)[0]
