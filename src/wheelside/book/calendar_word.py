"""The word that the calendar's address hangs on: a new one, with an entry of its own in the journal, makes a new address."""

from __future__ import annotations

import secrets

from sqlalchemy import Connection, select

from wheelside.book import tables
from wheelside.book.entry import WriteNote
from wheelside.units.moment import Moment

_VIA = "calendar"


def calendar_word(conn: Connection) -> str:
    """The word that counts; '' as long as the address was never renewed."""
    e = tables.entry.c
    word = conn.execute(select(e.client).where(e.via == _VIA).order_by(e.num.desc()).limit(1)).scalar()
    return str(word or "")


def new_word(at: Moment, what: str, person: str = "") -> WriteNote:
    """What is noted of a write that makes the address new."""
    return WriteNote(at, person, _VIA, what, secrets.token_hex(16))
