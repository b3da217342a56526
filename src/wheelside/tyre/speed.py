"""Speed symbols, in the order of their speeds; what they take off the load, and what speed adds to the pressure.

Symbols: UN R30; note that H lies between U and V. Load at speed: V carries 91 % at 240 km/h, W 85 % at 270, linear from 210
and 240 (seen); Y 85 % at 300 from 270 (from memory). Pressure for speed: pressures by the table hold to 160 km/h, then 0.1 bar for
17 km/h up to 0.3 bar at 210; for W and Y to 190 km/h (ETRTO, seen; Y from memory).
"""

from __future__ import annotations

from wheelside.errors import BadText
from wheelside.units import PressureSpan, Speed

_SPEEDS_KMH = {
    "A1": 5, "A2": 10, "A3": 15, "A4": 20, "A5": 25, "A6": 30, "A7": 35, "A8": 40, "B": 50, "C": 60,
    "D": 65, "E": 70, "F": 80, "G": 90, "J": 100, "K": 110, "L": 120, "M": 130, "N": 140, "P": 150,
    "Q": 160, "R": 170, "S": 180, "T": 190, "U": 200, "H": 210, "V": 240, "W": 270, "Y": 300,
}  # fmt: skip
SYMBOLS = tuple(_SPEEDS_KMH)

_LESS = {"V": (210.0, 240.0, 0.91), "W": (240.0, 270.0, 0.85), "Y": (270.0, 300.0, 0.85)}
"""From which speed, to which, and the share that is left there."""
KPA_PER_KMH = 10.0 / 17.0
MOST_KPA_FOR_SPEED = 30.0


def speed_of(symbol: str) -> Speed:
    """The speed of a speed symbol. Raises BadText; ZR alone says only 'above 240 km/h'."""
    if symbol not in _SPEEDS_KMH:
        raise BadText(
            f"{symbol!r} is no speed symbol: look for the letter after the load index, such as the V in 91V",
            found=symbol,
            expected="one of " + ", ".join(_SPEEDS_KMH),
        )
    return Speed(_SPEEDS_KMH[symbol])


def load_share_at(symbol: str, speed: Speed) -> float:
    """The part of its index's load that a tyre of this symbol carries at a speed; 0 above the symbol's own. Raises BadText.

    >>> load_share_at("V", Speed(240))
    0.91
    """
    if speed > speed_of(symbol):
        return 0.0
    if symbol not in _LESS:
        return 1.0
    start, end, left = _LESS[symbol]
    along = max(0.0, (speed.km_h - start) / (end - start))
    return 1.0 - (1.0 - left) * along


def pressure_for_speed(symbol: str, speed: Speed) -> PressureSpan:
    """What a lasting speed adds to the pressure that the load needs.

    >>> round(pressure_for_speed("H", Speed(210)).kpa)
    29
    """
    start = 190.0 if symbol in ("W", "Y") else 160.0
    return PressureSpan(max(0.0, min(MOST_KPA_FOR_SPEED, (speed.km_h - start) * KPA_PER_KMH)))
