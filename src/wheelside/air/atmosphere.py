"""The air around, by height: the International Standard Atmosphere up to 11 km.

p = 101 325 Pa (1 - h / 44 329 m)^5.255 876, h above sea level. Weather moves the true value by a few
per cent; a measured air pressure is better where there is one.
"""

from __future__ import annotations

from wheelside.units import AbsolutePressure, Length

SEA_LEVEL = AbsolutePressure(101.325)
_SCALE_M = 44329.0
_EXPONENT = 5.255876
WEATHER_SPREAD_KPA = 2.0
"""Half-width within which sea-level air pressure mostly stays. Judgement."""


def standard_air(height: Length) -> AbsolutePressure:
    """The standard air pressure at a height of -500 m to 11 000 m."""
    return AbsolutePressure(SEA_LEVEL.kpa * (1.0 - height.metres / _SCALE_M) ** _EXPONENT)
