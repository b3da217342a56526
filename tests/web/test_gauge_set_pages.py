"""A set that is put away is checked on a page of its own: by its tags, without a car's words, kept where it lies."""

from __future__ import annotations

import pytest

from books import later
from claiming import do_until
from commands import run
from visits import Site, let_in, words
from wheelside.book.reading import Purpose, Warmth
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.book.kept import readings_of
from wheelside.jobs.work.agenda import Matter, agenda
from wheelside.jobs.work.doing import doing
from wheelside.jobs.work.gauging import HowRead, gauge_card, keep_gauging
from wheelside.units import GaugePressure
from wheelside.watch.says import STOP_KPA

WINTER = ("W1", "W2", "W3", "W4")


def on_day(desk: Desk, day: float) -> None:
    desk.clock = lambda: later(day * 1440)


def figures(*four: str, cold: str = "12") -> dict[str, str]:
    return {**{f"g.wheel {w}": f for w, f in zip(WINTER, four, strict=True)}, "g.outside": cold, "set": "winter"}


def lying(desk: Desk, days: int = 150, lost: float = 0.0) -> Site:
    """The winter set, gauged as it was put away and some days later; W3 has lost so much, in bar."""
    site = let_in(desk)
    for day in (0, days / 2, days):
        on_day(desk, day - days)
        site = let_in(desk)
        third = f"{2.5 - lost * day / days - 0.1 * day / days:.2f}"
        sound = f"{2.5 - 0.1 * day / days:.2f}"
        assert site.post("/gauge", fields=figures(sound, sound, third, sound)) == "/gauge/said?set=winter"
    return site


def test_half_a_year_of_storage_is_a_leak_test(home: Desk) -> None:
    site = lying(home, lost=0.8)
    page = words(site.get("/gauge/said?set=winter"))
    assert "W3 loses 0.1" in page
    assert "front left W1 2.40 bar normal" in page
    assert "Find the leak: W3" in page
    assert "Pressures today" not in page
    assert "W3 loses 0.1" in words(site.get("/things/set/winter"))


def test_what_loses_air_in_store_stands_on_now_and_in_the_calendar(home: Desk) -> None:
    site = lying(home, lost=0.8)
    now = site.get("/")
    assert "Winter set On no car. W3 ▲ loses 0.1" in words(now)
    assert now.count('href="/gauge/leak/W3"') == 2
    (due,) = [d for d in agenda(home) if d.matter is Matter.TYRE_SAYS]
    assert (due.about, due.link) == (("W3",), "/gauge/leak/W3")
    calendar = site.client.get(site.calendar()).text.replace("\r\n ", "")
    assert "SUMMARY:W3 of Winter set loses 0.1" in calendar
    assert not [d for d in agenda(home) if d.matter is Matter.LOOK_AGAIN]
    assert "Find the leak of W3" in words(site.get("/gauge/leak/W3"))


def test_a_sound_set_in_store_is_no_matter_of_now(home: Desk) -> None:
    assert "On no car" not in words(lying(home).get("/"))
    assert not [d for d in agenda(home) if d.matter in (Matter.TYRE_SAYS, Matter.LOOK_AGAIN)]


def test_it_asks_by_tag_and_corner_and_nothing_that_is_of_a_car(home: Desk) -> None:
    page = words(let_in(home).get("/gauge?set=winter"))
    assert "Winter set: check in a minute" in page
    assert "rear left W3" in page
    assert "where it lies" in page
    assert "driven" not in page
    assert "the car's display" not in page
    assert "Winter set" in words(let_in(home).get("/gauge"))
    assert "Check in a minute" in words(let_in(home).get("/things/set/winter"))


def test_readings_are_kept_where_it_lies_and_the_air_there_is_no_weather(home: Desk) -> None:
    lying(home, 30)
    (first, *_) = readings_of(home, "wheel", "W1", 10)
    assert (first.purpose, first.warmth, first.outside) == (Purpose.GAUGING, Warmth.COLD, None)
    assert first.tyre is not None
    assert round(first.tyre.celsius) == 12
    spell = next(s for s in home.present().line if s.set == "winter" and s.covers(home.clock().day))
    assert (first.place, spell.at is not None) == (spell.at, True)


@pytest.mark.parametrize("low", ["1.2", "0.4"])
def test_a_set_that_is_stored_with_little_air_is_not_called_flat_nor_too_low(home: Desk, low: str) -> None:
    site = let_in(home)
    for day in (0, 20, 40, 60):
        on_day(home, day - 60)
        site = let_in(home)
        four = f"{float(low) - 0.0005 * day:.2f}"
        site.post("/gauge", fields={**figures(four, four, four, four), "sure": "yes"})
    page = words(site.get("/gauge/said?set=winter"))
    assert float(low) * 100 < STOP_KPA
    assert "do not drive" not in page
    assert "too low" not in page
    assert "▲" not in page.partition("front left")[2]
    assert "on no car before it is known why" in page


def test_the_same_figures_on_a_car_are_a_reason_to_stop(home: Desk) -> None:
    keep_gauging(home, "estate", dict.fromkeys(("front left", "rear right"), "1.2"), HowRead())
    assert "do not drive" in words(let_in(home).get("/gauge/said?car=estate"))


def test_a_set_on_its_car_is_checked_there_and_one_that_is_not_there_is_refused(home: Desk) -> None:
    site = let_in(home)
    assert "Summer set: check" not in words(site.get("/gauge?set=summer"))
    assert gauge_card(home, set_id="summer").car is not None
    site.get("/gauge?set=none", 404)
    site.post("/gauge", 404, {"set": "none", "g.outside": "8"})
    page = site.post("/gauge", 422, figures("24", "2.4", "2.4", "2.4"))
    assert "24 what?" in words(page)
    assert 'name="set" value="winter"' in page


def test_figures_of_a_set_that_was_fitted_meanwhile_are_kept_at_its_wheels(home: Desk) -> None:
    fields = {"g.wheel S1": "2.41", "g.outside": "8", "set": "summer"}
    assert let_in(home).post("/gauge", fields=fields) == "/gauge/said?car=estate"
    assert [r.pressure for r in readings_of(home, "wheel", "S1", 9)] == [GaugePressure(241.0)]


def test_the_sheet_offers_it_where_a_set_is_fetched_and_where_one_is_put_away(home: Desk) -> None:
    site = let_in(home)
    job = site.begin()
    page = site.get(f"/jobs/{job}")
    assert f"/gauge?set=winter&amp;job={job}" in page
    assert f"/gauge?set=summer&amp;job={job}" in page
    card = site.get(f"/gauge?set=winter&job={job}")
    assert f'href="/jobs/{job}">‹ Sheet' in card
    there = site.post("/gauge", fields={**figures("2.4", "2.4", "2.4", "2.4"), "job": job})
    assert there == f"/gauge/said?set=winter&job={job}"
    assert "Back to the sheet" in words(site.get(there))
    assert "Back to the sheet" not in words(site.get("/gauge/said?set=winter&job=%22%3E"))
    do_until(home, job, "store")
    assert doing(home, job).open
    assert "Summer set: check in a minute" in words(site.get(f"/gauge?set=summer&job={job}"))


def test_in_the_terminal_too(home: Desk, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = run(
        capsys, "gauge", home.book.name, "--set", "winter", "2.4", "2.4", "-", "2.3", "--outside", "12"
    )
    assert (code, err) == (0, "")
    assert out.splitlines()[0].startswith("Not proven yet")
    assert "rear right" in out
    assert run(capsys, "gauge", home.book.name, "--set", "none", "2.4")[0] == 2
