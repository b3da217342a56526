"""The run sheet: its order, its locks, its cautions, and what it leaves to the owner."""

from __future__ import annotations

from dataclasses import fields
from datetime import date

import pytest

from garages import DAY, Table, bare_table, demo_table, garage_of, learning_table, plan_of, row
from spoken import lines, words
from wheelside.cli.sheet_markdown import sheet_markdown
from wheelside.errors import BadRequest
from wheelside.fill.card import air_card
from wheelside.finding import Weight
from wheelside.garage import acts
from wheelside.garage.change import next_change
from wheelside.garage.present import Present
from wheelside.sheet.ask import Tells
from wheelside.sheet.cautions import Caution, Clause
from wheelside.sheet.ladder import Reason, Wants
from wheelside.sheet.sheet import run_sheet
from wheelside.sheet.step import Channel, OnCard, RunSheet, Sitting, Stage, Step
from wheelside.speech.speech import Speech


def sheet_of(table: Table, car: str | None = None, coming: str | None = None) -> RunSheet:
    garage, plan = garage_of(table), plan_of(table)
    change = next_change(Present(garage, plan.day, plan.end), car, coming)
    card = air_card(garage, garage.cars[change.car], garage.sets[change.coming], DAY)
    return run_sheet(garage, plan, card, change)


def step(sheet: RunSheet, step_id: str) -> Step:
    return next(s for s in sheet.steps if s.id == step_id)


def ids(sheet: RunSheet) -> list[str]:
    return [s.id for s in sheet.steps]


def rewritten_table() -> Table:
    """Set B of the bare table is cloned from A in its wheels, for the car is taught by a workshop."""
    table = bare_table()
    table["car"][0] |= {"taught_by": "locked", "torque": "120 Nm"}
    table["conditions"] = {"tyre_temperature": "20 °C", "temperature_of_use": "5 °C"}
    return table


def test_the_job_runs_in_the_order_of_its_sittings() -> None:
    for table in (demo_table(), rewritten_table(), bare_table(), learning_table()):
        sheet = sheet_of(table)
        order = list(Sitting)
        positions = [order.index(c.sitting) for c in sheet.cards]
        assert positions == sorted(positions)
        assert len(set(ids(sheet))) == len(sheet.steps)


def test_every_step_stands_on_one_card_and_no_card_comes_twice() -> None:
    for table in (demo_table(), rewritten_table(), bare_table(), learning_table(), fitted_table()):
        sheet = sheet_of(table)
        assert [i for c in sheet.cards for i in c.steps] == ids(sheet)
        assert len({c.of for c in sheet.cards}) == len(sheet.cards)


def test_every_step_says_what_where_and_what_to_expect_and_its_card_the_rest() -> None:
    sheet = sheet_of(demo_table())
    for s in sheet.steps:
        assert all((s.title, lines(s), s.where, s.expect, s.evidence)), s.id
        assert s.minutes > 0
    for c in sheet.cards:
        assert all(words(one) for one in (c.title, c.line, *c.how, *c.if_not)), c.of


def test_the_demos_cards_are_those_of_a_persons_sittings() -> None:
    """The order argued for in docs/pages.md; the last three come only where something calls for them, or once a year."""
    called = {c.of for c in sheet_of(demo_table()).cards if c.of in (OnCard.CORNER, OnCard.LAMP_TEST, OnCard.WRONG)}
    shown = [c.of for c in sheet_of(demo_table()).cards if c.of not in called]
    assert shown == [
        OnCard.LOOK, OnCard.TAG, OnCard.WRITE, OnCard.NOTE, OnCard.WHEELS, OnCard.TORQUE, OnCard.AWAY, OnCard.TEACH, OnCard.PRESSURE,
        OnCard.CODES, OnCard.DRIVE, OnCard.LIST, OnCard.AGAIN, OnCard.WEEK,
    ]  # fmt: skip


