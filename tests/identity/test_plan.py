"""The identity plan on the scenarios of the trade (pinned: judgement and arithmetic), and rule by rule."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from garages import DAY, NO_RISK, Table, add_set, bare_table, garage_of, learning_table, of_wheel, plan_of, row, seeded
from spoken import words
from wheelside.finding import Weight
from wheelside.identity.choice import Action, FreshFrom, IdChoice
from wheelside.identity.explain import NotTaken
from wheelside.identity.plan import IdentityPlan, identity_plan
from wheelside.sensor.ident import SensorId

KEEP, CLONE, FRESH = IdChoice.KEEP, IdChoice.CLONE, IdChoice.FRESH
STAYS, REFIT = Action.STAYS, Action.REFIT


def choices(plan: IdentityPlan, set_id: str) -> set[tuple[Action, IdChoice]]:
    return {(w.action, w.choice) for w in plan.wheels if w.set == set_id}


def answer(plan: IdentityPlan, wheel: str, action: Action, choice: IdChoice) -> NotTaken:
    return next(n for n in of_wheel(plan, wheel).not_taken if (n.action, n.choice) == (action, choice))


def codes(plan: IdentityPlan) -> set[str]:
    return {f.code for f in plan.findings}


def stored_at_home(table: Table) -> Table:
    for stay in table["stay"]:
        if "at" in stay:
            stay["at"] = "home"
    return table


def locked(table: Table) -> Table:
    table["car"][0]["taught_by"] = "locked"
    return table


@pytest.mark.pinned
def test_a_stored_set_in_earshot_forbids_the_clone() -> None:
    """One list, step teaching, the other set transmits three metres away: the set keeps its IDs, taught twice a year."""
    plan = plan_of(stored_at_home(bare_table()))
    assert choices(plan, "B") == {(STAYS, KEEP)}
    clone = answer(plan, "B1", STAYS, CLONE)
    assert clone.rule == "heard-twice" or (clone.extra_weight or 0) > 0
    assert sum(t.needed for t in plan.teachings) == len(plan.teachings) - 1


@pytest.mark.pinned
@pytest.mark.parametrize("quiet", ["out of earshot", "silent at rest"])
def test_a_clone_pays_where_teaching_is_dear_and_the_other_set_is_quiet(quiet: str) -> None:
    """One list, locked teaching, writable sensors, the resting set silent or far: clone corner for corner."""
    table = locked(bare_table())
    if quiet == "silent at rest":
        stored_at_home(table)
        for sensor in table["sensor"]:
            sensor["at_rest"] = "silent"
    plan = plan_of(table)
    assert choices(plan, "B") == {(STAYS, CLONE)}
    assert [of_wheel(plan, f"B{n}").id for n in range(1, 5)] == [SensorId("f", 32, 0xA1000000 + n) for n in range(1, 5)]
    assert not any(t.needed for t in plan.teachings)
    assert "clone-pair" in codes(plan)


@pytest.mark.pinned
def test_a_car_that_stores_two_sets_keeps_both() -> None:
    """With a clone the car would warn by the other set's pressures."""
    table = bare_table()
    table["car"][0] |= {"remembers_sets": 2, "taught_by": "locked"}
    plan = plan_of(table)
    assert choices(plan, "A") | choices(plan, "B") == {(STAYS, KEEP)}
    assert answer(plan, "B1", STAYS, CLONE).rule == "set-mistaken"
    assert [t.needed for t in plan.teachings].count(True) == 1


@pytest.mark.pinned
def test_a_self_learning_car_keeps() -> None:
    table = bare_table()
    table["car"][0]["taught_by"] = "driving"
    assert choices(plan_of(table), "B") == {(STAYS, KEEP)}


@pytest.mark.pinned
def test_one_silent_sensor_in_a_taught_set_is_replaced_by_a_clone_of_itself() -> None:
    """A writable replacement takes over the dead ID, so that the car needs no teaching."""
    table = locked(bare_table())
    table["stay"] = [{"set": "A", "on": "car", "since": date(2026, 1, 1)}]
    row(table, "sensor", "s A3")["answers"] = False
    plan = plan_of(table)
    wheel = of_wheel(plan, "A3")
    assert (wheel.action, wheel.choice, wheel.id) == (REFIT, CLONE, SensorId("f", 32, 0xA1000003))
    assert not any(t.needed for t in plan.teachings)
    assert "taken-out" in codes(plan)


