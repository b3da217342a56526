"""The note for the shop in a real browser: printed, saved, sent, and answered on a fitter's phone."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect

from browsing import DESKTOP, Serving, Visit, come_in, context_of, desk_at
from wheelside.jobs.work.doing import doing
from wheelside.jobs.work.shop import links_out, note_in
from wheelside.sheet.progress import Standing

pytestmark = pytest.mark.timeout(240)
FITTER: dict[str, Any] = {
    "viewport": {"width": 390, "height": 844}, "device_scale_factor": 2, "is_mobile": True, "has_touch": True,
}  # fmt: skip
CAN_SHARE = """
window.shared = [];
navigator.canShare = () => true;
navigator.share = async what => { window.shared.push([what.files[0].name, what.files[0].type, await what.files[0].text()]); };
"""
CANNOT_SHARE = "Object.defineProperty(navigator, 'share', {value: undefined, writable: true});"


def at_the_note(visit: Visit) -> str:
    """Begins a job and goes to its note, as its owner does; the job's id."""
    visit.page.get_by_role("button", name="Begin: ").click()
    visit.page.wait_for_url("**/jobs/*")
    visit.goto("/jobs")
    visit.page.get_by_role("link", name="note for the shop").click()
    expect(visit.page.get_by_role("button", name="Print")).to_be_visible()
    return visit.page.url.rsplit("/", 2)[1]


def on_one_sheet(page: Page) -> bool:
    """Whether it prints on one sheet, with nothing on it to be clicked."""
    page.emulate_media(media="print")
    pages = re.findall(rb"/Type\s*/Page\b", page.pdf(format="A4"))
    shown = page.locator("a, button").filter(visible=True).count()
    page.emulate_media(media="screen")
    return len(pages) == 1 and not shown


def flaws(page: Page) -> list[str]:
    return [v["id"] for v in Axe().run(page).response["violations"]]


def test_the_note_is_printed_saved_and_sent(browser: Browser, server: Serving) -> None:
    owner = come_in(browser, server, **DESKTOP)
    owner.page.add_init_script(CANNOT_SHARE)
    at_the_note(owner)
    expect(owner.page.get_by_role("button", name="Send")).to_be_hidden()
    with owner.page.expect_download() as got:
        owner.page.get_by_role("link", name="Save as one file").click()
    saved = got.value.path().rename(got.value.path().with_suffix(".html"))
    alone = context_of(browser, offline=True, **FITTER).new_page()
    alone.goto(saved.as_uri())
    expect(alone.get_by_role("heading", level=1)).to_have_text("Please change the sensor in W3, W4")
    assert [on_one_sheet(owner.page), on_one_sheet(alone)] == [True, True]
    assert flaws(owner.page) + flaws(alone) == []
    owner.page.add_init_script(CAN_SHARE)
    owner.page.reload()
    owner.page.get_by_role("button", name="Send").click()
    owner.page.wait_for_function("window.shared.length === 1")
    assert owner.page.evaluate("window.shared[0]") == [got.value.suggested_filename, "text/html", saved.read_text()]
    assert owner.errors == []
    owner.only_own_requests()
    alone.context.close()
    owner.context.close()


def test_a_fitter_answers_on_a_phone_until_the_link_is_ended(
    browser: Browser, server: Serving, book_file: Path
) -> None:
    owner = come_in(browser, server, **DESKTOP)
    job = at_the_note(owner)
    owner.page.get_by_role("button", name="Link for the shop").click()
    link = owner.page.locator("code").inner_text()
    desk = desk_at(book_file)
    ids = [w.id[-4:] for w in note_in(doing(desk, job)).wheels]
    phone = context_of(browser, **FITTER)
    page = phone.new_page()
    page.goto(link)
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    for box, said in zip(page.get_by_label("ID that wheel").all(), ids, strict=True):
        box.fill(said)
    page.get_by_label("no bubbles", exact=True).check()
    page.get_by_role("button", name="Send").click()
    expect(page.get_by_text("Your answers are in")).to_be_visible()
    assert flaws(page) == []
    assert phone.cookies() == []
    assert [s.standing for s in doing(desk, job).states if s.step.id == "shop"] == [Standing.DONE]
    owner.goto(f"/jobs/{job}#step-shop")
    expect(owner.page.locator("#step-shop [data-mark]")).to_contain_text("done")
    owner.goto(f"/jobs/{job}/note")
    owner.page.get_by_role("button", name="End the link").click()
    expect(owner.page.get_by_role("button", name="Link for the shop")).to_be_visible()
    page.reload()
    expect(page.get_by_role("heading", level=1)).to_have_text("This link leads nowhere")
    assert links_out(desk) == ()
    assert owner.errors == []
    desk.close()
    phone.close()
    owner.context.close()
