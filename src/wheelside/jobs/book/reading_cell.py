"""What single cells of a readings file say: figures, moments, yes or no."""

from __future__ import annotations

import math
import re
from datetime import UTC, date, datetime, time, timezone, tzinfo
from datetime import timedelta as span
from enum import StrEnum
from zoneinfo import ZoneInfo

from wheelside.errors import BadQuantity, BadRequest
from wheelside.jobs.book.spreadsheet import Cell
from wheelside.units.moment import Moment
from wheelside.units.number import split_number


class DayOrder(StrEnum):
    """Which comes first in days such as 03/04/2026."""

    DAY = "day"
    MONTH = "month"


class Asks(StrEnum):
    """What the owner has to say before a file can be read."""

    DAY_ORDER = "day order"
    UNIT = "unit"
    COLUMN = "column"


class UnfitCell(Exception):
    """A cell that can't be read: its column, what was found, what was expected, what to do or what is asked."""

    def __init__(self, column: str, found: object, expected: str, way: str = "", asks: Asks | None = None) -> None:
        super().__init__(column)
        self.column, self.found, self.expected, self.way, self.asks = column, repr(found)[:60], expected, way, asks


_UNITS = {
    "kpa": "kPa",
    "bar": "bar",
    "psi": "psi",
    "°c": "°C",
    "c": "°C",
    "°f": "°F",
    "f": "°F",
    "hpa": "hPa",
    "mbar": "hPa",
}
_FIGURE = re.compile(r"([+-]?[\d.,'\u2019 ]*\d(?:[eE][+-]?\d{1,3})?)\s*([^\d.,]*)", re.ASCII)

_PLAIN = re.compile(r"-?\d{1,9}(?:\.\d{1,20})?", re.ASCII)


def figure(column: str, cell: Cell, *, decimal_comma: bool) -> tuple[float, str]:
    """The number that a cell holds, and the unit that stands behind it, '' for none. Raises Unfit."""
    if isinstance(cell, bool):
        raise UnfitCell(column, cell, "a number")
    if isinstance(cell, str) and _PLAIN.fullmatch(cell):
        return float(cell), ""
    if isinstance(cell, (int, float)):
        number, unit = float(cell), ""
    else:
        found = _FIGURE.fullmatch(str(cell).strip().replace("\u2212", "-"))
        if found is None:
            raise UnfitCell(column, cell, "a number")
        number, unit = _number(column, found[1].strip(), decimal_comma=decimal_comma), found[2].strip()
    if not math.isfinite(number):
        raise UnfitCell(column, cell, "a number")
    if unit and unit.casefold() not in _UNITS:
        raise UnfitCell(column, cell, "a number, or one with kPa, bar, psi, hPa, °C or °F behind it")
    return number, _UNITS.get(unit.casefold(), "")


def _number(column: str, digits: str, *, decimal_comma: bool) -> float:
    try:
        return float(
            digits.replace(",", ".") if decimal_comma and digits.count(",") == 1 and "." not in digits else digits
        )
    except ValueError:
        pass
    try:
        values, _, rest = split_number(digits)
    except BadQuantity:
        raise UnfitCell(column, digits, "a number") from None
    if rest:
        raise UnfitCell(column, digits, "a number")
    if len(values) > 1:
        raise UnfitCell(
            column, digits, "a number that can be read in one way", f"write {values[0]:.4f} or {values[1]:.0f}"
        )
    return values[0]


def zone_of(text: str) -> tzinfo:
    """A zone as the owner names it: an offset such as +01:00, or a name of the tz database. Raises BadRequest."""
    found = re.fullmatch(r"([+-])(\d{2}):?(\d{2})", text, re.ASCII)
    if found and int(found[2]) <= 14 and int(found[3]) < 60:
        ahead = span(hours=int(found[2]), minutes=int(found[3]))
        return timezone(-ahead if found[1] == "-" else ahead)
    if text.upper() in ("Z", "UTC"):
        return UTC
    try:
        return ZoneInfo(text)
    except (ValueError, OSError, KeyError) as error:
        raise BadRequest(
            f"'{text}' is not a zone: write an offset such as +01:00, or a name of the tz database such as Europe/London",
            found=text[:60],
            expected="+01:00",
        ) from error