def test_the_old_sensor_must_not_be_kept_in_earshot_of_its_clone() -> None:
    table = locked(bare_table())
    table["stay"] = [{"set": "A", "on": "car", "since": date(2026, 1, 1)}]
    row(table, "sensor", "s A3")["answers"] = False
    table["plan"] = {"taken_out": "keep", "keep_at": "home"}
    plan = plan_of(table)
    assert of_wheel(plan, "A3").choice is FRESH
    assert answer(plan, "A3", REFIT, CLONE).rule == "old-sensor-kept"
    row(table, "sensor", "s A3")["at_rest"] = "silent"
    assert of_wheel(plan_of(table), "A3").choice is CLONE
    row(table, "sensor", "s A3")["at_rest"] = "transmits"
    table["plan"]["keep_at"] = "away"
    assert of_wheel(plan_of(table), "A3").choice is CLONE


@pytest.mark.pinned
def test_sensors_of_the_other_band_are_replaced() -> None:
    table = bare_table()
    table["family"].append({"id": "g", "bits": 32, "band": "315 MHz"})
    for n in range(1, 5):
        row(table, "sensor", f"s B{n}")["family"] = "g"
    plan = plan_of(table)
    assert {a for a, _ in choices(plan, "B")} == {REFIT}
    assert answer(plan, "B1", STAYS, KEEP).rule == "wrong-band"


@pytest.mark.pinned
def test_a_decimal_print_is_read_by_the_family_and_left_open_without() -> None:
    table = learning_table()
    table["family"][0]["printed"] = "decimal"
    row(table, "sensor", "s B1")["printed"] = "0742500339"
    for name in ("A1", "A2", "A3", "A4", "B2", "B3", "B4"):
        sensor = row(table, "sensor", f"s {name}")
        sensor["printed"] = str(int(sensor["printed"], 16))
    assert of_wheel(plan_of(table), "B1").id == SensorId("f", 32, 0x2C41A7F3)
    del table["family"][0]["printed"]
    row(table, "sensor", "s B2")["printed"] = "11259375"
    plan = plan_of(table)
    assert of_wheel(plan, "B2").id is None
    assert "ambiguous-id" in codes(plan)


@pytest.mark.parametrize(
    ("change", "rule"),
    [
        ({"family": "g"}, "wrong-family"),
        ({"answers": False}, "no-answer"),
        ({"bits": 28, "family": None, "printed": "B200001"}, "wrong-width"),
        ({"band": "315 MHz", "family": None}, "wrong-band"),
    ],
)
def test_a_sensor_that_cannot_serve_is_replaced(change: dict[str, Any], rule: str) -> None:
    table = bare_table()
    table["family"].append({"id": "g", "bits": 32, "band": "433.92 MHz"})
    sensor = row(table, "sensor", "s B1")
    sensor |= change
    for key in [k for k, v in sensor.items() if v is None]:
        del sensor[key]
    plan = plan_of(table)
    assert of_wheel(plan, "B1").action is REFIT
    assert answer(plan, "B1", STAYS, KEEP).rule == rule


@pytest.mark.parametrize(
    ("change", "writer", "rule"),
    [
        ({"writing": "fixed"}, ["given"], "fixed"),
        ({"writing": None}, ["given"], "writing-not-known"),
        ({"writing": "write once", "written": True}, ["given"], "written-once"),
        ({"writing": "write once"}, ["given"], "written-once"),
        ({}, [], "no-writer"),
        ({}, ["copy"], "no-writer"),
    ],
)
def test_only_what_can_be_written_is_written(change: dict[str, Any], writer: list[str], rule: str) -> None:
    table = bare_table()
    table["writer"][0]["can"] = writer
    table["plan"] = {"get_writer": False}
    sensor = row(table, "sensor", "s B1")
    sensor |= change
    for key in [k for k, v in sensor.items() if v is None]:
        del sensor[key]
    assert answer(plan_of(table), "B1", STAYS, FRESH).rule == rule


