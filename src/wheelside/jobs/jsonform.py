"""Results as JSON for other programs: the same facts as on the screen, in inside units, with what they rest on.

Every document is {"wheelside": kind, "version": 1, ...}. Quantities carry their unit in the key:
{"kpa_gauge": 262.1}. See docs/json.md.
"""

from __future__ import annotations

import dataclasses
import json
from datetime import date
from decimal import Decimal
from enum import Enum
from pathlib import Path
from typing import Any

from wheelside import units as u
from wheelside.rim.fasten import Thread
from wheelside.rim.size import BoltCircle, RimSize
from wheelside.sensor.ident import SensorId
from wheelside.tyre.designation import Designation

JSON_VERSION = 1
_UNITS: dict[type[Any], tuple[str, str]] = {
    u.GaugePressure: ("kpa_gauge", "kpa"),
    u.AbsolutePressure: ("kpa_absolute", "kpa"),
    u.PressureSpan: ("kpa", "kpa"),
    u.Temperature: ("kelvin", "kelvin"),
    u.TemperatureSpan: ("kelvin_span", "kelvin"),
    u.Length: ("mm", "mm"),
    u.Mass: ("kg", "kg"),
    u.Speed: ("km_h", "km_h"),
    u.Torque: ("nm", "nm"),
    u.Duration: ("seconds", "seconds"),
    u.Share: ("fraction", "fraction"),
}


def plain(value: object) -> Any:
    """`value` as what JSON has."""
    if type(value) in _UNITS:
        key, attribute = _UNITS[type(value)]
        return {key: round(getattr(value, attribute), 6)}
    if isinstance(value, SensorId):
        return {"family": value.family, "bits": value.bits, "hex": value.hex, "decimal": value.decimal}
    if isinstance(value, (Designation, RimSize, BoltCircle, Thread)):
        return value.text
    if dataclasses.is_dataclass(value):
        return {f.name: plain(getattr(value, f.name)) for f in dataclasses.fields(value)}
    if isinstance(value, (tuple, list)):
        return [plain(item) for item in value]
    if isinstance(value, dict):
        return {key: plain(item) for key, item in value.items()}
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, (date, Decimal, Path)):
        return str(value)
    if isinstance(value, bytes):
        return value.hex()
    return value


def document(kind: str, **parts: object) -> str:
    """One JSON document of a kind."""
    body = {name: plain(part) for name, part in parts.items()}
    return json.dumps({"wheelside": kind, "version": JSON_VERSION, **body}, indent=1, ensure_ascii=False) + "\n"
