"""Lines of a wheel's history in words."""

from __future__ import annotations

from collections.abc import Mapping

from wheelside.book.events import Happened, Line
from wheelside.book.mistaken import WORDS, Why
from wheelside.book.reading import Purpose, Reading, Warmth
from wheelside.identity.states import IdState
from wheelside.units import AbsolutePressure, UnitChoice
from wheelside.watch.mended import Mended


def told(
    line: Line, units: UnitChoice, car_names: Mapping[str, str], place_names: Mapping[str, str] | None = None
) -> str:
    """One line: 'gauge (Red gauge), set: 2.67 bar, tyre 17 °C', 'fitted to Estate, front left'."""
    if line.kind == "reading":
        return _reading(line, units, place_names or {})
    if line.kind == "ID state":
        return f"ID {line.hex} {_state(line.detail.get('state'))}"
    if line.kind in ("fitted", "taken off"):
        car = next((car_names.get(i, i) for k, i in line.about if k == "car"), "the car")
        corner = f", {line.corner}" if line.corner else ""
        return f"{line.kind} {'to' if line.kind == 'fitted' else 'from'} {car}{corner}"
    if line.kind == "handed over":
        return f"handed over to a buyer, ID {line.hex}" if line.hex else "handed over to a buyer"
    if line.kind in ("mended", "checked") and "leak" in line.detail:
        found = next((one.words for one in Mended if one == line.detail["leak"]), "")
        return f"a leak looked for. {found}".strip()
    if line.kind == Happened.AT_SHOP:
        return Happened.AT_SHOP.value
    if line.kind == "filled":
        return "air was let in about then" if line.detail.get("filled") else "no air was let in about then"
    parts = ", ".join(f"{kind} {one}" for kind, one in line.about)
    return f"{line.kind}: {parts}" if parts else line.kind


def _state(code: object) -> str:
    """How far an ID had come, in words; as it stands where this program knows no such code."""
    return next((one.words for one in IdState if one == code), str(code or ""))


def figures(r: Line | Reading, u: UnitChoice) -> list[str]:
    """The figures of a reading: '2.67 bar', 'tyre 17 °C', 'outside 4 °C'."""
    said = []
    if r.pressure is not None:
        said.append(u.show_pressure(r.pressure) + (" absolute" if isinstance(r.pressure, AbsolutePressure) else ""))
    for what, temperature in (("", r.temperature), ("tyre ", r.tyre), ("outside ", r.outside)):
        if temperature is not None:
            said.append(what + u.show_temperature(temperature))
    return said


def _reading(line: Line, u: UnitChoice, place_names: Mapping[str, str]) -> str:
    said = figures(line, u)
    if line.warmth is not Warmth.NOT_KNOWN:
        said.append(f"tyre {line.warmth.words}")
    if line.battery_low is not None:
        said.append("battery low" if line.battery_low else "battery good")
    if line.place is not None:
        said.append(f"at {place_names.get(line.place, line.place)}")
    if line.air is not None:
        said.append(f"air {u.show_pressure(line.air)}")
    by = f" ({line.instrument or line.instrument_id})" if line.instrument or line.instrument_id else ""
    purpose = "" if line.purpose is Purpose.NOT_KNOWN else f", {line.purpose.words}"
    sensor = next((f", sensor {one}" for kind, one in line.about if kind == "sensor"), "")
    return f"{line.channel}{by}{purpose}: {', '.join(said) or 'seen'}{sensor}{_mistaken(line)}"


def _mistaken(line: Line) -> str:
    """'; noted by mistake (wrong unit), says Ada on 2026-11-26 10:00', where it is marked so."""
    if not line.mistaken or line.marked is None:
        return ""
    return f"; noted by mistake ({WORDS[Why(line.mistaken)]}), says {line.marked_by or 'nobody named'} on {line.marked.short()}"
