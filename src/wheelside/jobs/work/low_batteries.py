"""Since when sensors that are noted with a low battery have said so, by the readings of a book."""

from __future__ import annotations

from datetime import date

from wheelside.book.entry import View
from wheelside.book.events import low_since
from wheelside.garage.joined import joining_on
from wheelside.garage.model import Garage
from wheelside.jobs.book.desk import Desk
from wheelside.units.moment import Moment


def low_days(desk: Desk) -> dict[str, date]:
    """The same of an open book."""
    with desk.book.reading() as conn:
        return low_days_in(conn, desk.loaded_in(conn).garage, desk.clock())


def low_days_in(conn: View, garage: Garage, now: Moment) -> dict[str, date]:
    """By id of sensor the day of the first reading of all that have said so since; of a wheel only from when the sensor was in it."""
    low = {s.id for s in garage.sensor if s.battery_low}
    joined = {w.id: j for w in garage.wheel if (j := joining_on(w, now.day)) is not None and j.sensor in low}
    if not low:
        return {}
    found: dict[str, date] = {}
    for (kind, key), us in low_since(conn, (*low, *joined)).items():
        day, joining = Moment(us, now.offset_min).day, joined.get(key)
        sensor = key if kind == "sensor" else joining.sensor if joining is not None else None
        before = kind == "wheel" and joining is not None and joining.since is not None and day < joining.since
        if sensor in low and not before:
            found[sensor] = min(day, found.get(sensor, day))
    return found
