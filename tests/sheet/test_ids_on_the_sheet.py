"""Which IDs a run sheet speaks of: a wheel's own old one in words of its own, and never one that stands for no sensor."""

from __future__ import annotations

import re
from random import Random

from garages import DAY, Table, bare_table, garage_of, plan_of, row
from spoken import lines
from wheelside.cli.sheet_markdown import sheet_markdown
from wheelside.fill.card import air_card
from wheelside.garage.change import next_change
from wheelside.garage.present import Present
from wheelside.sheet.ask import Asked
from wheelside.sheet.sheet import run_sheet
from wheelside.sheet.step import RunSheet

EMPTIES = ("00000000", "FFFFFFFF", "0x00000000", "4294967295")


def with_figures(table: Table) -> Table:
    table["car"][0] |= {"torque": "120 Nm"}
    table["conditions"] = {"tyre_temperature": "20 °C", "temperature_of_use": "5 °C"}
    return table


def sheet_of(table: Table) -> tuple[RunSheet, str]:
    garage, plan = garage_of(table), plan_of(table)
    change = next_change(Present(garage, plan.day, plan.end), None, None)
    card = air_card(garage, garage.cars[change.car], garage.sets[change.coming], DAY)
    sheet = run_sheet(garage, plan, card, change)
    return sheet, sheet_markdown(garage, sheet)


def test_a_new_sensor_gets_the_id_of_its_own_old_one() -> None:
    table = with_figures(bare_table())
    table["car"][0] |= {"taught_by": "locked", "holds": [{"set": "B"}]}
    for n in range(1, 5):
        row(table, "sensor", f"s B{n}")["answers"] = False
    sheet, text = sheet_of(table)
    written = [line for step in sheet.steps if step.id.startswith("write-") for line in lines(step)]
    assert (
        "With w, give it the ID of its own old sensor, which the car knows: B200 0011 (decimal 2 986 344 465)."
        in written
    )
    assert "clone of" not in text
    assert "cloned from" not in text
    assert "new sensors carry old IDs on" in text
    assert any("for the old sensor is still in its wheel" in step.where for step in sheet.steps)


def test_a_copying_writer_reads_the_wheels_own_old_sensor() -> None:
    table = with_figures(bare_table())
    table["car"][0] |= {"taught_by": "locked", "holds": [{"set": "B"}], "band": "433.92 MHz"}
    table["writer"][0]["can"] = ["copy"]
    row(table, "sensor", "s B1")["band"] = "315 MHz"
    table["family"][0].pop("band")
    text = sheet_of(table)[1]
    assert "(its own old one), at its own wheel" in text
    assert "cloned from" not in text


def test_no_step_asks_for_writes_or_expects_what_stands_for_no_sensor() -> None:
    """Sensors and the list's slots are put in as zeros or ones at random; the sheet is written, and has none of them as an ID."""
    random, asked = Random(7), 0
    none = re.compile(r"\b(?:0000 0000|FFFF FFFF|0 000 000 000|4 294 967 295|0x0{8}|0xF{8})\b")
    for _ in range(40):
        table = with_figures(bare_table())
        table["car"][0]["taught_by"] = random.choice(("locked", "port", "step by step", "driving"))
        held = [f"A100000{n}" if random.random() < 0.6 else random.choice(EMPTIES) for n in range(1, 5)]
        corners = ("front_left", "front_right", "rear_left", "rear_right")
        table["car"][0]["holds"] = [{"corners": dict(zip(corners, held, strict=True))}]
        for sensor in table["sensor"]:
            if random.random() < 0.3:
                sensor[random.choice(("printed", "sends"))] = random.choice(EMPTIES[:3])
        sheet, _ = sheet_of(table)
        for step in sheet.steps:
            assert not none.search(" ".join((step.title, *lines(step), step.expect, step.if_fails))), step
        asks = [a for step in sheet.steps for a in step.asks if a.kind is Asked.ID]
        assert all(a.wanted is None or len(set(a.wanted.hex)) > 1 for a in asks)
        asked += sum(a.wanted is None for a in asks)
    assert asked > 20
