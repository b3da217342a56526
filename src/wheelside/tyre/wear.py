"""How deep a tread is to be, and how long it lasts, with a spread."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeVar

from wheelside.finding import Basis, Ground

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

N = TypeVar("N", float, "npt.NDArray[np.float64]")
LEGAL_MM = 1.6
"""Directive 89/459/EEC, C&U 1986 reg 27(4)(f) and most places; more in winter in some."""
WORN_MM, WORN_WINTER_MM = 3.0, 4.0
"""At which depth a tyre is counted as used up where the owner says nothing."""
SLOW_MM_PER_KM, FAST_MM_PER_KM = 1.0 / 10_000, 1.0 / 5_000

TREAD_LAW = Basis(Ground.STANDARD, "1.6 mm: Directive 89/459/EEC; winter tyres 3 to 4 mm in some places")
TREAD_ADVICE = Basis(Ground.PRACTICE, "3 mm in the wet, 4 mm in snow; no source")
WEAR = Basis(Ground.PRACTICE, "1 mm of tread for 5,000 to 10,000 km; from memory")


def seasons_by_tread(tread_mm: N, worn_mm: N, season_km: N) -> tuple[N, N]:
    """Least and most seasons until the tread is at `worn_mm`, driving `season_km` in each; numbers or columns of numbers.

    >>> seasons_by_tread(7.0, 4.0, 7500.0)
    (2.0, 4.0)
    """
    left = (tread_mm - worn_mm) * (tread_mm > worn_mm)
    return left / (season_km * FAST_MM_PER_KM), left / (season_km * SLOW_MM_PER_KM)
