"""A plan and its sheet reckon with the same minutes: what the sheet's acts add up to is what the plan has paid for."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

import wheelside.sheet as sheet_room
from garages import Table, bare_table, garage_of, plan_of, row
from wheelside.fill.card import air_card
from wheelside.garage.acts import CORNER_BACK, IN_WHEEL, MOVE_CORNER, ON_BENCH, SHOW_CORNER
from wheelside.garage.change import next_change
from wheelside.garage.present import Present
from wheelside.identity.choice import Action
from wheelside.identity.costs import DEFAULT_MINUTES
from wheelside.sheet.sheet import run_sheet
from wheelside.sheet.step_words import Does

WRITING = (Does.LET_DOWN, Does.WRITE, Does.READ_BACK, Does.INFLATE)


def mounted() -> Table:
    table = bare_table()
    for n in range(1, 5):
        one = row(table, "sensor", f"s B{n}")
        one.update(written=False)
        del one["printed"]
    return table


def on_the_bench() -> Table:
    table = bare_table()
    for n in range(1, 5):
        row(table, "sensor", f"s B{n}")["answers"] = False
    return table


@pytest.mark.parametrize(
    ("table", "minutes"), [(mounted(), IN_WHEEL), (on_the_bench(), ON_BENCH)], ids=["in its wheel", "on the bench"]
)
def test_the_acts_of_writing_one_sensor_add_up_to_what_the_plan_reckons(table: Table, minutes: int) -> None:
    garage, plan = garage_of(table), plan_of(table)
    change = next_change(Present(garage, plan.day, plan.end), "car", "B")
    card = air_card(garage, garage.cars["car"], garage.sets["B"], plan.day)
    sheet = run_sheet(garage, plan, card, change)
    for w in plan.wheels:
        if w.set == "B":
            steps = [s for s in sheet.steps if s.wheel == w.wheel and s.does in WRITING]
            assert sum(s.minutes for s in steps) == minutes == w.price.seconds / 60
            assert len(steps) == (2 if w.action is Action.REFIT else 4)


def test_the_defaults_are_those_acts() -> None:
    """The figures that docs/deciding.md states."""
    told = {"shop_trip": 60, "write": 4, "write_mounted": 12, "move": 20, "show_corner": 8, "fault": 60}
    assert told == DEFAULT_MINUTES
    assert DEFAULT_MINUTES["show_corner"] == SHOW_CORNER == MOVE_CORNER + CORNER_BACK


def test_no_step_has_its_minutes_as_a_number() -> None:
    """They stand in one table, so that a plan can reckon with any of them."""
    files = sorted(Path(sheet_room.__path__[0]).glob("*.py"))
    assert len(files) > 10
    assert not [f"{f.name}:{line}" for f in files for line in minutes_as_numbers(f.read_text(encoding="utf-8"))]


def test_minutes_as_a_number_are_found_in_whatever_way_they_are_told() -> None:
    told = "Step(minutes=8)\nStep(minutes=acts.FIT)\nStep(minutes=3 if mounted else acts.FIT)\nreplace(step, minutes=acts.FIT + 20)\n"
    assert list(minutes_as_numbers(told)) == [1, 3, 4]


def minutes_as_numbers(text: str) -> Iterator[int]:
    """The lines of a file on which minutes are handed on with a number in them."""
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.keyword) and node.arg == "minutes":
            inside = (n.value for n in ast.walk(node.value) if isinstance(n, ast.Constant))
            if any(isinstance(one, int | float) for one in inside):
                yield node.value.lineno
