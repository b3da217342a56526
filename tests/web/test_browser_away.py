"""A job in real browsers while the network is away, a page is closed, and several phones or windows work on it."""

from __future__ import annotations

import urllib.request
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Playwright, Route, expect

from browsing import (
    PHONE,
    Serving,
    Visit,
    all_sent,
    answer,
    at,
    begin_job,
    chromium,
    claims_of,
    clock_of,
    come_in,
    context_of,
    desk_at,
    done_at,
    ready,
    serving,
    trust,
    unfold,
    wait_for,
)
from wheelside.jobs.source import now
from wheelside.units.moment import US_PER_S

pytestmark = pytest.mark.timeout(240)


def test_the_network_is_cut_for_ten_steps_over_plain_http_on_an_insecure_name(
    browser: Browser, server: Serving
) -> None:
    visit = come_in(browser, server)
    begin_job(visit)
    assert visit.page.evaluate("isSecureContext") is False
    assert visit.page.evaluate("'serviceWorker' in navigator") is False
    assert visit.page.evaluate("crypto.subtle === undefined") is True
    first = answer(visit)
    all_sent(visit)
    visit.context.set_offline(True)
    away = [answer(visit) for _ in range(10)]
    expect(visit.page.locator("[data-line]")).to_have_text("▲ no network, 10 kept here")
    assert len(claims_of(server.book)) == 1
    visit.context.set_offline(False)
    all_sent(visit)
    kept = claims_of(server.book)
    assert [s for s, _ in kept] == [first, *away]
    assert len({c for _, c in kept}) == 11
    visit.context.close()


def test_answers_that_arrived_but_were_not_acknowledged_are_kept_once(browser: Browser, server: Serving) -> None:
    visit = come_in(browser, server)
    begin_job(visit)
    lost: list[str] = []

    def lose(route: Route) -> None:
        """Lets what is sent arrive, and loses the answer on its way back, three times."""
        if len(lost) == 3:
            route.continue_()
            return
        sent = route.request
        headers = {k: v for k, v in sent.all_headers().items() if not k.startswith(":")}
        headers["host"] = f"127.0.0.1:{server.port}"
        headers["origin"] = f"http://127.0.0.1:{server.port}"
        visit.send(
            urllib.request.Request(visit.local(sent.url), (sent.post_data or "").encode(), headers, method="POST")
        )
        lost.append(sent.url)
        route.abort()

    visit.page.route("**/evidence", lose)
    done = [answer(visit), answer(visit)]
    all_sent(visit)
    assert len(lost) == 3
    assert [s for s, _ in claims_of(server.book)] == done
    visit.context.close()


def test_over_tls_the_sheet_is_loaded_again_while_the_network_is_away(
    player: Playwright, book_file: Path, tmp_path: Path
) -> None:
    """The authority that the server made is installed in the browser, which then judges the certificate by itself."""
    with serving(book_file, "--tls") as server:
        trust(tmp_path / "home", book_file.with_suffix(".tls") / "authority.pem")
        with chromium(player, tmp_path / "home") as browser:
            visit = come_in(browser, server, clock=False)
            assert abs(clock_of(visit) - now().us / US_PER_S) < 5
            begin_job(visit)
            assert visit.page.evaluate("isSecureContext") is True
            visit.page.wait_for_selector("[data-job][data-kept=yes]", state="attached")
            wait_for(lambda: visit.page.evaluate(KEPT) >= 4)
            first = answer(visit)
            all_sent(visit)
            server.kill()
            away = [answer(visit) for _ in range(5)]
            visit.page.reload()
            ready(visit)
            expect(visit.page.locator("[data-line]")).to_have_text("▲ no network, 5 kept here")
            expect(visit.page.locator(f"#step-{away[-1]} [data-mark]")).to_contain_text("on this phone")
            away += [answer(visit) for _ in range(5)]
            server.start()
            all_sent(visit)
            kept = claims_of(book_file)
            assert [s for s, _ in kept] == [first, *away]
            assert len({c for _, c in kept}) == 11
            visit.context.close()


KEPT = "caches.keys().then(async k => k.length ? (await (await caches.open(k[0])).keys()).length : 0)"
"""How many addresses the service worker keeps."""