def moment(at: Cell | datetime | date, clock: Cell | time, zone: tzinfo, order: DayOrder | None) -> Moment:
    """The moment that a cell names, with the time of day from another where there is one. Raises Unfit.

    `zone`: that of moments which name none. `order`: how days such as 03/04/2026 are meant; None: they are asked about.
    """
    when = _day_and_time(at, order)
    if clock is not None:
        when = datetime.combine(when.date(), _clock("time", clock), when.tzinfo)
    if when.tzinfo is not None:
        return _of(when, at)
    once, again = when.replace(tzinfo=zone, fold=0), when.replace(tzinfo=zone, fold=1)
    if once.utcoffset() != again.utcoffset():
        way = "write its offset, as in 2026-10-25T02:30:00+01:00"
        raise UnfitCell("at", at, "a time that there was once in this zone: clocks changed then", way)
    return _of(once, at)


def _of(when: datetime, at: object) -> Moment:
    try:
        return Moment.of(when)
    except (ValueError, OverflowError, OSError):
        raise UnfitCell("at", at, "a moment of the years 1980 to 2199") from None


_ISO = "a time such as 2026-11-28T14:05:00+01:00"
_DAY_FORM = re.compile(r"(\d{1,4})([./-])(\d{1,2})\2(\d{4}|\d{1,2})(?:[ T,]+(.+))?", re.ASCII)


def _day_and_time(at: Cell | datetime | date, order: DayOrder | None) -> datetime:
    if isinstance(at, datetime):
        return at
    if isinstance(at, date):
        return datetime.combine(at, time())
    text = str(at).strip()
    try:
        return datetime.fromisoformat(text)
    except ValueError:
        pass
    found = _DAY_FORM.fullmatch(text)
    if found is None:
        raise UnfitCell("at", at, _ISO)
    day = _day(at, found, order)
    return datetime.combine(day, _clock("at", found[5]) if found[5] else time())


def _day(at: object, found: re.Match[str], order: DayOrder | None) -> date:
    """A day in one of the forms y/m/d, d.m.y, d/m/y, m/d/y. With dots the day comes first: common practice, no source."""
    first, mark, second, third = found[1], found[2], int(found[3]), found[4]
    if len(first) == 4:
        return _made(at, int(first), second, int(third))
    if len(third) != 4:
        raise UnfitCell("at", at, "a year of four digits", "write it so")
    one = int(first)
    if order is None and mark != "." and one != second and one <= 12 and second <= 12:
        ways = f"{_made(at, int(third), second, one)} with the day first, {_made(at, int(third), one, second)} with the month first"
        raise UnfitCell("at", at, "a day that can be read in one way", ways, Asks.DAY_ORDER)
    month_first = order is DayOrder.MONTH or (order is None and mark != "." and second > 12)
    return _made(at, int(third), one, second) if month_first else _made(at, int(third), second, one)


def _made(at: object, year: int, month: int, day: int) -> date:
    try:
        return date(year, month, day)
    except ValueError:
        raise UnfitCell("at", at, "a day that there is", "look at the order of day and month, too") from None


_CLOCK = re.compile(r"(\d{1,2}):(\d{2})(?::(\d{2})(?:\.\d+)?)?\s*([ap])?\.?m?\.?", re.ASCII | re.IGNORECASE)


def _clock(column: str, cell: Cell | time) -> time:
    """A time of day: 14:05, 14:05:30, 2:05 PM."""
    if isinstance(cell, time):
        return cell
    found = _CLOCK.fullmatch(str(cell).strip().removesuffix("Uhr").strip())
    if found is None:
        raise UnfitCell(column, cell, "a time of day such as 14:05")
    hour, half = int(found[1]), (found[4] or "").lower()
    if half:
        hour = (hour % 12) + (12 if half == "p" else 0) if 1 <= hour <= 12 else 99
    try:
        return time(hour, int(found[2]), int(found[3] or 0))
    except ValueError:
        raise UnfitCell(column, cell, "a time of day such as 14:05") from None


_FLAGS = {"true": True, "1": True, "yes": True, "ja": True, "false": False, "0": False, "no": False, "nein": False}


def flag(column: str, cell: Cell) -> bool | None:
    """A yes or no; None for an empty cell. Raises Unfit."""
    if cell is None:
        return None
    word = words(cell).lower()
    if word not in _FLAGS:
        raise UnfitCell(column, cell, "true or false")
    return _FLAGS[word]


def words(cell: Cell) -> str:
    """A cell as text; a whole number without the point that spreadsheets give it."""
    return f"{cell:.0f}" if isinstance(cell, float) and cell.is_integer() else str(cell).strip()
