"""Small garages for tests: the demo household as a changeable table, and a bare one to build on."""

from __future__ import annotations

import copy
import random
import tomllib
from collections.abc import Callable
from datetime import date
from typing import Any

import tomli_w

from wheelside.demo import household
from wheelside.garage.file import read_garage
from wheelside.garage.model import Garage
from wheelside.identity.plan import IdentityPlan, Reasons, WheelPlan, identity_plan

Table = dict[str, Any]
DAY = date(2026, 11, 25)
NO_RISK = {"pair_meets": "0 %", "write_wrong": "0 %", "teach_fails": "0 %", "sensor_life": "100 years"}
CORNERS = ("front_left", "front_right", "rear_left", "rear_right")


def demo_table() -> Table:
    """The demo household as a table of its own for each caller."""
    return copy.deepcopy(tomllib.loads(household().decode()))


def garage_of(table: Table) -> Garage:
    """The garage that a table describes, by way of TOML."""
    return read_garage(tomli_w.dumps(table).encode(), "test.toml")


def seeded(seed: int = 1) -> Callable[[int], int]:
    """A source of random bits that gives the same ones each time."""
    return random.Random(seed).getrandbits


def plan_of(table: Table, day: date = DAY) -> IdentityPlan:
    """The plan of a table, with seeded fresh IDs and all choices not taken answered."""
    return identity_plan(garage_of(table), day, (), seeded(), reasons=Reasons.ALL)


def of_wheel(plan: IdentityPlan, wheel: str) -> WheelPlan:
    """One wheel's line of a plan."""
    return next(w for w in plan.wheels if w.wheel == wheel)


def codes_of(plan: IdentityPlan) -> set[str]:
    """The codes of a plan's findings."""
    return {f.code for f in plan.findings}


def row(table: Table, kind: str, row_id: str) -> Table:
    """One row of a table by its id."""
    found: Table = next(r for r in table[kind] if r.get("id") == row_id or row_id in r.get("ids", ()))
    return found


def add_set(table: Table, name: str, ids: list[str], **sensor: Any) -> None:
    """Adds a set of four wheels, `name`1 to `name`4, with sensors that print `ids`."""
    for n, printed in enumerate(ids, start=1):
        table.setdefault("tyre", []).append(
            {"id": f"t {name}{n}", "designation": "205/55 R16 91V", "max_pressure": "3.5 bar"}
        )
        table.setdefault("sensor", []).append({"id": f"s {name}{n}", "printed": printed, **sensor})
        joined = [{"tyre": f"t {name}{n}", "sensor": f"s {name}{n}"}]
        table.setdefault("wheel", []).append({"id": f"{name}{n}", "joined": joined})
    wheels = {corner: f"{name}{n}" for n, corner in enumerate(CORNERS, start=1)}
    table.setdefault("set", []).append({"id": name, "wheels": wheels})


def learning_table() -> Table:
    """The bare table with a car that learns while driving, so that nothing is gained by cloning."""
    table = bare_table()
    table["car"][0]["taught_by"] = "driving"
    return table


def swap_yearly(table: Table, car: str, first: str, second: str, away: str) -> None:
    """`first` is on the car until December 2026, then `second`; each is kept at `away` meanwhile; every year."""
    spring, autumn, next_spring = date(2026, 4, 1), date(2026, 12, 1), date(2027, 4, 1)
    table.setdefault("stay", []).extend(
        [
            {"set": first, "on": car, "since": spring, "until": autumn, "yearly": True},
            {"set": first, "at": away, "since": autumn, "until": next_spring, "yearly": True},
            {"set": second, "at": away, "since": spring, "until": autumn, "yearly": True},
            {"set": second, "on": car, "since": autumn, "until": next_spring, "yearly": True},
        ]
    )


def bare_table() -> Table:
    """One car that remembers one set and is taught step by step; sets A and B of one family change twice a year."""
    table: Table = {
        "wheelside": 1,
        "place": [{"id": "home", "height": "0 m"}, {"id": "away"}],
        "path": [{"between": ["home", "away"], "heard": "no"}],
        "family": [{"id": "f", "bits": 32, "band": "433.92 MHz", "printed": "hex"}],
        "car": [
            {
                "id": "car", "stands_at": "home", "monitor": "direct", "family": "f", "remembers_sets": 1,
                "spare_counted": False, "corner_aware": True, "taught_by": "step by step", "holds": [{"set": "A"}],
                "placard": [{"tyre": "205/55 R16 91V", "load": "normal", "front": "2.4 bar", "rear": "2.4 bar"}],
            }
        ],
        "writer": [{"id": "w", "can": ["given"]}],
    }  # fmt: skip
    common = {"family": "f", "answers": True, "at_rest": "transmits", "writing": "rewritable"}
    add_set(table, "A", ["A1000001", "A1000002", "A1000003", "A1000004"], **common)
    add_set(table, "B", ["B2000011", "B2000012", "B2000013", "B2000014"], **common)
    swap_yearly(table, "car", "A", "B", "away")
    return table
