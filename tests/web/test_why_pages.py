"""The lamp is on, on a phone without a screen: from Now through the gate to the next test, with what is known and struck out."""

from __future__ import annotations

import re
from urllib.parse import urlencode

import pytest

from books import later
from visits import Site, let_in, words
from wheelside.book.readings import all_readings
from wheelside.jobs.book.desk import Desk
from wheelside.sheet.cautions import Clause

FOUR = {
    "g.front left": "2.40",
    "g.front right": "2.40",
    "g.rear left": "2.35",
    "g.rear right": "2.34",
    "g.outside": "8",
}
OPEN = {"car": "estate", "look": "no"}
FLASHES = {**OPEN, "lamp-at-start": "flashes"}


@pytest.fixture
def site(home: Desk) -> Site:
    return let_in(home)


def turn(site: Site, said: dict[str, str] | None = None, **more: str) -> str:
    return site.get(f"/why?{urlencode({**(said or {}), **more})}")


def title(page: str) -> str:
    found = re.search(r"<h1[^>]*>(.*?)</h1>", page, re.DOTALL)
    assert found is not None
    return words(found[1]).strip()


def buttons(page: str) -> set[tuple[str, str]]:
    return set(re.findall(r'<button class="[^"]*" name="([^"]+)" value="([^"]+)"', page))


def test_it_is_one_tap_from_now_and_from_the_car(site: Site) -> None:
    assert 'href="/why">▲ The lamp is on' in site.get("/")
    assert 'href="/why?car=estate"' in site.get("/things/car/estate")
    assert 'href="/why?car=estate"' in site.get("/gauge/said?car=estate")
    assert site.client.get("/start/lamp", follow_redirects=False).headers["location"] == "/why"
    page = site.get("/why")
    assert title(page) == "Which car?"
    assert buttons(page) == {("car", "estate"), ("car", "runabout")}


def test_the_gate_comes_first_with_its_caution_and_nothing_else(site: Site) -> None:
    page = turn(site, car="estate")
    assert title(page) == "Walk round the car. Is any of this true?"
    assert Clause.SLOW_DOWN.words in words(page)
    assert {("look", "yes"), ("look", "no")} <= buttons(page)
    assert "A lit lamp means a tyre until shown otherwise." in words(page)


@pytest.mark.parametrize("look", ["yes", "not-sure"])
def test_a_shut_gate_says_do_not_drive_and_offers_no_test(site: Site, look: str) -> None:
    page = turn(site, FLASHES, look=look)
    assert title(page) == "■ Do not drive on it."
    assert Clause.OFF_ROAD.words in words(page)
    assert buttons(page) == set()


def test_a_low_figure_of_the_book_shuts_it_and_only_a_gauging_opens_it(site: Site) -> None:
    site.post("/gauge", fields={**FOUR, "car": "estate", "g.rear left": "1.2", "tyres": "cold", "sure": "yes"})
    page = turn(site, FLASHES, **{"not": "air"})
    assert title(page) == "■ Do not drive on it."
    assert "S3, rear left : read 1.20 bar last." in words(page)
    assert 'href="/gauge?car=estate"' in page


def test_what_was_seen_of_the_tyres_counts_on_its_day_only(site: Site) -> None:
    page = turn(site, {**FLASHES, "on": "2026-11-25"})
    assert 'name="on" value="2026-11-25"' in page
    assert title(page) == "Gauge all four, cold"
    site.desk.clock = lambda: later(24 * 60.0)
    page = turn(site, {**FLASHES, "on": "2026-11-25"})
    assert title(page) == "Walk round the car. Is any of this true?"
    assert 'name="on" value="2026-11-26"' in page
    assert 'name="lamp-at-start" value="flashes"' in page


