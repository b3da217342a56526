"""Rules that plans have got wrong once, each by a small household of its own and by variations drawn at random.

What a variation must come to is worked out beside it from docs/deciding.md and the default rates that stand there.
"""

from __future__ import annotations

from datetime import date, timedelta
from random import Random
from typing import Any

import pytest

from garages import (
    CORNERS,
    DAY,
    NO_RISK,
    Table,
    add_set,
    bare_table,
    codes_of,
    garage_of,
    of_wheel,
    plan_of,
    row,
    swap_yearly,
)
from sampled import sampled
from spoken import words
from wheelside.errors import BadRequest
from wheelside.garage.change import next_change
from wheelside.garage.present import present
from wheelside.identity.choice import GOT, Action, FreshFrom, IdChoice
from wheelside.identity.costs import as_money
from wheelside.identity.plan import IdentityPlan

DRAWN = range(sampled(10, 20))
MINUTE = 15 / 60
"""EUR a minute, at the default worth of an hour."""
REFIT, WRITER = 45 + 5 + 20, 60
"""EUR for a bought sensor with kit and fitting; for a writer that is got."""


def cost(plan: IdentityPlan) -> float:
    return float(as_money(plan.weight, plan.currency).amount)


def no_risk(table: Table) -> Table:
    """What may go wrong costs nothing, so that sums can be done by hand."""
    table["odds"] = dict(NO_RISK)
    return table


def blanks_mounted(random: Random | None = None, **sensor: Any) -> Table:
    """Set B has sensors that were never written; nothing of their IDs is known."""
    table = no_risk(bare_table())
    table["car"][0] |= {"remembers_sets": 2}
    for n in range(1, 5):
        one = row(table, "sensor", f"s B{n}")
        del one["printed"]
        writing = random.choice(["rewritable", "write once"]) if random else "rewritable"
        one |= {"written": False, "writing": writing, **sensor}
        if random and random.random() < 0.5:
            one["answers"] = random.random() < 0.5
        elif not sensor:
            one.pop("answers", None)
    return table


# --- never written ------------------------------------------------------------------------------------------------


def test_sensors_that_were_never_written_are_written_in_their_wheels() -> None:
    plan = plan_of(blanks_mounted())
    for n in range(1, 5):
        w = of_wheel(plan, f"B{n}")
        assert (w.action, w.choice, w.writer) == (Action.STAYS, IdChoice.FRESH, "w")
        assert w.id is not None
    assert {t.first for t in plan.teachings} == {None}
    asked = [f for f in plan.findings if "B1" in words(f.about) and f.code in ("no-id", "not-triggered", "unread")]
    assert asked == []


@pytest.mark.parametrize("seed", DRAWN)
def test_they_cost_their_writing_and_one_teaching_whether_they_answer_or_not(seed: int) -> None:
    table = blanks_mounted(Random(seed))
    plan = plan_of(table)
    assert all(of_wheel(plan, f"B{n}").action is Action.STAYS for n in range(1, 5))
    assert cost(plan) == pytest.approx(4 * 12 * MINUTE + 15 * MINUTE)


def test_no_answer_from_an_unwritten_sensor_is_no_reason_to_change_it_but_from_a_written_one_it_is() -> None:
    table = blanks_mounted(answers=False)
    assert of_wheel(plan_of(table), "B1").action is Action.STAYS
    row(table, "sensor", "s B1").update(written=True)
    assert of_wheel(plan_of(table), "B1").action is Action.REFIT
    row(table, "sensor", "s B1").update(written=False, sends="0xB2000011")
    assert of_wheel(plan_of(table), "B1").action is Action.REFIT, "it sends an ID, so it was written"


# --- a writer that is got -----------------------------------------------------------------------------------------


def wrong_sensors(writer: list[str], blanks: int, price: str = "") -> Table:
    """Set B has sensors of another family; so many of the right one lie in hand."""
    table = no_risk(bare_table())
    table["family"].append({"id": "g", "bits": 28, "band": "433.92 MHz", "printed": "hex"})
    table["car"][0] |= {"remembers_sets": 2}
    for n in range(1, 5):
        row(table, "sensor", f"s B{n}").update(family="g", printed=f"6B20F1{n}")
    table["writer"] = [{"id": "w", "can": writer}] if writer else []
    if blanks:
        table["blank"] = [{"family": "f", "count": blanks}]
    if price:
        table["costs"] = {"writer": price}
    return table