def test_a_fresh_write_once_sensor_can_be_written() -> None:
    table = bare_table()
    row(table, "sensor", "s B1").update(writing="write once", written=False)
    assert answer(plan_of(table), "B1", STAYS, FRESH).rule == ""


def test_a_copying_writer_needs_the_old_sensor_to_speak() -> None:
    table = locked(bare_table())
    table["writer"][0]["can"] = ["copy"]
    assert choices(plan_of(table), "B") == {(STAYS, CLONE)}
    row(table, "sensor", "s A1")["answers"] = False
    table["plan"] = {"get_writer": False}
    assert answer(plan_of(table), "B1", STAYS, CLONE).rule == "no-writer"


def test_a_writer_that_makes_ids_up_leaves_them_to_be_noted() -> None:
    table = bare_table()
    table["writer"][0]["can"] = ["own"]
    row(table, "sensor", "s B1")["answers"] = False
    wheel = of_wheel(plan_of(table), "B1")
    assert (wheel.action, wheel.fresh_from, wheel.id) == (REFIT, FreshFrom.WRITER, None)


def test_without_a_writer_a_new_sensor_comes_with_its_own_id() -> None:
    table = bare_table()
    table["writer"] = []
    row(table, "sensor", "s B1")["answers"] = False
    wheel = of_wheel(plan_of(table), "B1")
    assert (wheel.fresh_from, wheel.id, wheel.writer) == (FreshFrom.BOUGHT, None, None)


def test_a_wheel_without_a_sensor_gets_one() -> None:
    table = bare_table()
    del row(table, "wheel", "B1")["joined"][0]["sensor"]
    plan = plan_of(table)
    assert of_wheel(plan, "B1").action is REFIT
    assert answer(plan, "B1", STAYS, KEEP).rule == "no-sensor"


def test_two_sensors_with_one_id_in_earshot_are_parted() -> None:
    """An earlier owner cloned: B1 sends what A1 sends."""
    table = stored_at_home(bare_table())
    row(table, "sensor", "s B1")["printed"] = "A1000001"
    plan = plan_of(table)
    changed = [w for w in plan.wheels if (w.action, w.choice) != (STAYS, KEEP)]
    assert [w.wheel for w in changed] in (["A1"], ["B1"])
    assert changed[0].choice is FRESH
    assert "clash-now" in codes(plan)
    other = answer(plan, changed[0].wheel, STAYS, KEEP)
    assert other.extra_weight is None or other.extra_weight >= 0


def test_the_same_id_out_of_earshot_is_left_alone_where_it_saves() -> None:
    table = locked(bare_table())
    for n in range(1, 5):
        row(table, "sensor", f"s B{n}")["printed"] = f"A100000{n}"
    plan = plan_of(table)
    assert choices(plan, "A") | choices(plan, "B") == {(STAYS, KEEP)}
    assert not any(t.needed for t in plan.teachings)


def test_an_id_lives_on_one_car_at_a_time() -> None:
    table = bare_table()
    table["place"].append({"id": "far"})
    table["path"] += [{"between": ["home", "far"], "heard": "no"}, {"between": ["away", "far"], "heard": "no"}]
    table["car"].append({**table["car"][0], "id": "second", "stands_at": "far", "holds": [{"set": "C"}]})
    add_set(
        table, "C", ["A1000001", "C3000002", "C3000003", "C3000004"], family="f", answers=True, writing="rewritable"
    )
    table["stay"].append({"set": "C", "on": "second", "since": date(2026, 1, 1)})
    plan = plan_of(table)
    assert plan.possible
    assert of_wheel(plan, "C1").id != of_wheel(plan, "A1").id
    changed = "C1" if of_wheel(plan, "C1").choice is not KEEP else "A1"
    other = answer(plan, changed, STAYS, KEEP)
    assert other.rule == "one-car" or (other.extra_weight is not None and other.extra_weight >= 0)


