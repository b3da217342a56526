"""How old a tyre is, and what is made of its age. The one home of these rules: fit, sheet and agenda ask here."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from typing import TYPE_CHECKING, TypeVar

from wheelside.finding import Basis, Ground
from wheelside.tyre.date_code import MadeWeek
from wheelside.units.quantity import DAYS_PER_YEAR

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

N = TypeVar("N", float, "npt.NDArray[np.float64]")
YEARLY_YEARS, OLD_YEARS, TOO_OLD_YEARS = 5.0, 6.0, 10.0
"""A yearly look from five years on; some makers replace at six; ten are a tyre maker's ceiling."""
LAST_SEASON_YEARS = 1.0
"""A tyre that is so near the ceiling has no whole season left."""

AGE = Basis(
    Ground.PRACTICE, "NHTSA: some makers say 6 to 10 years; a tyre maker: 10 as ceiling, a yearly look from 5 on"
)


@dataclass(frozen=True, slots=True)
class Years:
    """From the least to the most, in years."""

    least: float
    most: float


class AgeStage(StrEnum):
    """What is made of an age, from the youngest on."""

    YOUNG = "young"
    YEARLY = "looked over yearly"
    OLD = "replaced by some makers"
    TOO_OLD = "past the ceiling"


def age_on(weeks: tuple[MadeWeek, ...], day: date) -> Years:
    """How old a tyre is that was made in one of these weeks; the decade may be open. Below nothing for a week that is yet to come."""
    least = min((day - week.last).days for week in weeks)
    most = max((day - week.first).days for week in weeks)
    return Years(least / DAYS_PER_YEAR, most / DAYS_PER_YEAR)


def stage_of(years: float) -> AgeStage:
    """What is made of an age; the most that it may be.

    >>> stage_of(5.2).value
    'looked over yearly'
    """
    if years >= TOO_OLD_YEARS:
        return AgeStage.TOO_OLD
    if years >= OLD_YEARS:
        return AgeStage.OLD
    return AgeStage.YEARLY if years >= YEARLY_YEARS else AgeStage.YOUNG


def last_season_from() -> float:
    """The age above which less than a season is left until the ceiling."""
    return TOO_OLD_YEARS - LAST_SEASON_YEARS


def too_old_on(made: MadeWeek) -> tuple[float, date]:
    """The ceiling in years, and the first day on which a tyre may have reached it."""
    return TOO_OLD_YEARS, _reaching(made, TOO_OLD_YEARS)


def next_look(made: MadeWeek, today: date) -> tuple[int, date] | None:
    """The whole number of years at which a tyre is looked over next, and that day; None once only the ceiling is left."""
    whole = max(math.ceil(YEARLY_YEARS), math.floor(age_on((made,), today).most) + 1)
    return (whole, _reaching(made, whole)) if whole < TOO_OLD_YEARS else None


def _reaching(made: MadeWeek, years: float) -> date:
    return made.first + timedelta(days=math.ceil(years * DAYS_PER_YEAR))


def seasons_by_age(least_years: N, most_years: N) -> tuple[N, N]:
    """Least and most seasons, one a year, until six and until ten years from manufacture; numbers or columns of numbers.

    >>> seasons_by_age(3.0, 4.0)
    (2.0, 7.0)
    """
    early, late = OLD_YEARS - most_years, TOO_OLD_YEARS - least_years
    return early * (early > 0), late * (late > 0)
