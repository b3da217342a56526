"""The secret part of the calendar's address: who knows it can read the calendar, and nothing else."""

from __future__ import annotations

import hashlib
import hmac

from wheelside.book.book import identity_of
from wheelside.jobs.book.desk import Desk


def calendar_key(desk: Desk) -> str:
    """The secret word of this book's calendar, made from the book's own key; it stays."""
    with desk.book.reading() as conn:
        book, seal = identity_of(conn)
    return hmac.new(seal, f"calendar of {book}".encode(), hashlib.sha256).hexdigest()[:32]


def book_id(desk: Desk) -> str:
    """The book's permanent identifier."""
    with desk.book.reading() as conn:
        return identity_of(conn)[0]
