"""The drawings of a fit report, from where rims and tyres lie."""

from __future__ import annotations

from collections.abc import Iterator

from markupsafe import Markup

from wheelside.fit.lying import STAMPED_MM, Lying, Side
from wheelside.garage.model import Car
from wheelside.units import UnitChoice
from wheelside.web.draw.hub import Bar, ShownLimit, hub
from wheelside.web.draw.radius import Radius, radius
from wheelside.web.draw.shown import shown

NOW, THEN = "now", "this set"


def hubs_of(lying: tuple[Lying, ...], units: UnitChoice) -> tuple[Markup, ...]:
    """The hub's axis of each axle of which anything is known."""
    drawn = []
    for one in lying:
        bars = (*_bars(NOW, one.now, "box tint"), *_bars(THEN, one.then, "box actfill"))
        if bars:
            drawn.append(hub(_name(one), bars, tuple(_limits(one)), units))
    return tuple(drawn)


def _name(one: Lying) -> str:
    return "Both axles" if one.axle == "both axles" else f"{one.axle.capitalize()} axle"


def _bars(when: str, side: Side, kind: str) -> Iterator[Bar]:
    if side.rim is not None:
        yield Bar(f"{when}: rim", side.rim.inner_mm, side.rim.outer_mm, STAMPED_MM, kind)
    if side.tyre is not None and side.tyre_widest is not None:
        yield Bar(
            f"{when}: tyre",
            side.tyre.inner_mm,
            side.tyre.outer_mm,
            side.tyre_widest.outer_mm - side.tyre.outer_mm + STAMPED_MM,
            kind,
        )


def _limits(one: Lying) -> Iterator[ShownLimit]:
    """What stands in the way, measured from the side of what is on the car now."""
    lies = one.now.tyre or one.now.rim
    if lies is None:
        return
    if one.room_inside_mm is not None:
        yield ShownLimit("strut, brake", lies.inner_mm - one.room_inside_mm)
    if one.room_outside_mm is not None:
        yield ShownLimit("arch", lies.outer_mm + one.room_outside_mm)


def radii_of(lying: tuple[Lying, ...], units: UnitChoice) -> tuple[Markup, ...]:
    """The radii of each axle."""
    drawn = []
    for one in lying:
        rows = tuple(r for r in (_radius(NOW, one.now, "box tint"), _radius(THEN, one.then, "box actfill")) if r)
        if rows:
            drawn.append(radius(_name(one), rows, units))
    return tuple(drawn)


def _radius(when: str, side: Side, kind: str) -> Radius | None:
    if side.rim_radius_mm is None or side.radius_mm is None or side.radius_span is None:
        return None
    return Radius(when, side.rim_radius_mm, side.radius_mm, side.radius_span.least_mm, side.radius_span.most_mm, kind)


def speedometer_of(lying: tuple[Lying, ...], car: Car, units: UnitChoice) -> Markup:
    """The speedometer against UN R39; empty where no circumference is known."""
    ratio = next((one.ratio for one in lying if one.ratio is not None), None)
    if ratio is None:
        return Markup()
    compared = (car.speedometer_shows, car.speedometer_true) if car.speedometer_shows and car.speedometer_true else None
    return shown(ratio, compared, units)