def test_what_the_lamp_does_then_the_air_whose_figures_are_kept_and_go_on(site: Site) -> None:
    page = turn(site, OPEN)
    assert title(page) == "What the lamp does when you switch on"
    asked = {v for n, v in buttons(page) if n == "lamp-at-start"}
    assert asked == {"steady", "flashes", "comes-goes", "never", "not-sure", "cannot"}
    page = turn(site, FLASHES)
    assert title(page) == "Gauge all four, cold"
    assert {v for n, v in buttons(page) if n == "gauge"} == {"not-sure", "cannot"}
    there = site.post("/why", fields={**FOUR, **FLASHES, "tyres": "cold"})
    assert there == "/why?car=estate&on=2026-11-25&look=no&lamp-at-start=flashes"
    with site.desk.book.reading() as conn:
        assert len([r for r in all_readings(conn, "wheel", "S1") if r.purpose.value == "gauging"]) == 1
    page = site.get(there)
    assert title(page) == "Wake each wheel's sensor"
    assert "Gauged on 2026-11-25: none is too low." in words(page)
    assert "Not clear yet. Likeliest: a worn-out sensor battery, 27 %." in words(page)


def test_a_figure_that_is_missing_or_can_not_be_keeps_what_was_typed(site: Site) -> None:
    page = site.post("/why", 422, {**FLASHES, "g.front left": "2.40"})
    assert 'value="2.40"' in page
    assert words(page).count("type it too, or say that you could not") == 3
    page = site.post("/why", 422, {**FOUR, **FLASHES, "g.rear left": "24"})
    assert "24 what?" in words(page)
    assert title(page) == "Gauge all four, cold"
    with site.desk.book.reading() as conn:
        assert list(all_readings(conn, "wheel", "S1")) == []


def test_why_this_test_and_what_each_outcome_would_change_are_folded(site: Site) -> None:
    page = turn(site, FLASHES, gauge="right")
    said = words(page)
    assert "Why this test" in said
    assert "save about" in said
    assert "One is silent Fits a worn-out sensor battery: " in said
    assert "Everything still possible: 1" in said
    assert "Our judgement" in said
    assert page.count("<details") == page.count('<details class="fold">')


def test_what_is_known_is_struck_out_by_a_tap_and_counted_again(site: Site) -> None:
    page = turn(site, FLASHES, gauge="right")
    assert {("not", "monitor"), ("not", "sensors"), ("not", "spare")} <= buttons(page)
    page = turn(site, FLASHES, gauge="right", **{"not": "sensors"})
    assert "<s>The oldest sensor is 4 years old" in page
    assert ("counts", "sensors") in buttons(page)
    assert 'type="hidden" name="not" value="sensors"' in page
    again = site.get(
        f"/why?{urlencode([*FLASHES.items(), ('gauge', 'right'), ('not', 'sensors'), ('counts', 'sensors')])}"
    )
    assert "<s>" not in again


def test_an_answer_is_taken_back_by_a_tap(site: Site) -> None:
    page = turn(site, FLASHES, gauge="right")
    assert ("again", "lamp-at-start") in buttons(page)
    back = site.get(f"/why?{urlencode([*FLASHES.items(), ('gauge', 'right'), ('again', 'lamp-at-start')])}")
    assert title(back) == "What the lamp does when you switch on"
    assert 'name="gauge" value="right"' in back


def test_not_sure_and_could_not_do_lead_on(site: Site) -> None:
    for said in ("not-sure", "cannot"):
        page = turn(site, FLASHES, gauge="right", wake=said)
        assert title(page) != "Wake each wheel's sensor"
        assert f'name="wake" value="{said}"' in page
        assert "You said: 3" in words(page)


def test_what_can_hurt_has_its_caution_and_what_is_low_comes_before(site: Site) -> None:
    page = turn(site, {**OPEN, "lamp-at-start": "steady", "gauge": "one-low", "soap": "tread"})
    assert title(page) == "At a tyre shop: repaired from inside, or another tyre"
    said = words(page)
    assert "▲ Before any drive set what is low to today's figure." in said
    assert Clause.ASIDE.words in said
    assert "Consistent with something in one tyre's tread" in said


def test_a_lamp_that_never_lights_is_put_right(site: Site) -> None:
    page = turn(site, {**OPEN, "lamp-at-start": "never"})
    assert title(page) == "Have the lamp put right"
    assert "check all four each week" in words(page)


def test_what_there_is_not_in_an_address_is_left_out(site: Site) -> None:
    page = turn(site, {**OPEN, "lamp-at-start": "purple", "horoscope": "good", "not": "everything"})
    assert title(page) == "What the lamp does when you switch on"
    assert "purple" not in page
    assert "horoscope" not in page
    site.get("/why?car=zeppelin", 404)
