"""Results as JSON for other programs: the same facts as on the screen, in inside units, with what they rest on.

Every document is {"wheelside": kind, "version": 1, ...}. Quantities carry their unit in the key:
{"kpa_gauge": 262.1}. See docs/json.md.
"""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Callable
from datetime import date
from decimal import Decimal
from enum import Enum
from pathlib import Path
from typing import Any

from wheelside import units as u
from wheelside.finding import Basis, Way
from wheelside.harmless import escaped
from wheelside.rim.fasten import Thread
from wheelside.rim.size import BoltCircle, RimSize
from wheelside.said import Said
from wheelside.sensor.ident import SensorId
from wheelside.speech.speech import Speech
from wheelside.tyre.designation import Designation

JSON_VERSION = 1
_SPEECH = Speech()
"""Texts in JSON are for people who look at it: in English and metric units. Programs go by codes and values."""
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
    for kind, form in _FORMS:
        if isinstance(value, kind):
            return form(value)
    if dataclasses.is_dataclass(value):
        return {f.name: plain(getattr(value, f.name)) for f in dataclasses.fields(value)}
    return value


def _way(way: Way) -> Any:
    return {"kind": way.kind.value, "text": _SPEECH.text(way.said), "facts": [plain(place) for place in way.keys]}


def _basis(basis: Basis) -> Any:
    return {"ground": basis.ground.value, "source": _SPEECH.text(basis.source)}


_FORMS: tuple[tuple[Any, Callable[[Any], Any]], ...] = (
    (Said, _SPEECH.text),
    (Way, _way),
    (Basis, _basis),
    (SensorId, lambda v: {"family": v.family, "bits": v.bits, "hex": v.hex, "decimal": v.decimal}),
    ((Designation, RimSize, BoltCircle, Thread), lambda v: v.text),
    ((tuple, list), lambda v: [plain(item) for item in v]),
    (dict, lambda v: {key: plain(item) for key, item in v.items()}),
    (Enum, lambda v: v.value),
    ((date, Decimal, Path), str),
    (bytes, bytes.hex),
)


def document(kind: str, **parts: object) -> str:
    """One JSON document of a kind."""
    body = {name: plain(part) for name, part in parts.items()}
    made = json.dumps({"wheelside": kind, "version": JSON_VERSION, **body}, indent=1, ensure_ascii=False)
    return escaped(made) + "\n"
