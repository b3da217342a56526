"""The check on a phone, without a screen: kept, refused, answered; and where its answer stands afterwards."""

from __future__ import annotations

from typing import Any

import pytest

from books import later
from visits import let_in, words
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.work.tyres import TyresNow, tyres_now
from wheelside.sheet.cautions import Clause
from wheelside.web.pages import things

DAY_MIN = 24 * 60.0
FOUR = {
    "g.front left": "2.40",
    "g.front right": "2.40",
    "g.rear left": "2.35",
    "g.rear right": "2.34",
    "g.outside": "8",
}


def on_day(desk: Desk, day: float) -> None:
    desk.clock = lambda: later(day * DAY_MIN)


def falling(desk: Desk) -> None:
    """Four Saturdays on which the rear left wheel falls."""
    for week, low in enumerate(("2.35", "2.24", "2.12", "2.00")):
        on_day(desk, 7 * week)
        there = let_in(desk).post("/gauge", fields={**FOUR, "car": "estate", "g.rear left": low, "tyres": "cold"})
        assert there == "/gauge/said?car=estate"


def test_the_check_is_answered_and_stands_on_now_the_wheel_and_in_the_calendar(household_desk: Desk) -> None:
    falling(household_desk)
    site = let_in(household_desk)
    said = words(site.get("/gauge/said?car=estate"))
    assert "S3 loses 0.5" in said
    assert "Find the leak: S3" in said
    assert said.count("normal") == 3
    assert "S3 ▲ loses 0.5" in words(site.get("/"))
    assert "S3: loses 0.5" in words(site.get("/things/wheel/S3"))
    calendar = site.client.get(site.calendar()).text.replace("\r\n ", "")
    assert "SUMMARY:S3 loses 0.5" in calendar
    pressures = site.get("/air?car=estate&set=summer")
    assert 'href="/gauge?car=estate"' in pressures
    assert "S3 ▲ loses 0.5" in words(pressures)
    assert "S3 ▲ loses" not in words(site.get("/air?car=estate&set=winter"))
    assert "S3 loses 0.5" in words(site.get("/things/set/summer"))


def test_a_figure_that_can_not_be_keeps_what_was_typed(household_desk: Desk) -> None:
    site = let_in(household_desk)
    page = site.post("/gauge", 422, {**FOUR, "car": "estate", "g.rear left": "24"})
    assert "24 what?" in words(page)
    assert 'value="2.34"' in page
    assert "They really read so" in words(page)
    assert "No pressures noted yet" in words(site.get("/gauge/said?car=estate"))


def test_a_leak_that_was_mended_is_looked_at_again(household_desk: Desk) -> None:
    falling(household_desk)
    site = let_in(household_desk)
    page = words(site.get("/gauge/leak/S3"))
    assert page.index("take care") < page.index("Soapy water")
    site.post("/gauge/leak/S3", fields={"found": "valve"})
    site.post("/gauge/leak/S3", 400, {"found": "magic"})
    site.post("/gauge", fields={"car": "estate", "g.rear left": "2.5", "tyres": "cold", "g.outside": "8"})
    assert "S3 again" in words(site.get("/"))
    assert "a leak looked for. The valve" in words(site.get("/things/wheel/S3"))


