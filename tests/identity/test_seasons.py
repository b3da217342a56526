"""What happens along the season line: places picked, sales, loans, outings, spares, and what each brings."""

from __future__ import annotations

from datetime import date

import pytest

from garages import (
    CORNERS,
    DAY,
    Table,
    add_set,
    bare_table,
    codes_of,
    demo_table,
    garage_of,
    learning_table,
    of_wheel,
    plan_of,
    row,
    seeded,
)
from spoken import lines, words
from wheelside.fill.card import air_card
from wheelside.garage.change import next_change
from wheelside.garage.present import Present
from wheelside.identity.choice import Action, IdChoice
from wheelside.identity.happenings import frame_lost
from wheelside.identity.plan import identity_plan
from wheelside.identity.states import IdState
from wheelside.sheet.sheet import run_sheet


def locked(table: Table, *, fixed: str = "") -> Table:
    """Teaching is dear, so that a clone pays where it is allowed. `fixed`: a set whose sensors can't be written."""
    table["car"][0]["taught_by"] = "locked"
    for n in range(1, 5) if fixed else ():
        row(table, "sensor", f"s {fixed}{n}")["writing"] = "fixed"
    return table


def clones(table: Table) -> set[str]:
    return {w.wheel for w in plan_of(table).wheels if w.choice is IdChoice.CLONE}


def test_the_plan_picks_the_place_that_allows_the_clones() -> None:
    table = locked(bare_table(), fixed="A")
    for stay in table["stay"]:
        if "at" in stay:
            stay.update(at="home", or_at=["away"])
    plan = plan_of(table)
    assert {p.place for p in plan.picked} == {"away"}
    assert clones(table) == {"B1", "B2", "B3", "B4"}
    assert any(words(c.what) == "take A to away" for c in plan.costs)
    assert all(s.at != "home" for s in plan.line)
    table["place"][1]["room"] = 0
    assert clones(table) == set()


def test_moving_costs_each_time_and_can_be_too_dear() -> None:
    table = locked(bare_table(), fixed="A")
    for stay in table["stay"]:
        if "at" in stay:
            stay.update(at="home", or_at=["away"])
    table["costs"] = {"move": "10 h"}
    plan = plan_of(table)
    assert {p.place for p in plan.picked} == {"home"}
    assert clones(table) == set()


def test_a_pair_tells_where_it_may_be_kept_and_is_held_against_the_line() -> None:
    table = locked(bare_table())
    plan = plan_of(table)
    assert len(plan.pairs) == 4
    pair = plan.pairs[0]
    assert (pair.allowed, pair.forbidden) == (("away",), ("home",))
    assert [(words(m.first), words(m.other)) for m in pair.line] == [("on car", "away"), ("away", "on car")]
    (found,) = (f for f in plan.findings if f.code == "clone-pair")
    assert "A1 with B1, A2 with B2" in words(found.text)
    assert "keep the other at away, and at home only while wheels are changed" in words(found.way_out)


def test_a_clone_is_not_sold_while_its_twin_lives_on() -> None:
    table = locked(bare_table())
    assert clones(table)
    row(table, "set", "A")["sold"] = date(2028, 4, 2)
    assert clones(table), "A gets other IDs the day before it is sold"
    assert clones(locked(table, fixed="A")) == set()
    row(table, "set", "A")["sold"] = date(2036, 4, 2)
    assert clones(table), "a sale after the horizon is planned again then"


def test_a_scrapped_set_leaves_and_its_twin_may_stay() -> None:
    table = locked(bare_table())
    row(table, "set", "A")["scrapped"] = date(2028, 4, 2)
    assert clones(table) == {"B1", "B2", "B3", "B4"}


def test_the_ids_of_a_sold_set_are_retired() -> None:
    """It was sold last year and the car's list still holds it: nobody clones it, and nothing is planned for it."""
    table = locked(bare_table())
    row(table, "set", "A")["sold"] = date(2026, 11, 1)
    plan = plan_of(table)
    assert {w.set for w in plan.wheels} == {"B"}
    assert clones(table) == set()
    answers = {n.rule for w in plan.wheels for n in w.not_taken if n.choice is IdChoice.CLONE}
    assert answers == {"retired"}


