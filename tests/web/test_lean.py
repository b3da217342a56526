"""What is sent of style sheets and scripts means what the files say."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import Browser

import wheelside.web
from browsing import context_of
from wheelside.web.lean import lean_script, lean_style

STATIC = Path(wheelside.web.__file__).parent / "static"
RULES = "text => { const s = new CSSStyleSheet(); s.replaceSync(text); return [...s.cssRules].map(r => r.cssText.replaceAll(', ', ',')) }"


def test_a_lean_style_sheet_has_the_same_rules_to_a_browser(browser: Browser) -> None:
    context = context_of(browser)
    page = context.new_page()
    for path in STATIC.glob("*.css"):
        text = path.read_text()
        assert (found := page.evaluate(RULES, text)) == page.evaluate(RULES, lean_style(text)), path.name
        assert len(found) > 20
        assert len(lean_style(text)) < 0.95 * len(text)
    context.close()


@pytest.mark.parametrize("path", sorted(STATIC.glob("*.js")), ids=lambda path: str(path.name))
def test_of_a_script_only_remarks_and_blanks_go(path: Path) -> None:
    text, blank = path.read_text(), re.compile(r"\s+")
    lean = lean_script(text)
    without = "".join(part.partition("*/")[2] if n else part for n, part in enumerate(text.split("/* ")))
    assert blank.sub("", lean) == blank.sub("", without)
    assert all(line == line.strip() for line in lean.split("\n"))
    assert not re.search(r"`[^`\n]*\n[^`\n]*`", re.sub(r"`[^`\n]*`", "", text)), "a text of several lines"


def test_what_looks_like_a_remark_within_a_text_stays() -> None:
    assert lean_script('const a = "image/*", b = 2; /* two */\n') == 'const a = "image/*", b = 2;\n'
