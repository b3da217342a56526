"""What is written beside an ID and is taken for one: a tyre size, a date, a date code."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date

from wheelside.errors import BadText
from wheelside.said import Coded, Said, say
from wheelside.tyre.date_code import read_date_code
from wheelside.tyre.sidewall import read_designation

_ISO = re.compile(r"(\d{4})([-./])(\d{1,2})\2(\d{1,2})")
_LOCAL = re.compile(r"(\d{1,2})([-./])(\d{1,2})\2(\d{4})|(\d{1,2})([./])(\d{1,2})\6(\d{2})")
_CODE = re.compile(r"(?:DOT\b.*\D)?(\d{4})", re.IGNORECASE)
_SIZE = re.compile(r"(?:P|LT)?\d{3}\s*/\s*\d{2,3}(?:\D.*)?", re.IGNORECASE)
_YEARS = range(1970, 2100)


class Mistaken(Coded):
    """What a text is that is not a sensor ID."""

    TYRE_SIZE = "tyre-size", "a tyre size"
    DATE = "date", "a date"
    DATE_CODE = "date-code", "a date code of a tyre"


@dataclass(frozen=True, slots=True)
class NotAnId:
    """A text, what it is, and that in full where there is more to say: '28 November 2026'."""

    text: str
    kind: Mistaken
    meaning: str | Said = ""

    @property
    def said(self) -> Said:
        """What is said of it, with what to do, to stand within a sentence."""
        kind = say("{kind} ({meaning})", kind=self.kind, meaning=self.meaning) if self.meaning else self.kind
        if self.kind is Mistaken.TYRE_SIZE:
            return say("{text} is {kind}, not a sensor ID", text=repr(self.text), kind=kind)
        return say(
            "{text} is {kind}, not a sensor ID; if it is one, write '0x' or 'dec:' in front of its digits",
            text=repr(self.text), kind=kind,
        )  # fmt: skip


def mistaken_for(text: str) -> NotAnId | None:
    """What a text is that looks like something else than an ID; None where it does not."""
    bare = text.strip()
    if (day := _day(bare)) is not None:
        return NotAnId(bare, Mistaken.DATE, f"{day.day} {day:%B} {day.year}")
    if (code := _CODE.fullmatch(bare)) and (made := _made(code[1])):
        return NotAnId(bare, Mistaken.DATE_CODE, made)
    return NotAnId(bare, Mistaken.TYRE_SIZE) if _is_size(bare) else None


def _day(text: str) -> date | None:
    """The day that a text says: year first, or day or month first with the year behind."""
    if found := _ISO.fullmatch(text):
        return _date(found[1], found[3], found[4])
    if found := _LOCAL.fullmatch(text):
        first, second, year = (found[1], found[3], found[4]) if found[4] else (found[5], found[7], f"20{found[8]}")
        return _date(year, second, first) or _date(year, first, second)
    return None


def _date(year: str, month: str, day: str) -> date | None:
    try:
        return date(int(year), int(month), int(day)) if int(year) in _YEARS else None
    except ValueError:
        return None


def _made(code: str) -> Said | None:
    """The week of a date code; None where it is none."""
    try:
        read_date_code(code)
    except BadText:
        return None
    return say("week {week} of 20{year}", week=int(code[:2]), year=code[2:])


def _is_size(text: str) -> bool:
    """Whether it begins like a tyre size, or is a whole designation that is no row of hex digits."""
    if _SIZE.fullmatch(text):
        return True
    try:
        read_designation(text)
    except BadText:
        return False
    return not re.fullmatch(r"[0-9A-Fa-f\s]+", text)
