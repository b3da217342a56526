"""Load index to load, and load against pressure.

Load indices 0 to 130: UN R30 Annex 4 (60 to 128 seen there; 50 to 130 the same in two public
listings; 0 to 49 from memory). Load against pressure: L = Lref (p / pref)^n, each kind of tyre with its own rule;
`LoadRule` has them. Valid for cold gauge pressures from 150 kPa to the reference.
"""

from __future__ import annotations

from dataclasses import dataclass

from wheelside.errors import BadText
from wheelside.finding import Basis, Ground
from wheelside.tyre.designation import Designation, MarkForm
from wheelside.units import GaugePressure, Mass

_LOADS_KG = (
    45, 46.2, 47.5, 48.7, 50, 51.5, 53, 54.5, 56, 58, 60, 61.5, 63, 65, 67, 69, 71, 73, 75, 77.5,
    80, 82.5, 85, 87.5, 90, 92.5, 95, 97.5, 100, 103, 106, 109, 112, 115, 118, 121, 125, 128, 132, 136,
    140, 145, 150, 155, 160, 165, 170, 175, 180, 185, 190, 195, 200, 206, 212, 218, 224, 230, 236, 243,
    250, 257, 265, 272, 280, 290, 300, 307, 315, 325, 335, 345, 355, 365, 375, 387, 400, 412, 425, 437,
    450, 462, 475, 487, 500, 515, 530, 545, 560, 580, 600, 615, 630, 650, 670, 690, 710, 730, 750, 775,
    800, 825, 850, 875, 900, 925, 950, 975, 1000, 1030, 1060, 1090, 1120, 1150, 1180, 1215, 1250, 1285, 1320, 1360,
    1400, 1450, 1500, 1550, 1600, 1650, 1700, 1750, 1800, 1850, 1900,
)  # fmt: skip

GREATEST_INDEX = len(_LOADS_KG) - 1


@dataclass(frozen=True, slots=True)
class LoadRule:
    """How one kind of tyre carries: its index at the reference pressure, less below by a power, no more above."""

    reference: GaugePressure
    exponent: float
    basis: Basis

    def share(self, pressure: GaugePressure) -> float:
        """The part of the index's load that is carried at a cold gauge pressure, 0 to 1."""
        part: float = max(0.0, min(1.0, pressure.kpa / self.reference.kpa)) ** self.exponent
        return part

    def pressure(self, share: float) -> GaugePressure:
        """The pressure at which that part is carried; `share` up to 1."""
        return GaugePressure(self.reference.kpa * share ** (1 / self.exponent))


_ISO = Basis(Ground.STANDARD, "load against pressure, exponent 0.8: ETRTO, ISO 4000-1, from memory")
_TRA = Basis(Ground.STANDARD, "T&RA, P-metric: exponent 0.5, index at 240 kPa, extra load at 280 kPa")
_TRUCK = Basis(Ground.STANDARD, "T&RA, light truck: exponent 0.7, load range C 350, D 450, E 550 kPa, all from memory")
STANDARD_LOAD = LoadRule(GaugePressure(250.0), 0.8, _ISO)
"""A standard-load tyre carries its index at 250 kPa: seen in a published table."""
EXTRA_LOAD = LoadRule(GaugePressure(290.0), 0.8, _ISO)
"""An extra-load tyre at 290 kPa: ETRTO, from memory."""
P_STANDARD = LoadRule(GaugePressure(240.0), 0.5, _TRA)
P_EXTRA = LoadRule(GaugePressure(280.0), 0.5, _TRA)
"""P-metric tyres at 240 and 280 kPa, with no gain above; exponent 0.5: T&RA, seen."""
_RANGES = {"C": 350.0, "D": 450.0, "E": 550.0}


def load_rule(tyre: Designation) -> LoadRule | None:
    """The rule by which a tyre carries; None where its marking does not tell (van, old and letter sizes, spares)."""
    if tyre.iso_passenger:
        return EXTRA_LOAD if tyre.extra_load or tyre.prefix == "HL" else STANDARD_LOAD
    if tyre.p_metric and tyre.form is MarkForm.METRIC:
        return P_EXTRA if tyre.extra_load else P_STANDARD
    if tyre.light_truck and tyre.load_range in _RANGES:
        return LoadRule(GaugePressure(_RANGES[tyre.load_range]), 0.7, _TRUCK)
    return None


P_METRIC_K = 6.67e-5
LEAST_ASPECT = 50
"""The formula is for aspect ratios from here on."""


def p_metric_load(width_mm: float, aspect_pct: float, rim_mm: float, pressure: GaugePressure) -> Mass:
    """The load that the T&RA formula gives a P-metric size of aspect ratio 50 and more.

    L = K p^0.5 Sd^1.39 (Dr + Sd), K = 6.67e-5, Sd = (0.34848 + 0.6497 A) S; p in kPa, S and Dr in mm, L in kg.

    >>> round(p_metric_load(205, 55, 406, GaugePressure(240)).kg, 1)
    573.0
    """
    section = (0.34848 + 0.6497 * aspect_pct / 100) * width_mm
    return Mass(P_METRIC_K * pressure.kpa**0.5 * section**1.39 * (rim_mm + section))


def nearest_index(load: Mass) -> int:
    """The load index whose load lies nearest."""
    return min(range(GREATEST_INDEX + 1), key=lambda index: abs(_LOADS_KG[index] - load.kg))


def load_of(index: int) -> Mass:
    """The load of one load index, 0 to 130. Raises BadText."""
    if not 0 <= index <= GREATEST_INDEX:
        raise BadText(
            f"load index {index} is not one that cars carry: look for two or three digits before the speed symbol",
            found=str(index),
            expected=f"0 to {GREATEST_INDEX}",
        )
    return Mass(_LOADS_KG[index])


def capacity(tyre: Designation, pressure: GaugePressure) -> Mass | None:
    """What a tyre carries at a cold gauge pressure; None without an index or a rule.

    >>> from wheelside.tyre.sidewall import read_designation
    >>> round(capacity(read_designation("205/55 R16 91V"), GaugePressure(220)).kg, 1)
    555.2
    """
    rule = load_rule(tyre)
    if rule is None or tyre.load_index is None:
        return None
    return Mass(load_of(tyre.load_index).kg * rule.share(pressure))


def pressure_for(tyre: Designation, load: Mass) -> GaugePressure | None:
    """The cold gauge pressure at which a tyre carries `load`; None when it never does, or without an index or a rule."""
    rule = load_rule(tyre)
    if rule is None or tyre.load_index is None:
        return None
    rated = load_of(tyre.load_index).kg
    if load.kg > rated + 1e-9:
        return None
    return rule.pressure(load.kg / rated)
