"""How cold mornings are: asked only where the lamp's days hang on it, once, and what an answer changes."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from books import later
from garages import DAY
from spoken import words as spoken
from visits import Site, let_in, words
from wheelside.inquiry.climate import CODE, KEY, climate_query
from wheelside.inquiry.course import answered
from wheelside.inquiry.given import of_rest
from wheelside.inquiry.query import DONT_KNOW, AnswerRefused, Occasion
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.work.gauging import HowRead, keep_gauging
from wheelside.jobs.work.mornings import ENOUGH_MONTHS, mornings_asked
from wheelside.jobs.work.tyres import TyresNow, tyres_now
from wheelside.units import Temperature, UnitChoice

DAY_MIN = 24 * 60.0
FOUR = {"front left": "2.40", "front right": "2.40", "rear right": "2.34", "outside": "8"}
QUESTION = "How cold are mornings where the car stands?"
SAID = "/gauge/said?car=estate"
ADDRESS = "/answer?code=climate/year&amp;back=/gauge/said%3Fcar%3Destate"


def weekly(desk: Desk, *low: str, start: float = 0.0) -> TyresNow:
    """A gauging a week: the rear left as given, the others steady."""
    for week, figure in enumerate(low):
        desk.clock = lambda d=start + 7 * week: later(d * DAY_MIN)  # type: ignore[misc]
        keep_gauging(desk, "estate", {**FOUR, "rear left": figure}, HowRead())
    return tyres_now(desk, car="estate")


FALLING, STEADY = ("2.60", "2.54", "2.48", "2.42", "2.36"), ("2.35", "2.35", "2.34", "2.34", "2.34")


def lamp_of(desk: Desk) -> tuple[date | None, date | None]:
    one = tyres_now(desk, car="estate").of("S3")
    assert one is not None
    assert one.says.lamp is not None
    return one.says.lamp.early, one.says.lamp.late


def test_mornings_are_asked_for_only_where_the_lamps_days_hang_on_them(household_desk: Desk) -> None:
    desk = household_desk
    assert mornings_asked(desk.loaded().garage, weekly(desk, *STEADY, start=-70.0), "estate") is None
    now = weekly(desk, *FALLING)
    assert mornings_asked(desk.loaded().garage, now, "estate") == climate_query(desk.loaded().garage)
    assert mornings_asked(desk.loaded().garage, now, "runabout") is None


def test_mornings_are_not_asked_for_where_temperatures_outside_are_known(household_desk: Desk) -> None:
    desk = household_desk
    garage = desk.loaded().garage
    assert len(weekly(desk, *["2.60"] * 18, start=-140.0).months_read) < ENOUGH_MONTHS
    now = weekly(desk, *FALLING)
    assert len(now.months_read) >= ENOUGH_MONTHS
    assert now.of("S3").says.lamp is not None  # type: ignore[union-attr]
    assert mornings_asked(garage, now, "estate") is None


def at_the_check(desk: Desk) -> Site:
    weekly(desk, *FALLING)
    return let_in(desk)


def test_two_mornings_are_two_rows_and_move_the_lamps_days(household_desk: Desk) -> None:
    site = at_the_check(household_desk)
    page = site.get(SAID)
    assert words(page).count(QUESTION) == 1
    before = lamp_of(household_desk)
    assert f'href="{ADDRESS}"' in page
    question = words(site.get(ADDRESS.replace("&amp;", "&")))
    assert "A usual winter morning" in question
    assert "A usual summer morning" in question
    assert "Don't know" in question
    typed = {"code": CODE, "back": SAID, "pick": "", "g.winter": "-15", "g.summer": "12"}
    assert site.post("/answer", fields=typed) == SAID
    rows = [(r.month, r.morning, r.place) for r in household_desk.loaded().garage.climate]
    assert rows == [(1, Temperature.from_celsius(-15), None), (7, Temperature.from_celsius(12), None)]
    after = lamp_of(household_desk)
    assert after != before
    assert str(after[0]) in words(site.get(SAID))
    assert QUESTION not in words(site.get(SAID))
    warm = {**typed, "g.winter": "9", "g.summer": "18"}
    site.post("/answer", fields=warm)
    milder = lamp_of(household_desk)
    assert milder[1] is None or (after[1] is not None and milder[1] > after[1])
    assert "a usual winter morning 9 °C, a usual summer morning 18 °C" in words(
        site.get("/answers/rest/all")
    ).lower().replace("°c", "°C")


def test_not_knowing_is_an_answer_and_is_asked_no_more(household_desk: Desk) -> None:
    site = at_the_check(household_desk)
    before = lamp_of(household_desk)
    site.post("/answer", fields={"code": CODE, "back": SAID, "pick": DONT_KNOW})
    assert QUESTION not in words(site.get(SAID))
    assert household_desk.loaded().garage.climate == ()
    assert lamp_of(household_desk) == before
    today = {
        "code": "today/estate",
        "car": "estate",
        "pick": "false",
        "g.tyre_temperature": "8",
        "g.temperature_of_use": "0",
    }
    site.post("/start/pressures", fields=today)
    assert household_desk.loaded().garage.conditions.not_known == (KEY,)
    assert QUESTION not in words(site.get(SAID))


@pytest.mark.parametrize(
    ("typed", "gap"),
    [({"winter": "-2"}, "summer"), ({"winter": "cold", "summer": "14"}, "winter"), ({"winter": "-2", "summer": "60"}, "summer"),
     ({"winter": "14", "summer": "-2"}, "winter"), ({}, "winter")],
)  # fmt: skip
def test_what_can_be_no_mornings_is_refused_at_its_field(typed: dict[str, str], gap: str) -> None:
    with pytest.raises(AnswerRefused) as refused:
        answered({}, CODE, typed, Occasion(DAY))
    assert gap in refused.value.wrong


def test_an_answer_is_in_the_owners_degrees_and_leaves_other_rows_alone() -> None:
    shed: list[dict[str, Any]] = [{"month": 1, "morning": "-9 °C", "place": "shed"}, {"month": 4, "morning": "3 °C"}]
    table = {"place": [{"id": "shed"}], "climate": shed, "conditions": {"not_known": ["load", KEY]}}
    made = answered(table, CODE, {"winter": "20", "summer": "60"}, Occasion(DAY, UnitChoice(temperature="°F")))
    assert made["climate"] == [*shed, {"month": 1, "morning": "20 °F"}, {"month": 7, "morning": "60 °F"}]
    assert made["conditions"] == {"not_known": ["load"]}
    gone = answered(made, CODE, {"pick": DONT_KNOW}, Occasion(DAY))
    assert gone["climate"] == shed
    with pytest.raises(AnswerRefused):
        answered({}, "climate/other", {"winter": "0", "summer": "10"}, Occasion(DAY))


def test_what_was_said_of_mornings_stands_among_the_answers(household_desk: Desk) -> None:
    assert QUESTION not in [spoken(one.question) for one in of_rest(household_desk.loaded().garage)]
    site = let_in(household_desk)
    site.post("/answer", fields={"code": CODE, "back": SAID, "pick": DONT_KNOW})
    found = next(one for one in of_rest(household_desk.loaded().garage) if spoken(one.question) == QUESTION)
    assert (found.code, found.answer, found.unknown) == (CODE, None, True)
