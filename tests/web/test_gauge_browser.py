"""A Saturday's check from a real phone: a wheel that falls, its sentence, where it stands, and a check without a network."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect

from books import later
from browsing import DESKTOP, PHONE, Serving, Visit, come_in, serving
from wheelside.demo import household
from wheelside.jobs.book.desk import new_desk
from wheelside.jobs.book.files import take_in_text
from wheelside.jobs.source import now
from wheelside.jobs.work.gauging import HowRead, keep_gauging

WEEK_MIN = 7 * 24 * 60.0
CORNERS = ("front left", "front right", "rear left", "rear right")
MOST_TAPS = 12


@pytest.fixture
def server(tmp_path: Path) -> Iterator[Serving]:
    """A household whose rear left wheel has fallen for three weeks."""
    book, at = tmp_path / "household.book", now()
    desk = new_desk(str(book), clock=lambda: later(-4 * WEEK_MIN, at))
    take_in_text(desk, household().decode(), "household.toml")
    for week, low in enumerate(("2.35", "2.24", "2.12")):
        desk.clock = lambda week=week: later((week - 3) * WEEK_MIN, at)  # type: ignore[misc]
        typed = {"front left": "2.40", "front right": "2.39", "rear left": low, "rear right": "2.34", "outside": "8"}
        keep_gauging(desk, "estate", typed, HowRead())
    desk.close()
    with serving(book) as made:
        yield made


class Thumb:
    """Taps, counted; digits apart."""

    def __init__(self, page: Page) -> None:
        self.page, self.taps = page, 0

    def tap(self, role: Any, name: str) -> None:
        self.page.get_by_role(role, name=name).first.click()
        self.taps += 1

    def type(self, label: str, text: str) -> None:
        self.page.get_by_label(label).click()
        self.taps += 1
        self.page.keyboard.type(text)


WAYS: dict[str, dict[str, Any]] = {
    "phone": {**PHONE, "color_scheme": "light"},
    "desk": {**DESKTOP, "color_scheme": "dark"},
    "phone without script": {**PHONE, "java_script_enabled": False},
}


@pytest.mark.parametrize("way", WAYS)
def test_a_saturday_check_from_now_to_its_sentence(browser: Browser, server: Serving, way: str) -> None:
    visit = come_in(browser, server, **WAYS[way])
    page, thumb = visit.page, Thumb(visit.page)
    visit.goto("/")
    thumb.tap("link", "Check in a minute")
    sound(visit, way)
    for corner, figure in zip(CORNERS, ("2.38", "2.38", "2.00", "2.33"), strict=True):
        thumb.type(corner, figure)
    thumb.type("outside", "8")
    thumb.tap("button", "Keep this check")
    expect(page.get_by_role("heading", name="S3 loses 0.5")).to_be_visible()
    expect(page.get_by_text("Lamp: ")).to_be_visible()
    sound(visit, way)
    assert thumb.taps <= MOST_TAPS
    thumb.tap("link", "Back to Now")
    expect(page.get_by_text("▲ loses 0.5").first).to_be_visible()
    page.get_by_role("link", name="S3").first.click()
    expect(page.get_by_role("heading", name="Find the leak of S3")).to_be_visible()
    sound(visit, way)
    page.get_by_role("button", name="The valve").click()
    visit.goto("/gauge")
    page.get_by_label("rear left").fill("2.5")
    page.get_by_role("button", name="Keep this check").click()
    expect(page.get_by_text("look again on").first).to_be_visible()
    assert visit.errors == []
    visit.context.close()


def test_a_check_without_a_network_waits_on_the_phone_and_is_sent_later(browser: Browser, server: Serving) -> None:
    visit = come_in(browser, server, **PHONE)
    page = visit.page
    visit.goto("/gauge")
    for corner, figure in zip(CORNERS, ("2.38", "2.38", "2.00", "2.33"), strict=True):
        page.get_by_label(corner).fill(figure)
    expect(page.get_by_text("4 of 4 figures")).to_be_visible()
    visit.context.set_offline(True)
    page.get_by_role("button", name="Keep this check").click()
    expect(page.get_by_text("one check is kept on this phone")).to_be_visible()
    expect(page.get_by_label("rear left")).to_have_value("")
    visit.context.set_offline(False)
    expect(page.get_by_text("kept on this phone")).to_be_hidden()
    visit.goto("/gauge/said?car=estate")
    expect(page.get_by_role("heading", name="S3 loses")).to_be_visible()
    visit.context.close()


def sound(visit: Visit, way: str) -> None:
    """No complaint of axe, nothing wider than the screen, every target large enough."""
    page = visit.page
    page.wait_for_load_state()
    assert not page.evaluate("document.documentElement.scrollWidth > document.documentElement.clientWidth")
    if "script" in way:
        return
    found = [(v["id"], [n["html"][:160] for n in v["nodes"][:3]]) for v in Axe().run(page).response["violations"]]
    assert found == []
    small = page.evaluate(
        "[...document.querySelectorAll('main a, main button, main input:not([type=hidden]):not([type=radio]), main summary')]"
        ".filter(e => e.offsetParent && e.getBoundingClientRect().height < 43.5 && !e.closest('p.line')).map(e => e.outerHTML.slice(0, 90))"
    )
    assert small == []