@pytest.mark.parametrize("writer", [[], ["copy"]])
def test_a_writer_is_got_where_that_is_cheaper_than_sensors_with_an_id(writer: list[str]) -> None:
    plan = plan_of(wrong_sensors(writer, 4))
    assert {(w.writer, w.in_hand) for w in plan.wheels if w.set == "B"} == {(GOT, True)}
    assert cost(plan) == pytest.approx(WRITER + 4 * 25 + 60 * MINUTE + 4 * 4 * MINUTE + 15 * MINUTE)
    assert any("bought, hired or lent" in words(c.what) for c in plan.costs)


@pytest.mark.parametrize("seed", DRAWN)
def test_whether_one_is_got_goes_by_its_price_and_the_sensors_in_hand(seed: int) -> None:
    random = Random(seed)
    blanks, price = random.randrange(5), random.randrange(5, 200, 5)
    plan = plan_of(wrong_sensors([], blanks, f"{price} EUR"))
    shop, taught = 60 * MINUTE, 15 * MINUTE
    each = 4 * MINUTE
    got = price + 4 * 25 + (4 - blanks) * 45 + 4 * each
    # those for which there is a sensor in hand are written, the rest bought with their ID
    some = min(price + n * (25 + each) + (4 - n) * REFIT for n in range(1, blanks + 1)) if blanks else got
    bought = 4 * REFIT
    assert cost(plan) == pytest.approx(min(got, some, bought) + shop + taught)
    assert any(w.writer == GOT for w in plan.wheels) == (min(got, some) < bought)


def test_none_is_got_where_that_is_not_wished_and_what_lies_unused_is_named() -> None:
    table = wrong_sensors([], 4)
    table["plan"] = {"get_writer": False}
    plan = plan_of(table)
    assert {w.fresh_from for w in plan.wheels if w.set == "B"} == {FreshFrom.BOUGHT}
    (unused,) = [f for f in plan.findings if f.code == "blanks-unused"]
    assert (
        words(unused.text)
        == "4 sensors of f in hand stay unused: nothing that you have can write them, and none is to be got."
    )


def test_its_price_is_the_owners() -> None:
    assert {w.fresh_from for w in plan_of(wrong_sensors([], 4, "500 EUR")).wheels if w.set == "B"} == {FreshFrom.BOUGHT}


# --- somebody else's car ------------------------------------------------------------------------------------------


def beside(heard: str = "yes", ids: tuple[str, ...] = ("A1000001",), **car: Any) -> Table:
    """A neighbour's car with a set of its own stands within earshot or not."""
    table = no_risk(bare_table())
    table["car"][0] |= {"remembers_sets": 2, "taught_by": "driving"}
    table["place"].append({"id": "next door"})
    table["path"].append({"between": ["home", "next door"], "heard": heard})
    table["path"].append({"between": ["away", "next door"], "heard": "no"})
    table["car"].append(
        {"id": "theirs", "stands_at": "next door", "monitor": "direct", "family": "f", "somebody_elses": True, **car}
    )
    add_set(
        table,
        "N",
        [*ids, *(f"D00000{n}{n}" for n in range(4 - len(ids)))],
        family="f",
        writing="rewritable",
        answers=True,
    )
    table["stay"].append({"set": "N", "on": "theirs", "since": date(2026, 1, 1)})
    return table


def test_nothing_is_planned_for_somebody_elses_car_and_my_wheel_gives_way() -> None:
    plan = plan_of(beside())
    assert {w.set for w in plan.wheels} == {"A", "B"}
    assert {t.car for t in plan.teachings} == {"car"}
    assert of_wheel(plan, "A1").choice is IdChoice.FRESH
    assert of_wheel(plan, "A2").choice is IdChoice.KEEP


def test_out_of_earshot_there_is_nothing_to_do_but_know_it() -> None:
    plan = plan_of(beside(heard="no", taught_by="step by step", holds=[]))
    assert {w.choice for w in plan.wheels if w.set == "A"} <= {IdChoice.KEEP, IdChoice.FRESH}
    table = beside(heard="no", ids=("C0000001",))
    assert {w.choice for w in plan_of(table).wheels} == {IdChoice.KEEP}


