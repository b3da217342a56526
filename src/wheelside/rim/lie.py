"""Where a rim and its tyre come to lie along the hub's axis.

                     inside of the car <───── 0 ─────> outside
                                        mounting face
        inner edge ├────────────── width ──────────────┤ outer edge
                              └ centre: inset inward of the mounting face

Inset is positive where the mounting face lies outward of the rim's centre (ISO 3911). Widths are between the flanges; the flanges
themselves reach further, on both rims alike.
"""

from __future__ import annotations

from dataclasses import dataclass

from wheelside.finding import Basis, Ground

ISO_3911 = Basis(Ground.STANDARD, "inset, width and centre as in ISO 3911; the rest is arithmetic")


@dataclass(frozen=True, slots=True)
class Lie:
    """The two edges on the hub's axis, in mm, positive outward of the mounting face."""

    inner_mm: float
    outer_mm: float


@dataclass(frozen=True, slots=True)
class Moved:
    """How far each edge moves: outward is positive for both, in mm. `track_mm`: what the axle's track grows."""

    inner_mm: float
    outer_mm: float
    track_mm: float


def lie(width_mm: float, inset_mm: float) -> Lie:
    """The edges of something that wide, centred on the rim.

    >>> lie(165.1, 46.0)
    Lie(inner_mm=-128.55, outer_mm=36.55)
    """
    return Lie(-inset_mm - width_mm / 2, -inset_mm + width_mm / 2)


def moved(former: Lie, other: Lie) -> Moved:
    """What changes from one to the other; the track grows by twice what the centre moves outward."""
    inner, outer = other.inner_mm - former.inner_mm, other.outer_mm - former.outer_mm
    return Moved(inner, outer, inner + outer)
