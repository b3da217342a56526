"""Rows are packed, and the page's script unpacks them to the letter."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st
from markupsafe import Markup, escape
from playwright.sync_api import Browser, Page

from browsing import Serving, come_in
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
