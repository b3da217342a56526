"""Lines of a wheel's history in words."""

from __future__ import annotations

from collections.abc import Mapping

from wheelside.book.events import Line
from wheelside.book.mistaken import WORDS, Why
from wheelside.units import AbsolutePressure, GaugePressure, Temperature, UnitChoice


def told(line: Line, units: UnitChoice, car_names: Mapping[str, str]) -> str:
    """One line: 'gauge (Red gauge): 2.67 bar, 17 °C', 'fitted to Estate, front left'."""
    if line.kind == "reading":
        return _reading(line, units)
    if line.kind == "ID state":
        return f"ID {line.hex} {line.detail.get('state', '')}"
    if line.kind in ("fitted", "taken off"):
        car = next((car_names.get(i, i) for k, i in line.about if k == "car"), "the car")
        corner = f", {line.corner}" if line.corner else ""
        return f"{line.kind} {'to' if line.kind == 'fitted' else 'from'} {car}{corner}"
    parts = ", ".join(f"{kind} {one}" for kind, one in line.about)
    return f"{line.kind}: {parts}" if parts else line.kind


def _reading(line: Line, u: UnitChoice) -> str:
    said = []
    if line.pressure_kpa is not None:
        p = AbsolutePressure(line.pressure_kpa) if line.absolute else GaugePressure(line.pressure_kpa)
        said.append(u.show_pressure(p) + (" absolute" if line.absolute else ""))
    if line.temperature_k is not None:
        said.append(u.show_temperature(Temperature(line.temperature_k)))
    if line.battery_low is not None:
        said.append("battery low" if line.battery_low else "battery good")
    by = f" ({line.instrument})" if line.instrument else ""
    sensor = next((f", sensor {one}" for kind, one in line.about if kind == "sensor"), "")
    return f"{line.channel}{by}: {', '.join(said) or 'seen'}{sensor}{_mistaken(line)}"


def _mistaken(line: Line) -> str:
    """'; noted by mistake (wrong unit), says Ada on 2026-11-26 10:00', where it is marked so."""
    if not line.mistaken or line.marked is None:
        return ""
    return f"; noted by mistake ({WORDS[Why(line.mistaken)]}), says {line.marked_by or 'nobody named'} on {line.marked.short()}"
