"""One part of the work, for the set that is on the car: no wheel is lifted, and nothing is asked that is not of it."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from garages import demo_table, garage_of, seeded
from spoken import words
from wheelside.errors import BadRequest
from wheelside.garage.model import Garage
from wheelside.identity.plan import identity_plan
from wheelside.jobs.work.sheet import make_sheet
from wheelside.sheet.extent import Extent
from wheelside.sheet.ladder import NONE, Reason
from wheelside.sheet.step import Does, RunSheet
from wheelside.sheet.title import called, said_title

DAY = date(2026, 11, 28)
LIFTS = {Does.FIT, Does.TAKE_OFF, Does.CHANGE_SENSORS, Does.STOW_SPARE, Does.WRITE, Does.STORE, Does.CARRY_AWAY}
"""What lifts a wheel, opens a tyre or writes a sensor."""


def sheet_of(garage: Garage, extent: Extent, car: str | None = None, wheel_set: str | None = None) -> RunSheet:
    plan = identity_plan(garage, DAY, (), seeded())
    _, sheet, forbidden = make_sheet(garage, plan, car=car, wheel_set=wheel_set, extent=extent)
    assert sheet is not None, forbidden
    return sheet


def summer_on(**car: Any) -> Garage:
    """The estate on its summer wheels, whose sensors are not to be written; `car`: what is so of it besides."""
    table = demo_table()
    if car.get("monitor", "direct") != "direct":
        car = dict.fromkeys(("holds", "dash_shows", "corner_aware", "taught_by", "slots", "when_full")) | car
    table["car"][0] = {k: v for k, v in (table["car"][0] | car).items() if v is not None}
    table["seen"] = [{"set": "summer", "on": "estate", "as_of": DAY}]
    return garage_of(table)


def does(sheet: RunSheet) -> list[Does]:
    return list(dict.fromkeys(s.does for s in sheet.steps))


def test_pressures_only_is_a_figure_for_each_wheel_and_nothing_else() -> None:
    sheet = sheet_of(summer_on(), Extent.PRESSURES, car="estate")
    assert does(sheet) == [Does.GAUGE, Does.SET_PRESSURE]
    assert [s.wheel for s in sheet.steps if s.does is Does.SET_PRESSURE] == ["S1", "S2", "S4", "S3"]
    assert (sheet.aim.level, sheet.aim.reasons) == (NONE, (Reason.PRESSURES_ONLY,))
    assert words(sheet.aim.leaves_open) == "everything about the lamp"


def test_a_car_that_keeps_the_pressures_is_told_them_after_they_are_set() -> None:
    sheet = sheet_of(summer_on(stores_reference=True), Extent.PRESSURES, car="estate")
    assert does(sheet) == [Does.GAUGE, Does.SET_PRESSURE, Does.STORE_REFERENCE]
    waits = sheet.steps[-1].waits_for
    assert set(waits) == {s.id for s in sheet.steps if s.does is Does.SET_PRESSURE}


def test_teaching_only_teaches_what_the_car_does_not_hold() -> None:
    sheet = sheet_of(summer_on(holds=[]), Extent.TEACH, car="estate")
    assert {Does.WAKE, Does.RECORD} < set(does(sheet))
    assert {Does.TEACH_BEGIN, Does.TEACH_PORT} & set(does(sheet))
    assert not {*LIFTS, Does.TORQUE, Does.DRIVE, Does.SET_PRESSURE} & set(does(sheet))
    assert sheet.aim.reasons == (Reason.TEACH_ONLY,)
    wake = next(s for s in sheet.steps if s.does is Does.WAKE)
    assert "pressure" not in words(wake.expect), "nobody set one today"
    assert all(f.code != "other-work" for f in sheet.findings)


def test_a_proof_only_drives_looks_and_holds_the_ids_against_the_plan() -> None:
    sheet = sheet_of(summer_on(), Extent.PROVE, car="estate")
    assert {Does.LOOK, Does.GAUGE, Does.DRIVE, Does.START_AGAIN, Does.COMPARE_IDS} < set(does(sheet))
    assert not {*LIFTS, Does.TORQUE, Does.RECORD, Does.TEACH_BEGIN, Does.TEACH_PORT, Does.SET_PRESSURE} & set(
        does(sheet)
    )
    assert sheet.aim.level != NONE


def test_a_car_that_learns_by_the_drive_is_taught_by_a_proof_and_that_is_recorded() -> None:
    sheet = sheet_of(summer_on(holds=[], taught_by="driving"), Extent.PROVE, car="estate")
    assert {Does.DRIVE, Does.RECORD} < set(does(sheet))


def test_a_proof_of_a_car_that_goes_by_wheel_speed_sets_and_stores_the_pressures_before_the_drive() -> None:
    """Its E2 asks for the reference, stored after all four were gauged cold."""
    sheet = sheet_of(summer_on(monitor="indirect"), Extent.PROVE, car="estate")
    order = does(sheet)
    assert order.index(Does.SET_PRESSURE) < order.index(Does.STORE_REFERENCE) < order.index(Does.DRIVE)


@pytest.mark.parametrize("extent", [Extent.PRESSURES, Extent.TEACH, Extent.PROVE])
def test_its_name_says_which_part_it_is(extent: Extent) -> None:
    garage = summer_on(**({"holds": []} if extent is Extent.TEACH else {}))
    name = words(said_title(called(garage, sheet_of(garage, extent, car="estate"))))
    assert name.split()[0] in ("Pressures", "Teach", "Proof")
    assert "stays on" not in name


@pytest.mark.parametrize(
    ("extent", "car", "says"),
    [
        (Extent.TEACH, {}, "knows the IDs of"),
        (Extent.TEACH, {"monitor": None}, "How .* watches its tyres is not known"),
        (Extent.PROVE, {"monitor": "none"}, "does not watch its tyres"),
        (Extent.PROVE, {"holds": []}, "has to be taught .* first"),
    ],
)
def test_where_there_is_nothing_to_do_in_it_the_answer_is_what_to_do_first(
    extent: Extent, car: dict[str, Any], says: str
) -> None:
    with pytest.raises(BadRequest, match=says):
        sheet_of(summer_on(**car), extent, car="estate")


@pytest.mark.parametrize("extent", [Extent.TEACH, Extent.PROVE])
def test_sensors_that_are_to_be_written_first_are_the_whole_jobs_work(extent: Extent) -> None:
    table = demo_table()
    table["seen"] = [{"set": "winter", "on": "estate", "as_of": DAY}]
    with pytest.raises(BadRequest, match="changed or written first"):
        sheet_of(garage_of(table), extent, car="estate")


def test_pressures_are_set_even_where_sensors_are_to_be_written() -> None:
    table = demo_table()
    table["seen"] = [{"set": "winter", "on": "estate", "as_of": DAY}]
    sheet = sheet_of(garage_of(table), Extent.PRESSURES, car="estate")
    assert [s.wheel for s in sheet.steps if s.does is Does.SET_PRESSURE] == ["W1", "W2", "W4", "W3"]


def test_a_set_that_is_not_on_a_car_has_no_such_extent() -> None:
    with pytest.raises(BadRequest, match="No such set is known to be on a car"):
        sheet_of(summer_on(), Extent.PRESSURES, wheel_set="winter")


def test_with_two_cars_it_asks_which() -> None:
    garage = summer_on()
    if len(garage.car) < 2:
        pytest.fail("the demo's household has two cars")
    with pytest.raises(BadRequest, match="Which car"):
        sheet_of(garage, Extent.PRESSURES)


def test_wheels_of_a_job_that_was_left_are_torqued_before_a_proofs_drive() -> None:
    table = demo_table()
    table["seen"] = [{"set": "summer", "on": "estate", "as_of": DAY, "how": "fitted"}]
    sheet = sheet_of(garage_of(table), Extent.PROVE, car="estate")
    torque = next(s.id for s in sheet.steps if s.does is Does.TORQUE)
    assert torque in next(s for s in sheet.steps if s.does is Does.DRIVE).waits_for
