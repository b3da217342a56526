"""What is stamped on a rim: its width, its diameter, its bolt circle.

Spellings as ISO 3911 and the trade have them: '6.5J', '6 1/2 J x 16 H2', '5x112', '4 x 98'.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from wheelside.errors import BadText
from wheelside.units.quantity import MM_PER_INCH

_SIZE = re.compile(
    r"\s*(?P<width>\d{1,2}(?:[.,](?:0|00|25|5|50|75))?)(?:\s*(?P<half>½|1/2|¼|1/4|¾|3/4))?\s*(?P<flange>JJ|JK|[BJKP])?"
    r"(?:\s*[X×-]\s*(?P<rim>\d{2}(?:[.,]5)?)(?:\s*(?P<contour>[A-Z][A-Z0-9+]{0,3}))?)?\s*",
    re.ASCII,
)
_HALVES = {"½": 0.5, "1/2": 0.5, "¼": 0.25, "1/4": 0.25, "¾": 0.75, "3/4": 0.75}
_CIRCLE = re.compile(r"\s*(?P<count>\d{1,2})\s*[xX×/-]\s*(?P<mm>\d{2,3}(?:[.,]\d{1,2})?)\s*(?:mm)?\s*", re.ASCII)


@dataclass(frozen=True, slots=True)
class RimSize:
    """Width between the flanges in inches, diameter in inches where it is said, and the letters for flange and contour."""

    width_in: float
    diameter_in: float | None = None
    flange: str = ""
    contour: str = ""

    @property
    def width_mm(self) -> float:
        return self.width_in * MM_PER_INCH

    @property
    def text(self) -> str:
        """One spelling: '6.5Jx16 H2'."""
        rim = "" if self.diameter_in is None else f"x{self.diameter_in:g}{' ' if self.contour else ''}{self.contour}"
        return f"{self.width_in:g}{self.flange}{rim}"


@dataclass(frozen=True, slots=True)
class BoltCircle:
    """How many bolts, on a circle of which diameter."""

    count: int
    diameter_mm: float

    @property
    def text(self) -> str:
        return f"{self.count}x{self.diameter_mm:g}"


def read_rim_size(text: str) -> RimSize:
    """The size that a stamp says. Raises BadText.

    >>> read_rim_size("6 1/2 J x 16 H2").text
    '6.5Jx16 H2'
    """
    found = _SIZE.fullmatch(text.upper())
    width = float(found["width"].replace(",", ".")) + _HALVES.get(found["half"] or "", 0.0) if found else 0.0
    if not found or not 2 <= width <= 16 or (found["half"] and "." in found["width"].replace(",", ".")):
        raise BadText(
            f"{text!r} is no rim size: write it as stamped, width first: '6.5Jx16', or the width alone: '6.5J'",
            found=text,
            expected="a rim size such as 6.5Jx16",
        )
    diameter = float(found["rim"].replace(",", ".")) if found["rim"] else None
    if diameter is not None and not (10 <= diameter <= 30 and width < diameter):
        raise BadText(
            f"{text!r}: a rim {width:g} wide and {diameter:g} inches across is none of a car; write the width first, as in '6.5Jx16'",
            found=text,
            expected="a width, then a diameter of 10 to 30 inches",
        )
    return RimSize(width, diameter, found["flange"] or "", (found["contour"] or "").strip())


def read_bolt_circle(text: str) -> BoltCircle:
    """The bolt circle that a text says. Raises BadText.

    >>> read_bolt_circle("5/114,3").text
    '5x114.3'
    """
    found = _CIRCLE.fullmatch(text)
    count = int(found["count"]) if found else 0
    diameter = float(found["mm"].replace(",", ".")) if found else 0.0
    if not 3 <= count <= 8 or not 80 <= diameter <= 225:
        raise BadText(
            f"{text!r} is no bolt circle: write how many bolts and the circle's diameter in mm, as in '5x112' (an inch figure times 25.4)",
            found=text,
            expected="a bolt circle such as 5x112",
        )
    return BoltCircle(count, diameter)