def test_a_loan_and_back_is_taught_on_both_cars() -> None:
    table = learning_table()
    table["car"].append({**table["car"][0], "id": "other", "holds": [], "stands_at": "away"})
    table["stay"] = [
        {"set": "A", "on": "car", "since": date(2026, 1, 1), "until": date(2027, 2, 1)},
        {"set": "A", "on": "other", "since": date(2027, 2, 1), "until": date(2027, 3, 1)},
        {"set": "A", "on": "car", "since": date(2027, 3, 1)},
        {"set": "B", "at": "away", "since": date(2026, 1, 1), "until": date(2027, 2, 1)},
        {"set": "B", "on": "car", "since": date(2027, 2, 1), "until": date(2027, 3, 1)},
        {"set": "B", "at": "away", "since": date(2027, 3, 1)},
    ]
    plan = plan_of(table)
    assert [(t.car, t.set, t.needed) for t in plan.teachings] == [
        ("car", "A", False), ("car", "B", True), ("car", "A", True), ("other", "A", True),
    ]  # fmt: skip


def with_spare(table: Table, **sensor: object) -> Table:
    """A spare in a set of its own rides in the car; it stands in for A3 for a week."""
    table["wheel"].append({"id": "SP", "joined": [{"sensor": "s SP"}] if sensor else [{}]})
    if sensor:
        table["sensor"].append({"id": "s SP", "family": "f", "answers": True, **sensor})
    table["set"].append({"id": "spare", "wheels": {"spare": "SP"}})
    table["stay"].append({"set": "spare", "riding_in": "car", "since": date(2026, 1, 1)})
    table["stand_in"] = [
        {"wheel": "SP", "instead_of": "A3", "on": "car", "since": date(2027, 6, 1), "until": date(2027, 6, 8)}
    ]
    return table


def test_a_spare_without_a_sensor_flashes_the_lamp_and_that_is_said_beforehand() -> None:
    plan = plan_of(with_spare(bare_table()))
    found = next(f for f in plan.findings if f.code == "stand-in")
    assert "has no sensor: a flashing lamp is to be expected" in words(found.text)
    assert "buy nothing and teach nothing" in words(found.way_out)


def test_a_spare_on_the_car_is_heard_like_any_wheel_of_it() -> None:
    """It carries B1's ID. B is away; only the days of the stand-in, or of the ride, bring the two together on a car."""
    table = with_spare(learning_table(), printed="B2000011", writing="rewritable")
    plan = plan_of(table)
    assert of_wheel(plan, "SP").choice is not IdChoice.KEEP or of_wheel(plan, "B1").choice is not IdChoice.KEEP


def test_the_wheel_that_is_stood_in_for_is_where_the_file_says() -> None:
    """A3's ID is that of a loose sensor at the tyre shop; only while A3 lies there too would it matter - to a car there."""
    table = with_spare(learning_table())
    table["place"].append({"id": "shop"})
    table["path"] += [{"between": ["shop", "home"], "heard": "no"}, {"between": ["shop", "away"], "heard": "no"}]
    table["car"].append({**table["car"][0], "id": "van", "stands_at": "shop", "holds": []})
    table["sensor"].append(
        {"id": "loose", "printed": "A1000003", "family": "f", "at_rest": "transmits", "kept_at": "shop"}
    )
    assert of_wheel(plan_of(table), "A3").choice is IdChoice.KEEP
    table["stand_in"][0]["other_at"] = "shop"
    assert of_wheel(plan_of(table), "A3").choice is not IdChoice.KEEP


def club(cars: int, alike: bool) -> Table:
    """Cars of one family that live far apart and meet for an afternoon; the first two carry one ID where `alike`."""
    table: Table = {
        "wheelside": 1,
        "place": [{"id": "paddock"}],
        "family": [{"id": "f", "bits": 32, "printed": "hex"}],
        "path": [],
        "car": [],
    }
    for n in range(cars):
        table["place"].append({"id": f"p{n}"})
        table["path"].append({"between": ["paddock", f"p{n}"], "distance": "20 km"})
        table["path"] += [{"between": [f"p{m}", f"p{n}"], "distance": "9 km"} for m in range(n)]
        table["car"].append(
            {
                "id": f"c{n}", "stands_at": f"p{n}", "monitor": "direct", "family": "f", "spare_counted": False,
                "taught_by": "driving", "holds": [{"set": f"s{n}"}], "remembers_sets": 1, "corner_aware": False,
            }
        )  # fmt: skip
        add_set(table, f"s{n}", [f"{0xC0000000 + 16 * n + k:08X}" for k in range(4)], family="f", answers=True)
        table["stay"] = [*table.get("stay", []), {"set": f"s{n}", "on": f"c{n}", "since": date(2026, 1, 1)}]
    if alike:
        row(table, "sensor", "s s11")["printed"] = "C0000000"
    table["writer"] = [{"id": "w", "can": ["given"]}]
    for sensor in table["sensor"]:
        sensor["writing"] = "rewritable"
    table["outing"] = [
        {"cars": [f"c{n}" for n in range(cars)], "at": "paddock", "since": date(2027, 5, 8), "until": date(2027, 5, 9)}
    ]
    return table


