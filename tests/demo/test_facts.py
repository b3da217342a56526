"""Each fact of the demo household matters: changing it changes the result that depends on it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from functools import cache
from typing import Any

import pytest

from garages import DAY, Table, demo_table, garage_of, seeded
from wheelside.earshot.report import earshot
from wheelside.errors import WheelsideError
from wheelside.fill.card import air_card
from wheelside.garage.change import next_change
from wheelside.garage.present import Present, line_now
from wheelside.garage.season import horizon_end
from wheelside.identity.plan import Reasons, identity_plan
from wheelside.jobs.jsonform import document
from wheelside.jobs.work.air import Wishes, with_wishes
from wheelside.sheet.sheet import run_sheet

Path = tuple[str | int, ...]
PARTS = ("plan", "card", "sheet", "earshot", "refused")

CHANGES: dict[str, Any] = {
    "title": "Another", "label": "Renamed", "note": "Something else", "height": "900 m", "distance": "60 m", "walls": ["steel"], "heard": "no",
    "bits": 24, "printed": "hex", "band": "315 MHz", "stands_at": "shed", "monitor": "indirect", "standard": "49 CFR 571.138", "family": "plover",
    "remembers_sets": 1, "when_full": "chosen", "spare_counted": True, "taught_by": "locked",
    "teach_order": ["rear left", "rear right", "front left", "front right"], "teach_wheel_limit": "3 min", "teach_total_limit": "6 min",
    "rest_before": "5 min", "drive_for": "25 min", "drive_above": "50 km/h", "dash_offset": "950 hPa", "warns_at": "1.9 bar", "load_index": 93,
    "speed_symbol": "T", "torque": "110 Nm", "tyre": "205/60 R16 95V", "front": "2.5 bar", "rear": "2.4 bar", "max_pressure": "2.5 bar",
    "date_code": "0514", "tread": "1.2 mm", "season": "summer", "sends": "0x11111111", "writing": "write once", "at_rest": "transmits",
    "first_used": date(2010, 1, 1), "pressure_bias": "0.2 bar", "pressure_spread": "0.2 bar", "tyres": "hot", "tyre_temperature": "25 °C",
    "tyre_temperature_spread": "6 °C", "temperature_of_use": "3 °C", "temperature_of_use_spread": "8 °C", "coldest": "-20 °C", "warmest": "22 °C",
    "next_check": "8 weeks", "hour": "40 EUR", "sensor": "80 EUR", "horizon_years": 1, "can": ["own"], "families": ["plover"], "kind": "trigger",
    "designation": "205/60 R16 88T", "pressure": "psi", "gauge": "nope", "load": "full", "set": "winter",
}  # fmt: skip
"""Another value for each key; flags are turned, days moved, and ids and references changed by rule."""


def leaves(value: Any, path: Path = ()) -> Iterator[Path]:
    """The paths of all facts: everything that is no table and no list of tables."""
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from leaves(inner, (*path, key))
    elif isinstance(value, list) and value and isinstance(value[0], dict):
        for n, inner in enumerate(value):
            yield from leaves(inner, (*path, n))
    else:
        yield path


OPAQUE = {("wheelside",), ("instrument", 1, "id")}
"""The format's version, and an id to which nothing refers: another one changes nothing by design."""
FACTS = [p for p in leaves(demo_table()) if p not in OPAQUE]


def at(table: Table, path: Path) -> Any:
    inner: Any = table
    for part in path:
        inner = inner[part]
    return inner


