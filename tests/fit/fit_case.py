"""One car and one set that fits in every line, as a table whose facts can be changed."""

from __future__ import annotations

from datetime import date
from typing import Any

from garages import Table, garage_of
from wheelside.fit.report import Fit, fit

DAY = date(2026, 11, 25)
CORNERS = ("front_left", "front_right", "rear_left", "rear_right")
CAR: Table = {
    "id": "car", "monitor": "direct", "family": "f", "remembers_sets": 2, "taught_by": "step by step", "all_wheel_drive": False,
    "axle_load_front": "1060 kg", "axle_load_rear": "1000 kg", "load_index": 91, "speed_symbol": "H", "top_speed": "195 km/h",
    "bolt_circle": "5x112", "centre_bore": "66.6 mm", "width_in": "6.5J", "inset": "46 mm", "fastening": "bolts", "thread": "M14x1.5",
    "seat": "cone 60°", "fastener_length": "28 mm", "room_inside": "16 mm", "room_outside": "22 mm", "season_distance": "7500 km",
    "placard": [{"tyre": "205/55 R16 91V", "load": "full", "front": "2.5 bar", "rear": "2.6 bar"}],
}  # fmt: skip
RIM: Table = {
    "bolt_circle": "5x112", "centre_bore": "66.6 mm", "width_in": "6.5Jx16", "inset": "46 mm", "seat": "cone 60°", "seat_depth": "12 mm",
    "max_load": "650 kg", "max_pressure": "4 bar", "valve_hole": "11.5 mm", "damaged": False,
}  # fmt: skip
TYRE: Table = {
    "designation": "205/55 R16 91V", "max_pressure": "3.5 bar", "date_code": "3823", "tread": "7 mm", "season": "winter",
    "winter_mark": "snowflake", "direction": "none", "pattern": "blocks", "damaged": False,
}  # fmt: skip
SENSOR: Table = {"family": "f", "answers": True, "writing": "fixed", "stem": "metal", "valve_hole": "11.5 mm"}


def _changed(row: Table, other: Table) -> Table:
    return {key: value for key, value in {**row, **other}.items() if value is not None}


def table_of(
    *,
    car: Table | None = None,
    rim: Table | None = None,
    tyre: Table | None = None,
    sensor: Table | None = None,
    **rows: Any,
) -> Table:
    """The set that fits, with some facts changed (None: taken away). `tyres`, `rims`: changes of single wheels, by number."""
    sensed = rows.get("sensed", True)
    return {
        "wheelside": 1,
        "family": [{"id": "f", "band": "433.92 MHz", "bits": 32}, {"id": "west", "band": "315 MHz", "bits": 32}, {"id": "dim"}],
        "car": [_changed(CAR, car or {})],
        "retired": rows.get("retired", []),
        "rim": [{"id": f"r{n}", **_changed(RIM, {**(rim or {}), **rows.get("rims", {}).get(n, {})})} for n in range(4)],
        "tyre": [{"id": f"t{n}", **_changed(TYRE, {**(tyre or {}), **rows.get("tyres", {}).get(n, {})})} for n in range(4)],
        "sensor": [{"id": f"s{n}", "sends": f"0xA100000{n}", **_changed(SENSOR, sensor or {})} for n in range(4)],
        "wheel": [{"id": f"w{n}", "joined": [{"rim": f"r{n}", "tyre": f"t{n}"} | ({"sensor": f"s{n}"} if sensed else {})]} for n in range(4)],
        "set": [{"id": "set", "on_offer": True, "price": "200 EUR", "wheels": {c: f"w{n}" for n, c in enumerate(CORNERS)}}],
    }  # fmt: skip


def report(**changes: Any) -> Fit:
    """The report of that set."""
    garage = garage_of(table_of(**changes))
    return fit(garage, garage.cars["car"], garage.sets["set"], DAY, {})
