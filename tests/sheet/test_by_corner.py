"""Sheets go by what is on the car, corner by corner: on the day, late, for a set that the line does not have, and on no car."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from garages import demo_table, garage_of, seeded
from spoken import words
from wheelside.garage.model import Garage
from wheelside.identity.plan import identity_plan
from wheelside.jobs.work.asking import asking_for
from wheelside.jobs.work.sheet import make_sheet
from wheelside.jobs.work.sheet import sheet_for as from_file
from wheelside.sheet.step import Does, RunSheet

SOLD = Path(__file__).with_name("sold_with_copies.toml")


def sheet_of(garage: Garage, day: date, car: str | None = None, wheel_set: str | None = None) -> RunSheet:
    garage = asking_for(garage, day, car, wheel_set, now=wheel_set is not None)
    plan = identity_plan(garage, day, (), seeded())
    _, sheet, forbidden = make_sheet(garage, plan, car=car, wheel_set=wheel_set)
    assert sheet is not None, forbidden
    return sheet


def moves(sheet: RunSheet) -> list[tuple[str, str | None, str]]:
    return [(m.wheel, m.on, m.corner) for s in sheet.steps if s.does is Does.FIT for m in s.moves]


def test_the_day_before_on_the_day_and_a_week_late_it_is_the_same_change_with_the_same_wheels() -> None:
    garage = garage_of(demo_table())
    sheets = [sheet_of(garage, day) for day in (date(2026, 11, 27), date(2026, 11, 28), date(2026, 12, 5))]
    assert {(s.car, s.coming, s.going, s.stays_on) for s in sheets} == {("estate", "winter", "summer", False)}
    assert [s.due for s in sheets] == [None, date(2026, 11, 28), date(2026, 11, 28)]
    assert moves(sheets[0]) == moves(sheets[1]) == moves(sheets[2])
    assert [s.id for s in sheets[0].steps] == [s.id for s in sheets[1].steps] == [s.id for s in sheets[2].steps]
    fitted = [(w, c) for w, on, c in moves(sheets[1]) if on]
    assert fitted == [("W1", "front left"), ("W2", "front right"), ("W3", "rear left"), ("W4", "rear right")]
    off = [w for w, on, _ in moves(sheets[1]) if on is None]
    assert off == ["S1", "S2", "S3", "S4"]
    assert all(s.does is not Does.TAKE_OFF for s in sheets[1].steps), "W3 lies in the shed"


def test_the_set_that_is_taken_to_be_on_is_worked_on_where_it_is_once_somebody_says_so() -> None:
    table = demo_table()
    table["seen"] = [{"set": "winter", "on": "estate", "as_of": date(2026, 11, 28)}]
    sheet = sheet_of(garage_of(table), date(2026, 12, 5))
    assert sheet.stays_on
    assert [m.wheel for s in sheet.steps if s.does is Does.TAKE_OFF for m in s.moves] == ["W3", "W4"]
    assert [w for w, on, _ in moves(sheet) if on] == ["W3", "W4"]


def test_wheels_at_wrong_corners_come_off_first_and_go_where_they_belong() -> None:
    table = demo_table()
    at = {"W1": "front right", "W2": "front left", "W3": "rear left", "W4": "rear right"}
    table["seen"] = [
        {"wheel": w, "on": "estate", "corner": c, "as_of": date(2026, 12, 1), "how": "fitted"} for w, c in at.items()
    ]
    for sensor in table["sensor"]:
        if sensor["id"] in ("sensor W3", "sensor W4"):
            sensor |= {"family": "kestrel", "answers": True, "printed": f"18930{sensor['id'][-1]}6550"}
    sheet = sheet_of(garage_of(table), date(2026, 12, 5))
    off = [m.wheel for s in sheet.steps if s.does is Does.TAKE_OFF for m in s.moves]
    assert {"W1", "W2"} <= set(off)
    fitted = {w: c for w, on, c in moves(sheet) if on}
    assert (fitted["W1"], fitted["W2"]) == ("front left", "front right")


def test_a_set_that_the_line_never_puts_on_the_car_has_a_sheet_when_it_is_asked_for() -> None:
    table = demo_table()
    table["stay"] = [row for row in table["stay"] if row["set"] == "all-year"]
    table["seen"] = [{"set": "summer", "on": "estate", "as_of": date(2026, 11, 2)}]
    sheet = sheet_of(garage_of(table), date(2026, 11, 25), "estate", "winter")
    assert (sheet.coming, sheet.going, sheet.due) == ("winter", "summer", None)
    assert [w for w, on, _ in moves(sheet) if on is None] == ["S1", "S2", "S3", "S4"]
    store = next(s for s in sheet.steps if s.does is Does.STORE)
    assert [a.options for a in store.asks if a.id == "place"] == [("carport", "shed", "elsewhere")]


def test_a_set_that_is_on_another_car_is_refused_with_the_reason_and_a_way() -> None:
    table = demo_table()
    garage = asking_for(garage_of(table), date(2026, 11, 25), "runabout", "summer", now=True)
    plan = identity_plan(garage, date(2026, 11, 25), (), seeded())
    _, sheet, forbidden = make_sheet(garage, plan, car="runabout", wheel_set="summer")
    assert sheet is None
    (why,) = [f for f in forbidden if f.code == "on-another-car"]
    assert "Estate" in words(why.text)
    assert why.way_out


def test_two_cars_that_swap_their_sets_are_refused_with_that_reason() -> None:
    table = demo_table()
    table["stay"] = [
        {"set": "summer", "on": "estate", "since": date(2026, 4, 1), "until": date(2026, 11, 20)},
        {"set": "all-year", "on": "runabout", "since": date(2026, 4, 1), "until": date(2026, 11, 20)},
        {"set": "all-year", "on": "estate", "since": date(2026, 11, 20)},
        {"set": "summer", "on": "runabout", "since": date(2026, 11, 20)},
    ]
    garage = garage_of(table)
    plan = identity_plan(garage, date(2026, 11, 25), (), seeded())
    _, sheet, forbidden = make_sheet(garage, plan)
    assert sheet is None
    (why,) = [f for f in forbidden if f.code == "on-another-car"]
    assert "swap" in words(why.text)


@pytest.mark.parametrize("asked", [None, "winter"])
def test_work_before_a_sale_has_a_sheet_of_the_steps_there_are_where_the_wheels_stand(asked: str | None) -> None:
    made = from_file(SOLD, day=date(2026, 11, 25), wheel_set=asked, keep=False)
    sheet = made.sheet
    assert sheet is not None
    assert (sheet.car, sheet.coming, sheet.aim.level) == ("", "winter", "none")
    did = [s.does for s in sheet.steps if not s.optional]
    assert did.count(Does.WRITE) == did.count(Does.READ_BACK) == did.count(Does.INFLATE) == 4
    assert not {Does.FIT, Does.TAKE_OFF, Does.DRIVE, Does.TEACH_PORT, Does.TORQUE, Does.WAKE} & set(did)
    written = {w.wheel for w in made.planned.plan.wheels if w.writes}
    assert written == {"W1", "W2", "W3", "W4"}
    assert all("Garage" in s.where or "garage" in s.where for s in sheet.steps if s.does is Does.TRIGGER)
