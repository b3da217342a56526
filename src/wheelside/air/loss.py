"""How fast a sound tyre loses pressure, the weather taken out.

0.5 to 1.0 psi (3.4 to 6.9 kPa) a month at 21 °C, about 1.5 psi (10.3 kPa) at 32 °C: Tire Science and Technology 13(1), page 16.
How fast one tyre loses is told by figures corrected for temperature, and beside its fellows: the other wheels of its set over the
same time. No rate alone makes a tyre unsound: others publish up to 2 psi a month as normal (GAO-07-246R).
"""

from __future__ import annotations

from dataclasses import dataclass

from wheelside.units import Duration, PressureSpan, Temperature

LOSS_TEMPERATURE = Temperature.from_celsius(21.0)
SLOW_KPA_PER_MONTH = 3.4
FAST_KPA_PER_MONTH = 6.9
WARM_TEMPERATURE = Temperature.from_celsius(32.0)
WARM_KPA_PER_MONTH = 10.3
WEEKS_PER_MONTH = 365.25 / 12 / 7


@dataclass(frozen=True, slots=True)
class WeeksRange:
    """A number of weeks, from the fast to the slow end of normal loss."""

    soonest: float
    latest: float


def times_as_fast(kept_at: Temperature) -> float:
    """How many times as fast as at 21 °C a sound tyre loses air that is kept at a temperature; 1 for all that is colder.

    The one published figure for warmer tyres is held against the fast end, and the growth goes on beyond it: judgement. Colder tyres
    lose less; no figure for that is published, so what is lost at 21 °C is the most there.
    """
    warmer = (kept_at.kelvin - LOSS_TEMPERATURE.kelvin) / (WARM_TEMPERATURE.kelvin - LOSS_TEMPERATURE.kelvin)
    return max(1.0, float((WARM_KPA_PER_MONTH / FAST_KPA_PER_MONTH) ** warmer))


def normal_loss(over: Duration, at: Temperature, kept_at: Temperature) -> tuple[PressureSpan, PressureSpan]:
    """The least and the most that a sound tyre reads less at `at` after a time of normal loss while kept at `kept_at`.

    The same loss of air shows as a fall in proportion to the tyre's absolute temperature when it is read; published
    rates were read at the temperature at which the tyre was kept.
    """
    months = over.seconds / (7 * 86400 * WEEKS_PER_MONTH)
    scale = months * _shown(at, kept_at)
    return PressureSpan(SLOW_KPA_PER_MONTH * scale), PressureSpan(FAST_KPA_PER_MONTH * scale)


def weeks_to_lose(fall: PressureSpan, at: Temperature, kept_at: Temperature) -> WeeksRange:
    """After how many weeks of normal loss, kept at `kept_at`, a tyre reads `fall` less at `at`; zero when it already does."""
    need = max(0.0, fall.kpa) / _shown(at, kept_at)
    return WeeksRange(need / FAST_KPA_PER_MONTH * WEEKS_PER_MONTH, need / SLOW_KPA_PER_MONTH * WEEKS_PER_MONTH)


def _shown(at: Temperature, kept_at: Temperature) -> float:
    """The loss read at `at`, over what it is at 21 °C."""
    kept = max(kept_at.kelvin, LOSS_TEMPERATURE.kelvin)
    return times_as_fast(kept_at) * at.kelvin / kept