def test_a_ride_in_the_boot_is_heard_even_by_silent_sensors() -> None:
    table = locked(bare_table())
    for sensor in table["sensor"]:
        sensor["at_rest"] = "silent"
        if sensor["id"].startswith("s A"):
            sensor["writing"] = "fixed"
    table["stay"] = [
        {"set": "A", "on": "car", "since": date(2026, 4, 1), "until": date(2026, 12, 1)},
        {"set": "A", "riding_in": "car", "since": date(2026, 12, 1), "until": date(2026, 12, 2)},
        {"set": "A", "at": "away", "since": date(2026, 12, 2)},
        {"set": "B", "at": "away", "since": date(2026, 4, 1), "until": date(2026, 12, 1)},
        {"set": "B", "on": "car", "since": date(2026, 12, 1)},
    ]
    plan = plan_of(table)
    assert choices(plan, "B") == {(STAYS, KEEP)}
    table["stay"] = [s for s in table["stay"] if "riding_in" not in s]
    table["stay"][1]["since"] = date(2026, 12, 1)
    assert choices(plan_of(table), "B") == {(STAYS, CLONE)}


def test_a_loose_sensor_counts_where_it_is_kept() -> None:
    table = learning_table()
    table["sensor"].append({"id": "loose", "printed": "B2000011", "family": "f", "kept_at": "home"})
    plan = plan_of(table)
    assert of_wheel(plan, "B1").choice is not KEEP
    table["sensor"][-1]["kept_at"] = "away"
    assert of_wheel(plan_of(table), "B1").choice is KEEP


def test_corner_for_corner_only_where_the_car_cares() -> None:
    table = locked(bare_table())
    for n in range(2, 5):
        row(table, "sensor", f"s A{n}")["answers"] = False
    table["car"][0]["holds"] = [{"corners": {"front_right": "A1000001"}}]
    assert answer(plan_of(table), "B1", STAYS, CLONE).rule == "nothing-to-clone"
    table["car"][0]["corner_aware"] = False
    assert answer(plan_of(table), "B1", STAYS, CLONE).rule != "nothing-to-clone"


def test_a_clone_needs_a_car_that_knows_the_id() -> None:
    table = locked(bare_table())
    del table["car"][0]["holds"]
    plan = plan_of(table)
    assert answer(plan, "B1", STAYS, CLONE).rule == "list-not-known"
    assert "holds" in codes(plan)