@pytest.mark.parametrize("seed", DRAWN)
def test_just_those_of_my_wheels_change_that_their_ids_bind(seed: int) -> None:
    random = Random(seed)
    mine = [f"A100000{n}" for n in range(1, 5)]
    shared = random.sample(mine, random.randrange(4))
    plan = plan_of(beside(ids=tuple(shared)))
    fresh = {w.wheel for w in plan.wheels if w.choice is IdChoice.FRESH}
    assert fresh == {f"A{mine.index(one) + 1}" for one in shared}


def test_a_change_of_theirs_is_nobodys_to_make_here() -> None:
    garage = garage_of(beside())
    now = present(garage, DAY)
    assert {c.car for c in now.open} <= {"car"}
    assert next_change(now, None, None).car == "car"
    with pytest.raises(BadRequest, match="somebody else's"):
        next_change(now, "theirs", None)


# --- a list with a free place -------------------------------------------------------------------------------------


def test_a_list_with_a_free_place_is_not_full() -> None:
    table = no_risk(bare_table())
    table["car"][0] |= {"remembers_sets": 2, "when_full": "all", "taught_by": "driving"}
    assert [t.needed for t in plan_of(table).teachings].count(True) == 1


@pytest.mark.parametrize("seed", DRAWN)
def test_a_full_one_forgets_all_and_one_with_room_nothing(seed: int) -> None:
    """Played through by hand: what is in the list, and what a teaching does to it."""
    random = Random(seed)
    places, names = random.randrange(1, 4), ["A", "B", *random.sample(["C", "D"], random.randrange(3))]
    table = no_risk(bare_table())
    table["car"][0] |= {"remembers_sets": places, "when_full": "all", "taught_by": "driving"}
    for number, name in enumerate(names[2:]):
        add_set(
            table,
            name,
            [f"C{number}00000{n}" for n in range(1, 5)],
            family="f",
            writing="fixed",
            answers=True,
            at_rest="silent",
        )
    table["stay"], on = [], DAY - timedelta(days=30)
    turns = ["A", *(random.choice(names) for _ in range(7))]
    table["plan"] = {"horizon_years": 1}
    for turn, name in enumerate(turns):
        if turn and name == turns[turn - 1]:
            continue
        until = next((t for t in range(turn + 1, len(turns)) if turns[t] != name), len(turns))
        table["stay"].append(
            {
                "set": name,
                "on": "car",
                "since": on + timedelta(days=40 * turn),
                "until": on + timedelta(days=40 * until),
            }
        )
        ends = next((t for t in range(until, len(turns)) if turns[t] == name), None)
        table["stay"].append(
            {"set": name, "at": "away", "since": on + timedelta(days=40 * until)}
            | ({"until": on + timedelta(days=40 * ends)} if ends is not None else {})
        )
    plan = plan_of(table)
    held, taught = ["A"], 0
    for t in plan.teachings:
        if t.set in held:
            continue
        taught, held = taught + 1, [t.set] if len(held) >= places else [*held, t.set]
    assert sum(t.needed for t in plan.teachings) == taught


# --- sold originals -----------------------------------------------------------------------------------------------


def cloned_and_sold(sold: date, **original: Any) -> Table:
    """Set B carries the IDs of set A, which is sold."""
    table = no_risk(bare_table())
    table["car"][0]["holds"] = [{"set": "B"}]
    table["stay"] = [
        {"set": "B", "on": "car", "since": date(2026, 1, 1)},
        {"set": "A", "at": "away", "since": date(2026, 1, 1)},
    ]
    for n in range(1, 5):
        row(table, "sensor", f"s B{n}")["printed"] = f"A100000{n}"
        row(table, "sensor", f"s A{n}").update(writing="fixed", **original)
    row(table, "set", "A")["sold"] = sold
    return table


@pytest.mark.parametrize("seed", DRAWN)
def test_before_and_after_the_sale_the_same_rule_holds(seed: int) -> None:
    days = Random(seed).randrange(1, 300)
    before, after = (plan_of(cloned_and_sold(DAY + timedelta(days=d))) for d in (days, -days))
    for plan in (before, after):
        assert {w.choice for w in plan.wheels if w.set == "B"} == {IdChoice.FRESH}
    assert before.weight == after.weight


