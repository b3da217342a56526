"""Drawings at the widths of phones and desks, and with large letters: no two texts meet, and none leaves its frame."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Playwright

from books import later
from browsing import PHONE, Serving, Visit, chromium, come_in, serving
from wheelside.demo import household
from wheelside.jobs.book.desk import Desk, new_desk
from wheelside.jobs.book.files import take_in_text
from wheelside.jobs.work.gauging import HowRead, keep_gauging

WIDTHS = (320, 390, 768, 1280)
PAGES = (
    "/", "/plan", "/air", "/things", "/things/car/estate", "/fit?car=estate&set=winter", "/answer?code=set/winter/tyre.date_code",
    "/answer?code=car/estate/inset", "/answer?code=car/estate/load_index", "/start/used?car=-new",
    "/things/set/summer", "/things/set/winter", "/air?car=estate&set=summer",
)  # fmt: skip
LEAST_TEXTS = 80
MEETING = """() => {
  document.querySelectorAll("details").forEach(d => d.open = true);
  const found = [], slack = 0.75;
  for (const svg of document.querySelectorAll("main svg:not(.qr, .codes)")) {
    const frame = svg.getBoundingClientRect();
    if (!frame.width) continue;
    const texts = [...svg.querySelectorAll("text")].filter(t => t.textContent.trim()).map(t => [t.textContent.trim(), t.getBoundingClientRect()]);
    texts.forEach(([said, a], i) => {
      if (a.left < frame.left - slack || a.right > frame.right + slack || a.top < frame.top - slack || a.bottom > frame.bottom + slack)
        found.push("leaves its frame: " + said);
      for (const [other, b] of texts.slice(i + 1)) {
        const across = Math.min(a.right, b.right) - Math.max(a.left, b.left), down = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
        if (across > slack && down > Math.min(a.height, b.height) * 0.3) found.push("meet: " + said + " | " + other);
      }
    });
  }
  const cut = [...document.querySelectorAll("main svg text")].map(t => t.textContent.trim()).filter(t => t.endsWith("…"));
  return [found, document.querySelectorAll("main svg:not(.qr, .codes) text").length, cut];
}"""


LONG = {
    '"Estate"': '"Estate of the elder sister, silver"',
    '"Summer set"': '"Summer set on the black rims"',
    '"Winter set"': '"Winter set on the black rims"',
    '"All-year set"': '"All-year set"',
    'front = "2.3 bar"\n  rear = "2.2 bar"': 'front = "2.3 bar"\n  rear = "2.29 bar"',
}
"""Names that begin alike and are long, and two axles that hardly differ."""


def with_treads(text: str) -> str:
    """The household, each tread measured twice; and its sensors of an age each."""
    measured = 'measured = [{on = 2025-11-20, tread = "7.8 mm"}, {on = 2026-11-10, tread = "6.6 mm"}]\n'
    for year in (2019, 2020, 2021):
        text = text.replace("first_used = 2022-04-02", f"first_used = {year}-04-02", 1)
    return re.sub(r"^(\[\[tyre\]\]\nids = .*\n)", rf"\1{measured}", text, flags=re.MULTILINE)


def checked(desk: Desk) -> None:
    """Four Saturdays on which the rear left wheel falls."""
    for week, low in enumerate(("2.35", "2.24", "2.12", "2.00")):
        typed = {"front left": "2.40", "front right": "2.40", "rear left": low, "rear right": "2.34", "outside": "8"}
        keep_gauging(desk, "estate", typed, HowRead(at=later((7 * week - 21) * 24 * 60.0)))


@pytest.fixture(params=["demo", "long names"])
def household_server(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Serving]:
    text = household().decode()
    for old, new in LONG.items() if request.param == "long names" else ():
        assert old in text
        text = text.replace(old, new)
    desk = new_desk(str(tmp_path / "drawn.book"))
    take_in_text(desk, with_treads(text), "household.toml")
    checked(desk)
    desk.close()
    with serving(tmp_path / "drawn.book") as made:
        yield made


def test_no_two_texts_of_a_drawing_meet_and_none_leaves_its_frame(browser: Browser, household_server: Serving) -> None:
    visit = come_in(browser, household_server, **PHONE)
    found, texts = {}, 0
    for path in PAGES:
        visit.goto(path)
        for width in WIDTHS:
            visit.page.set_viewport_size({"width": width, "height": 844})
            said, count, cut = visit.page.evaluate(MEETING)
            texts += count
            if said or len(cut) != len(set(cut)):
                found[path, width] = (said, cut)
    assert found == {}
    assert texts > LEAST_TEXTS * len(WIDTHS)
    visit.context.close()


WIDE_PAGES = ("/air?car=estate&set=summer", "/air", "/plan", "/fit?car=estate&set=winter", "/things/set/summer", "/")
SIZES = """() => {
  document.querySelectorAll("details").forEach(d => d.open = true);
  const found = [];
  for (const svg of document.querySelectorAll("main svg.drawing")) {
    const words = svg.querySelector("text");
    if (words) found.push(parseFloat(getComputedStyle(words).fontSize) * svg.getBoundingClientRect().width / svg.viewBox.baseVal.width);
  }
  const wide = [...document.querySelectorAll("main .wide")].filter(e => e.scrollWidth > e.clientWidth + 1).map(e => e.innerText.slice(0, 60));
  const frames = [...document.querySelectorAll("main .drawn")].filter(e => e.getBoundingClientRect().right > innerWidth + 1).length;
  return [found, wide, document.documentElement.scrollWidth > innerWidth + 1 || frames > 0];
}"""
GROWS = 1.85
"""As large as the page's letters; a drawing that has the screen's width at either size is a little short of it."""


def measured(visit: Visit, path: str) -> tuple[list[float], list[str], bool]:
    visit.goto(path)
    found: tuple[list[float], list[str], bool] = visit.page.evaluate(SIZES)
    return found


def test_drawings_grow_with_the_letters_and_no_table_is_wider_than_the_screen(
    player: Playwright, browser: Browser, household_server: Serving
) -> None:
    with chromium(player, letters=32) as large:
        usual, twice = (
            come_in(browser, household_server, **PHONE),
            come_in(large, household_server, person="Bo", **PHONE),
        )
        for path in WIDE_PAGES:
            before, wide, beyond = measured(usual, path)
            assert (wide, beyond) == ([], False), path
            after, wide, beyond = measured(twice, path)
            assert (wide, beyond) == ([], False), path
            assert len(before) == len(after) > 0, path
            assert all(b >= GROWS * a for a, b in zip(before, after, strict=True)), (path, before, after)
            meeting, _, _ = twice.page.evaluate(MEETING)
            assert meeting == [], path
        twice.context.close()
    usual.context.close()