def test_a_step_waits_only_for_steps_before_it() -> None:
    for table in (demo_table(), rewritten_table(), bare_table()):
        sheet = sheet_of(table)
        seen: set[str] = set()
        for s in sheet.steps:
            assert set(s.waits_for) <= seen, s.id
            seen.add(s.id)


def test_nothing_opens_between_letting_down_and_the_lock_but_the_writing() -> None:
    """After each let-down: write, read back, then the locked inflation; nothing else in between."""
    sheet = sheet_of(rewritten_table())
    order = ids(sheet)
    for wheel in ("b1", "b2", "b3", "b4"):
        at = order.index(f"let-down-{wheel}")
        assert order[at : at + 4] == [f"let-down-{wheel}", f"write-{wheel}", f"read-back-{wheel}", f"inflate-{wheel}"]
        assert step(sheet, f"inflate-{wheel}").lock
        assert Channel.GAUGE in step(sheet, f"inflate-{wheel}").evidence
        assert Caution.LET_DOWN in step(sheet, f"let-down-{wheel}").cautions


def test_every_wheel_let_out_for_the_proof_is_inflated_behind_a_lock_at_once() -> None:
    sheet = sheet_of(demo_table())
    order = ids(sheet)
    corners = [i for i in order if i.startswith("corner-w")]
    assert len(corners) == 4
    for one in corners:
        back = order[order.index(one) + 1]
        assert back == one.replace("corner-", "corner-back-")
        assert step(sheet, back).lock


@pytest.mark.parametrize(
    ("prefix", "caution"),
    [
        ("fit-", Caution.LIFT), ("fit-", Caution.FASTEN), ("torque", Caution.FASTEN), ("retorque", Caution.FASTEN), ("air-", Caution.INFLATE),
        ("write-", Caution.WRITE), ("drive", Caution.DRIVE), ("corner-w", Caution.CHALLENGE), ("challenge", Caution.CHALLENGE),
        ("taken-out", Caution.SENSOR_BATTERY), ("shop", Caution.SENSOR_BATTERY),
    ],
)  # fmt: skip
def test_cautions_stand_on_the_step_where_someone_could_get_hurt(prefix: str, caution: str) -> None:
    steps = [s for s in sheet_of(demo_table()).steps if s.id.startswith(prefix)]
    assert steps
    assert all(caution in s.cautions for s in steps)


def test_cautions_defer_to_handbook_and_workshop() -> None:
    for one in (Caution.LIFT, Caution.FASTEN, Caution.PORT, Caution.CLEAR, Caution.WRITING):
        assert Clause.DEFERS in one.clauses


def test_new_sensors_are_written_and_read_back_before_the_shop() -> None:
    sheet = sheet_of(demo_table())
    order = ids(sheet)
    assert order.index("write-w3") < order.index("read-back-w3") < order.index("shop") < order.index("fit-w3")
    assert set(step(sheet, "shop").waits_for) == {"read-back-w3", "read-back-w4"}
    plan = plan_of(demo_table())
    fresh = next(w.id for w in plan.wheels if w.wheel == "W3")
    assert fresh is not None
    assert any(fresh.aloud() in line for line in lines(step(sheet, "shop")))


def test_the_shopping_list_counts_the_refits() -> None:
    what = lines(step(sheet_of(demo_table()), "parts"))
    assert any(line.startswith("2 × blank sensor, family Kestrel, 433.92 MHz") for line in what)
    assert any(line.startswith("2 × valve service kit") for line in what)


def test_teaching_follows_the_cars_order_without_a_pause() -> None:
    sheet = sheet_of(demo_table())
    taught = [s for s in sheet.steps if s.timed == "teaching"]
    assert [s.id for s in taught] == ["teach-begin", "teach-w1", "teach-w2", "teach-w4", "teach-w3"]
    start = sheet.steps.index(taught[0])
    assert list(sheet.steps[start : start + 5]) == taught
    assert "2 min for each wheel and 5 min in all" in taught[0].expect
    assert taught[0].cautions == (Caution.ERASES,)


def learning_demo() -> Table:
    """The demo's car learns while it is driven."""
    table = demo_table()
    table["car"][0]["taught_by"] = "driving"
    return table


