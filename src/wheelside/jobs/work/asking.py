"""What a person says beside the file or the book: what is on a car now, and which change is asked for."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from wheelside.garage.change import known_change, still_there
from wheelside.garage.model import Garage
from wheelside.garage.present import Present, present
from wheelside.garage.stay import Seen


def wearing(garage: Garage, day: date, wears: tuple[tuple[str, str], ...]) -> Garage:
    """The garage with what somebody says is on cars on a day: car and set. Raises BadRequest for one that there is not."""
    for car, wheel_set in wears:
        known_change(garage, car, wheel_set)
    rows = tuple(Seen(set=wheel_set, on=car, as_of=day, time="23:59:59") for car, wheel_set in wears)
    return replace(garage, seen=(*garage.seen, *rows)) if rows else garage


def asking_for(garage: Garage, day: date, car: str | None, wheel_set: str | None, *, now: bool = False) -> Garage:
    """The garage with a change asked for that the season line does not have near by, so that plan and sheet are for it.

    `now`: asked for even where the line has it some day. Raises BadRequest for a car or set that there is not.
    """
    known_change(garage, car, wheel_set)
    still_there(garage, wheel_set, day)
    if wheel_set is None or (car is None and not now):
        return garage
    stands = present(garage, day)
    on = car or _only_car(stands, wheel_set)
    if on is None or stands.wholly_on(wheel_set, on):
        return garage
    ahead = [s for s in stands.line if (s.on, s.set) == (on, wheel_set)]
    if any(c.coming == wheel_set for c in stands.open if c.car == on) or (ahead and not now):
        return garage
    return replace(garage, asked=((on, wheel_set),))


def _only_car(now: Present, wheel_set: str) -> str | None:
    """The one car on which a set goes, or the only one there is."""
    cars = {s.on for s in now.meant_of.get(wheel_set, ()) if s.on} or {c.id for c in now.garage.car}
    return next(iter(cars)) if len(cars) == 1 else None
