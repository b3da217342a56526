"""The list is chosen before a car that remembers several sets is taught."""

from __future__ import annotations

from typing import Any

import pytest

from garages import DAY, Table, bare_table, demo_table, garage_of, plan_of
from spoken import lines
from wheelside.fill.card import air_card
from wheelside.garage.change import next_change
from wheelside.garage.present import Present
from wheelside.sheet.option import Taken, option_of
from wheelside.sheet.sheet import run_sheet
from wheelside.sheet.step import RunSheet, Step


def sheet_of(table: Table) -> RunSheet:
    garage, plan = garage_of(table), plan_of(table)
    change = next_change(Present(garage, plan.day, plan.end), None, None)
    card = air_card(garage, garage.cars[change.car], garage.sets[change.coming], DAY)
    return run_sheet(garage, plan, card, change)


def taught_table(**car: Any) -> Table:
    """Set B goes on a car that has to be taught it; what that car's list holds is as given."""
    table = bare_table()
    table["writer"], table["car"][0], table["plan"] = [], table["car"][0] | car, {"get_writer": False}
    return table


def chosen(table: Table) -> Step | None:
    return next((s for s in sheet_of(table).steps if s.id == "choose-list"), None)


STRANGER = {"ids": ["C3000001", "C3000002", "C3000003", "C3000004"]}


@pytest.mark.parametrize("taught_by", ["step by step", "port", "locked", "driving"])
@pytest.mark.parametrize(
    ("slots", "asked"), [({"remembers_sets": 1}, False), ({"remembers_sets": 2}, True), ({"remembers_ids": 8}, True)]
)
def test_a_car_with_several_lists_is_asked_for_the_one_before_it_is_taught(
    taught_by: str, slots: dict[str, int], asked: bool
) -> None:
    table = taught_table(taught_by=taught_by)
    del table["car"][0]["remembers_sets"]
    table["car"][0] |= slots
    sheet = sheet_of(table)
    order = [s.id for s in sheet.steps]
    begins = [s for s in sheet.steps if s.id in ("teach-begin", "teach-port")]
    assert ("choose-list" in order) is asked
    assert {"teach-begin", "teach-port", "rest"} & set(order), "this car is to be taught"
    for one in begins:
        assert ("choose-list" in one.waits_for) is asked
    if asked:
        later = [*(s.id for s in begins), "drive"]
        assert all(order.index("choose-list") < order.index(name) for name in later)


@pytest.mark.parametrize(
    ("holds", "when_full", "goal", "says"),
    [
        ([{"set": "A"}], "oldest", Taken.EMPTY, "In use: 1 of 2 (A)"),
        ([], "oldest", Taken.EMPTY, "0 of 2"),
        ([{"set": "A"}, STRANGER], "oldest", Taken.GIVEN_UP, "Choose A, taught longest ago"),
        ([STRANGER, {"set": "A"}], "oldest", Taken.GIVEN_UP, "Choose the IDs of no set"),
        ([{"set": "A"}, STRANGER], "chosen", Taken.GIVEN_UP, "that you give up"),
        ([{"set": "A"}, STRANGER], "all", Taken.GIVEN_UP, "forgets all of them"),
        ([{"set": "A"}, STRANGER], None, Taken.GIVEN_UP, "not noted"),
    ],
)
def test_an_empty_list_comes_first_then_the_rule_of_a_full_one(
    holds: list[dict[str, Any]], when_full: str | None, goal: Taken, says: str
) -> None:
    table = taught_table(remembers_sets=2, holds=holds)
    if when_full:
        table["car"][0]["when_full"] = when_full
    one = chosen(table)
    assert one is not None
    (asked,) = one.asks
    assert asked.expect == goal
    assert says in lines(one)[0]
    assert Taken.NO_MENU in asked.also
    assert asked.options[0] == goal
    assert Taken.TO_KEEP not in (asked.expect, *asked.also)
    assert "no such menu" in lines(one)[1].lower()


def test_what_is_not_noted_can_only_be_seen_in_the_car() -> None:
    table = taught_table(remembers_sets=2)
    del table["car"][0]["holds"]
    one = chosen(table)
    assert one is not None
    assert "Look what is in its lists" in lines(one)[0]
    assert set(one.asks[0].also) == {Taken.OWN, Taken.EMPTY, Taken.GIVEN_UP, Taken.NO_MENU}


def test_the_demos_summer_set_is_named_as_what_would_be_overwritten() -> None:
    one = chosen(demo_table())
    assert one is not None
    assert "Summer set" in lines(one)[0]
    assert "Summer set" in lines(one)[1]


def test_a_list_that_is_to_be_kept_keeps_the_teaching_shut() -> None:
    one = chosen(demo_table())
    assert one is not None
    assert one.asks[0].bars


def test_every_option_is_a_code_with_words() -> None:
    one = chosen(demo_table())
    assert one is not None
    for option in one.asks[0].options:
        assert " " not in option
        one_of = option_of(option)
        assert one_of is not None
        assert one_of.words != option