def test_scrapped_and_known_to_be_lifts_it() -> None:
    sold = DAY - timedelta(days=60)
    gone = DAY - timedelta(days=5)
    table = cloned_and_sold(sold, gone=gone)
    for n in range(1, 5):
        row(table, "wheel", f"A{n}")["joined"][0]["until"] = gone
    plan = plan_of(table)
    assert {w.choice for w in plan.wheels if w.set == "B"} == {IdChoice.KEEP}
    table = cloned_and_sold(sold)
    del row(table, "set", "A")["sold"]
    row(table, "set", "A")["scrapped"] = sold
    assert {w.choice for w in plan_of(table).wheels if w.set == "B"} == {IdChoice.KEEP}


# --- whose entry --------------------------------------------------------------------------------------------------


def replaced_by_another(written_out: bool, corners: tuple[int, ...] = (1,)) -> Table:
    """Some wheels of A have another sensor than the one that the car was taught; it remembers two sets and is locked."""
    table = no_risk(bare_table())
    held = [
        {c: f"0xA100000{n}" for n, c in enumerate(CORNERS, 1)},
        {c: f"0xB200001{n}" for n, c in enumerate(CORNERS, 1)},
    ]
    table["car"][0] |= {"remembers_sets": 2, "taught_by": "locked", "holds": [{"corners": h} for h in held]}
    if not written_out:
        table["car"][0]["holds"] = [{"corners": held[0]}, {"set": "B"}]
    for n in corners:
        row(table, "sensor", f"s A{n}")["printed"] = f"6A10C2D{n}"
    return table


@pytest.mark.parametrize("seed", DRAWN)
def test_a_sets_own_entry_is_no_other_sets(seed: int) -> None:
    random = Random(seed)
    corners = tuple(sorted(random.sample(range(1, 5), random.randrange(1, 5))))
    plan = plan_of(replaced_by_another(random.random() < 0.5, corners))
    assert {w.wheel for w in plan.wheels if w.choice is IdChoice.CLONE} == {f"A{n}" for n in corners}
    assert not any(t.needed for t in plan.teachings)
    assert cost(plan) == pytest.approx(len(corners) * 12 * MINUTE)


def test_another_sets_entry_stays_refused() -> None:
    table = replaced_by_another(written_out=False)
    row(table, "sensor", "s B1")["printed"] = "A1000001"
    plan = plan_of(table)
    refused = {n.rule for n in of_wheel(plan, "A1").not_taken if n.choice is IdChoice.CLONE}
    assert "set-mistaken" in refused


def test_no_id_of_another_width_is_cloned() -> None:
    table = no_risk(bare_table())
    table["car"][0] |= {"taught_by": "locked", "family": "h", "holds": [{"set": "A"}]}
    table["family"].append({"id": "h", "bits": 28, "band": "433.92 MHz", "printed": "hex"})
    plan = plan_of(table)
    assert not any(w.choice is IdChoice.CLONE for w in plan.wheels)


def test_sets_with_one_id_on_a_car_that_remembers_sets_apart_are_told_with_what_it_costs_to_part_them() -> None:
    table = no_risk(bare_table())
    table["car"][0] |= {"remembers_sets": 2}
    for name in "AB":
        for n in range(1, 5):
            row(table, "sensor", f"s {name}{n}").update(printed=f"A100000{n}", at_rest="silent")
    plan = plan_of(table)
    assert "set-mistaken" in codes_of(plan)
    (told,) = [words(f.text) for f in plan.findings if f.code == "set-mistaken"]
    assert f"costs {4 * 12 * MINUTE + 15 * MINUTE:.2f} EUR".replace(".00", "") in told


# --- no shop, no teaching -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", DRAWN)
def test_without_a_shop_no_sensor_is_changed_and_where_one_has_to_be_there_is_no_plan(seed: int) -> None:
    random = Random(seed)
    table = no_risk(bare_table())
    table["plan"] = {"shop": False}
    silent = random.sample(range(1, 5), random.randrange(5))
    for n in silent:
        row(table, "sensor", f"s B{n}")["answers"] = False
    plan = plan_of(table)
    assert plan.possible == (not silent)
    assert not any(w.action is Action.REFIT for w in plan.wheels)
    if silent:
        assert "no-shop" in {f.kind for f in plan.conflict}
        assert any("find a tyre shop" in words(way.text) for way in plan.ways_out)
        table["plan"] = {}
        assert plan_of(table).possible