def test_before_a_car_learns_by_driving_the_other_sets_are_moved_away() -> None:
    away = step(sheet_of(learning_demo()), "clear-the-air")
    assert "Summer set" in lines(away)[0]
    assert "Runabout" in lines(away)[0]


def test_where_the_trigger_names_the_wheel_nothing_is_driven_away() -> None:
    """Strangers at a few metres are the risk there, and the ID that the trigger shows is the guard."""
    sheet = sheet_of(demo_table())
    assert not {"clear-the-air", "carry-away"} & set(ids(sheet))
    assert all(
        any(a.wanted and a.tells is Tells.AWAKE and a.required for a in s.asks)
        for s in sheet.steps
        if s.id.startswith("teach-w")
    )
    teach = next(c for c in sheet.cards if c.of is OnCard.TEACH)
    assert any("5 metres" in words(line) for line in teach.how)


def test_a_car_that_remembers_the_set_is_not_taught() -> None:
    table = demo_table()
    table["car"][0]["holds"] = [{"set": "winter"}, {"set": "summer"}]
    for name in ("W3", "W4"):
        row(table, "sensor", f"sensor {name}").update(family="kestrel", printed=f"18930770{name[1]}1", answers=True)
    sheet = sheet_of(table)
    assert "choose-set" in ids(sheet)
    assert not any(i.startswith("teach-") for i in ids(sheet))
    assert sheet.aim.level == "E3"


def test_a_self_learning_car_rests_first() -> None:
    sheet = sheet_of(learning_table())
    assert step(sheet, "rest").minutes == 20
    assert ids(sheet).index("rest") < ids(sheet).index("drive")


@pytest.mark.parametrize(("teaching", "expect"), [("port", "diagnostic port"), ("locked", "workshop")])
def test_other_ways_of_teaching(teaching: str, expect: str) -> None:
    table = bare_table()
    table["car"][0]["taught_by"] = teaching
    table["writer"], table["plan"] = [], {"get_writer": False}
    table["car"][0]["corner_aware"] = False
    assert expect in lines(step(sheet_of(table), "teach-port"))[0]


def test_the_evidence_level_rises_with_clones_and_corners() -> None:
    assert sheet_of(rewritten_table()).aim.level == "E4"
    assert Reason.CLONE in sheet_of(rewritten_table()).aim.reasons
    assert sheet_of(demo_table()).aim.level == "E4"
    table = learning_table()
    table["car"][0]["corner_aware"] = False
    assert sheet_of(table).aim.level == "E3"


def test_a_car_whose_dash_is_blind_says_that_corners_cannot_be_shown() -> None:
    table = demo_table()
    table["car"][0]["dash_shows"] = False
    sheet = sheet_of(table)
    assert Wants.DASH in sheet.aim.missing
    assert not any(i.startswith("corner-w") for i in ids(sheet))
    assert not any(a.tells is Tells.CORNER for s in sheet.steps for a in s.asks)


def test_a_car_without_wheel_sensors_has_its_own_ladder_and_relearn() -> None:
    table = bare_table()
    table["car"][0] = {"id": "car", "stands_at": "home", "monitor": "indirect", "placard": table["car"][0]["placard"]}
    for wheel in table["wheel"]:
        del wheel["joined"][0]["sensor"]
    table["sensor"], table["writer"] = [], []
    table["conditions"] = {"tyre_temperature": "10 °C", "temperature_of_use": "5 °C"}
    sheet = sheet_of(table)
    assert "store-reference" in ids(sheet)
    assert set(step(sheet, "store-reference").waits_for) == {"torque", "air-b1", "air-b2", "air-b3", "air-b4"}
    assert not any(i.startswith(("wake", "answer", "teach", "write", "ids-heard")) for i in ids(sheet))
    assert sheet.aim.level == "E3"
    assert "stored" in Speech().text(sheet.aim.shown_by)


