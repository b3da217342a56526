"""Speed symbols, in the order of their speeds. Source: UN R30; note that H lies between U and V."""

from __future__ import annotations

from wheelside.errors import BadText
from wheelside.units import Speed

_SPEEDS_KMH = {
    "A1": 5, "A2": 10, "A3": 15, "A4": 20, "A5": 25, "A6": 30, "A7": 35, "A8": 40, "B": 50, "C": 60,
    "D": 65, "E": 70, "F": 80, "G": 90, "J": 100, "K": 110, "L": 120, "M": 130, "N": 140, "P": 150,
    "Q": 160, "R": 170, "S": 180, "T": 190, "U": 200, "H": 210, "V": 240, "W": 270, "Y": 300,
}  # fmt: skip
SYMBOLS = tuple(_SPEEDS_KMH)


def speed_of(symbol: str) -> Speed:
    """The speed of a speed symbol. Raises BadText; ZR alone says only 'above 240 km/h'."""
    if symbol not in _SPEEDS_KMH:
        raise BadText(
            f"{symbol!r} is no speed symbol: look for the letter after the load index, such as the V in 91V",
            found=symbol,
            expected="one of " + ", ".join(_SPEEDS_KMH),
        )
    return Speed(_SPEEDS_KMH[symbol])