def test_a_page_closed_with_answers_waiting_sends_them_when_it_is_opened_again(
    browser: Browser, server: Serving
) -> None:
    visit = come_in(browser, server)
    sheet = begin_job(visit)
    server.kill()
    away = [answer(visit) for _ in range(2)]
    expect(visit.page.locator("[data-line]")).to_have_text("▲ no network, 2 kept here")
    visit.page.close(run_before_unload=False)
    server.start()
    visit.page = visit.context.new_page()
    visit.goto(sheet)
    ready(visit)
    all_sent(visit)
    assert [s for s, _ in claims_of(server.book)] == away
    visit.context.close()


def test_two_phones_work_on_one_job_and_a_real_conflict_is_shown(browser: Browser, server: Serving) -> None:
    ada, ben = come_in(browser, server, "Ada"), come_in(browser, server, "Ben")
    sheet = begin_job(ada)
    ben.goto(sheet)
    ready(ben)
    ada.context.set_offline(True)
    at(ada, "snapshot")
    answer(ada)
    at(ada, "parts")
    answer(ada)
    at(ben, "snapshot")
    _lamp(ben, "never lights")
    all_sent(ben)
    ada.context.set_offline(False)
    all_sent(ada)
    assert sorted(s for s, _ in claims_of(server.book)) == ["parts", "snapshot", "snapshot"]
    for visit in (ada, ben):
        expect(visit.page.locator("#step-snapshot [data-mark]")).to_contain_text(
            "two different answers", timeout=15_000
        )
    at(ben, "parts")
    expect(ben.page.locator("#step-parts [data-mark]")).to_contain_text("done")
    at(ben, "snapshot")
    expect(ben.page.locator("#step-snapshot [data-rival]")).to_contain_text("Two phones claim two things")
    expect(ben.page.locator("#step-snapshot [data-rival]")).to_contain_text("never lights")
    ben.page.reload()
    ready(ben)
    at(ben, "snapshot")
    ben.page.wait_for_timeout(1500)
    expect(ben.page.locator("#step-snapshot [data-rival]")).to_contain_text("never lights")
    ben.page.locator("#step-snapshot [data-rival] button").nth(1).click()
    for visit in (ada, ben):
        expect(visit.page.locator("#step-snapshot [data-mark]")).to_have_text("done", timeout=15_000)
    ada.context.close()
    ben.context.close()


def test_an_answer_that_is_chosen_and_not_sent_is_not_called_kept(browser: Browser, server: Serving) -> None:
    visit = come_in(browser, server)
    begin_job(visit)
    line = visit.page.locator("[data-line]")
    expect(line).to_have_text("✓ all saved")
    at(visit, "snapshot")
    visit.page.locator("#step-snapshot").get_by_label("lights, then goes out", exact=True).check(force=True)
    expect(line).to_have_text("▲ this answer is not sent")
    at(visit, "parts")
    expect(line).to_have_text("▲ this answer is not sent")
    visit.page.reload()
    ready(visit)
    expect(line).to_have_text("▲ this answer is not sent")
    at(visit, "snapshot")
    done_at(visit, "snapshot")
    all_sent(visit)
    visit.context.close()


def _lamp(visit: Visit, seen: str) -> None:
    at(visit, "snapshot")
    visit.page.locator("#step-snapshot").get_by_label(seen, exact=True).check(force=True)
    visit.page.locator("[data-act]").click()


def test_a_job_is_handed_over_to_another_phone_by_its_code(browser: Browser, server: Serving) -> None:
    ada = come_in(browser, server, "Ada")
    sheet = begin_job(ada)
    answer(ada)
    all_sent(ada)
    ada.page.get_by_role("button", name="All cards").click()
    ada.page.get_by_role("link", name="Hand over to another phone").click()
    ada.page.get_by_role("button", name="Make a code").click()
    link = ada.page.locator("code", has_text="/in/").inner_text()
    context = context_of(browser, **PHONE)
    page = context.new_page()
    page.goto(link)
    page.get_by_role("button", name="Come in").click()
    page.wait_for_url(f"**{sheet}*")
    expect(page.locator("[data-count]")).to_have_text("1")
    again = context_of(browser, **PHONE).new_page()
    again.goto(link)
    again.get_by_role("button", name="Come in").click()
    expect(again.get_by_text("used already")).to_be_visible()
    ada.context.close()
    context.close()


def test_a_phone_that_is_shown_out_keeps_its_answers_until_it_is_let_in_again(
    browser: Browser, server: Serving
) -> None:
    visit = come_in(browser, server)
    begin_job(visit)
    desk = desk_at(server.book)
    from wheelside.jobs.book.doors import everyone, show_out

    for one in everyone(desk):
        show_out(desk, one.id)
    answer(visit)
    expect(visit.page.locator("[data-line]")).to_have_text("▲ disconnected, kept here", timeout=15_000)
    assert claims_of(server.book) == []
    other = visit.context.new_page()
    other.goto(server.link())
    other.get_by_role("button", name="Come in").click()
    other.wait_for_url(f"{server.address}/")
    visit.page.reload()
    ready(visit)
    all_sent(visit)
    assert len(claims_of(server.book)) == 1
    desk.close()
    visit.context.close()


