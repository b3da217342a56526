"""Where rims and tyres lie, for drawing them to scale: along the hub's axis, and outward from its middle."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from wheelside.fit.gather import present_parts
from wheelside.fit.named import meant_tyre
from wheelside.garage.joined import Parts
from wheelside.garage.model import Car, Garage, WheelSet
from wheelside.garage.words import Corner, Season
from wheelside.rim.lie import Lie, lie
from wheelside.rim.size import RimSize
from wheelside.tyre.designation import Designation
from wheelside.tyre.geometry import Span, circumference_mm, diameter_mm, diameter_span, section_on_mm, widest_mm
from wheelside.units import Length

STAMPED_MM = 0.5
"""Insets are stamped in whole millimetres; judgement."""
AXLES = (("front", Corner.FRONT_LEFT), ("rear", Corner.REAR_LEFT))


@dataclass(frozen=True, slots=True)
class Side:
    """One wheel on the hub: edges of the rim, of the tyre as meant and at its widest, rim radius, tyre radius and its least and most.

    None where a fact for it is missing; lengths in mm, on the axis positive outward of the mounting face.
    """

    rim: Lie | None
    tyre: Lie | None
    tyre_widest: Lie | None
    rim_radius_mm: float | None
    radius_mm: float | None
    radius_span: Span | None


@dataclass(frozen=True, slots=True)
class Lying:
    """One axle: what is on it and what would be, the room measured beside what is on it, and how far a turn goes against what is meant."""

    axle: str
    now: Side
    then: Side
    room_inside_mm: float | None
    room_outside_mm: float | None
    ratio: float | None


def lying(garage: Garage, car: Car, wheel_set: WheelSet, present: WheelSet | None, day: date) -> tuple[Lying, ...]:
    """Both axles; one where they are the same. An axle without a wheel of the set is left out."""
    found = []
    for axle, corner in AXLES:
        parts = present_parts(garage, wheel_set, corner, day)
        if parts is None:
            continue
        on = present_parts(garage, present, corner, day)
        found.append(
            Lying(
                axle,
                _present(car, on, corner),
                _side(*_of(parts), snow=_snow(parts)),
                _mm(car.room_inside),
                _mm(car.room_outside),
                _ratio(car, parts, corner),
            )
        )
    if len(found) == len(AXLES) and (found[0].now, found[0].then) == (found[1].now, found[1].then):
        first = found[0]
        return (Lying("both axles", first.now, first.then, first.room_inside_mm, first.room_outside_mm, first.ratio),)
    return tuple(found)


def _mm(value: Length | None) -> float | None:
    return None if value is None else value.mm


def _of(parts: Parts) -> tuple[RimSize | None, Length | None, Designation | None]:
    rim = parts.rim
    return (
        (rim.width_in if rim else None),
        (rim.inset if rim else None),
        (parts.tyre.designation if parts.tyre else None),
    )


def _snow(parts: Parts) -> bool:
    return parts.tyre is not None and parts.tyre.season is Season.WINTER


def _present(car: Car, on: Parts | None, corner: Corner) -> Side:
    width, inset, tyre = _of(on) if on else (None, None, None)
    return _side(
        width or car.width_in,
        inset if inset is not None else car.inset,
        tyre or meant_tyre(car, corner),
        snow=on is not None and _snow(on),
    )


def _side(width: RimSize | None, inset: Length | None, tyre: Designation | None, *, snow: bool) -> Side:
    section = section_on_mm(tyre, width.width_mm) if tyre and width else None
    diameter, span = (diameter_mm(tyre), diameter_span(tyre, snow=snow)) if tyre else (None, None)
    return Side(
        rim=lie(width.width_mm, inset.mm) if width and inset else None,
        tyre=lie(section, inset.mm) if section is not None and inset else None,
        tyre_widest=lie(widest_mm(tyre, section), inset.mm) if tyre and section is not None and inset else None,
        rim_radius_mm=tyre.rim_mm / 2 if tyre else None,
        radius_mm=None if diameter is None else diameter / 2,
        radius_span=None if span is None else Span(span.least_mm / 2, span.most_mm / 2),
    )


def _ratio(car: Car, parts: Parts, corner: Corner) -> float | None:
    meant, tyre = meant_tyre(car, corner), parts.tyre.designation if parts.tyre else None
    should, around = circumference_mm(meant) if meant else None, circumference_mm(tyre) if tyre else None
    return None if should is None or around is None else around / should
