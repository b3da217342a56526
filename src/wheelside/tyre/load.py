"""Load index to load, and load against pressure.

Load indices 0 to 130: UN R30 Annex 4 (60 to 128 seen there; 50 to 130 the same in two public
listings; 0 to 49 from memory). Load against pressure: L = Lref (p / pref)^0.8 as ETRTO and
ISO 4000-1 have it (from memory), valid for cold gauge pressures from 150 kPa to the reference.
"""

from __future__ import annotations

from wheelside.errors import BadText
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

LOAD_EXPONENT = 0.8
REFERENCE_STANDARD = GaugePressure(250.0)
"""Pressure at which a standard-load tyre carries its load index. Seen in a published table."""
REFERENCE_EXTRA = GaugePressure(290.0)
"""The same for an extra-load tyre; ETRTO, from memory."""


def load_of(index: int) -> Mass:
    """The load of one load index, 0 to 130. Raises BadText."""
    if not 0 <= index < len(_LOADS_KG):
        raise BadText(
            f"load index {index} is not one that cars carry: look for two or three digits before the speed symbol",
            found=str(index),
            expected="0 to 130",
        )
    return Mass(_LOADS_KG[index])


def reference_pressure(extra_load: bool) -> GaugePressure:
    """The gauge pressure at which the tyre carries the load of its index."""
    return REFERENCE_EXTRA if extra_load else REFERENCE_STANDARD


def load_at(index: int, extra_load: bool, pressure: GaugePressure) -> Mass:
    """The load that a tyre of this index carries at a cold gauge pressure; no gain above the reference.

    >>> round(load_at(91, False, GaugePressure(220)).kg, 1)
    555.2
    """
    reference = reference_pressure(extra_load)
    part = max(0.0, min(1.0, pressure.kpa / reference.kpa))
    return Mass(load_of(index).kg * part**LOAD_EXPONENT)


def pressure_for(index: int, extra_load: bool, load: Mass) -> GaugePressure | None:
    """The cold gauge pressure at which a tyre of this index carries `load`; None when it never does."""
    rated = load_of(index).kg
    if load.kg > rated + 1e-9:
        return None
    return GaugePressure(reference_pressure(extra_load).kpa * (load.kg / rated) ** (1 / LOAD_EXPONENT))
