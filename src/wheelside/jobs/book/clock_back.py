"""A clock that was put back: earlier than what was written to the book last."""

from __future__ import annotations

from wheelside.book.book import refuse_none
from wheelside.book.engine import engine_for, transaction
from wheelside.book.entry import View
from wheelside.book.journal import newest
from wheelside.errors import Mendable, Outside
from wheelside.said import Said, say
from wheelside.units.moment import US_PER_S, Moment

APART_S = 600
"""Clocks of two machines at one book differ by less; judgement."""


def clock_back(conn: View, now: Moment) -> Said | None:
    """What is said where the clock shows less than the book's newest entry; None where it does not, by more than a few minutes."""
    last = next(iter(newest(conn, 1)), None)
    if last is None or last.at.us - now.us <= APART_S * US_PER_S:
        return None
    text = "The clock shows {now}, and the book was written to at {last}: set the clock right, as days and the order of what is noted go by it."
    return say(text, now=now, last=last.at)


def clock_back_at(where: str, now: Moment) -> Said | None:
    """As `clock_back`, for a book by its name; None where it can't be read, which is told by whoever reads it."""
    try:
        refuse_none(where)  # to be opened would make a book of a file that is empty
        engine = engine_for(where)
        try:
            with transaction(engine, where, writes=False) as conn:
                return clock_back(conn, now)
        finally:
            engine.dispose()
    except (Mendable, Outside):
        return None
