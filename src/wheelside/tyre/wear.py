"""How long a tyre lasts: by tread and by age, with a spread."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, TypeVar

from wheelside.finding import Basis, Ground
from wheelside.tyre.date_code import MadeWeek
from wheelside.units.quantity import DAYS_PER_YEAR

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

N = TypeVar("N", float, "npt.NDArray[np.float64]")
LEGAL_MM = 1.6
"""Directive 89/459/EEC, C&U 1986 reg 27(4)(f) and most places; more in winter in some."""
WORN_MM, WORN_WINTER_MM = 3.0, 4.0
"""At which depth a tyre is counted as used up where the owner says nothing."""
SLOW_MM_PER_KM, FAST_MM_PER_KM = 1.0 / 10_000, 1.0 / 5_000
OLD_YEARS, TOO_OLD_YEARS, YEARLY_YEARS = 6.0, 10.0, 5.0
"""Some makers replace at six years, ten are a tyre maker's ceiling; a yearly look from five on."""

TREAD_LAW = Basis(Ground.STANDARD, "1.6 mm: Directive 89/459/EEC; winter tyres 3 to 4 mm in some places")
TREAD_ADVICE = Basis(Ground.PRACTICE, "3 mm in the wet, 4 mm in snow; no source")
WEAR = Basis(Ground.PRACTICE, "1 mm of tread for 5,000 to 10,000 km; from memory")
AGE = Basis(
    Ground.PRACTICE, "NHTSA: some makers say 6 to 10 years; a tyre maker: 10 as ceiling, a yearly look from 5 on"
)


@dataclass(frozen=True, slots=True)
class Years:
    """From the least to the most, in years."""

    least: float
    most: float


def age_on(weeks: tuple[MadeWeek, ...], day: date) -> Years:
    """How old a tyre is that was made in one of these weeks; the decade may be open. Below nothing for a week that is yet to come."""
    least = min((day - week.last).days for week in weeks)
    most = max((day - week.first).days for week in weeks)
    return Years(least / DAYS_PER_YEAR, most / DAYS_PER_YEAR)


def seasons_by_tread(tread_mm: N, worn_mm: N, season_km: N) -> tuple[N, N]:
    """Least and most seasons until the tread is at `worn_mm`, driving `season_km` in each; numbers or columns of numbers.

    >>> seasons_by_tread(7.0, 4.0, 7500.0)
    (2.0, 4.0)
    """
    left = (tread_mm - worn_mm) * (tread_mm > worn_mm)
    return left / (season_km * FAST_MM_PER_KM), left / (season_km * SLOW_MM_PER_KM)


def seasons_by_age(least_years: N, most_years: N) -> tuple[N, N]:
    """Least and most seasons, one a year, until six and until ten years from manufacture; numbers or columns of numbers.

    >>> seasons_by_age(3.0, 4.0)
    (2.0, 7.0)
    """
    early, late = OLD_YEARS - most_years, TOO_OLD_YEARS - least_years
    return early * (early > 0), late * (late > 0)