def test_a_check_that_a_phone_kept_has_the_moment_of_the_phone(household_desk: Desk) -> None:
    site = let_in(household_desk)
    then = later(-2 * DAY_MIN)
    site.post("/gauge", fields={**FOUR, "car": "estate", "at": str(then.us // 1000)})
    assert then.short() in site.get("/things/wheel/S1")
    site.post("/gauge", fields={**FOUR, "car": "estate", "at": "99999999999999"})
    assert household_desk.clock().short() in site.get("/things/wheel/S1")


def test_a_car_of_which_nobody_knows_what_is_on_it(desk: Desk) -> None:
    site = let_in(desk)
    site.get("/gauge", 404)


def test_air_that_nobody_said_was_let_in_is_asked_about_once(household_desk: Desk) -> None:
    site = let_in(household_desk)
    for week, four in enumerate(("2.40", "2.39", "2.38", "2.37", "2.60", "2.59")):
        on_day(household_desk, 7 * week)
        site = let_in(household_desk)
        site.post("/gauge", fields={**FOUR, "car": "estate", "g.rear left": four, "tyres": "cold"})
    page = words(site.get("/gauge/said?car=estate"))
    assert page.count("Was air let into") == 1
    assert "Was air let into S3 before" in page
    assert "loses" not in page
    day = household_desk.clock().day.toordinal() - 7
    said = {"wheel": "S3", "car": "estate", "day": str(household_desk.clock().day.fromordinal(day)), "filled": "yes"}
    site.post("/gauge/filled", fields=said)
    assert "Was air let into" not in words(site.get("/gauge/said?car=estate"))
    assert "air was let in about then" in words(site.get("/things/wheel/S3"))
    site.post("/gauge/filled", 400, {**said, "filled": "perhaps"})
    site.post("/gauge/filled", 400, {**said, "day": "soon"})
    site.post("/gauge/filled", 404, {**said, "wheel": "none"})


def test_the_air_card_goes_by_a_tyres_own_loss(household_desk: Desk) -> None:
    before = words(let_in(household_desk).get("/air?car=estate&set=summer"))
    assert "by its own readings" not in before
    falling(household_desk)
    page = words(let_in(household_desk).get("/air?car=estate&set=summer"))
    assert "S3 loses 0.4" in page
    assert page.count("by its own readings") == 4


def test_a_page_works_out_the_tyres_that_it_shows_and_once(
    household_desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    falling(household_desk)
    site, asked = let_in(household_desk), list[str]()

    def counted(desk: Desk, **of: Any) -> TyresNow:
        asked.append(",".join(of))
        return tyres_now(desk, **of)

    monkeypatch.setattr(things, "tyres_now", counted)
    for path, count, held in (
        ("/air?car=estate&set=winter", 0, {"winter"}),
        ("/things/set/summer", 1, {"summer"}),
        ("/things/wheel/W1", 1, {"winter"}),
    ):
        household_desk.tyres.clear()
        asked.clear()
        site.get(path)
        assert set(household_desk.tyres) == held, path
        assert asked == ["wheels"] * count, path


def test_a_leak_goes_to_a_workshop_with_a_note_and_is_looked_at_again_once_it_is_back(household_desk: Desk) -> None:
    falling(household_desk)
    site = let_in(household_desk)
    for clause in (Clause.LEVEL, Clause.NEVER_UNDER, Clause.DAMAGED, Clause.DEFERS):
        assert clause.words in words(site.get("/gauge/leak/S3"))
    there = site.post("/gauge/leak/S3/shop")
    note = words(site.get(there))
    assert "Please find a leak S3 rear left" in note
    assert "It loses 0.5" in note
    assert [note.count(f"{figure} bar") for figure in ("2.35", "2.24", "2.12", "2.00")] == [1, 1, 1, 1]
    assert "Estate" not in note
    page = words(site.get("/gauge/leak/S3"))
    assert f"With a workshop since {household_desk.clock().day}" in page
    assert "To a workshop, with a note" not in page
    site.post("/gauge/leak/S3/shop")
    assert words(site.get("/things/wheel/S3")).count("given to a workshop") == 1
    on_day(household_desk, 23)
    site = let_in(household_desk)
    assert site.post("/gauge/leak/S3", fields={"found": "workshop"}) == "/"
    assert "With a workshop" not in words(site.get("/gauge/leak/S3"))
    site.post("/gauge", fields={"car": "estate", "g.rear left": "2.5", "tyres": "cold", "g.outside": "8"})
    said = words(site.get("/gauge/said?car=estate"))
    again = later(26 * DAY_MIN).day
    assert f"look again on {again}" in said, said
    assert "loses" not in said
    site.post("/gauge/leak/none/shop", 404)
    site.get("/gauge/leak/none/note", 404)
