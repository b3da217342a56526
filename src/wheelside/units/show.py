"""Printing quantities in the units that the person chose. Numbers are rounded here and only here."""

from __future__ import annotations

from dataclasses import dataclass

from wheelside.units import quantity as q

PRESSURE_UNITS = ("bar", "psi", "kPa")
TEMPERATURE_UNITS = ("°C", "°F")
TREAD_UNITS = ("mm", "32nds")
MASS_UNITS = ("kg", "lb")
SPEED_UNITS = ("km/h", "mph")
DISTANCE_UNITS = ("m", "ft")
DECIMAL_MARKS = (".", ",")

_PRESSURE = {"bar": (q.KPA_PER_BAR, 2), "psi": (q.KPA_PER_PSI, 1), "kPa": (1.0, 0)}


@dataclass(frozen=True, slots=True)
class UnitChoice:
    """The units and the decimal mark in which one person reads."""

    pressure: str = "bar"
    temperature: str = "°C"
    tread: str = "mm"
    mass: str = "kg"
    speed: str = "km/h"
    distance: str = "m"
    decimal_mark: str = "."

    def number(self, value: float, digits: int) -> str:
        """`value` with `digits` decimals and this person's decimal mark; never '-0'."""
        text = f"{value:.{digits}f}"
        if float(text) == 0.0:
            text = text.lstrip("-")
        return text.replace(".", self.decimal_mark)

    def plain(self, value: float) -> str:
        """`value` with as many decimals as it has, at most three."""
        return f"{round(value, 3):g}".replace(".", self.decimal_mark)

    @property
    def pressure_form(self) -> tuple[float, int]:
        """Kilopascals in one unit, and how many decimals are shown."""
        return _PRESSURE[self.pressure]

    def show_pressure(self, p: q.GaugePressure | q.AbsolutePressure | q.PressureSpan) -> str:
        factor, digits = _PRESSURE[self.pressure]
        return f"{self.number(p.kpa / factor, digits)} {self.pressure}"

    def show_plus_minus(self, p: q.GaugePressure, spread: q.PressureSpan) -> str:
        """'2.82 bar ± 0.08'."""
        factor, digits = _PRESSURE[self.pressure]
        return f"{self.show_pressure(p)} ± {self.number(spread.kpa / factor, digits)}"

    def degrees(self, t: q.Temperature) -> float:
        """A temperature as a number of the scale that is printed."""
        return t.celsius if self.temperature == "°C" else t.fahrenheit

    def show_temperature(self, t: q.Temperature) -> str:
        return f"{self.number(self.degrees(t), 0)} {self.temperature}"

    def show_tread(self, depth: q.Length) -> str:
        if self.tread == "mm":
            return f"{self.number(depth.mm, 1)} mm"
        return f"{self.number(depth.mm / q.MM_PER_INCH * 32, 0)}/32 in"

    def show_mass(self, m: q.Mass) -> str:
        value = m.kg if self.mass == "kg" else m.kg / q.KG_PER_LB
        return f"{self.number(value, 0)} {self.mass}"

    def show_speed(self, s: q.Speed) -> str:
        value = s.km_h if self.speed == "km/h" else s.km_h / q.KMH_PER_MPH
        return f"{self.number(value, 0)} {self.speed}"

    def show_distance(self, d: q.Length) -> str:
        value = d.metres if self.distance == "m" else d.mm / q.MM_PER_FOOT
        return f"{self.number(value, 0 if value >= 10 else 1)} {self.distance}"

    def show_torque(self, t: q.Torque) -> str:
        return f"{self.number(t.nm, 0)} Nm"

    def show_money(self, m: q.Money) -> str:
        whole = m.amount == m.amount.to_integral_value()
        return f"{self.number(float(m.amount), 0 if whole else 2)} {m.currency}"
