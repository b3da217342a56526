"""What is asked next, and what is not: by worth it takes fewer questions than any other order."""

from __future__ import annotations

from statistics import mean

import pytest

from inquiry_drawn import counted
from inquiry_owners import DAY, converse
from wheelside.garage.file import complaints_of
from wheelside.inquiry.course import answered, besides
from wheelside.inquiry.outcome import outcome
from wheelside.inquiry.query import AnswerRefused, Errand, Occasion, Pick, Query
from wheelside.inquiry.rating import Rated, Weighed, best, distance, rated, tries, what_is_known
from wheelside.said import say

SEEDS = (140891, 800875, 66172, 888598, 841235)
"""Five of the hundred that `benchmarks/questions.py` draws."""
RANDOM_BAR, ABOVE_BAR = 0.6, 3


def test_by_worth_it_takes_fewer_questions_than_in_a_fixed_order_or_at_random() -> None:
    found = [counted(seed) for seed in SEEDS]
    worth, fixed, drawn = (mean(one[n] for one in found) for n in range(3))
    assert worth <= fixed
    assert worth <= RANDOM_BAR * drawn
    assert max(one[0] - one[1] for one in found) <= ABOVE_BAR


def opened() -> dict[str, object]:
    knows = {
        "begin": {"pick": "figures"}, "on/": {"pick": "summer", "size": "205/60 R16 92V"}, "other/": {"pick": "none"},
        "label/": {"front": "2.3", "rear": "2.2"}, "today": {"pick": "false", "tyre_temperature": "12", "temperature_of_use": "0"},
    }  # fmt: skip
    return converse(knows).table


def test_what_changes_nothing_is_not_asked() -> None:
    query = Query("x", say("Is it?"), (Pick("yes", say("Yes")),))
    assert best([Rated(query, 0.0)]) is None
    dear, cheap = Rated(Query("a", say("A?"), effort=8), 400.0), Rated(Query("b", say("B?"), effort=1), 100.0)
    assert best([dear, cheap]) is cheap.query
    table = opened()
    garage, _ = complaints_of(table)
    left = tuple(besides(garage, garage.car[0], DAY, Errand.WHEELS))
    assert best(rated(table, left, DAY, Errand.WHEELS)) is None


def test_what_was_weighed_is_not_weighed_again_for_not_knowing() -> None:
    table = opened()
    garage, _ = complaints_of(table)
    weighed = Weighed()
    left = tuple(besides(garage, garage.car[0], DAY, Errand.PRESSURES))
    assert list(rated(table, left, DAY, Errand.PRESSURES, weighed=weighed)) == list(
        rated(table, left, DAY, Errand.PRESSURES, lambda: True, weighed)
    )
    other = answered(table, "car/My car/torque", {"pick": "dont-know"}, Occasion(DAY))
    assert what_is_known(other, DAY, Errand.WHEELS) == what_is_known(table, DAY, Errand.WHEELS)
    more = answered(table, "car/My car/torque", {"value": "120"}, Occasion(DAY))
    assert what_is_known(more, DAY, Errand.WHEELS) != what_is_known(table, DAY, Errand.WHEELS)


def test_without_time_nothing_is_weighed() -> None:
    table = opened()
    garage, _ = complaints_of(table)
    left = tuple(besides(garage, garage.car[0], DAY, Errand.WHEELS))
    assert list(rated(table, left, DAY, Errand.WHEELS, lambda: True)) == []


def test_outcomes_differ_by_price_choices_and_figures() -> None:
    table = opened()
    one = outcome(complaints_of(table)[0], DAY, Errand.WHEELS)
    cold = answered(
        table, "today/My car", {"pick": "false", "tyre_temperature": "12", "temperature_of_use": "-10"}, Occasion(DAY)
    )
    other = outcome(complaints_of(cold)[0], DAY, Errand.WHEELS)
    assert distance(one, one) == 0
    assert distance(one, other) == distance(other, one) > 0


@pytest.mark.parametrize(
    "code",
    ["on/Nobody", "set/Nobody/tyre.tread", "heard/My car/Nobody", "nonsense", "car/My car/nonsense", "rims/tree/x"],
)
def test_what_is_not_asked_is_not_answered(code: str) -> None:
    with pytest.raises(AnswerRefused, match="not asked any more"):
        answered(opened(), code, {"pick": "yes", "value": "1"}, Occasion(DAY))


def test_every_answer_that_can_be_tried_can_be_given() -> None:
    table = opened()
    garage, _ = complaints_of(table)
    for query in besides(garage, garage.car[0], DAY, Errand.WHEELS):
        for given in tries(query):
            answered(table, query.code, given, Occasion(DAY))