def test_a_car_that_watches_nothing_is_only_gauged() -> None:
    table = bare_table()
    table["car"][0] = {"id": "car", "monitor": "none", "placard": table["car"][0]["placard"]}
    sheet = sheet_of(table)
    assert sheet.aim.level == "none"
    assert "drive" not in ids(sheet)


def test_a_writer_that_makes_ids_up_is_checked_by_planning_again() -> None:
    table = learning_table()
    table["writer"][0]["can"] = ["own"]
    row(table, "sensor", "s B1")["answers"] = False
    sheet = sheet_of(table)
    assert "Note the ID it made up." in lines(step(sheet, "write-b1"))
    assert "planned again with it" in step(sheet, "read-back-b1").expect


def test_storage_says_its_rule() -> None:
    assert "share IDs with it" in " ".join(lines(step(sheet_of(rewritten_table()), "store")))
    assert "share IDs" not in " ".join(lines(step(sheet_of(demo_table()), "store")))


def test_written_wrongly_comes_only_where_something_is_written() -> None:
    assert "written-wrongly" in ids(sheet_of(demo_table()))
    wrong = step(sheet_of(demo_table()), "written-wrongly")
    assert {c.of for c in wrong.calls} == {"read-back-w3/id-w3", "read-back-w4/id-w4"}
    assert all(c.otherwise for c in wrong.calls)
    assert "written-wrongly" not in ids(sheet_of(learning_table()))


def test_without_an_air_card_the_sheet_still_stands() -> None:
    table = demo_table()
    del table["conditions"]["tyre_temperature"]
    sheet = sheet_of(table)
    assert [s.lock for s in sheet.steps if s.id.startswith("find-air-")] == [True] * 4
    assert "no figure" in lines(step(sheet, "find-air-w1"))[0]
    assert "no-tyre-temperature" in {f.code for f in sheet.findings}


def test_a_set_that_is_on_already_is_not_swapped() -> None:
    sheet = sheet_of(demo_table(), "runabout", "all-year")
    assert not any(i.startswith(("fit-", "label", "torque", "retorque", "store")) for i in ids(sheet))


@pytest.mark.parametrize(("car", "coming"), [("nope", None), (None, "nope"), ("runabout", "winter")])
def test_what_the_file_does_not_hold_is_refused(car: str | None, coming: str | None) -> None:
    with pytest.raises(BadRequest):
        sheet_of(demo_table(), car, coming)


@pytest.mark.parametrize(
    ("change", "code", "weight"),
    [
        ({"tread": "1.5 mm"}, "tread-law", Weight.FORBIDDEN),
        ({"tread": "3.5 mm"}, "tread", Weight.WARNING), ({"date_code": "3515"}, "tyre-age", Weight.WARNING),
        ({"date_code": "359"}, "tyre-age", Weight.WARNING), ({"date_code": "3519"}, "tyre-age", Weight.NOTE),
    ],
)  # fmt: skip
def test_wear_and_age_are_looked_at(change: Table, code: str, weight: Weight) -> None:
    table = demo_table()
    row(table, "tyre", "tyre W1").update(change)
    assert (code, weight) in {(f.code, f.weight) for f in sheet_of(table).findings}


def test_markdown_has_every_card_and_no_markup_from_names() -> None:
    table = demo_table()
    row(table, "set", "winter")["label"] = "<script>*Winter*</script>"
    sheet = sheet_of(table)
    text = sheet_markdown(garage_of(table), sheet)
    assert text.count("\n### ") == len(sheet.cards)
    assert "<script>" not in text
    locked = {c.of for c in sheet.cards if any(step(sheet, i).lock for i in c.steps)}
    assert locked == {OnCard.CORNER}
    assert text.count("Go on only when this is done") == len(locked)


def test_texts_follow_the_units_chosen() -> None:
    table = demo_table()
    table["units"] = {"pressure": "psi", "temperature": "°F", "speed": "mph"}
    words = " ".join(
        str(getattr(s, f.name))
        for s in sheet_of(table).steps
        for f in fields(s)
        if f.name in ("title", "what", "expect", "if_fails")
    )
    assert " bar" not in words
    assert "psi" in words
    assert "mph" in words


