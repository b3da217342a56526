"""How fast a sound tyre loses pressure.

0.5 to 1.0 psi (3.4 to 6.9 kPa) a month at 21 °C: Tire Science and Technology 13(1), page 16. Faster
means a leak; warmer tyres lose more.
"""

from __future__ import annotations

from dataclasses import dataclass

from wheelside.units import Duration, PressureSpan, Temperature

LOSS_TEMPERATURE = Temperature.from_celsius(21.0)
SLOW_KPA_PER_MONTH = 3.4
FAST_KPA_PER_MONTH = 6.9
WEEKS_PER_MONTH = 365.25 / 12 / 7


@dataclass(frozen=True, slots=True)
class WeeksRange:
    """A number of weeks, from the fast to the slow end of normal loss."""

    soonest: float
    latest: float


def normal_loss(over: Duration, at: Temperature) -> tuple[PressureSpan, PressureSpan]:
    """The least and the most that a sound tyre at `at` reads less after a time of normal loss."""
    months = over.seconds / (7 * 86400 * WEEKS_PER_MONTH)
    scale = months * at.kelvin / LOSS_TEMPERATURE.kelvin
    return PressureSpan(SLOW_KPA_PER_MONTH * scale), PressureSpan(FAST_KPA_PER_MONTH * scale)


def weeks_to_lose(fall: PressureSpan, at: Temperature) -> WeeksRange:
    """After how many weeks of normal loss a tyre at `at` reads `fall` less; zero when it already does.

    The same loss of air shows as a fall in proportion to the tyre's absolute temperature.
    """
    need = max(0.0, fall.kpa) * LOSS_TEMPERATURE.kelvin / at.kelvin
    return WeeksRange(need / FAST_KPA_PER_MONTH * WEEKS_PER_MONTH, need / SLOW_KPA_PER_MONTH * WEEKS_PER_MONTH)
