"""On which day a tyre that loses air meets the lamp's limit: as a distribution, up to a year ahead."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from wheelside.watch.columns import AS_IF_AT_K, DAYS_PER_MONTH

if TYPE_CHECKING:
    from wheelside.watch.columns import Floats
    from wheelside.watch.estimate import Losses

AHEAD_DAYS = 366
EARLY, LATE = 0.1, 0.9
"""The days between which the lamp comes with that chance are told."""
MONTH_MIDDLE = 15


@dataclass(frozen=True, slots=True)
class LampDays:
    """When the lamp's limit is met: `early` and `late` are the days by which it is with a chance of 10 and of 90 in 100; None for not
    within a year. `chance`: that it is within a year."""

    early: date | None
    late: date | None
    chance: float


def temperatures_ahead(today: date, climate_k: tuple[float, ...], constant_k: float) -> Floats:
    """The temperature of a cold tyre in the morning of each day from today on, kelvin: (367,).

    `climate_k`: twelve, January first, each taken for the middle of its month; where there are none, `constant_k`.
    """
    import numpy as np

    if not climate_k:
        return np.full(AHEAD_DAYS + 1, constant_k)
    days = [today + timedelta(days=n) for n in range(AHEAD_DAYS + 1)]
    at = np.array([d.month - 1 + (d.day - MONTH_MIDDLE) / 30.4 for d in days])
    months = np.arange(-1, 14)
    found: Floats = np.interp(at, months, np.array([climate_k[m % 12] for m in months]))
    return found


def lamp_days(
    today: date, amount: tuple[float, float], losses: Losses, limit_kpa: float, air_kpa: float, morning_k: Floats
) -> LampDays:
    """When a tyre with an amount of air (mean and deviation, kPa at 15 °C) and a loss meets a limit, gauge kPa.

    Loss and amount are taken as independent; each is cut into equally likely parts.
    """
    import numpy as np
    from scipy.special import ndtri

    shares = (np.arange(24) + 0.5) / 24
    rates = np.maximum([float(losses.quantile(float(s))[0]) for s in shares], 0.0) / DAYS_PER_MONTH
    amounts = amount[0] + amount[1] * ndtri((np.arange(12) + 0.5) / 12)
    limits = (limit_kpa + air_kpa) * AS_IF_AT_K / morning_k
    days = np.arange(len(morning_k))
    left = amounts[:, None, None] - rates[None, :, None] * days[None, None, :]
    met = left <= limits[None, None, :]
    first = np.where(met.any(axis=2), met.argmax(axis=2), np.inf).ravel()
    return LampDays(
        _day(today, float(np.quantile(first, EARLY, method="inverted_cdf"))),
        _day(today, float(np.quantile(first, LATE, method="inverted_cdf"))),
        float(np.isfinite(first).mean()),
    )


def _day(today: date, ahead: float) -> date | None:
    return today + timedelta(days=int(ahead)) if ahead < float("inf") else None