@pytest.mark.parametrize("seed", DRAWN)
def test_a_car_that_cannot_be_taught_is_not_and_its_sets_carry_what_its_list_holds(seed: int) -> None:
    random = Random(seed)
    table = no_risk(bare_table())
    table["car"][0] |= {"taught_by": "not at all", "corner_aware": random.random() < 0.5}
    plan = plan_of(table)
    assert plan.possible
    assert not any(t.needed for t in plan.teachings)
    assert {w.choice for w in plan.wheels if w.set == "B"} == {IdChoice.CLONE}
    row(table, "sensor", f"s B{random.randrange(1, 5)}").update(writing="fixed")
    changed = plan_of(table)
    assert {(w.action, w.choice) for w in changed.wheels if w.set == "B"} == {
        (Action.STAYS, IdChoice.CLONE),
        (Action.REFIT, IdChoice.CLONE),
    }
    table["plan"] = {"shop": False}
    none = plan_of(table)
    assert not none.possible
    assert "untaught" in {f.kind for f in none.conflict}


# --- what hangs on what -------------------------------------------------------------------------------------------


def test_sensors_that_gave_no_answer_are_tried_again_before_new_ones_are_bought() -> None:
    table = no_risk(bare_table())
    table["car"][0] |= {"remembers_sets": 2}
    row(table, "sensor", "s B1")["answers"] = False
    plan = plan_of(table)
    (told,) = [words(f.text) for f in plan.findings if f.code == "hangs-on"]
    assert told == f"Try B1 once more before anything is bought: answers save {REFIT + 64 * MINUTE:.0f} EUR."
    row(table, "sensor", "s B1")["battery_low"] = True
    assert "hangs-on" not in codes_of(plan_of(table))


@pytest.mark.parametrize("seed", DRAWN)
def test_a_sensor_that_nobody_read_is_triggered_before_anything_is_written_to_it(seed: int) -> None:
    random = Random(seed)
    table = replaced_by_another(written_out=True, corners=())
    n, name = random.randrange(1, 5), random.choice("AB")
    del row(table, "sensor", f"s {name}{n}")["printed"]
    plan = plan_of(table)
    (told,) = [words(f.text) for f in plan.findings if f.code == "hangs-on"]
    assert told.startswith(
        f"Trigger {name}{n} before anything is done to it: the list holds {'A100 000' if name == 'A' else 'B200 001'}{n}"
    )
    assert cost(plan) == pytest.approx(12 * MINUTE), "one is written, should it turn out to be another"
    row(table, "sensor", f"s {name}{n}")["sends"] = f"0x{'A100000' if name == 'A' else 'B200001'}{n}"
    assert cost(plan_of(table)) == 0


def test_a_place_that_is_perhaps_heard_is_told_with_what_hangs_on_it() -> None:
    """A locked car whose other set lies behind steel: by the budget it is perhaps heard, and then every change is paid for."""
    table = no_risk(bare_table())
    table["car"][0] |= {"taught_by": "locked"}
    table["path"] = [{"between": ["home", "away"], "distance": "90 m", "walls": ["steel"]}]
    plan = plan_of(table)
    told = [f for f in plan.findings if f.code == "hangs-on"]
    assert told
    assert "home" in words(told[0].text)
    table["path"][0] = {"between": ["home", "away"], "heard": "no"}
    assert "hangs-on" not in codes_of(plan_of(table))


def test_each_key_changes_the_plan() -> None:
    """The keys of this page: with another value there is another plan."""
    theirs = beside()
    ours = beside()
    del ours["car"][1]["somebody_elses"]
    assert len(plan_of(ours).wheels) > len(plan_of(theirs).wheels)
    assert cost(plan_of(wrong_sensors([], 4))) < cost(plan_of({**wrong_sensors([], 4), "plan": {"get_writer": False}}))


def test_the_yearly_swap_is_what_these_households_rest_on() -> None:
    table = no_risk(bare_table())
    table["stay"] = []
    swap_yearly(table, "car", "A", "B", "away")
    assert {t.set for t in plan_of(table).teachings} == {"A", "B"}
