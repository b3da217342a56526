"""Bringing the coming set and carrying away the one that came off, so that one person with one car can do it in the sheet's order."""

from __future__ import annotations

from datetime import date

import pytest

from garages import DAY, Table, bare_table, garage_of, plan_of
from spoken import lines, words
from wheelside.fill.card import air_card
from wheelside.garage import acts
from wheelside.garage.change import next_change
from wheelside.garage.present import Present
from wheelside.sheet.cautions import Caution
from wheelside.sheet.sheet import run_sheet
from wheelside.sheet.step import Does, RunSheet, Step


def sheet_of(table: Table) -> RunSheet:
    garage, plan = garage_of(table), plan_of(table)
    change = next_change(Present(garage, plan.day, plan.end), "car", "B")
    return run_sheet(garage, plan, air_card(garage, garage.cars["car"], garage.sets["B"], DAY), change)


def only(sheet: RunSheet, does: Does) -> Step:
    (found,) = [s for s in sheet.steps if s.does is does]
    return found


def order(sheet: RunSheet) -> list[Does]:
    return list(dict.fromkeys(s.does for s in sheet.steps))


def far(distance: str | None = "3000 m") -> Table:
    """The sets are kept at 'away'; so far from home, where the car stands."""
    table = bare_table()
    table["car"][0]["torque"] = "120 Nm"
    table["writer"] = []
    table["conditions"] = {"tyre_temperature": "20 °C", "temperature_of_use": "5 °C"}
    if distance:
        table["path"][0] |= {"distance": distance, "walls": ["earth", "steel", "steel", "earth"]}
    return table


def cloned(distance: str | None = "3000 m") -> Table:
    """The same, and B carries the IDs of A, for teaching is dear."""
    table = far(distance)
    table["car"][0]["taught_by"] = "locked"
    table["writer"] = [{"id": "w", "can": ["given"]}]
    return table


def now_lies(table: Table, place: str | None) -> None:
    """Set B lies at a place on the day of the sheet; nobody says where for None."""
    table["stay"] = [s for s in table["stay"] if s["set"] != "B" or "on" in s]
    if place:
        table["stay"].append({"set": "B", "at": place, "since": date(2026, 4, 1), "until": date(2026, 12, 1)})


def learning(table: Table) -> Table:
    """The car takes what it hears on its drive, and so must not hear what came off."""
    table["car"][0]["taught_by"] = "driving"
    return table


ORDER = (
    Does.FETCH,
    Does.BRING,
    Does.FIT,
    Does.TORQUE,
    Does.SET_PRESSURE,
    Does.CARRY_AWAY,
    Does.STORE,
    Does.WAKE,
    Does.DRIVE,
)


@pytest.mark.parametrize(
    "table",
    [learning(far()), cloned(), learning(far("30 m")), cloned(None)],
    ids=["far", "clones", "near", "not noted"],
)
def test_wheels_are_gauged_changed_fastened_and_set_before_the_others_are_driven_away(table: Table) -> None:
    """Nobody drives on a wheel that is not gauged and fastened, and nothing is learnt beside what came off."""
    sheet = sheet_of(table)
    done = [d for d in order(sheet) if d in ORDER]
    brought = () if table["path"][0].get("distance") == "30 m" else (Does.BRING,)
    assert done == [d for d in ORDER if d is not Does.BRING or brought]
    gauged = {s.id for s in sheet.steps if s.does is Does.SET_PRESSURE}
    assert len(gauged) == 4
    assert {*gauged, "torque"} <= set(only(sheet, Does.CARRY_AWAY).waits_for)


@pytest.mark.parametrize(("distance", "before_the_drive"), [("30 m", True), ("3000 m", False)])
def test_where_the_trigger_names_the_wheel_what_came_off_is_put_away_on_foot_or_after_the_drive(
    distance: str, before_the_drive: bool
) -> None:
    done = order(sheet_of(far(distance)))
    assert Does.CARRY_AWAY not in done
    assert (done.index(Does.STORE) < done.index(Does.TEACH_BEGIN)) is before_the_drive
    assert (done.index(Does.STORE) < done.index(Does.DRIVE)) is before_the_drive
    assert done.index(Does.TEACH_BEGIN) < done.index(Does.SET_PRESSURE) < done.index(Does.DRIVE)


def test_no_wheel_goes_on_a_car_before_it_was_gauged_as_it_lay() -> None:
    sheet = sheet_of(far())
    for step in sheet.steps:
        if step.does is Does.FIT:
            assert f"fetch-{step.wheel.lower()}" in step.waits_for
    assert {f"fetch-b{n}" for n in range(1, 5)} <= set(only(sheet, Does.BRING).waits_for)


def test_nothing_is_taught_looked_at_or_proven_beside_wheels_with_the_same_ids() -> None:
    for table, locked in ((cloned(), True), (learning(far()), False)):
        assert only(sheet_of(table), Does.CARRY_AWAY).lock is locked


def test_a_sensor_is_written_before_its_wheel_is_brought_within_earshot() -> None:
    done = order(sheet_of(cloned()))
    assert done.index(Does.WRITE) < done.index(Does.INFLATE) < done.index(Does.BRING)


