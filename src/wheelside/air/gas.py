"""A sealed tyre's air: pressure against temperature at constant volume.

p1 / T1 = p2 / T2 with absolute pressures and kelvin (Gay-Lussac). Real air departs from this by about
0.1 % in density between -20 and +60 °C and up to 5 bar; the tyre's growth is left out.
"""

from __future__ import annotations

from wheelside.units import AbsolutePressure, GaugePressure, Temperature


def heated(p: AbsolutePressure, before: Temperature, after: Temperature) -> AbsolutePressure:
    """The absolute pressure of a sealed tyre after its air went from one temperature to another."""
    return AbsolutePressure(p.kpa * after.kelvin / before.kelvin)


def gauge_elsewhere(
    set_to: GaugePressure,
    here: Temperature,
    air_here: AbsolutePressure,
    there: Temperature,
    air_there: AbsolutePressure,
) -> GaugePressure:
    """What a gauge reads there on a tyre that was set to `set_to` here, both readings cold.

    `here`, `there`: the tyre's own temperature; `air_here`, `air_there`: the air around, absolute.
    """
    return heated(set_to.absolute(air_here), here, there).gauge(air_there)


def temperature_at(p: GaugePressure, set_to: GaugePressure, here: Temperature, air_here: AbsolutePressure,
                   air_there: AbsolutePressure) -> Temperature:  # fmt: skip
    """The tyre temperature at which a sealed tyre set to `set_to` here reads `p` there, in kelvin."""
    return Temperature(here.kelvin * p.absolute(air_there).kpa / set_to.absolute(air_here).kpa)