def test_the_day_is_that_of_the_swap() -> None:
    assert sheet_of(demo_table()).day == date(2026, 11, 28)


@pytest.mark.parametrize(
    ("rim", "car", "code"),
    [
        ({"bolt_circle": "5x114.3"}, {"bolt_circle": "5 x 112"}, "bolt-circle"),
        ({"bolt_circle": "5×112"}, {"bolt_circle": "5x112.0"}, None),
        ({"bolt_circle": "5x114"}, {"bolt_circle": "5x114.3"}, None),
        ({"centre_bore": "66.3 mm"}, {"centre_bore": "66.6 mm"}, "centre-bore"),
        ({"centre_bore": "66.5 mm"}, {"centre_bore": "66.6 mm"}, None),
        ({"centre_bore": "72.6 mm"}, {"centre_bore": "66.6 mm"}, None),
    ],
)
def test_rims_that_plainly_do_not_go_on_are_refused(rim: Table, car: Table, code: str | None) -> None:
    table = demo_table()
    row(table, "rim", "rim W1").update(rim)
    table["car"][0].update(car)
    found = {f.code for f in sheet_of(table).findings if f.weight is Weight.FORBIDDEN}
    assert found == ({code} if code else set())


def fitted_table() -> Table:
    """Set A is on the car and A1 has to be written in its wheel: a fixed sensor in earshot carries its ID."""
    table = learning_table()
    table["stay"] = [
        {"set": "A", "on": "car", "since": date(2026, 1, 1)},
        {"set": "B", "at": "home", "since": date(2026, 1, 1)},
    ]
    for n in range(1, 5):
        row(table, "sensor", f"s B{n}")["writing"] = "fixed"
    row(table, "sensor", "s B1")["printed"] = "A1000001"
    table["car"][0]["torque"] = "120 Nm"
    return table


def test_a_wheel_on_the_car_comes_off_before_it_is_let_down_and_goes_back() -> None:
    sheet = sheet_of(fitted_table())
    order = ids(sheet)
    assert sheet.stays_on
    job = [
        "off-a1",
        "let-down-a1",
        "write-a1",
        "read-back-a1",
        "inflate-a1",
        "fit-a1",
        "torque",
        "find-air-a1",
        "drive",
        "retorque",
    ]
    assert [i for i in order if i in job] == job
    assert "off-a1" in step(sheet, "let-down-a1").waits_for
    assert Caution.LIFT in step(sheet, "off-a1").cautions
    assert "on the car" in step(sheet, "answer-a1").where
    assert "fit-a2" not in order


def test_a_fitted_wheel_comes_off_before_the_shop() -> None:
    table = fitted_table()
    row(table, "sensor", "s A1")["answers"] = False
    order = ids(sheet_of(table))
    assert order.index("off-a1") < order.index("shop") < order.index("fit-a1") < order.index("torque")


def test_fasteners_are_loosened_on_the_ground() -> None:
    wheels = next(c for c in sheet_of(demo_table()).cards if c.of is OnCard.WHEELS)
    assert words(wheels.how[0]).startswith("On the ground: chock")
    for s in sheet_of(fitted_table()).steps:
        if s.id.startswith("off-"):
            assert lines(s)[0].startswith("On the ground: chock")


def test_the_set_that_came_off_is_carried_away_before_anything_is_taught_or_proven() -> None:
    for table, locked in ((learning_demo(), False), (rewritten_table(), True)):
        sheet = sheet_of(table)
        order = ids(sheet)
        away = step(sheet, "carry-away")
        assert order.index("torque") < order.index("carry-away") < order.index("drive")
        assert away.lock is locked
    assert "Summer set (just taken off)" in lines(step(sheet_of(learning_demo()), "clear-the-air"))[0]


