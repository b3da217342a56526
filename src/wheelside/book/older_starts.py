"""Starts of jobs of before they carried quantities: bare figures and digits, as the quantities and IDs that they stood for.

This is a record of what was, so the names of then stay as they are, whatever the program keeps later.
"""

from __future__ import annotations

import json
from typing import Any

Json = dict[str, Any]


def start_in_quantities(body: str) -> str:
    """What a job began with, as JSON text; one that has quantities already stays as it is."""
    start: Json = json.loads(body)
    start["wheels"] = [_wheel(one) for one in start["wheels"]]
    for step in start["sheet"]["steps"]:
        step["asks"] = [_ask(one, step["does"]) for one in step.get("asks", ())]
    return json.dumps(start, ensure_ascii=False)


def _wheel(wheel: Json) -> Json:
    if "hex" not in wheel:
        return wheel
    rest = {k: v for k, v in wheel.items() if k not in ("hex", "bits", "family")}
    return {**rest, "id": _id(wheel["hex"], wheel.get("bits", 0), wheel.get("family", ""))}


def _id(digits: str, bits: int, family: str = "") -> Json | None:
    return {"family": family, "bits": bits or 4 * len(digits), "number": int(digits, 16)} if digits else None


def _ask(ask: Json, does: str) -> Json:
    of_outside = ask["kind"] == "temperature" and does == "pressures-before"
    ask = {**ask, "tells": "outside temperature"} if of_outside else ask
    if "kpa" not in ask:
        return ask
    named = ("kpa", "within_kpa", "kelvin", "by_temperature", "least_by_temperature")
    found = {
        **{k: v for k, v in ask.items() if k not in named},
        "pressure": _quantity("kpa", ask.get("kpa")),
        "within": _quantity("kpa", ask.get("within_kpa")),
        "temperature": _quantity("kelvin", ask.get("kelvin")),
        "by_temperature": _curve(ask.get("by_temperature", ())),
        "least_by_temperature": _curve(ask.get("least_by_temperature", ())),
    }
    if ask["kind"] != "id":
        return found
    return {**found, "expect": "", "bits": 0, "wanted": _id(ask.get("expect", ""), ask.get("bits", 0))}


def _quantity(unit: str, figure: float | None) -> Json | None:
    return None if figure is None else {unit: figure}


def _curve(rows: list[list[float]]) -> list[list[Json]]:
    return [[{"kelvin": kelvin}, {"kpa": kpa}] for kelvin, kpa in rows]
