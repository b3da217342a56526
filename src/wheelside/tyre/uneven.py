"""Wear across a tread, what it is a sign of, and whether the pressures bear that out; common practice, no source."""

from __future__ import annotations

from wheelside.said import Coded

APART_MM = 1.0
"""Parts of a tread that differ by so much are worn unevenly: five times the spread of a gauge; judgement."""
OFF_KPA = 15.0
"""A mean cold pressure so far off the placard is too much or too little, as far as wear goes; judgement."""


class Across(Coded):
    """How a tread is worn across, with what that is a sign of."""

    EVEN = "even", "worn evenly"
    CENTRE = "centre", "worn most in the middle: a sign of too much air"
    SHOULDERS = "shoulders", "worn most at both shoulders: a sign of too little air"
    INNER = "inner", "worn most on the inner side: have the alignment checked"
    OUTER = "outer", "worn most on the outer side: have the alignment checked"


def across(inner: float | None, middle: float | None, outer: float | None) -> Across | None:
    """How a tread is worn, from depths in mm next to the car, in the middle and outermost; None where too few are known.

    One side goes before the middle: with both, alignment is looked at first.

    >>> across(6.0, 4.5, 6.2).value
    'centre'
    """
    if inner is None or outer is None:
        return None
    if abs(inner - outer) >= APART_MM:
        return Across.INNER if inner < outer else Across.OUTER
    if middle is None:
        return None
    above = middle - (inner + outer) / 2
    if abs(above) < APART_MM:
        return Across.EVEN
    return Across.SHOULDERS if above > 0 else Across.CENTRE


def borne_out(worn: Across, over_kpa: float) -> bool | None:
    """Whether pressures bear a wear out: by how much they were above the placard on the mean, cold, in kPa (negative: below).

    None where wear of that kind says nothing of air.
    """
    if worn is Across.CENTRE:
        return over_kpa >= OFF_KPA
    if worn is Across.SHOULDERS:
        return over_kpa <= -OFF_KPA
    return None
