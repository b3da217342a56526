"""Which figures a wheel in use can have. An odd one is asked about: most often it stands in another unit."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from wheelside.finding import Basis, Ground
from wheelside.units.quantity import KELVIN_AT_0_C, KELVIN_PER_F, KPA_PER_BAR, KPA_PER_PSI

MOST_KPA = 1000.0
"""The highest gauge pressure that is not asked about: placards of light vehicles end at about half of it."""
SOFT_KPA = 80.0
"""Up to here a tyre is nearly flat, and a figure that another unit explains is asked about. Nought is a flat tyre."""
EXPLAINS_KPA = 20.0
"""The lowest gauge pressure by which another unit explains a figure."""
ABSOLUTE_LEAST_KPA, ABSOLUTE_MOST_KPA = 90.0, 1100.0
"""A flat tyre has the pressure of the air around: 89.9 kPa at 1,000 m in the standard atmosphere (ISO 2533)."""
LEAST_C, MOST_C = -50.0, 150.0
OUTSIDE_MOST_C = 60.0
"""The warmest air outside that is not asked about; the coldest is that of tyres."""
AIR_LEAST_KPA, AIR_MOST_KPA = 50.0, 110.0
"""The air around has 54.0 kPa at 5,000 m and 107.5 kPa at -500 m in the standard atmosphere (ISO 2533)."""
KPA = {"kPa": 1.0, "bar": KPA_PER_BAR, "psi": KPA_PER_PSI}
"""The units in which pressures of wheels are noted, in kPa."""
AIR = {"kPa": 1.0, "hPa": 0.1}
"""The same for the air around."""
BASIS = Basis(
    Ground.JUDGEMENT,
    "0 to 1000 kPa gauge, 90 to 1100 kPa absolute, -50 to 150 °C; nearly flat only where no other unit explains it; outside at most 60 °C, "
    "the air around 50 to 110 kPa",
)


class Oddness(StrEnum):
    """Why a figure of a reading is asked about."""

    OTHER_UNIT = "other unit"
    TOO_LOW = "too low"
    TOO_HIGH = "too high"
    FUTURE = "future"


@dataclass(frozen=True, slots=True)
class Odd:
    """What is odd about a figure, and the units in which it would be plausible."""

    why: Oddness
    meant: tuple[str, ...] = ()


def odd_pressure(figure: float, unit: str, *, absolute: bool) -> Odd | None:
    """What is odd about a pressure noted in kPa, bar or psi; None for one that a wheel in use can have."""
    kpa = figure * KPA[unit]
    least, most = (ABSOLUTE_LEAST_KPA, ABSOLUTE_MOST_KPA) if absolute else (0.0, MOST_KPA)
    if least <= kpa <= most and (absolute or kpa == 0.0 or kpa > SOFT_KPA):
        return None
    explains = least if absolute else EXPLAINS_KPA
    others = {other: figure * factor for other, factor in KPA.items() if other != unit}
    meant = tuple(other for other, would_be in others.items() if explains <= would_be <= most)
    if kpa < least:
        return Odd(Oddness.TOO_LOW, meant)
    if kpa > most:
        return Odd(Oddness.TOO_HIGH, meant)
    higher = tuple(other for other in meant if others[other] > kpa)
    return Odd(Oddness.OTHER_UNIT, higher) if higher else None


def odd_air(figure: float, unit: str) -> Odd | None:
    """What is odd about a pressure of the air around, noted in kPa or hPa; None for one that there is where cars are driven."""
    kpa = figure * AIR[unit]
    if AIR_LEAST_KPA <= kpa <= AIR_MOST_KPA:
        return None
    others = (
        other for other, factor in AIR.items() if other != unit and AIR_LEAST_KPA <= figure * factor <= AIR_MOST_KPA
    )
    return Odd(Oddness.TOO_LOW if kpa < AIR_LEAST_KPA else Oddness.TOO_HIGH, tuple(others))


def odd_temperature(figure: float, unit: str, *, outside: bool = False) -> Odd | None:
    """What is odd about a temperature noted in °C or °F; None for one that a wheel in use, or the air outside, can have."""
    most = OUTSIDE_MOST_C if outside else MOST_C
    both = {"°C": figure, "°F": fahrenheit_kelvin(figure) - KELVIN_AT_0_C}
    celsius = both.pop(unit)
    if LEAST_C <= celsius <= most:
        return None
    meant = tuple(other for other, would_be in both.items() if LEAST_C <= would_be <= most)
    return Odd(Oddness.TOO_LOW if celsius < LEAST_C else Oddness.TOO_HIGH, meant)


def fahrenheit_kelvin(figure: float) -> float:
    """Degrees Fahrenheit in kelvin."""
    return (figure - 32.0) * KELVIN_PER_F + KELVIN_AT_0_C