@pytest.mark.parametrize(("distance", "drives"), [("3000 m", True), ("101 m", True), ("100 m", False), (None, True)])
def test_one_drives_where_it_is_too_far_to_carry(distance: str | None, drives: bool) -> None:
    sheet = sheet_of(learning(far(distance)))
    away = only(sheet, Does.CARRY_AWAY)
    bring = next((s for s in sheet.steps if s.does is Does.BRING), None)
    assert (bring is not None) is drives
    carried = [s for s in sheet.steps if s.does is Does.FIT and "Carry or roll" in lines(s)[0]]
    assert len(carried) == (0 if drives else 4)
    for step in (away, *((bring,) if bring else ())):
        assert ("rive car to away" in " ".join(lines(step))) is drives
        assert step.minutes == (acts.MOVE_SET if drives else acts.CARRY)
        assert step.cautions == ((Caution.LOAD, Caution.LAMP) if drives else (Caution.CARRY,))
        assert ("it proves nothing" in " ".join(lines(step))) is drives


def test_a_place_that_the_car_hears_is_no_place_for_wheels_before_it_is_proven() -> None:
    table = learning(far(None))
    table["path"][0]["heard"] = "yes"
    away = only(sheet_of(table), Does.CARRY_AWAY)
    assert "well away from car, further than away" in lines(away)[0]
    assert {m.at for m in away.moves} == {None}
    done = order(sheet_of(table))
    assert done.index(Does.DRIVE) < done.index(Does.STORE)


def test_wheels_beside_the_car_need_no_bringing() -> None:
    table = far()
    now_lies(table, "home")
    sheet = sheet_of(table)
    assert Does.BRING not in order(sheet)
    assert not any(
        "not noted" in line or "Carry" in line for s in sheet.steps if s.does is Does.FIT for line in lines(s)
    )


def test_wheels_of_which_nobody_says_where_they_lie_are_asked_for_when_they_are_fitted() -> None:
    table = learning(far())
    now_lies(table, None)
    table["stay"] = [s for s in table["stay"] if "at" not in s]
    sheet = sheet_of(table)
    assert Does.BRING not in order(sheet)
    for step in (s for s in sheet.steps if s.does is Does.FIT):
        assert f"have {step.wheel} beside the car first" in lines(step)[0]
    away = lines(only(sheet, Does.CARRY_AWAY))
    assert "where it will be kept, out of earshot of car" in away[0]
    assert "proves nothing" in away[1]


def test_wheels_can_be_changed_where_they_lie() -> None:
    bring = only(sheet_of(cloned()), Does.BRING)
    assert "change the wheels there, and leave there what comes off" in lines(bring)[-1]


def test_what_is_brought_is_a_fact_but_where_the_next_plan_would_part_it_by_new_ids() -> None:
    assert {(m.wheel, m.at) for m in only(sheet_of(far()), Does.BRING).moves} == {
        (f"B{n}", "home") for n in range(1, 5)
    }
    bring = only(sheet_of(cloned()), Does.BRING)
    assert bring.moves == ()
    assert "already need no bringing" in lines(bring)[0]


def half_done(table: Table) -> Table:
    """B1 was fitted in a job that was given up; B2 lies beside the car, B3 and B4 are where they are kept."""
    now = {"as_of": DAY, "how": "fitted"}
    table["stay"] = [s for s in table["stay"] if s["set"] != "B" or "at" in s]
    table["stay"] = [
        {"set": "A", "on": "car", "since": date(2026, 4, 1), "until": DAY, "yearly": True},
        {"set": "B", "on": "car", "since": DAY, "until": date(2027, 4, 1), "yearly": True},
        {"set": "A", "at": "away", "since": DAY, "until": date(2027, 4, 1), "yearly": True},
        {"set": "B", "at": "away", "since": date(2026, 4, 1), "until": DAY, "yearly": True},
    ]
    table["seen"] = [
        {"wheel": "B1", "on": "car", "corner": "front left", **now},
        {"wheel": "A1", **now},
        {"wheel": "B2", "at": "home", **now},
    ]
    return table


def test_a_job_that_goes_on_brings_the_rest_and_drives_on_nothing_loose() -> None:
    bring = only(sheet_of(half_done(far())), Does.BRING)
    assert bring.title == "Bring B3, B4 to car"
    first, then = lines(bring)[:2]
    assert first.startswith("Before the car rolls: torque B1 to 120 Nm")
    assert "load B3, B4, drive back to home" in then


def test_wheels_are_brought_before_the_car_stands_on_stands() -> None:
    table = half_done(far())
    for n in (1, 3):
        sensor = next(s for s in table["sensor"] if s["id"] == f"s B{n}")
        sensor["answers"] = False
    sheet = sheet_of(table)
    done = order(sheet)
    assert done.index(Does.BRING) < done.index(Does.TAKE_OFF)


def test_tyres_that_were_driven_on_are_cold_before_the_car_keeps_them() -> None:
    for distance, when in (("3000 m", "The"), ("30 m", "If the")):
        table = learning(far(distance))
        table["car"][0]["stores_reference"] = True
        said = lines(only(sheet_of(table), Does.STORE_REFERENCE))[0]
        assert said == f"{when} tyres were driven on since they were set: let the car stand three hours first."


def test_the_pair_may_be_where_the_car_stands_while_wheels_are_changed() -> None:
    table = cloned()
    table["place"].append({"id": "attic"})
    (found,) = (f for f in plan_of(table).findings if f.code == "clone-pair")
    assert "keep the other at away, and at home only while wheels are changed and never at attic" in words(
        found.way_out
    )
    assert "except while wheels are changed" in words(found.text)
