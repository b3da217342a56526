"""The amount of air of one tyre over time, as it is drawn: readings, where it goes, and the lamp's limit; all as if at 15 °C."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from wheelside.watch.columns import AS_IF_AT_K, DAYS_PER_MONTH
from wheelside.watch.group import Watched
from wheelside.watch.record import AmountsTaken

if TYPE_CHECKING:
    from wheelside.watch.columns import Floats

MOST_POINTS = 300
AHEAD_DAYS = 90
"""So far ahead a tyre's way is drawn."""
SHARES = (0.05, 0.5, 0.95)


@dataclass(frozen=True, slots=True)
class TyreCurve:
    """One tyre. `read`: days before today (negative), gauge kPa as if at 15 °C, and the number of the level, one a reading.

    `ahead`: for days from today on, what it will read: least, middle, most. `limit`: for the same days where the lamp's limit lies, none
    where it is not known. `today`: day nought.
    """

    today: date
    read: tuple[tuple[float, float, int], ...]
    ahead: tuple[tuple[int, float, float, float], ...]
    limit: tuple[float, ...]


def curve_of(
    t: AmountsTaken, one: Watched, w: int, now_us: int, today: date, limit_kpa: float | None, air_kpa: float, morning_k: Floats
) -> TyreCurve | None:  # fmt: skip
    """The curve of one wheel; None for one that was read less than twice."""
    import numpy as np

    g = t.gaugings
    rows = np.flatnonzero(g.wheel == w)[-MOST_POINTS:]
    if len(rows) < 2 or one.losses is None:
        return None
    now = (now_us - t.first_us) / (86400e6 * DAYS_PER_MONTH)
    days = (g.month[rows] - now) * DAYS_PER_MONTH
    read = tuple(
        (float(d), float(kpa - air_kpa), int(n)) for d, kpa, n in zip(days, g.kpa[rows], g.level[rows], strict=True)
    )
    fast, middle, slow = (max(float(one.losses.quantile(s)[0]), 0.0) / DAYS_PER_MONTH for s in reversed(SHARES))
    ahead, limit = [], []
    for day in range(0, AHEAD_DAYS + 1, 5):
        amount, spread = one.amount_kpa - air_kpa, 1.645 * one.amount_sd_kpa
        ahead.append((day, amount - spread - fast * day, amount - middle * day, amount + spread - slow * day))
        if limit_kpa is not None:
            limit.append((limit_kpa + air_kpa) * AS_IF_AT_K / float(morning_k[day]) - air_kpa)
    return TyreCurve(today, read, tuple(ahead), tuple(limit))


def days_of(curve: TyreCurve) -> tuple[date, date]:
    """The first and the last day of a curve."""
    return curve.today + timedelta(days=int(curve.read[0][0])), curve.today + timedelta(days=AHEAD_DAYS)
