"""Ages of tyres, lives of sensors and torquing again have one home each: changed there, everybody says something else."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
import tomli_w

from books import NOON
from claiming import do_all
from garages import DAY, Table, demo_table, garage_of, plan_of
from spoken import words
from wheelside.fill.card import air_card
from wheelside.finding import Finding
from wheelside.fit.report import fit
from wheelside.fit.verdict import Line, Verdict
from wheelside.garage.change import next_change
from wheelside.garage.present import Present
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.book.files import take_in_text
from wheelside.jobs.work.agenda import Due, agenda
from wheelside.jobs.work.doing import begin, doing
from wheelside.rim import fasten
from wheelside.sensor import life
from wheelside.sheet.sheet import run_sheet
from wheelside.sheet.step import Does, RunSheet, Step
from wheelside.tyre import age

FIRST_USED = date(2020, 11, 1)
"""On the day of the sheet, 28 November 2026, these sensors are six years old."""


def table_of(date_code: str = "3519") -> Table:
    """The demo household with winter tyres of one week and winter sensors of one day."""
    table = demo_table()
    for tyre in table["tyre"]:
        if any(one.startswith("tyre W") for one in tyre.get("ids", [tyre.get("id")])):
            tyre["date_code"] = date_code
    for sensor in table["sensor"]:
        if "first_used" in sensor:
            sensor["first_used"] = FIRST_USED
    table["costs"] = {**table.get("costs", {}), "sensor": "900 EUR"}  # nobody changes one for its age alone
    return table


def sheet_of(table: Table) -> RunSheet:
    garage, plan = garage_of(table), plan_of(table)
    change = next_change(Present(garage, plan.day, plan.end), "estate", "winter")
    card = air_card(garage, garage.cars[change.car], garage.sets[change.coming], DAY)
    return run_sheet(garage, plan, card, change)


def found(table: Table, code: str) -> list[Finding]:
    return [f for f in sheet_of(table).findings if f.code == code]


def line(table: Table, code: str) -> Line:
    garage = garage_of(table)
    made = fit(garage, garage.cars["estate"], garage.sets["winter"], DAY, {})
    return next(one for one in made.lines if one.code == code)


def due(desk: Desk, table: Table, start: str) -> list[Due]:
    take_in_text(desk, tomli_w.dumps(table), "household.toml")
    return [one for one in agenda(desk) if words(one.title).startswith(start)]


def risk_of_failing(table: Table) -> int:
    """The greatest odds that a sensor fails, in millionths."""
    return max(r.ppm for r in plan_of(table).risks if r.name == "sensor_life")


def test_the_ceiling_of_tyres_is_one_figure(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    """Tyres of week 35 of 2019 are seven years and three months old."""
    table = table_of()
    assert [f.weight.value for f in found(table, "tyre-age")] == ["note"] * 4
    assert line(table, "age").verdict == Verdict.FITS
    before = due(desk, table, "Tyres of Winter set are 10 years old")[0]
    monkeypatch.setattr(age, "TOO_OLD_YEARS", 7.0)
    assert [f.weight.value for f in found(table, "tyre-age")] == ["take care"] * 4
    assert line(table, "age").verdict == Verdict.NOT
    after = due(desk, table, "Tyres of Winter set are 7 years old")[0]
    assert before.day - after.day in (timedelta(days=1095), timedelta(days=1096))
    said = (after.basis,), found(table, "tyre-age")[0].basis, line(table, "age").basis
    assert all(age.AGE in one for one in said)


def test_the_yearly_look_at_tyres_is_one_figure(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    """Tyres of week 35 of 2022 are four years old: nothing is said of them, until the look is from three years on."""
    table = table_of("3522")
    assert found(table, "tyre-age") == []
    assert line(table, "age").way_out is None
    assert due(desk, table, "Look over the tyres of Winter set, 5 years old")
    monkeypatch.setattr(age, "YEARLY_YEARS", 3.0)
    assert len(found(table, "tyre-age")) == 4
    assert line(table, "age").way_out
    monkeypatch.setattr(age, "YEARLY_YEARS", 7.0)
    assert due(desk, table, "Look over the tyres of Winter set, 7 years old")


def test_the_life_of_sensors_is_one_figure(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    """At six years nobody speaks of an end, and an eighth has failed; with a life of seven years everybody does."""
    table = table_of()
    assert found(table, "sensor-age") == []
    assert "near the end" not in words(line(table, "state").text)
    assert due(desk, table, "Sensors of Winter set are 7 years old")[0].day == date(2027, 11, 2)
    risk = risk_of_failing(table)
    monkeypatch.setattr(life, "LIFE_YEARS", 7.0)
    assert found(table, "sensor-age")
    assert "near the end" in words(line(table, "state").text)
    assert due(desk, table, "Sensors of Winter set are 5 years old")[0].day == date(2025, 11, 2)
    assert risk_of_failing(table) > risk
    said = (
        (due(desk, table, "Sensors of Winter")[0].basis,),
        found(table, "sensor-age")[0].basis,
        line(table, "state").basis,
        tuple(r.basis for r in plan_of(table).rates if r.name == "sensor_life"),
    )
    assert all(life.LIFE in one for one in said)


def test_the_owners_life_of_sensors_goes_before_it_for_everybody(desk: Desk) -> None:
    table = table_of()
    table["odds"] = {**table.get("odds", {}), "sensor_life": "7 years"}
    assert found(table, "sensor-age")
    assert "near the end" in words(line(table, "state").text)
    assert due(desk, table, "Sensors of Winter set are 5 years old")


def retorque_step(sheet: RunSheet) -> Step:
    return next(s for s in sheet.steps if s.does is Does.TORQUE_AGAIN)


def test_torquing_again_is_one_rule(household_desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    desk = household_desk
    job = begin(desk).job
    assert job is not None
    do_all(desk, job, skip=("retorque", "written-wrongly"))
    torqued = next(s.kept for s in doing(desk, job).states if s.step.does is Does.TORQUE)
    assert torqued is not None

    def to_torque() -> Due:
        return next(one for one in agenda(desk) if words(one.title).startswith("Torque the wheels"))

    assert to_torque().day == torqued.claim.at.day + timedelta(days=3)
    assert "50 to 100 km" in words(to_torque().text)
    assert "50 to 100 km" in retorque_step(sheet_of(table_of())).title
    monkeypatch.setattr(fasten, "RETORQUE_KM", (40, 80))
    monkeypatch.setattr(fasten, "RETORQUE_DAYS", 2)
    desk.forget_plans()
    assert to_torque().day == torqued.claim.at.day + timedelta(days=2)
    assert "40 to 80 km" in words(to_torque().text)
    assert "40 to 80 km" in retorque_step(sheet_of(table_of())).title
    assert to_torque().basis == fasten.RETORQUE == retorque_step(sheet_of(table_of())).basis
    assert NOON.day == DAY
