"""The quantities themselves: one frozen type each, one unit inside.

Conversion constants stand here and nowhere else. Sources: psi from the pound-force of NIST SP 811
(1 lbf = 4.448 221 615 260 5 N, 1 in = 25.4 mm); zero of the Celsius scale 273.15 K (SI Brochure).
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

KPA_PER_BAR = 100.0
KPA_PER_PSI = 4.4482216152605 / 0.0254**2 / 1000.0
KPA_PER_ATM = 101.325
KPA_PER_KGF_CM2 = 98.0665
KELVIN_AT_0_C = 273.15
KELVIN_PER_F = 5.0 / 9.0
MM_PER_INCH = 25.4
MM_PER_FOOT = 304.8
MM_PER_METRE = 1000.0
MM_PER_MILE = 1609344.0
KG_PER_LB = 0.45359237
KMH_PER_MPH = 1.609344
DAYS_PER_YEAR = 365.25
SECONDS_PER_DAY = 86400.0
MINUTES_PER_HOUR = 60
NM_PER_FT_LB = 4.4482216152605 * 0.3048


@dataclass(frozen=True, slots=True, order=True)
class PressureSpan:
    """A difference of two pressures, or how far one is uncertain, in kPa."""

    kpa: float

    def __neg__(self) -> PressureSpan:
        return PressureSpan(-self.kpa)


@dataclass(frozen=True, slots=True, order=True)
class AbsolutePressure:
    """A pressure against vacuum, in kPa."""

    kpa: float

    def gauge(self, air: AbsolutePressure) -> GaugePressure:
        """What a gauge standing in `air` reads."""
        return GaugePressure(self.kpa - air.kpa)


@dataclass(frozen=True, slots=True, order=True)
class GaugePressure:
    """A pressure against the air around, in kPa. Placards and hand gauges speak gauge."""

    kpa: float

    def absolute(self, air: AbsolutePressure) -> AbsolutePressure:
        """The same pressure against vacuum, where the air around is at `air`."""
        return AbsolutePressure(self.kpa + air.kpa)

    def __add__(self, other: PressureSpan) -> GaugePressure:
        return GaugePressure(self.kpa + other.kpa)

    def __sub__(self, other: GaugePressure) -> PressureSpan:
        return PressureSpan(self.kpa - other.kpa)


AnyPressure = GaugePressure | AbsolutePressure
"""A pressure that is known for gauge or absolute."""


@dataclass(frozen=True, slots=True, order=True)
class TemperatureSpan:
    """A difference of two temperatures, in kelvin."""

    kelvin: float


@dataclass(frozen=True, slots=True, order=True)
class Temperature:
    """A temperature, in kelvin."""

    kelvin: float

    @classmethod
    def from_celsius(cls, degrees_c: float) -> Temperature:
        return cls(degrees_c + KELVIN_AT_0_C)

    @property
    def celsius(self) -> float:
        return self.kelvin - KELVIN_AT_0_C

    @property
    def fahrenheit(self) -> float:
        return self.celsius / KELVIN_PER_F + 32.0

    def __sub__(self, other: Temperature) -> TemperatureSpan:
        return TemperatureSpan(self.kelvin - other.kelvin)

    def __add__(self, other: TemperatureSpan) -> Temperature:
        return Temperature(self.kelvin + other.kelvin)


@dataclass(frozen=True, slots=True, order=True)
class Length:
    """A length or a distance, in millimetres."""

    mm: float

    @property
    def metres(self) -> float:
        return self.mm / MM_PER_METRE


@dataclass(frozen=True, slots=True, order=True)
class Mass:
    """A mass or an axle load, in kilograms."""

    kg: float


@dataclass(frozen=True, slots=True, order=True)
class Speed:
    """A speed, in km/h as on tyres and dials."""

    km_h: float


@dataclass(frozen=True, slots=True, order=True)
class Torque:
    """A fastening torque, in newton metres."""

    nm: float


@dataclass(frozen=True, slots=True, order=True)
class Duration:
    """A length of time, in seconds."""

    seconds: float

    @property
    def minutes(self) -> float:
        return self.seconds / 60.0

    @property
    def years(self) -> float:
        return self.seconds / SECONDS_PER_DAY / DAYS_PER_YEAR


@dataclass(frozen=True, slots=True, order=True)
class Share:
    """A part of a whole: 0.25 for 25 %."""

    fraction: float


@dataclass(frozen=True, slots=True)
class Money:
    """An amount in a currency (ISO 4217 letters), to the hundredth."""

    amount: Decimal
    currency: str

    @property
    def hundredths(self) -> int:
        return int((self.amount * 100).to_integral_value())