def test_while_the_car_rests_what_came_off_is_put_away() -> None:
    order = ids(sheet_of(demo_table()))
    assert (
        order.index("torque")
        < order.index("choose-list")
        < order.index("store")
        < order.index("wake-w1")
        < order.index("air-w1")
    )
    assert step(sheet_of(demo_table()), "teach-begin").minutes == acts.TEACH_BEGIN, (
        "its menu is left alone from then on"
    )
    assert "stood 20 minutes" in lines(step(sheet_of(demo_table()), "teach-begin"))[0]


def test_a_copying_writer_reads_the_old_sensor_first() -> None:
    table = rewritten_table()
    table["writer"][0]["can"] = ["copy"]
    what = " ".join(lines(step(sheet_of(table), "write-b1")))
    assert "read the sensor that carries A100 0001" in what
    assert "out of earshot" in step(sheet_of(table), "write-b1").where


def test_storage_knows_old_pairs() -> None:
    table = rewritten_table()
    for n in range(1, 5):
        row(table, "sensor", f"s B{n}")["printed"] = f"A100000{n}"
    assert "share IDs with it" in " ".join(lines(step(sheet_of(table), "store")))


def test_the_level_that_can_be_reached_is_named() -> None:
    assert sheet_of(demo_table()).aim.missing == ()
    table = demo_table()
    table["instrument"] = [i for i in table["instrument"] if i["kind"] != "adapter"]
    aim = sheet_of(table).aim
    assert (aim.level, aim.reachable) == ("E4", "E2")
    told = words(aim.at_hand)
    assert "E2 can be shown; it leaves open" in told
    assert "whose silence has not been missed yet" in told
    assert told.endswith("For more it wants a diagnostic adapter, to read codes and the car's list.")
    assert "adapter" in aim.missing[0]


def test_the_list_is_written_out_before_the_file_changes() -> None:
    table = learning_table()
    table["writer"] = []
    row(table, "sensor", "s B1")["answers"] = False
    told = " ".join(lines(step(sheet_of(table), "note-b1")))
    assert 'front_left = "0xA1000001"' in told


def test_the_record_replaces_a_list_of_one_set_and_adds_to_a_longer_one() -> None:
    assert any("as_of" in line and "becomes" in line for line in lines(step(sheet_of(learning_table()), "record")))
    assert any("at the end" in line for line in lines(step(sheet_of(demo_table()), "record")))


def test_the_sheet_repeats_what_plan_and_card_warned_of() -> None:
    found = {f.code for f in sheet_of(demo_table()).findings}
    assert {"speed-symbol", "taken-out"} <= found


def test_a_bound_setting_says_so() -> None:
    table = demo_table()
    table["conditions"] |= {"tyre_temperature": "30 °C"}
    for ids_ in ("tyre W1",):
        row(table, "tyre", ids_)["max_pressure"] = "2.7 bar"
    assert "Bound by the maximum" in words(step(sheet_of(table), "air-w1").why)


def test_rear_wheels_rest_on_the_rear_figure() -> None:
    table = demo_table()
    table["car"][0]["placard"][0]["from"] = {"front": "door label", "rear": "handbook"}
    assert step(sheet_of(table), "air-w1").basis.source == "door label"
    assert step(sheet_of(table), "air-w3").basis.source == "handbook"


def test_a_monitored_spare_is_taught_last() -> None:
    table = bare_table()
    table["car"][0]["spare_counted"] = True
    for name in "AB":
        table["sensor"].append({"id": f"s {name}5", "printed": f"{name}5000055", "family": "f", "answers": True})
        table["wheel"].append({"id": f"{name}5", "joined": [{"sensor": f"s {name}5"}]})
        row(table, "set", name)["wheels"]["spare"] = f"{name}5"
    table["writer"] = []
    taught = [i for i in ids(sheet_of(table)) if i.startswith("teach-b")]
    assert taught == ["teach-begin", "teach-b1", "teach-b2", "teach-b4", "teach-b3", "teach-b5"]


