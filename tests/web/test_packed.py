"""Rows are packed, and the page's script unpacks them to the letter."""

from __future__ import annotations

import re

from hypothesis import given, settings
from hypothesis import strategies as st
from markupsafe import Markup, escape
from playwright.sync_api import Browser, Page

from browsing import Serving, begin_job, come_in
from wheelside.web.packed import Seen, packed

WORDS = st.sampled_from(["W1", "W2", "front", "~0", "^0", "^", "é", "\U0001f6de", "a=b", "<", "", "left"])
TEXTS = st.lists(st.lists(WORDS, max_size=4).map(" ".join), max_size=5).map("\n".join)
CARDS = st.lists(st.lists(TEXTS.map(escape).map("<p>{}</p>".format).map(Markup), min_size=1, max_size=4), max_size=4)
UNPACK = """async ([cards, whole]) => {
  const {unpack} = await import(document.querySelector("link[rel=icon]").href.replace("icon.svg", "rows.js"));
  const root = document.createElement("div"), as = document.createElement("div");
  root.innerHTML = cards.map(one => `<script type="text/plain">${one}</script>`).join("<hr>");
  unpack(root); as.innerHTML = whole.map(rows => rows.join("")).join("<hr>");
  return [root.innerHTML, as.innerHTML];
}"""


def tried(page: Page, cards: list[list[Markup]]) -> int:
    """How many letters the rows take as they are sent."""
    seen = Seen()
    sent = [str(packed(list(rows), seen)) for rows in cards]
    unpacked, whole = page.evaluate(UNPACK, [sent, [[str(row) for row in rows] for rows in cards]])
    assert unpacked == whole
    return sum(map(len, sent))


def test_rows_are_unpacked_to_the_letter(browser: Browser, server: Serving) -> None:
    visit = come_in(browser, server)

    @settings(max_examples=200)
    @given(CARDS)
    def each(cards: list[list[Markup]]) -> None:
        tried(visit.page, cards)

    each()
    rows = [Markup(f"<p>wheel W{n}</p>\n<b>gauge of wheel W{n}</b>") for n in (1, 2, 3)]
    assert tried(visit.page, [rows, [rows[0] + Markup("\n<i>more</i>")]]) < 100
    visit.context.close()


def cells(path: str) -> set[tuple[int, int]]:
    """The modules that the strokes of a path cover, from its top left; the path's pen may be moved from where it is."""
    found, x, y = set(), 0, 0
    for sign, across, down in re.findall(r"([Mmh])(-?\d+)(?: (\d+))?", path):
        if sign == "h":
            found |= {(x + n, y) for n in range(int(across))}
            x += int(across)
        else:
            x, y = (int(across), int(down)) if sign == "M" else (x + int(across), y)
    return found


def test_the_script_draws_the_qr_codes_that_a_page_without_script_has(browser: Browser, server: Serving) -> None:
    visit = come_in(browser, server)
    job = begin_job(visit)
    drawn = dict(
        visit.page.evaluate("[...document.querySelectorAll('symbol')].map(s => [s.id, s.firstChild.getAttribute('d')])")
    )
    plain = visit.fetch(f"{job}?plain=1").decode()
    wanted = dict(re.findall(r'<symbol id="(qr-\w+)".*?<path d="([^"]+)"', plain))
    assert len(wanted) == 2
    assert {one: cells(path) for one, path in drawn.items()} == {one: cells(path) for one, path in wanted.items()}
    assert all((n, 0) in cells(path) for path in drawn.values() for n in range(7))  # a finder pattern's edge
    visit.context.close()
