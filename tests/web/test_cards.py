"""The run sheet as cards in a real browser: what fits a screen, what it costs in taps, cautions before the act, taking back, what is called for."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, expect

from browsing import (
    PHONE,
    Serving,
    Thumb,
    Visit,
    all_sent,
    answer,
    at,
    begin_job,
    claims_of,
    come_in,
    desk_at,
    done_at,
    ready,
    serving,
)
from claiming import do_until, without_cards
from wheelside.jobs.work.doing import begin
from wheelside.sheet.ask import pick
from wheelside.sheet.cautions import Caution, caution_of, of_act
from wheelside.sheet.option import Cause, Codes, YesNo
from wheelside.sheet.step_words import Does
from wheelside.web.cards import in_tiles

pytestmark = pytest.mark.timeout(240)

IN_SIGHT = """() => {
  const pin = document.querySelector('.pin').getBoundingClientRect(), row = document.querySelector('.card-one:not([hidden]) .in-hand');
  const asks = [...row.querySelectorAll('.step:not([hidden]) .asks')].map(e => e.getBoundingClientRect().bottom);
  const waits = [...row.querySelectorAll('[data-waiting]:not([hidden])')].reduce((sum, e) => sum + e.offsetHeight, 0); // only out of its turn
  return {main: Math.max(...asks) + scrollY - waits, scrolled: scrollY, pin: pin.top, end: pin.bottom, wide: document.documentElement.scrollWidth};
}"""
"""Where the answers of the step in hand end, and where the pinned action begins."""


HEADS = """() => [...document.querySelectorAll('.card-one:not([hidden]) .done .rowhead')].filter(e => e.offsetHeight).map(e => {
  const shown = [...e.querySelectorAll('.corner, .found')].filter(c => c.offsetHeight);
  return [e.offsetHeight, shown.map(c => c.offsetHeight), shown.map(c => c.textContent)];
})"""
"""How high each row is that is done, and what stands in it."""


def in_hand(visit: Visit) -> str:
    """The step in hand, its cautions read."""
    while visit.page.locator("[data-gate]").is_visible():
        visit.page.locator("[data-act]").click()
    return str(visit.page.locator(".in-hand .step:visible").get_attribute("data-step"))


def test_the_demo_job_on_a_phone_each_card_within_one_screen_and_every_tap_counted(
    browser: Browser, server: Serving
) -> None:
    """A tap for a choice, one to enter a field, one to send; cautions are counted apart."""
    visit = come_in(browser, server, **PHONE)
    sheet = begin_job(visit)
    thumb, low = Thumb(), []
    while not visit.page.locator("[data-over]").is_visible():
        if visit.page.locator("[data-gate]").is_visible():
            visit.page.locator("[data-act]").click()
            thumb.read += 1
            continue
        step, seen = in_hand(visit), visit.page.evaluate(IN_SIGHT)
        if seen["main"] > seen["pin"] or seen["scrolled"] or seen["end"] > 844.5 or seen["wide"] > 390:
            low.append((step, seen))
        answer(visit, thumb=thumb)
    assert low == []
    all_sent(visit)
    visit.page.locator("[data-act]").click()
    visit.page.get_by_role("button", name="Finish, and seal the proof").click()
    expect(visit.page.locator(".big-id")).to_have_text("E4")
    sys.stdout.write(
        f"\nfrom begin to proof: {thumb.taps + 2} taps, {thumb.typed} characters, {thumb.read} taps on cautions\n"
    )
    assert thumb.taps <= 85
    assert thumb.typed <= 125
    assert thumb.read <= 16
    assert visit.errors == []
    visit.only_own_requests()
    visit.goto(sheet)
    ready(visit)
    expect(visit.page.get_by_text("This job is finished")).to_be_visible()
    visit.context.close()


def test_each_card_at_twice_the_text_on_a_small_screen_and_by_axe(browser: Browser, server: Serving) -> None:
    visit = come_in(browser, server, **PHONE)
    begin_job(visit)
    page = visit.page
    found: list[tuple[object, ...]] = []
    for n in range(1, page.locator("[id^=card-]").count() + 1):
        page.evaluate("n => { location.hash = '#card-' + n }", n)
        expect(page.locator("[data-goto][aria-current]")).to_have_attribute("data-goto", str(n))
        if page.locator("[data-gate]").is_visible():
            found += [(n, "gate", v["id"]) for v in Axe().run(page).response["violations"]]
        if page.locator(f"#card-{n} .step").evaluate_all("s => s.every(e => e.dataset.calls)"):
            continue  # nothing calls for it
        step = in_hand(visit)
        found += [(step, v["id"], v["nodes"][0]["html"][:90]) for v in Axe().run(page).response["violations"]]
        page.evaluate("document.documentElement.style.fontSize = '212.5%'")
        seen = page.evaluate(IN_SIGHT)
        if (seen["main"] > 844 + seen["pin"] and not page.locator(f"#step-{step}[data-tap=done]").count()) or seen[
            "wide"
        ] > 390:
            found.append((step, "at 200 %", str(seen)))
        page.evaluate("document.documentElement.style.fontSize = ''")
        page.set_viewport_size({"width": 320, "height": 640})
        if page.evaluate("document.documentElement.scrollWidth") > 320:
            found.append((step, "wider than 320 px", ""))
        page.set_viewport_size(PHONE["viewport"])
    page.get_by_role("button", name="All cards").click()
    found += [("all cards", v["id"], v["nodes"][0]["html"][:90]) for v in Axe().run(page).response["violations"]]
    assert found == []
    visit.context.close()


def test_no_act_without_its_cautions_read_on_this_phone_and_again_after_two_hours(
    browser: Browser, server: Serving
) -> None:
    visit = come_in(browser, server, **PHONE)
    sheet = begin_job(visit)
    page, gate, act = visit.page, visit.page.locator("[data-gate]"), visit.page.locator("[data-act]")
    expect(gate).to_be_visible()
    expect(gate).to_contain_text("Clear nothing in a brake, airbag or steering unit.")
    page.evaluate("document.querySelector('#step-snapshot input').checked = true")
    page.locator("#step-snapshot form").evaluate("f => f.requestSubmit()")
    page.wait_for_timeout(300)
    assert claims_of(server.book) == []
    expect(act).to_have_text("I have read this: go on")
    act.click()
    expect(gate).to_be_hidden()
    answer(visit)
    page.reload()
    ready(visit)
    expect(gate).to_be_hidden()
    visit.context.clock.fast_forward("01:59:00")
    expect(gate).to_be_hidden()
    answer(visit, {"pick": "none"})
    expect(gate).to_contain_text("Stand aside of the sidewall.")
    act.click()
    visit.context.clock.fast_forward("02:00:01")
    expect(gate).to_contain_text("Stand aside of the sidewall.")
    other = come_in(browser, server, "Ben", **PHONE)
    other.goto(sheet)
    ready(other)
    expect(other.page.locator("[data-gate]")).to_be_visible()
    for v in (visit, other):
        v.context.close()


def test_what_can_hurt_most_is_read_each_time_and_what_an_answer_calls_for_comes_offline_too(
    browser: Browser, server: Serving
) -> None:
    visit = come_in(browser, server, **PHONE)
    sheet = begin_job(visit)
    desk = desk_at(server.book)
    do_until(desk, sheet.removeprefix("/jobs/"), "codes-now")
    desk.close()
    page, gate, act = visit.page, visit.page.locator("[data-gate]"), visit.page.locator("[data-act]")
    page.reload()
    ready(visit)
    at(visit, "codes-now")
    visit.context.set_offline(True)
    page.locator("#step-codes-now").get_by_label("some", exact=True).check(force=True)
    act.click()
    expect(gate).to_contain_text("Each time, before: clear the old codes")
    expect(gate).to_contain_text("Parked, never while the car moves.")
    act.click()
    expect(page.locator("#step-clear-codes")).to_be_visible()
    page.locator("#step-clear-codes").get_by_label("something is not so", exact=False).check(force=True)
    act.click()
    page.locator("[data-undo-tap]").click()
    expect(gate).to_contain_text("Each time, before: clear the old codes")
    visit.context.close()


def test_of_a_wheel_that_lost_its_air_is_asked_what_can_be_answered(browser: Browser, server: Serving) -> None:
    """Nobody pumps up a wheel that a workshop has; one that is only soft has no cause to be found."""
    visit = come_in(browser, server, **PHONE)
    begin_job(visit)
    at(visit, "fetch-w1")
    form = visit.page.locator("#step-fetch-w1")
    box, cause, pumped = (
        form.locator("[name=a-pressure-w1]"),
        form.locator("[data-ask=cause]"),
        form.locator("[data-ask=pumped]"),
    )
    for said, chosen, shown in (
        ("1.9", "", (False, False)), ("1.7", "", (False, True)), ("1.2", "", (True, False)),
        ("1.2", Cause.WORKSHOP, (True, False)), ("1.2", Cause.MENDED, (True, True)),
    ):  # fmt: skip
        box.fill(said)
        if chosen:
            cause.locator(f"input[value={chosen}]").check(force=True)
        assert (cause.is_visible(), pumped.is_visible()) == shown, (said, chosen)
    visit.context.close()


def test_ten_seconds_to_take_back_and_a_refused_answer_moves_nothing(browser: Browser, server: Serving) -> None:
    visit = come_in(browser, server, **PHONE)
    begin_job(visit)
    page, undo = visit.page, visit.page.locator("[data-undo]")
    at(visit, "fetch-w1")
    box = page.locator("#step-fetch-w1 [name=a-pressure-w1]")
    for said, why in (("", "Answer this first"), ("low", "Write a figure"), ("2.4 ells", "2.4 ells")):
        box.fill(said)
        page.locator("[data-act]").click()
        expect(page.locator("#step-fetch-w1 .wrong")).to_contain_text(f"■ {why}" if said != "2.4 ells" else why)
        expect(box).to_be_focused()
        expect(box).to_have_attribute("aria-invalid", "true")
    box.fill("2.31")
    done_at(visit, "fetch-w1")
    expect(undo).to_contain_text("W1 saved")
    expect(undo.locator("i:visible")).to_have_count(10)
    undo.get_by_role("button").click()
    expect(page.locator("#step-fetch-w1")).to_be_visible()
    expect(box).to_have_value("2.31")
    box.fill("2.13")
    done_at(visit, "fetch-w1")
    expect(undo).to_be_visible()
    visit.context.clock.fast_forward("00:11")
    expect(undo).to_be_hidden()
    all_sent(visit)
    answer(visit)
    expect(page.locator(".row-one:visible", has_text="W1").locator(".found")).to_contain_text("2.13 70D6 10FE")
    assert [s for s, _ in claims_of(server.book)].count("fetch-w1") == 4
    at(visit, "parts")
    assert answer(visit) == "parts"
    written = page.locator("#step-write-w3 .big").inner_text()
    assert answer(visit) == "write-w3"
    assert written not in page.locator("main").inner_text()  # what is read back is read, not copied
    wrongly = page.locator("aside li:not([hidden])", has_text="A sensor was written wrongly")
    expect(wrongly).to_have_count(0)
    page.locator("#step-read-back-w3 [name=a-id-w3]").fill("12345678")
    done_at(visit, "read-back-w3")
    expect(wrongly).to_have_count(1)
    visit.context.close()


def test_a_job_from_before_there_were_cards_opens_as_the_plain_list_of_steps(browser: Browser, book_file: Path) -> None:
    desk = desk_at(book_file)
    job = begin(desk).job
    assert job is not None
    without_cards(desk, job, "0123456789abcdef")
    desk.close()
    with serving(book_file) as server:
        visit = come_in(browser, server, **PHONE)
        visit.goto("/jobs/0123456789abcdef")
        ready(visit)
        page = visit.page
        assert page.locator("[data-act]").count() == 0
        section = page.locator("section.step:visible")
        section.get_by_label("lights, then goes out", exact=True).check()
        section.get_by_role("button", name="Done").click()
        expect(page.locator("[data-line]")).to_have_text("✓ All answers are in the book.")
        expect(page.locator("[data-count]")).to_have_text("1")
        page.locator("[data-list] summary").click()
        expect(page.get_by_role("link", name="Finish the job")).to_be_visible()
        assert visit.errors == []
        visit.context.close()


def test_the_desk_has_the_cards_at_its_left_and_how_and_why_at_its_right(browser: Browser, server: Serving) -> None:
    device: dict[str, Any] = {"viewport": {"width": 1280, "height": 900}}
    visit = come_in(browser, server, **device)
    begin_job(visit)
    at(visit, "air-w1")
    where = visit.page.evaluate(
        "() => ['aside', '.in-hand:not([hidden]) .step:not([hidden])', '.card-one:not([hidden]) .side details[open] p', '.pin'].map(s => "
        "[...document.querySelectorAll(s)].map(e => e.getBoundingClientRect()).find(r => r.width).left)"
    )
    left, middle, right, pin = where
    assert left < middle < right
    assert pin < right
    visit.context.close()


def test_no_button_says_no_and_nothing_else() -> None:
    """Whatever is asked by yes or no, also what no sheet asks today."""
    for id_ in ("written", "confirms", "stored", "lit", "out", "of another day"):
        yes, no = in_tiles(pick(id_, "Is it so", YesNo, YesNo.YES))
        assert len(no.split()) > 1, id_
        assert yes.startswith("Yes, "), id_
    assert in_tiles(pick("codes", "Stored and pending codes", Codes, "")) == ("none", "some", "not read")


def test_each_clause_of_a_caution_stands_on_a_line_of_its_own_and_once(browser: Browser, server: Serving) -> None:
    visit = come_in(browser, server, **PHONE)
    begin_job(visit)
    page = visit.page
    page.evaluate("location.hash = '#step-fit-w1'")
    expect(page.locator("[data-gate] > .main > ol > li > b").first).to_have_text(Caution.LIFT.words)
    said = page.locator("[data-gate] ul li").all_inner_texts()
    before = dict.fromkeys(c.words for one in of_act(Does.FIT) if (found := caution_of(one)) for c in found.clauses)
    assert said == list(before)
    while page.locator("[data-gate]").is_visible():
        page.locator("[data-act]").click()
    page.locator("#card-5 details.care > summary").click()
    folded = page.locator("#card-5 details.care > div > ol > li").first.locator("ul li").all_inner_texts()
    assert folded == [clause.words for clause in Caution.LIFT.clauses]
    visit.context.close()


def test_a_row_that_is_done_takes_one_line_or_two_neat_ones(browser: Browser, server: Serving) -> None:
    """What was found stands beside its row's name, or whole below it, also where the wheel's corner is long."""
    visit = come_in(browser, server, **PHONE)
    sheet = begin_job(visit)
    desk = desk_at(server.book)
    do_until(desk, sheet.removeprefix("/jobs/"), "look-later")
    desk.close()
    page = visit.page
    page.reload()
    ready(visit)
    found, lines = [], set()
    for n in range(1, page.locator("[id^=card-]").count() + 1):
        page.evaluate("n => { location.hash = '#card-' + n }", n)
        expect(page.locator("[data-goto][aria-current]")).to_have_attribute("data-goto", str(n))
        for row, high, text in page.evaluate(HEADS):
            found += [(n, row, part, one) for part, one in zip(text, high, strict=True) if one > 30]
            lines.add(round(row / 25))
    assert found == []
    assert lines == {2}  # 48 px for a finger, whether that is one line or two
    visit.context.close()
