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


@dataclass(frozen=True, slots=True)
class OwnLoss:
    """How fast one tyre loses by its own readings, kPa a month as at 15 °C: the interval that holds it nine times in ten."""

    least: PressureSpan
    most: PressureSpan


OWN_TEMPERATURE = Temperature.from_celsius(15.0)
LEAST_OWN_KPA = 0.1
"""No tyre loses less than that a month."""


def times_as_fast(kept_at: Temperature) -> float:
    """How many times as fast as at 21 °C a sound tyre loses air that is kept at a temperature; 1 for all that is colder.

    The one published figure for warmer tyres is held against the fast end, and the growth goes on beyond it: judgement. Colder tyres
    lose less; no figure for that is published, so what is lost at 21 °C is the most there.
    """
    warmer = (kept_at.kelvin - LOSS_TEMPERATURE.kelvin) / (WARM_TEMPERATURE.kelvin - LOSS_TEMPERATURE.kelvin)
    return max(1.0, float((WARM_KPA_PER_MONTH / FAST_KPA_PER_MONTH) ** warmer))


def loss_over(
    own: OwnLoss | None, over: Duration, at: Temperature, kept_at: Temperature
) -> tuple[PressureSpan, PressureSpan]:
    """The least and the most that a tyre reads less at `at` after a time: by its own readings where they tell, else by normal loss."""
    if own is None:
        return normal_loss(over, at, kept_at)
    scale = over.seconds / (7 * 86400 * WEEKS_PER_MONTH) * at.kelvin / OWN_TEMPERATURE.kelvin
    return PressureSpan(max(own.least.kpa, 0.0) * scale), PressureSpan(max(own.most.kpa, 0.0) * scale)


def weeks_until(own: OwnLoss | None, fall: PressureSpan, at: Temperature, kept_at: Temperature) -> WeeksRange:
    """After how many weeks a tyre reads `fall` less at `at`: by its own readings where they tell, else by normal loss."""
    if own is None:
        return weeks_to_lose(fall, at, kept_at)
    need = max(0.0, fall.kpa) * OWN_TEMPERATURE.kelvin / at.kelvin * WEEKS_PER_MONTH
    return WeeksRange(need / max(own.most.kpa, LEAST_OWN_KPA), need / max(own.least.kpa, LEAST_OWN_KPA))


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