def results(table: Table) -> dict[str, str]:
    """What comes out of a table, part by part: the plan, the cards and the sheets of all three sets, and who hears whom."""
    try:
        garage = told = garage_of(table)
        plan = identity_plan(garage, DAY, (), seeded(), reasons=Reasons.ALL)
        cards, sheets = [], []
        for car, coming, load in (("estate", None, None), ("estate", "summer", "full"), ("runabout", None, None)):
            garage = with_wishes(told, Wishes(load=load))
            change = next_change(Present(garage, plan.day, plan.end), car, coming)
            card = air_card(garage, garage.cars[change.car], garage.sets[change.coming], DAY)
            cards.append(card)
            sheets.append(run_sheet(garage, plan, card, change) if plan.possible else None)
    except WheelsideError as error:
        return dict.fromkeys(PARTS, f"refused: {type(error).__name__}")
    return {
        "plan": document("plan", garage=garage.title, plan=plan),
        "card": document("air", cards=cards),
        "sheet": document("sheet", sheets=sheets),
        "earshot": document("earshot", earshot=earshot(garage, line_now(garage, DAY, horizon_end(garage, DAY)), DAY)),
        "refused": "",
    }


@cache
def baseline() -> dict[str, str]:
    return results(demo_table())


def another(key: str | int, value: Any) -> Any:
    """Another value for one fact."""
    if isinstance(value, bool):
        return not value
    if key in ("since", "until", "as_of"):
        return value + timedelta(days=3)
    if key in CHANGES and CHANGES[key] != value:
        return CHANGES[key]
    if isinstance(value, str) and value.isdigit():
        return f"{int(value) + 1:0{len(value)}d}"
    if isinstance(value, str):
        return f"{value} x"
    if isinstance(value, list):
        return [*value[1:], "x"]
    return value + 1


DEPENDS = {
    "torque": "sheet", "teach_order": "sheet", "teach_wheel_limit": "sheet", "teach_total_limit": "sheet", "abort_erases": "sheet",
    "rest_before": "sheet", "drive_for": "sheet", "drive_above": "sheet", "pressure_bias": "card", "pressure_spread": "card",
    "tyre_temperature": "card", "temperature_of_use": "card", "tyre_temperature_spread": "card", "temperature_of_use_spread": "card",
    "warmest": "card", "coldest": "card", "max_pressure": "card", "dash_offset": "card", "warns_at": "card", "standard": "card", "load": "card",
    "load_index": "card", "speed_symbol": "card", "front": "card", "rear": "card", "designation": "card", "height": "card", "next_check": "card",
    "writing": "plan", "answers": "sheet", "holds": "plan", "hour": "plan", "sensor": "plan",
    "horizon_years": "plan", "can": "plan", "families": "plan",
    "remembers_sets": "plan", "taught_by": "plan", "family": "plan", "printed": "plan", "sends": "plan", "tread": "sheet", "date_code": "sheet",
    "first_used": "sheet", "distance": "earshot", "walls": "earshot", "at_rest": "sheet", "title": "plan",
}  # fmt: skip
"""Where a key must show, beside wherever else it does."""


def changed_parts(path: Path, *, drop: bool) -> set[str]:
    table = demo_table()
    holder, key = at(table, path[:-1]), path[-1]
    if drop:
        del holder[key]
    else:
        holder[key] = another(key, holder[key])
    now = results(table)
    return {part for part in PARTS if now[part] != baseline()[part]}


ONLY_MISSED = {
    "spare_counted", "corner_aware", "answers", "family", "drive_above", "abort_erases", "at_rest", "as_of", "taught_by", "dash_shows",
}  # fmt: skip
"""Keys for some rows of which another value changes nothing here, while its absence is asked about."""


@pytest.mark.parametrize("path", FACTS, ids=lambda p: ".".join(map(str, p)))
def test_a_changed_fact_changes_the_result(path: Path) -> None:
    key = next(part for part in reversed(path) if isinstance(part, str))
    parts = changed_parts(path, drop=False)
    if not parts and key in ONLY_MISSED:
        parts = changed_parts(path, drop=True)
    assert parts, f"nothing depends on {path}"
    wanted = DEPENDS.get(key) if "from" not in path and path[0] != "costs" else None
    assert wanted is None or wanted in parts or "refused" in parts, f"{path} shows in {parts}, not in {wanted}"
