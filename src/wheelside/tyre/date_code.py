"""The week in which a tyre was made, from the last digits of its identification number.

49 CFR 574.5: four digits, week then year; week 01 is the first full calendar week, weeks run from
Sunday to Saturday, and the last week may reach at most six days into the next year. Three digits
were used until July 2000 and leave the decade open.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from wheelside.errors import BadText


@dataclass(frozen=True, slots=True)
class MadeWeek:
    """One possible week of manufacture, first day (a Sunday) to last (a Saturday)."""

    first: date
    last: date


def read_date_code(code: str) -> tuple[MadeWeek, ...]:
    """Every week that the code can mean: one for four digits, one a decade for three. Raises BadText.

    >>> read_date_code("0109")[0].first
    datetime.date(2009, 1, 4)
    """
    digits = code.strip()
    if not (digits.isascii() and digits.isdigit() and len(digits) in (3, 4)):
        raise BadText(
            f"date code {code!r}: write the last four digits of the tyre's identification number, "
            "such as 3519 for week 35 of 2019 (three digits before July 2000)",
            found=code,
            expected="four digits, week then year",
        )
    week = int(digits[:2])
    years = (2000 + int(digits[2:]),) if len(digits) == 4 else (1980 + int(digits[2]), 1990 + int(digits[2]))
    weeks = tuple(made for year in years if (made := _week(year, week)))
    if not weeks:
        raise BadText(
            f"date code {code!r}: {years[0]} has no week {week:02d}; read the digits again, week first",
            found=code,
            expected="week 01 to 52, in some years 53",
        )
    return weeks


def _week(year: int, week: int) -> MadeWeek | None:
    new_year = date(year, 1, 1)
    first_sunday = new_year + timedelta(days=(6 - new_year.weekday()) % 7)
    start = first_sunday + timedelta(weeks=week - 1)
    if week < 1 or start.year != year:
        return None
    return MadeWeek(start, start + timedelta(days=6))