@pytest.mark.parametrize(
    ("slots", "when_full", "teachings"),
    [(1, "oldest", 8), (2, "oldest", 8), (2, "chosen", 5), (2, "all", 8), (3, "oldest", 3)],
)
def test_what_a_full_list_forgets_decides_the_teachings(slots: int, when_full: str, teachings: int) -> None:
    """Three sets take turns, A B C A B C A B; with two places the best that can be done by choosing is five teachings."""
    table = bare_table()
    add_set(table, "C", ["C3000021", "C3000022", "C3000023", "C3000024"], family="f", answers=True)
    table["car"][0] |= {"remembers_sets": slots, "when_full": when_full, "holds": []}
    days = [DAY.replace(year=2026 + n // 3, month=1 + 4 * (n % 3), day=1) for n in range(9)]
    table["stay"] = []
    for n in range(8):
        for offset, name in enumerate("ABC"):
            where = {"on": "car"} if (n - offset) % 3 == 0 else {"at": "away"}
            table["stay"].append({"set": name, "since": days[n], "until": days[n + 1], **where})
    plan = identity_plan(garage_of(table), days[0], (), seeded())
    assert sum(t.needed for t in plan.teachings) == teachings


def test_the_set_that_is_on_is_taught_now_if_the_list_lacks_it() -> None:
    table = bare_table()
    table["car"][0]["holds"] = []
    plan = plan_of(table)
    assert (plan.teachings[0].day, plan.teachings[0].needed) == (DAY, True)


def test_costs_add_up_to_the_weight() -> None:
    table = bare_table()
    table["costs"] = {"hour": "18 EUR", "sensor": "42 EUR"}
    row(table, "sensor", "s B1")["answers"] = False
    plan = plan_of(table)
    assert sum(c.price.seconds for c in plan.costs) == plan.total.seconds
    assert sum(c.price.hundredths for c in plan.costs) == plan.total.hundredths
    assert plan.weight == plan.total.seconds * 1800 + plan.total.hundredths * 3600 + sum(r.weight for r in plan.risks)
    assert {r.name for r in plan.risks} >= {"write_wrong", "pair_meets"}
    assert plan.bound == plan.weight


def test_defaults_are_shown_as_defaults_and_yours_as_yours() -> None:
    table = bare_table()
    table["costs"] = {"hour": "18 EUR"}
    table["odds"] = {"pair_meets": "9 %"}
    grounds = {r.name: r.basis.ground.value for r in plan_of(table).rates}
    assert grounds["hour"] == grounds["pair_meets"] == "owner's word"
    assert {grounds[n] for n in ("write_wrong", "teach_fails", "sensor_life", "fault", "move")} == {"default"}
    assert {grounds[n] for n in ("sensor", "kit", "fitting", "shop_trip", "write", "write_mounted", "teach")} == {
        "default"
    }


def test_every_choice_not_taken_is_answered() -> None:
    for wheel in plan_of(stored_at_home(bare_table())).wheels:
        answered = {(n.action, n.choice) for n in wheel.not_taken} | {(wheel.action, wheel.choice)}
        assert answered == {(a, c) for a in Action for c in IdChoice}
        for n in wheel.not_taken:
            assert n.rule or n.extra_weight is not None
            assert words(n.text)


def test_an_extra_cost_is_what_the_plan_costs_more_when_the_choice_is_forced() -> None:
    """A silent sensor leaves only the refits: the plan then costs just as much more as the cheaper of them was said to add."""
    table = bare_table()
    plan = plan_of(table)
    refits = [answer(plan, "B1", REFIT, choice) for choice in (CLONE, FRESH)]
    refit = min(refits, key=lambda n: n.extra_weight if n.extra_weight is not None else 10**12)
    row(table, "sensor", "s B1")["answers"] = False
    forced = plan_of(table)
    assert refit.extra_weight == forced.weight - plan.weight
    assert refit.extra is not None
    assert refit.extra.hundredths == forced.total.hundredths - plan.total.hundredths


def test_no_plan_says_why() -> None:
    table = learning_table()
    table["writer"], table["plan"] = [], {"get_writer": False}
    for name, at in (("C", "home"), ("D", "home")):
        add_set(table, name, [f"EE00000{n}" for n in range(1, 5)], family="f", writing="fixed")
        table["stay"].append({"set": name, "at": at, "since": date(2026, 1, 1)})
    plan = plan_of(table)
    assert not plan.possible
    worst = [f for f in plan.findings if f.weight is Weight.FORBIDDEN]
    assert {f.kind for f in plan.conflict} == {"carries", "stay", "no-writer"}
    assert all(words(f.text) in words(worst[0].text) for f in plan.conflict)
    assert words(worst[0].way_out) == words(plan.ways_out[0].text)


def test_a_spare_that_the_car_watches_is_planned() -> None:
    table = bare_table()
    table["sensor"].append({"id": "s X", "printed": "C3000031", "family": "f", "answers": False})
    table["wheel"].append({"id": "X", "joined": [{"sensor": "s X"}]})
    row(table, "set", "A")["wheels"]["spare"] = "X"
    assert of_wheel(plan_of(table), "X").action is STAYS
    table["car"][0]["spare_counted"] = True
    assert of_wheel(plan_of(table), "X").action is REFIT


def test_the_same_garage_gives_the_same_plan_in_any_order_of_its_tables() -> None:
    table = locked(bare_table())
    plan = plan_of(table)
    shuffled = {k: list(reversed(v)) if isinstance(v, list) else v for k, v in table.items()}
    other = plan_of(shuffled)
    assert [(w.wheel, w.action, w.choice, w.id) for w in plan.wheels] == [
        (w.wheel, w.action, w.choice, w.id) for w in other.wheels
    ]
    assert (plan.weight, plan.teachings) == (other.weight, other.teachings)


def test_a_list_noted_by_set_is_taken_as_of_its_day() -> None:
    """The new sensor was fitted after the car was taught: its ID is not in the list."""
    table = learning_table()
    table["stay"] = [{"set": "A", "on": "car", "since": date(2026, 1, 1)}]
    table["sensor"].append({"id": "new", "sends": "0x77777777", "family": "f", "answers": True})
    row(table, "wheel", "A1")["joined"] = [
        {"sensor": "s A1", "until": date(2026, 6, 1)}, {"sensor": "new", "since": date(2026, 6, 1)},
    ]  # fmt: skip
    assert "holds-as-of" in codes(plan_of(table))
    assert not plan_of(table).teachings[0].needed
    table["car"][0]["holds"] = [{"set": "A", "as_of": date(2026, 3, 1)}]
    assert plan_of(table).teachings[0].needed
    assert "holds-as-of" not in codes(plan_of(table))


def test_the_reason_named_is_one_that_forbids_by_itself() -> None:
    """A1's ID is also that of B1, which could be changed, and of C1, which can't: C1 is named."""
    table = stored_at_home(learning_table())
    row(table, "sensor", "s B1")["printed"] = "A1000001"
    add_set(table, "C", ["A1000001", "C3000022", "C3000023", "C3000024"], family="f", writing="fixed")
    table["stay"].append({"set": "C", "at": "home", "since": date(2026, 1, 1)})
    text = words(answer(plan_of(table), "A1", STAYS, KEEP).text)
    assert "C1" in text
    assert "can't be changed" in text


def test_an_old_pair_is_pointed_out_every_time() -> None:
    table = locked(bare_table())
    for n in range(1, 5):
        row(table, "sensor", f"s B{n}")["printed"] = f"A100000{n}"
    (pairs,) = (f for f in plan_of(table).findings if f.code == "clone-pair")
    assert words(pairs.about) == "pairs of A and B"
    assert all(f"A{n} with B{n}" in words(pairs.text) for n in range(1, 5))


def test_of_plans_that_cost_the_same_the_one_that_changes_fewer_sensors_is_taken() -> None:
    """A refit is made as cheap as a writing in the wheel: the sensor stays."""
    table = stored_at_home(learning_table())
    nothing = dict.fromkeys(("sensor", "kit", "fitting"), "0 EUR")
    table["odds"] = NO_RISK
    table["costs"] = {**nothing, "shop_trip": "0 min", "write": "12 min", "write_mounted": "12 min"}
    row(table, "sensor", "s B1")["printed"] = "A1000001"
    for n in range(1, 5):
        row(table, "sensor", f"s A{n}")["writing"] = "fixed"
    plan = plan_of(table)
    assert (of_wheel(plan, "B1").action, of_wheel(plan, "B1").choice) == (STAYS, FRESH)
    assert words(answer(plan, "B1", REFIT, FRESH).text) == "it would cost the same; the stated order of ties decides"


def test_a_scrapped_sensor_is_silent_and_its_id_stays_taken() -> None:
    """The dead sensor was replaced by a clone of itself and scrapped: nothing is left to be done."""
    table = locked(bare_table())
    table["stay"] = [{"set": "A", "on": "car", "since": date(2026, 1, 1)}]
    table["sensor"].append({"id": "new", "sends": "0xA1000003", "family": "f", "answers": True})
    day = date(2026, 6, 1)
    row(table, "wheel", "A3")["joined"] = [{"sensor": "s A3", "until": day}, {"sensor": "new", "since": day}]
    assert choices(plan_of(table), "A") != {(STAYS, KEEP)}
    row(table, "sensor", "s A3")["gone"] = day
    plan = plan_of(table)
    assert choices(plan, "A") == {(STAYS, KEEP)}
    assert not any(t.needed for t in plan.teachings)


def test_a_clash_names_only_those_that_carry_the_id() -> None:
    """A1 could be cloned to, but does not carry B1's ID now."""
    table = stored_at_home(locked(bare_table()))
    table["sensor"].append({"id": "loose", "printed": "B2000011", "family": "f", "kept_at": "home"})
    (found,) = [f for f in plan_of(table).findings if f.code == "clash-now"]
    assert "B1" in words(found.text)
    assert "loose" in words(found.text)
    assert "A1" not in words(found.text)
