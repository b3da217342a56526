"""IDs at the gate stand as the family prints them."""

from __future__ import annotations

import pytest

from garages import DAY, Table, bare_table, garage_of, row
from spoken import words
from wheelside.identity.gate import gate_check
from wheelside.screens.gate import gate_screen
from wheelside.screens.screen import ShownTable


def shown(table: Table, *ids: str) -> list[list[str]]:
    garage = garage_of(table)
    screen = gate_screen(garage, gate_check(garage, "A", ids, DAY))
    blocks = (block for part in screen.parts[:1] for block in part.blocks if isinstance(block, ShownTable))
    return [[words(cell) for cell in one.cells] for block in blocks for one in block.rows]


def decimal() -> Table:
    """The summer set's sensors are printed in decimal: 2C41A7F3 is 0742500339."""
    table = bare_table()
    table["family"][0]["printed"] = "decimal"
    for name, text in (("s A1", "0742500339"), ("s A2", "0742500417"), ("s A3", "742498790"), ("s A4", "0742501162")):
        row(table, "sensor", name)["printed"] = text
    for n in range(1, 5):
        row(table, "sensor", f"s B{n}")["printed"] = f"074250200{n}"
    return table


@pytest.mark.pinned
def test_a_family_that_prints_decimal_is_expected_in_decimal_with_its_hex_beside() -> None:
    assert [cells[2] for cells in shown(decimal())] == [
        "0742500339 (hex 2C41A7F3)",
        "0742500417 (hex 2C41A841)",
        "0742498790 (hex 2C41A1E6)",
        "0742501162 (hex 2C41AB2A)",
    ]


def test_a_family_that_prints_hex_is_expected_in_hex_alone() -> None:
    assert [cells[2] for cells in shown(bare_table())] == ["A1000001", "A1000002", "A1000003", "A1000004"]
    del (table := bare_table())["family"][0]["printed"]
    assert shown(table)[0][2] == "A1000001"


@pytest.mark.parametrize("read", ["2C41A7F3", "0x2c41a7f3", "0742500339", "742500339"])
def test_an_answer_stands_as_the_wheel_is_marked_however_it_was_typed(read: str) -> None:
    assert shown(decimal(), read)[0][0] == "0742500339 (hex 2C41A7F3)"


def test_one_of_another_set_and_one_read_twice_too_but_a_stranger_shortened() -> None:
    got = [cells[:2] for cells in shown(decimal(), "2C41A7F3", "2C41A7F3", "0742502001", "C7654321")]
    assert got[1] == ["0742500339 (hex 2C41A7F3)", "a second time (A)"]
    assert got[2][0] == "0742502001 (hex 2C41AE71)"
    assert got[3] == ["…321", "not written down anywhere"]