def test_photos_taken_while_away_arrive_once_without_their_place(
    browser: Browser, server: Serving, tmp_path: Path
) -> None:
    from PIL import Image

    visit = come_in(browser, server)
    begin_job(visit)
    picture = Image.new("RGB", (2400, 1800), "#806040")
    exif = Image.Exif()
    exif[0x010E] = "at home, 48.1 N"
    picture.save(tmp_path / "dash.jpg", exif=exif)
    server.kill()
    at(visit, "snapshot")
    visit.page.locator("#step-snapshot input[type=file]").set_input_files(tmp_path / "dash.jpg")
    answer(visit)
    server.start()
    all_sent(visit)
    (kept,) = list(server.book.with_suffix(".photos").iterdir())
    with Image.open(kept) as photo:
        assert max(photo.size) == 1600
        assert not photo.getexif()
    assert b"48.1" not in kept.read_bytes()
    desk = desk_at(server.book)
    from wheelside.jobs.book.files import wrong

    assert wrong(desk) == ()
    desk.close()
    visit.context.close()


def test_an_answer_that_the_book_refuses_is_set_aside_and_the_others_arrive(browser: Browser, server: Serving) -> None:
    visit = come_in(browser, server)
    begin_job(visit)
    server.kill()
    visit.page.evaluate(
        "document.querySelectorAll('#step-snapshot textarea').forEach(t => t.removeAttribute('maxlength'))"
    )
    at(visit, "snapshot")
    unfold(visit, "snapshot").locator("textarea").fill("x" * 2500)
    _lamp(visit, "lights, then goes out")
    expect(visit.page.locator("#step-snapshot")).to_be_hidden()
    rest = [answer(visit) for _ in range(3)]
    server.start()
    expect(visit.page.locator("[data-line]")).to_have_text("■ not taken: the lamp, and the odometer", timeout=30_000)
    assert [s for s, _ in claims_of(server.book)] == rest
    expect(visit.page.locator("#step-snapshot [data-mark]")).to_contain_text("to be corrected")
    visit.page.reload()
    ready(visit)
    at(visit, "snapshot")
    expect(visit.page.locator("#step-snapshot [data-news]")).to_contain_text("does not take this answer")
    assert visit.page.locator("#step-snapshot textarea").input_value() == "x" * 2500, "what was said is still there"
    unfold(visit, "snapshot").locator("textarea").fill("123 456 km")
    answer(visit)
    all_sent(visit)
    assert [s for s, _ in claims_of(server.book)] == [*rest, "snapshot"]
    expect(visit.page.locator("#step-snapshot [data-mark]")).to_have_text("done")
    visit.context.close()


def test_two_windows_of_one_browser_that_say_two_things_are_a_conflict_too(browser: Browser, server: Serving) -> None:
    visit = come_in(browser, server)
    sheet = begin_job(visit)
    other = Visit(visit.context, visit.context.new_page(), server)
    other.goto(sheet)
    ready(other)
    visit.context.set_offline(True)
    _lamp(visit, "lights, then goes out")
    _lamp(other, "never lights")
    visit.context.set_offline(False)
    all_sent(visit)
    all_sent(other)
    expect(visit.page.locator("#step-snapshot [data-mark]")).to_contain_text("two different answers", timeout=15_000)
    visit.context.close()


def test_a_photo_in_a_form_that_is_not_taken_has_to_be_corrected(
    browser: Browser, server: Serving, tmp_path: Path
) -> None:
    visit = come_in(browser, server)
    begin_job(visit)
    (tmp_path / "dash.heic").write_bytes(b"\x00\x00\x00\x18ftypheic" + b"\x00" * 400)
    at(visit, "snapshot")
    visit.page.locator("#step-snapshot input[type=file]").set_input_files(tmp_path / "dash.heic")
    answer(visit, stays=True)
    all_sent(visit)
    expect(visit.page.locator("#step-snapshot .wrong").first).to_contain_text("photo not kept")
    visit.page.reload()
    ready(visit)
    expect(visit.page.locator("#step-snapshot .wrong").first).to_contain_text("photo not kept")
    visit.context.close()
