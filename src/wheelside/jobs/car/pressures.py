"""Pressures that a car told, as readings of the wheels that they are of."""

from __future__ import annotations

from collections.abc import Iterator

from wheelside.book.reading import Purpose, Reading
from wheelside.car.card import Holds, PortCard
from wheelside.car.reads import CardRead, ListRead, ValueRead
from wheelside.garage.model import Garage, WheelSet
from wheelside.identity.inlist import Seen, in_list
from wheelside.units import AbsolutePressure, AnyPressure, GaugePressure, Temperature
from wheelside.units.moment import Moment

_PRESSURES: dict[str, type[AnyPressure]] = {"kPa gauge": GaugePressure, "kPa absolute": AbsolutePressure}


def wheel_readings(
    garage: Garage, wheel_set: WheelSet | None, card: PortCard, known: CardRead, at: Moment
) -> Iterator[Reading]:
    """A reading for each corner whose ID in the list that the car goes by is that of the wheel fitted there; none for others.

    `wheel_set`: the set on the car; None where that is not known: then a figure belongs to no wheel for certain.
    """
    pressures = _by_place(known, Holds.PRESSURE)
    row = counting(known, card)
    if wheel_set is None or row is None or pressures is None or pressures.unit not in _PRESSURES:
        return
    sure = {p.corner for p in in_list(garage, wheel_set, at.day, row.bits, row.ids).places if p.seen is Seen.SAME}
    kelvins, low = (
        _figures(_by_place(known, Holds.TEMPERATURE), "°C"),
        _figures(_by_place(known, Holds.BATTERY_LOW), ""),
    )
    for corner, wheel in wheel_set.wheels:
        kpa = _figures(pressures, pressures.unit).get(corner.value)
        if kpa is None or corner.value not in sure:
            continue
        celsius, battery = kelvins.get(corner.value), low.get(corner.value)
        yield Reading(
            ("wheel", wheel),
            at.us,
            "port",
            _PRESSURES[pressures.unit](kpa),
            battery_low=None if battery is None else bool(battery),
            instrument=card.label[:60],
            offset_min=at.offset_min,
            purpose=Purpose.BY_ITSELF if pressures.broadcast else Purpose.FETCHED,
            tyre=None if celsius is None else Temperature.from_celsius(celsius),
        )


def counting(known: CardRead, card: PortCard) -> ListRead | None:
    """The list that the car says it watches; the only one where it does not say; else None."""
    rows = {row.identifier: row for row in known.lists}
    watched = next((v.figures[0][1] for v in known.values if v.holds is Holds.WATCHED and v.figures), None)
    if watched is not None and (chosen := next((r for r in card.lists if r.watched_as == watched), None)) is not None:
        return rows.get(chosen.identifier)
    return known.lists[0] if len(card.lists) == 1 and known.lists else None


def _by_place(known: CardRead, holds: Holds) -> ValueRead | None:
    return next((v for v in known.values if v.holds is holds and v.places), None)


def _figures(value: ValueRead | None, unit: str) -> dict[str, float]:
    """Figures by place, where they are in this unit."""
    if value is None or value.unit != unit:
        return {}
    return {place: figure for place, figure, _ in value.figures if figure is not None}