def test_a_club_day_of_forty_cars() -> None:
    """Common practice: dozens of cars of one family two metres apart; no car is taught in the paddock."""
    plan = plan_of(club(40, alike=False))
    assert {(w.action, w.choice) for w in plan.wheels} == {(Action.STAYS, IdChoice.KEEP)}
    assert {"no-teaching", "crowded-air"} <= codes_of(plan)
    assert "40 cars" in words(next(f for f in plan.findings if f.code == "no-teaching").text)


def test_two_cars_with_one_id_must_not_meet_on_a_club_day() -> None:
    """Far apart at home they would be told from nobody but by the rule of one car for one ID."""
    plan = plan_of(club(6, alike=True))
    changed = [w.wheel for w in plan.wheels if w.choice is not IdChoice.KEEP]
    assert len(changed) == 1
    assert changed[0] in ("s01", "s11")


def test_an_outing_brings_two_stored_voices_together() -> None:
    """A stored twin far from home is harmless, until the car goes on an outing to that place."""
    table = learning_table()
    table["stay"] = [
        {"set": "A", "on": "car", "since": date(2026, 1, 1)}, {"set": "B", "at": "away", "since": date(2026, 1, 1)},
    ]  # fmt: skip
    row(table, "sensor", "s B1")["printed"] = "A1000001"
    assert {w.choice for w in plan_of(table).wheels} == {IdChoice.KEEP}
    table["outing"] = [{"cars": ["car"], "at": "away", "since": date(2027, 7, 1), "until": date(2027, 7, 15)}]
    assert {w.choice for w in plan_of(table).wheels} != {IdChoice.KEEP}


@pytest.mark.parametrize(("cars", "percent"), [(2, 1), (10, 5), (40, 19), (100, 41)])
def test_frames_lost_in_a_crowd(cars: int, percent: int) -> None:
    """Pinned to arithmetic of the trade notes; pure ALOHA: a frame is spared with exp(-2 G)."""
    assert round(100 * frame_lost(cars)) == percent


def test_sensors_in_hand_are_used_before_any_is_bought() -> None:
    table = bare_table()
    for n in (1, 2, 3):
        row(table, "sensor", f"s B{n}")["answers"] = False
    table["blank"] = [{"family": "f", "count": 2, "each": "10 EUR"}]
    plan = plan_of(table)
    refits = [w for w in plan.wheels if w.action is Action.REFIT]
    assert sorted(w.in_hand for w in refits) == [False, True, True]
    line = next(c for c in plan.costs if "in hand" in words(c.what))
    assert line.price.hundredths == -2 * (4500 - 1000)
    table["blank"][0]["each"] = "60 EUR"
    assert not any(w.in_hand for w in plan_of(table).wheels)


def test_with_nothing_to_be_bought_only_what_is_in_hand_is_fitted() -> None:
    table = bare_table()
    for n in (1, 2, 3):
        row(table, "sensor", f"s B{n}")["answers"] = False
    table["plan"] = {"buy_sensors": False}
    table["blank"] = [{"family": "f", "count": 2}]
    assert not plan_of(table).possible
    table["blank"][0]["count"] = 3
    plan = plan_of(table)
    assert plan.possible
    assert all(w.in_hand for w in plan.wheels if w.action is Action.REFIT)


def test_an_old_sensor_is_changed_when_the_shop_is_visited_anyway() -> None:
    """Weibull law with shape 5 and 9 years, judgement: at 7 years 77 of 100 fail within 3 years, at 3 years 13."""
    table = bare_table()
    row(table, "sensor", "s B1")["answers"] = False
    row(table, "sensor", "s B2")["first_used"] = date(2019, 11, 1)
    row(table, "sensor", "s B3")["first_used"] = date(2023, 11, 1)
    plan = plan_of(table)
    assert of_wheel(plan, "B2").action is Action.REFIT
    assert of_wheel(plan, "B3").action is Action.STAYS
    odds = sorted(r.ppm for r in plan.risks if r.name == "sensor_life")
    assert odds[-1] == pytest.approx(128_000, abs=3_000)
    row(table, "sensor", "s B1")["answers"] = True
    kept = plan_of(table)
    assert of_wheel(kept, "B2").action is Action.STAYS
    assert max(r.ppm for r in kept.risks if r.name == "sensor_life") == pytest.approx(766_000, abs=6_000)


