"""What is due, as an iCalendar file (RFC 5545)."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, timedelta
from urllib.parse import quote

from wheelside import __version__
from wheelside.jobs.work.agenda import Due
from wheelside.speech.speech import Speech
from wheelside.units.moment import Moment


def calendar_text(due: Iterable[Due], book: str, at: Moment, address: str = "") -> bytes:
    """The calendar: one all-day event a thing that is due, each with a name that stays. `address`: where the pages are."""
    from icalendar import Calendar, Event

    made, speech = Calendar(), Speech()
    made.add("prodid", f"-//Wheelside//Wheelside {__version__}//EN")
    made.add("version", "2.0")
    made.add("x-wr-calname", "Wheelside")
    for one in due:
        event = Event()
        event.add("uid", f"{one.uid}@{book}.wheelside.invalid")
        event.add("dtstamp", at.local.astimezone(UTC))
        event.add("dtstart", one.day)
        event.add("dtend", one.day + timedelta(days=1))
        event.add("summary", speech.text(one.title))
        event.add("description", f"{speech.text(one.text)}\nRests on {speech.text(one.basis.said)}")
        event.add("transp", "TRANSPARENT")
        if address:
            event.add("url", f"{address}{quote(one.link, safe='/?=&')}")
        made.add_component(event)
    return bytes(made.to_ical())
