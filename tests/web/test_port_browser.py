"""Asking a car from a real browser: page and run sheet, phone and desk, with script and without, by an adapter on loopback."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, expect

from browsing import DESKTOP, PHONE, Serving, at, begin_job, come_in, ready, serving
from cars import HOUSEHOLD_WINTER, keep_card, suited_household
from wheelside.demo.practice import PracticeCar, practice_car, serve_tcp
from wheelside.demo.practice.told import SUMMER
from wheelside.jobs.book.desk import new_desk
from wheelside.jobs.book.files import take_in_text

PORT = "/things/car/estate/port"


@pytest.fixture
def car() -> PracticeCar:
    return practice_car()


@pytest.fixture
def server(tmp_path: Path, car: PracticeCar) -> Iterator[Serving]:
    book = tmp_path / "household.book"
    desk = new_desk(str(book))
    take_in_text(desk, suited_household(), "household.toml")
    keep_card(desk)
    desk.close()
    with (
        serve_tcp(car, lasting_s=240) as (host, port),
        serving(book, "--car-link", f"at socket://{host}:{port}") as made,
    ):
        yield made


@pytest.mark.parametrize(("device", "scheme"), [(PHONE, "light"), (DESKTOP, "dark")], ids=["phone-light", "desk-dark"])
def test_a_car_is_read_taught_and_put_back_from_its_page(
    browser: Browser, server: Serving, car: PracticeCar, device: dict[str, Any], scheme: str
) -> None:
    visit = come_in(browser, server, **{**device, "color_scheme": scheme})
    page = visit.page

    def sound() -> None:
        found = [(v["id"], [n["html"][:120] for n in v["nodes"][:3]]) for v in Axe().run(page).response["violations"]]
        assert found == []
        assert not page.evaluate("document.documentElement.scrollWidth > document.documentElement.clientWidth")
        weight = len(page.content())
        assert weight < 118_000, weight

    visit.goto("/things/car/estate")
    page.get_by_role("link", name="Ask the car").click()
    sound()
    page.get_by_role("button", name="Read everything now").click()
    expect(page.get_by_role("status")).to_contain_text("kept in the book")
    expect(page.get_by_text("12.60 V")).to_be_visible()
    sound()
    page.get_by_label("Set whose IDs it is to hold").select_option("winter")
    page.get_by_role("button", name="Show what would change").click()
    expect(page.get_by_role("heading", name="Before anything is written")).to_be_visible()
    sound()
    assert car.unit.teaching.lists[1] == SUMMER
    page.get_by_label("Write this list into the car").check()
    page.get_by_role("button", name="Write it").click()
    expect(page.get_by_role("status")).to_contain_text("The new list is in the car")
    assert car.unit.teaching.lists[1] == HOUSEHOLD_WINTER
    sound()
    page.get_by_text("Put the old list back").click()
    page.get_by_role("button", name="Put it back").click()
    expect(page.get_by_role("status")).to_contain_text("The old list is in the car")
    assert car.unit.teaching.lists[1] == SUMMER
    assert visit.errors == []
    visit.only_own_requests()
    visit.context.close()


def test_the_run_sheet_asks_the_car(browser: Browser, server: Serving) -> None:
    visit = come_in(browser, server)
    begin_job(visit)
    at(visit, "codes-before")
    visit.page.locator("#step-codes-before").get_by_role("button", name="Ask the car").click()
    ready(visit)
    shown = visit.page.locator("#step-codes-before")
    expect(shown).to_be_visible()
    expect(shown.get_by_text("Read from the car: Car to practise on")).to_be_visible()
    expect(shown.locator("[data-mark]")).to_contain_text(re.compile("done"))
    expect(shown.get_by_label("some", exact=True)).to_be_checked()
    visit.context.close()


def test_it_all_works_without_script(browser: Browser, server: Serving, car: PracticeCar) -> None:
    visit = come_in(browser, server, **PHONE, java_script_enabled=False)
    page = visit.page
    visit.goto(PORT)
    page.get_by_role("button", name="Read everything now").click()
    page.get_by_label("C1A12-31").check()
    page.get_by_text("Clear what was repaired").click()
    page.get_by_role("button", name="Clear the picked codes").click()
    expect(page.get_by_role("status")).to_contain_text("Codes were cleared")
    assert car.unit.codes.status[0x5A1231] & 0x08 == 0
    visit.context.close()


def test_an_unplugged_adapter_is_told_and_nothing_is_lost(browser: Browser, tmp_path: Path) -> None:
    book = tmp_path / "household.book"
    desk = new_desk(str(book))
    take_in_text(desk, suited_household(), "household.toml")
    keep_card(desk)
    desk.close()
    with serving(book, "--car-link", "at /dev/no-adapter-here") as server:
        visit = come_in(browser, server)
        visit.goto(PORT)
        visit.page.get_by_role("button", name="Read everything now").click()
        expect(visit.page.get_by_role("heading", name="The car could not be asked")).to_be_visible()
        expect(visit.page.get_by_text("look at plug, pairing and permissions")).to_be_visible()
        visit.context.close()
