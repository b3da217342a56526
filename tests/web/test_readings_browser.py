"""Readings of a spreadsheet are taken in, and a mistaken one is put right, from a real browser: with script and without."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, expect

from browsing import DESKTOP, PHONE, Serving, Visit, come_in, serving
from sheetfiles import xlsx
from wheelside.demo import household
from wheelside.jobs.book.desk import new_desk
from wheelside.jobs.book.files import take_in_text

DAY = datetime.fromisoformat("2020-11-25T12:00:00")
SHEET = xlsx({"Werte": [["Reifen", "Datum", "Druck", "Notiz"], ["S1", DAY, 2.4, "kalt"], ["S2", DAY, 2.5, None]]})


@pytest.fixture
def server(tmp_path: Path) -> Iterator[Serving]:
    book = tmp_path / "household.book"
    desk = new_desk(str(book))
    take_in_text(desk, household().decode(), "household.toml")
    desk.close()
    with serving(book) as made:
        yield made


WAYS: dict[str, dict[str, Any]] = {
    "phone": {**PHONE, "color_scheme": "light"},
    "desk": {**DESKTOP, "color_scheme": "dark"},
    "phone without script": {**PHONE, "java_script_enabled": False},
}


@pytest.mark.parametrize("way", WAYS)
def test_a_spreadsheet_is_taken_in_and_a_mistake_put_right(
    browser: Browser, server: Serving, tmp_path: Path, way: str
) -> None:
    visit = come_in(browser, server, **WAYS[way])
    page = visit.page

    def sound() -> None:
        if "script" not in way:
            _sound(visit)

    (tmp_path / "r.xlsx").write_bytes(SHEET)
    visit.goto("/settings")
    sound()
    page.get_by_label("Take readings in").set_input_files(tmp_path / "r.xlsx")
    page.get_by_role("button", name="See its columns").click()
    sound()
    page.get_by_label("Druck").select_option("pressure, gauge")
    page.get_by_label("Notiz").select_option("left out")
    page.get_by_label("Unit of the pressures").select_option("kPa")
    page.get_by_role("button", name="Look at what would be kept").click()
    expect(page.get_by_text("Line 2: 2.4 kPa is not a pressure of a wheel in use.")).to_be_visible()
    sound()
    page.get_by_label("It really was so").first.check()
    page.get_by_label("It really was so").last.check()
    page.get_by_role("button", name="Look at what would be kept").click()
    expect(page.get_by_text("2 new, 0 known already")).to_be_visible()
    sound()
    page.screenshot(path="/tmp/rd-look.png", full_page=True)
    page.get_by_role("button", name="Keep 2 readings").click()
    expect(page.get_by_text("2 readings are kept.")).to_be_visible()
    visit.goto("/things/wheel/S1")
    page.get_by_role("link", name="Noted by mistake?").first.click()
    sound()
    page.screenshot(path="/tmp/rd-wheel.png", full_page=True)
    page.get_by_label("What is wrong with it").select_option("wrong unit")
    page.get_by_label("The right gauge pressure").fill("2.4 bar")
    page.get_by_role("button", name="Mark it as mistaken").click()
    expect(page.get_by_text("noted by mistake (wrong unit), says Ada")).to_be_visible()
    expect(page.get_by_text("2.40 bar")).to_be_visible()
    sound()
    visit.only_own_requests()
    assert visit.errors == []
    visit.context.close()


def _sound(visit: Visit) -> None:
    found = [(v["id"], [n["html"][:160] for n in v["nodes"][:3]]) for v in Axe().run(visit.page).response["violations"]]
    assert found == []
    assert not visit.page.evaluate("document.documentElement.scrollWidth > document.documentElement.clientWidth")
