"""The lamp is on, from a real phone and a desk, with and without script: from Now to the first test that is not the air, in taps."""

from __future__ import annotations

from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect

from browsing import DESKTOP, PHONE, Serving, come_in

WAYS: dict[str, dict[str, Any]] = {
    "phone": {**PHONE, "color_scheme": "light"},
    "desk": {**DESKTOP, "color_scheme": "dark"},
    "phone without script": {**PHONE, "java_script_enabled": False},
}
CORNERS = ("front left", "front right", "rear left", "rear right")
MOST_TAPS = 10


@pytest.mark.parametrize("way", WAYS)
def test_from_now_to_what_to_do_first(browser: Browser, server: Serving, way: str) -> None:
    visit = come_in(browser, server, **WAYS[way])
    page, taps = visit.page, 0

    def tap(role: Any, name: str) -> None:
        nonlocal taps
        page.get_by_role(role, name=name).first.click()
        taps += 1
        sound(page, way)

    visit.goto("/")
    tap("link", "The lamp is on")
    tap("button", "Estate")
    expect(page.get_by_role("heading", name="Walk round the car")).to_be_visible()
    tap("button", "No, all four look the same")
    tap("button", "Flashes a minute")
    expect(page.get_by_role("heading", name="Gauge all four")).to_be_visible()
    for corner, figure in zip(CORNERS, ("2.40", "2.40", "2.34", "2.35"), strict=True):
        page.get_by_label(corner).fill(figure)
        taps += 1
    tap("button", "Keep these and go on")
    expect(page.get_by_role("heading", name="Wake each wheel's sensor")).to_be_visible()
    expect(page.get_by_text("worn-out sensor battery").last).to_be_visible()
    assert taps <= MOST_TAPS
    page.get_by_text("Counted already").click()
    page.get_by_role("button", name="Does not count").first.click()
    page.get_by_text("Counted already").click()
    expect(page.get_by_role("button", name="Counts again")).to_be_visible()
    sound(page, way)
    assert visit.errors == []
    visit.context.close()


def sound(page: Page, way: str) -> None:
    """No complaint of axe, nothing wider than the screen."""
    page.wait_for_load_state()
    if "script" in way:
        return
    assert not page.evaluate("document.documentElement.scrollWidth > document.documentElement.clientWidth")
    found = [(v["id"], [n["html"][:160] for n in v["nodes"][:3]]) for v in Axe().run(page).response["violations"]]
    assert found == []
