"""The plan file: which fresh IDs are set aside for which wheel, and what the last plan decided.

JSON, beside the garage file. Reservations stay until they are released, and a released ID is not
given out again.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from wheelside.errors import BadFile, Problem
from wheelside.identity.reserve import Reservation
from wheelside.jobs.source import read_bytes, write_whole
from wheelside.sensor.ident import SensorId

if TYPE_CHECKING:  # the solver comes with it, which no air card needs
    from wheelside.identity.plan import IdentityPlan

PLAN_VERSION = 1
MOST_BYTES = 4_000_000


@dataclass(frozen=True, slots=True)
class PlanFile:
    """What a plan file holds, and the text it was read from ('' where there was none)."""

    reserved: tuple[Reservation, ...]
    text: str


def plan_path(garage_file: Path) -> Path:
    """Where the plan of a garage file lies: household.toml -> household.plan.json."""
    return garage_file.with_suffix(".plan.json")


def load(path: Path) -> PlanFile:
    """The plan file at a path; an empty one where there is none. Raises BadFile, Outside."""
    if not path.exists():
        return PlanFile((), "")
    data = read_bytes(path, "the plan file", MOST_BYTES)
    try:
        text = data.decode("utf-8")
        table = json.loads(text)
        version = table["wheelside_plan"]
        if not isinstance(version, int) or version > PLAN_VERSION:
            raise _bad(path, f"format {version!r}", f"format {PLAN_VERSION}", "use a newer Wheelside")
        return PlanFile(tuple(_reservation(row) for row in table["reserved"]), text)
    except BadFile:
        raise
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as error:
        found = "a file that is damaged, or not one of these"
        fix = "put back a copy that can be read; moving the file away means that other IDs are drawn than you may have written"
        raise _bad(path, found, "a plan file made by 'wheelside plan'", fix) from error


def _bad(path: Path, found: str, expected: str, fix: str) -> BadFile:
    return BadFile(str(path), (Problem(None, "plan file", found, expected, fix),))


def _reservation(row: dict[str, Any]) -> Reservation:
    number, bits = int(row["hex"], 16), int(row["bits"])
    return Reservation(
        wheel=str(row["wheel"]),
        id=SensorId(str(row["family"]), bits, number),
        distance=int(row["distance"]),
        since=date.fromisoformat(row["since"]),
        released=bool(row["released"]),
    )


def save(path: Path, plan: IdentityPlan, before: PlanFile) -> bool:
    """Writes the plan file where it has changed; whether it did. Raises Outside."""
    text = as_text(plan.reserved, plan)
    if text == before.text:
        return False
    write_whole(path, text, "the plan file")
    return True


def save_reserved(path: Path, reserved: tuple[Reservation, ...], before: PlanFile) -> None:
    """Writes the plan file with other reservations and the last plan as it was. Raises Outside."""
    old = json.loads(before.text) if before.text else {}
    table = {"wheelside_plan": PLAN_VERSION, "reserved": _rows(reserved), "wheels": old.get("wheels", [])}
    write_whole(path, json.dumps(table, indent=1) + "\n", "the plan file")


def as_text(reserved: tuple[Reservation, ...], plan: IdentityPlan) -> str:
    """The content of a plan file."""
    wheels = [
        {
            "wheel": w.wheel, "set": w.set, "corner": w.corner.value, "sensor": w.action.value, "id": w.choice.value,
            "hex": w.id.hex if w.id else None, "state": w.state.value, **({"when": w.when.isoformat()} if w.when else {}),
        }
        for w in plan.wheels
    ]  # fmt: skip
    table = {"wheelside_plan": PLAN_VERSION, "reserved": _rows(reserved), "wheels": wheels}
    return json.dumps(table, indent=1) + "\n"


def _rows(reserved: tuple[Reservation, ...]) -> list[dict[str, Any]]:
    return [
        {
            "wheel": r.wheel, "family": r.id.family, "bits": r.id.bits, "hex": r.id.hex,
            "distance": r.distance, "since": r.since.isoformat(), "released": r.released,
        }
        for r in reserved
    ]  # fmt: skip
