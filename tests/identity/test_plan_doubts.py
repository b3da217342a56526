"""What the plan asks for and points out beside its choices: what is not known, easily misread, or doubtful."""

from __future__ import annotations

import pytest

from garages import bare_table, learning_table, of_wheel, plan_of, row
from spoken import words
from wheelside.identity.choice import Action, IdChoice
from wheelside.identity.plan import IdentityPlan

KEEP = IdChoice.KEEP
STAYS, REFIT = Action.STAYS, Action.REFIT


def codes(plan: IdentityPlan) -> set[str]:
    return {f.code for f in plan.findings}


def test_what_is_not_known_is_asked_for() -> None:
    table = bare_table()
    table["car"][0] = {"id": "car", "monitor": "direct"}
    table["sensor"] = [{"id": s["id"]} for s in table["sensor"]]
    table["stay"] = [s for s in table["stay"] if "on" in s]
    found = codes(plan_of(table))
    assert {
        "holds",
        "slots",
        "taught-by",
        "corner-aware",
        "family",
        "stands-at",
        "unread-id",
        "sensor-family",
        "not-triggered",
        "whereabouts",
    } <= found


def test_an_unknown_monitor_is_asked_for_and_an_indirect_one_needs_no_ids() -> None:
    table = bare_table()
    del table["car"][0]["monitor"]
    assert "monitor" in codes(plan_of(table))
    table["car"][0] = {"id": "car", "monitor": "indirect"}
    for wheel in table["wheel"]:
        del wheel["joined"][0]["sensor"]
    table["sensor"] = []
    plan = plan_of(table)
    assert plan.possible
    assert plan.wheels == ()


def test_an_id_easily_misread_is_pointed_out() -> None:
    table = bare_table()
    row(table, "sensor", "s B1")["printed"] = "010000A1"
    assert any("the reversed form of" in words(f.text) for f in plan_of(table).findings if f.code == "near-id")


@pytest.mark.parametrize(
    ("printed", "code"), [("00000000", "empty-id"), ("FFFFFFFF", "empty-id"), ("B3000011", "prefix")]
)
def test_an_id_that_no_sensor_comes_with_is_doubted(printed: str, code: str) -> None:
    table = learning_table()
    table["family"][0]["prefix"] = "B2"
    for sensor in table["sensor"]:
        sensor["printed"] = "B2" + sensor["printed"][2:6] + sensor["printed"][0] + sensor["printed"][7]
    row(table, "sensor", "s B1")["printed"] = printed
    assert [words(f.about) for f in plan_of(table).findings if f.code in ("empty-id", "prefix")] == ["wheel B1"]
    assert code in codes(plan_of(table))


def test_a_wheel_of_which_nothing_is_known_is_asked_about_not_replaced() -> None:
    table = learning_table()
    row(table, "wheel", "B1").pop("joined")
    plan = plan_of(table)
    assert (of_wheel(plan, "B1").action, of_wheel(plan, "B1").choice) == (STAYS, KEEP)
    assert "unknown-wheel" in codes(plan)
    row(table, "wheel", "B1")["joined"] = [{}]
    assert of_wheel(plan_of(table), "B1").action is REFIT


def test_serial_numbers_within_a_set_are_no_misreadings() -> None:
    assert "near-id" not in codes(plan_of(learning_table()))
    table = learning_table()
    row(table, "sensor", "s B1")["printed"] = "A1000009"
    found = [f for f in plan_of(table).findings if f.code == "near-id"]
    assert len(found) == 4
    row(table, "sensor", "s B1")["sends"] = "0xA1000009"
    for n in range(1, 5):
        row(table, "sensor", f"s A{n}")["sends"] = f"0xA100000{n}"
    assert "near-id" not in codes(plan_of(table))


def test_what_is_not_known_is_not_said_to_be_known() -> None:
    table = learning_table()
    del row(table, "sensor", "s B1")["printed"]
    assert "not known" in words(of_wheel(plan_of(table), "B1").why)
    del table["car"][0]["holds"]
    teach = plan_of(table).teachings[0]
    assert "not known" in words(teach.why)
    assert teach.basis.ground.value == "unknown"


def test_a_retired_id_in_use_is_pointed_out() -> None:
    table = learning_table()
    table["retired"] = [{"id": "0xB2000011", "family": "f"}]
    assert [words(f.about) for f in plan_of(table).findings if f.code == "retired-id"] == ["wheel B1"]


def test_sensors_of_a_household_without_wheel_sensor_cars_are_not_asked_about() -> None:
    table = bare_table()
    table["car"][0] = {"id": "car", "monitor": "indirect"}
    del table["sensor"][0]["answers"]
    assert not codes(plan_of(table)) & {"not-triggered", "unread-id"}