def test_a_garage_of_one_set_on_no_car_is_no_trouble() -> None:
    table: Table = {"wheelside": 1, "place": [{"id": "hall"}]}
    add_set(table, "A", ["A1000001", "A1000002", "A1000003", "A1000004"])
    table["stay"] = [{"set": "A", "at": "hall", "since": date(2026, 1, 1)}]
    plan = plan_of(table)
    assert plan.possible
    assert {w.choice for w in plan.wheels} == {IdChoice.KEEP}
    assert garage_of(table).sets["A"].wheels[0][0].key == CORNERS[0]


def test_an_id_comes_from_reserved_over_read_back_to_known() -> None:
    table = learning_table()
    row(table, "sensor", "s B1")["answers"] = False
    first = plan_of(table)
    assert of_wheel(first, "B1").state is IdState.RESERVED
    assert of_wheel(first, "A1").state is IdState.KNOWN
    assert of_wheel(first, "B2").state is IdState.PLANNED
    fresh = of_wheel(first, "B1").id
    assert fresh is not None
    row(table, "sensor", "s B1")["gone"] = DAY
    table["sensor"].append(
        {"id": "new", "sends": f"0x{fresh.hex}", "family": "f", "answers": True, "writing": "rewritable"}
    )
    row(table, "wheel", "B1")["joined"] = [{"sensor": "s B1", "until": DAY}, {"sensor": "new", "since": DAY}]
    second = identity_plan(garage_of(table), DAY, first.reserved, seeded(2))
    assert of_wheel(second, "B1").state is IdState.READ_BACK
    assert of_wheel(second, "B1").id == fresh
    table["car"][0]["holds"] = [{"set": "B"}]
    assert of_wheel(identity_plan(garage_of(table), DAY, first.reserved, seeded(2)), "B1").state is IdState.KNOWN


def test_the_shopping_list_counts_what_is_in_hand() -> None:
    table = demo_table()
    table["blank"] = [{"family": "kestrel", "count": 1}]
    garage, plan = garage_of(table), plan_of(table)
    change = next_change(Present(garage, plan.day, plan.end), None, None)
    card = air_card(garage, garage.cars[change.car], garage.sets[change.coming], DAY)
    told = [line for step in run_sheet(garage, plan, card, change).steps for line in lines(step)]
    assert any(line.startswith("1 × blank sensor") and line.endswith("from those in hand") for line in told)
    assert any(line.startswith("1 × blank sensor") and ", writable" in line for line in told)


def test_a_stand_in_for_a_wheel_that_is_not_on_the_car_is_doubted() -> None:
    table = with_spare(bare_table())
    assert "stand-in-elsewhere" not in codes_of(plan_of(table))
    table["stand_in"][0]["until"] = date(2027, 12, 9)
    assert "stand-in-elsewhere" in codes_of(plan_of(table)), "A comes off on the first of December"
    table["stand_in"][0] |= {"until": date(2027, 6, 8), "wheel": "A4"}
    assert "stand-in-elsewhere" in codes_of(plan_of(table)), "A4 is on the car at its own corner"
    table["stand_in"][0] |= {"wheel": "SP", "instead_of": "B3"}
    assert "stand-in-elsewhere" in codes_of(plan_of(table))


def test_the_risk_of_a_set_that_goes_is_counted_until_it_goes() -> None:
    table = locked(bare_table())
    row(table, "sensor", "s B1")["first_used"] = date(2019, 11, 1)
    whole = {r.name: r.ppm for r in plan_of(table).risks}
    row(table, "set", "B")["scrapped"] = date(2027, 3, 1)
    short = {r.name: r.ppm for r in plan_of(table).risks}
    assert whole["sensor_life"] > 5 * short["sensor_life"]
    row(table, "sensor", "s B1").pop("first_used")


def test_a_choice_that_would_meet_another_says_whom() -> None:
    """A clone stored near is allowed only by changing the other; the reason names both and the car that hears them."""
    table = locked(bare_table())
    table["path"][0]["heard"] = "yes"
    told = next(n for w in plan_of(table).wheels if w.wheel == "B1" for n in w.not_taken if n.choice is IdChoice.CLONE)
    assert "wheel A1" in words(told.text)
    assert "within earshot of car" in words(told.text)
