"""A tyre's sizes from its designation: UN R30 paragraph 6.1 (from memory), and what ETRTO makes of them.

A new tyre on its measuring rim. Section width S on another rim: S = S1 + K (A - A1), K = 0.4. Height H = S1 times the aspect ratio,
rounded to the millimetre; diameter D = d + 2 H. A radial tyre may be 4 % wider, a diagonal one 6 %; its diameter may lie from
d + 2 * 0.97 H to d + 2 * 1.04 H.
"""

from __future__ import annotations

from dataclasses import dataclass

from wheelside.finding import Basis, Ground
from wheelside.tyre.designation import MM_PER_INCH, Designation, MarkForm

WIDTH_PER_RIM = 0.4
"""K: by so much of each millimetre of rim width does the section grow; UN R30 6.1.1, from memory."""
WIDER_RADIAL, WIDER_DIAGONAL = 0.04, 0.06
LOWER, HIGHER = 0.97, 1.04
PI_OF_LOADED = 3.05
"""Rolling circumference over design diameter of a radial car tyre: ETRTO, seen; at 60 km/h from memory."""
FULL_SECTION_PCT = 82
"""The aspect ratio of sizes that name none, 165 R13; from memory."""

R30 = Basis(Ground.STANDARD, "UN R30 paragraph 6.1, from memory")
ETRTO_CIRCUMFERENCE = Basis(Ground.STANDARD, "ETRTO: rolling circumference 3.05 times the design diameter")
MEASURING_RIM = Basis(Ground.STANDARD, "ISO 4000-1: measuring rim from the aspect ratio, from memory")


@dataclass(frozen=True, slots=True)
class Span:
    """From the least to the most, in millimetres."""

    least_mm: float
    most_mm: float


def section_mm(tyre: Designation) -> float | None:
    """Nominal section width S1; None where the marking does not say it (letter sizes)."""
    if tyre.width_mm is not None:
        return float(tyre.width_mm)
    if tyre.form is MarkForm.INCH:
        return float(tyre.head) * MM_PER_INCH
    if tyre.form is MarkForm.FLOTATION:
        return float(tyre.head.partition("x")[2]) * MM_PER_INCH
    return None


def height_mm(tyre: Designation) -> int | None:
    """Nominal section height H; None where neither marking nor rule says it (inch and letter sizes)."""
    if tyre.form is MarkForm.FLOTATION:
        return int((float(tyre.head.partition("x")[0]) * MM_PER_INCH - tyre.rim_mm) / 2 + 0.5)
    if tyre.width_mm is None:
        return None
    return int(tyre.width_mm * (tyre.aspect_pct or FULL_SECTION_PCT) / 100 + 0.5)


def diameter_mm(tyre: Designation) -> int | None:
    """Design diameter D = d + 2 H of the new tyre."""
    height = height_mm(tyre)
    return None if height is None else tyre.rim_mm + 2 * height


def diameter_span(tyre: Designation, *, snow: bool = False) -> Span | None:
    """The diameters that a new tyre may have: d + 2 * 0.97 H to d + 2 * 1.04 H, heights rounded; a snow tyre 1 % more at most."""
    height = height_mm(tyre)
    if height is None:
        return None
    most = tyre.rim_mm + 2 * int(HIGHER * height + 0.5)
    return Span(tyre.rim_mm + 2 * int(LOWER * height + 0.5), most * 1.01 if snow else most)


def circumference_mm(tyre: Designation) -> float | None:
    """Rolling circumference, 3.05 D: ETRTO for radial car tyres."""
    diameter = diameter_mm(tyre)
    return None if diameter is None else PI_OF_LOADED * diameter


def turns_per_km(around_mm: float) -> float:
    """Turns in a kilometre of a wheel that goes so far in one."""
    return 1e6 / around_mm


def measuring_ratio(aspect_pct: int) -> float:
    """Measuring rim width over section width, by aspect ratio; ISO 4000-1, from memory."""
    for least, ratio in ((75, 0.70), (60, 0.75), (50, 0.80), (45, 0.85), (30, 0.90)):
        if aspect_pct >= least:
            return ratio
    return 0.92


def measuring_rim_mm(tyre: Designation) -> float | None:
    """The rim width that the section is measured on, to the nearest half inch; None without a section or an aspect ratio."""
    section = section_mm(tyre)
    if section is None or tyre.form not in (MarkForm.METRIC, MarkForm.FULL):
        return None
    inches = section * measuring_ratio(tyre.aspect_pct or FULL_SECTION_PCT) / MM_PER_INCH
    return int(2 * inches + 0.5) / 2 * MM_PER_INCH


def section_on_mm(tyre: Designation, rim_width_mm: float) -> float | None:
    """Section width on a rim of that width: S1 + 0.4 (A - A1)."""
    section, measured = section_mm(tyre), measuring_rim_mm(tyre)
    if section is None or measured is None:
        return None
    return section + WIDTH_PER_RIM * (rim_width_mm - measured)


def widest_mm(tyre: Designation, section: float) -> float:
    """The most that a section may measure: 4 % more for radial tyres, 6 % for others."""
    return section * (1 + (WIDER_RADIAL if tyre.build == "R" else WIDER_DIAGONAL))
