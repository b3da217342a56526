"""The conversation in a real browser, as an owner walks through it: every screen fits, is reachable and is found good by axe."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser

from browsing import DESKTOP, PHONE, Serving, context_of, serving
from phone_owner import CHANGE, LAMP, USED, Answers, Owner
from wheelside.jobs.book.desk import new_desk

NARROW: dict[str, Any] = {**PHONE, "viewport": {"width": 320, "height": 640}}
TWICE: dict[str, Any] = {**PHONE, "viewport": {"width": 195, "height": 422}}
"""A phone whose text is twice as large."""
LEAST_TARGET = 44
CUT = "[...document.querySelectorAll('nav.main .tabs a')].filter(a => a.scrollWidth > a.clientWidth).map(a => a.textContent)"
SMALL = """least => [...document.querySelectorAll("a, button, summary, input:not([type=hidden])")].filter(e => {
  const r = e.getBoundingClientRect(), s = getComputedStyle(e), hidden = s.visibility == "hidden" || e.closest(".vh, .skip");
  return r.width && !hidden && s.position != "absolute" && s.display != "inline" && (r.height < least || r.width < least);
}).map(e => e.outerHTML.slice(0, 80))"""


@pytest.fixture
def server(tmp_path: Path) -> Iterator[Serving]:
    book = tmp_path / "empty.book"
    new_desk(str(book)).close()
    with serving(book) as made:
        yield made


@pytest.mark.parametrize(
    ("device", "scheme", "errand", "answers", "bars"),
    [
        (PHONE, "light", "wheels", CHANGE, (12, 22, 60, 130)),
        (NARROW, "dark", "wheels", CHANGE, (12, 22, 60, 130)),
        (DESKTOP, "dark", "used", USED, (11, 22, 60, 130)),
        (PHONE, "light", "lamp", LAMP, (5, 0, 4, 0)),
        (TWICE, "light", "wheels", CHANGE, (12, 22, 60, 130)),
    ],
    ids=["change-phone", "change-narrow", "used-desk", "lamp-phone", "change-twice"],
)
def test_every_screen_on_the_way_fits_and_is_good(
    browser: Browser,
    server: Serving,
    device: dict[str, Any],
    scheme: str,
    errand: str,
    answers: Answers,
    bars: tuple[int, ...],
) -> None:
    context = context_of(browser, **{**device, "color_scheme": scheme})
    page = context.new_page()
    found: list[tuple[object, ...]] = []

    def look(what: str) -> None:
        violations = Axe().run(page).response["violations"]
        found.extend((what, v["id"], [n["html"][:90] for n in v["nodes"]]) for v in violations)
        found.extend((what, one) for one in page.evaluate(SMALL, LEAST_TARGET))
        if page.evaluate("document.documentElement.scrollWidth > document.documentElement.clientWidth"):
            found.append((what, "wider than the screen"))
        found.extend((what, "cut", word) for word in page.evaluate(CUT))

    page.goto(server.link())
    page.get_by_role("button", name="Come in").click()
    page.wait_for_url("**/start")
    owner = Owner(page, None, errand, look)
    owner.errand(errand)
    owner.until_answered(answers)
    for path in ("/", "/air", "/plan") if device is TWICE else ():
        page.goto(server.link().partition("/in/")[0] + path)
        look(path)
    assert found == [], found[:9]
    counted = owner.counted
    assert all(
        n <= bar
        for n, bar in zip((counted.screens, counted.fields, counted.taps, counted.characters), bars, strict=True)
    ), counted.told()
    context.close()