def test_an_indirect_car_hears_nothing_of_sensors() -> None:
    table = bare_table()
    table["car"][0] = {"id": "car", "stands_at": "home", "monitor": "indirect", "placard": table["car"][0]["placard"]}
    told = " ".join(" ".join((words(s.why), s.if_fails, *lines(s))) for s in sheet_of(table).steps)
    for word in ("Sensors send", "trigger it", "not heard", "At rest its sensors"):
        assert word not in told


def test_only_the_yearly_challenge_and_mishaps_may_be_left_out() -> None:
    assert [s.id for s in sheet_of(demo_table()).steps if s.optional] == ["challenge"]
    called = {s.id for s in sheet_of(demo_table()).steps if s.calls}
    corners = {f"corner{back}-w{n}" for back in ("", "-back") for n in range(1, 5)}
    assert called == {"clear-codes", "clear-later", "written-wrongly", *corners}


def test_the_file_is_told_ids_that_read_one_way() -> None:
    told = " ".join(lines(step(sheet_of(rewritten_table()), "record")))
    assert 'to "0xA1000001"' in told
    assert "gone on 2026-11-25" in " ".join(lines(step(sheet_of(demo_table()), "taken-out")))


def test_the_drive_waits_for_all_that_comes_before_the_car_rolls() -> None:
    for table in (demo_table(), learning_table(), rewritten_table()):
        sheet = sheet_of(table)
        waits = set(step(sheet, "drive").waits_for)
        expected = {s.id for s in sheet.steps if s.stage in (Stage.AIR, Stage.TEACH)} | {"torque"}
        expected |= {i for i in ids(sheet) if i == "carry-away"}
        assert expected <= waits


def test_a_set_without_all_its_wheels_gets_a_warning_that_forbids() -> None:
    table = demo_table()
    row(table, "set", "winter")["wheels"].pop("rear_left")
    found = {f.code for f in sheet_of(table).findings if f.weight is Weight.FORBIDDEN}
    assert found == {"missing-wheels"}


def test_a_spare_is_not_jacked() -> None:
    table = learning_table()
    table["stay"] = [{"set": "A", "on": "car", "since": date(2026, 1, 1)}]
    table["car"][0]["spare_counted"] = True
    table["sensor"].append({"id": "s A5", "printed": "A5000055", "family": "f", "answers": False})
    table["wheel"].append({"id": "A5", "joined": [{"sensor": "s A5"}]})
    row(table, "set", "A")["wheels"]["spare"] = "A5"
    sheet = sheet_of(table)
    order = ids(sheet)
    assert order.index("off-a5") < order.index("shop") < order.index("stow-a5")
    assert "torque" not in order
    assert "retorque" not in order
    assert not any(Caution.LIFT in s.cautions for s in sheet.steps)


def test_an_unknown_monitor_is_found_out_first() -> None:
    table = bare_table()
    del table["car"][0]["monitor"]
    sheet = sheet_of(table)
    assert sheet.steps[0].id == "find-monitor"
    assert sheet.steps[0].lock
    assert sheet.aim.level == "none"
    assert not any(i in ids(sheet) for i in ("drive", "challenge", "store-reference"))


def test_work_on_a_set_in_store_is_not_forgotten() -> None:
    table = demo_table()
    row(table, "sensor", "sensor S1")["answers"] = False
    found = [f for f in sheet_of(table).findings if f.code == "other-work"]
    assert [f.about for f in found] == ["Summer set"]


def test_no_challenge_without_a_figure_for_the_lamp() -> None:
    table = demo_table()
    del table["conditions"]["tyre_temperature"]
    assert "challenge" not in ids(sheet_of(table))


def test_wheels_whose_ids_look_alike_have_steps_of_their_own() -> None:
    from itertools import product

    from wheelside.sheet.ask import slug

    names = ("W1", "w1", "A 1", "A.1", "A-1", "A_1", "a 1", "BACK-W1", "back-w1", "1", "01", "Ä1")
    made = [slug(kind, one) for kind, one in product(("air", "corner", "corner-back"), names)]
    assert len(set(made)) == len(made)
    assert slug("air", "W1") == "air-w1"
