"""The service worker, in a real browser over TLS: what it keeps, across versions, and for whom."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from playwright.sync_api import Error, Playwright, expect

from browsing import (
    Serving,
    Visit,
    all_sent,
    answer,
    begin_job,
    chromium,
    claims_of,
    come_in,
    desk_at,
    ready,
    serving,
    trust,
    wait_for,
)
from wheelside.jobs.book.doors import everyone, show_out

pytestmark = pytest.mark.timeout(240)

PROGRAM = "import wheelside.web.frame as f; f.stamp = lambda: {!r}; from wheelside.cli.main import run; run()"
KEPT = """async () => {
  const found = [];
  for (const name of await caches.keys()) for (const one of await (await caches.open(name)).keys()) found.push([name, new URL(one.url).pathname]);
  return found;
}"""

SLOW = """() => {
  const put = Cache.prototype.put;
  self.putting = "";
  Cache.prototype.put = async function (...what) {
    self.putting = "begun";
    await new Promise(done => setTimeout(done, 3000));
    await put.apply(this, what);
    self.putting = "done";
  };
}"""
"""Putting something into what the worker keeps takes 3 s from now on."""


@pytest.fixture
def secure(book_file: Path) -> Iterator[Serving]:
    with serving(book_file, "--tls") as server:
        yield server


@pytest.fixture
def visit(player: Playwright, secure: Serving, tmp_path: Path) -> Iterator[Visit]:
    """A phone that trusts the server."""
    trust(tmp_path / "home", secure.book.with_suffix(".tls") / "authority.pem")
    with chromium(player, tmp_path / "home") as browser:
        made = come_in(browser, secure, clock=False)
        yield made
        made.context.close()


def sheet_kept(visit: Visit) -> str:
    """Begins the job that is due; the path of its sheet, which the worker keeps."""
    sheet = begin_job(visit)
    wait_for(lambda: sheet in kept(visit) and any(path.endswith("/cards.js") for path in kept(visit)))
    return sheet


def kept(visit: Visit) -> list[str]:
    return [path for _, path in visit.page.evaluate(KEPT)]


def out(visit: Visit) -> None:
    with closing(desk_at(visit.server.book)) as desk:
        for one in everyone(desk):
            show_out(desk, one.id)


def into(visit: Visit, person: str) -> None:
    """Lets somebody in anew."""
    visit.goto(visit.server.link().removeprefix(visit.server.address))
    visit.page.get_by_label("Who holds it").fill(person)
    visit.page.get_by_role("button", name="Come in").click()
    visit.page.wait_for_url(f"{visit.server.address}/")


def version(stamp: str) -> tuple[str, str]:
    """A server whose static files have another stamp, as another version's have."""
    return ("-c", PROGRAM.format(stamp))


def test_a_sheet_outlasts_a_new_version_of_the_server(visit: Visit, secure: Serving) -> None:
    sheet = sheet_kept(visit)
    old = {name for name, _ in visit.page.evaluate(KEPT)}
    secure.kill()
    secure.program = version("another")
    secure.start()
    visit.goto(sheet)
    ready(visit)
    wait_for(lambda: (sheet in kept(visit)) and "wheelside-another" in {n for n, _ in visit.page.evaluate(KEPT)})
    visit.page.wait_for_timeout(1000)
    assert "wheelside-another" not in old
    new = [path for name, path in visit.page.evaluate(KEPT) if name == "wheelside-another"]
    assert sheet in new
    assert "/static/another/cards.js" in new
    secure.kill()
    visit.page.reload()
    ready(visit)
    done = [answer(visit), answer(visit)]
    visit.page.reload()
    ready(visit)
    secure.start()
    all_sent(visit)
    assert [step for step, _ in claims_of(secure.book)] == done


def test_a_sheet_in_another_window_outlasts_a_new_version_too_and_no_third_one_is_kept(
    visit: Visit, secure: Serving
) -> None:
    sheet_kept(visit)
    visit.page.evaluate("caches.open('somebody-else')")
    (first,) = {name for name, _ in visit.page.evaluate(KEPT)}
    other = visit.context.new_page()
    for stamp, names in (("second", {first, "wheelside-second"}), ("third", {"wheelside-second", "wheelside-third"})):
        secure.kill()
        secure.program = version(stamp)
        secure.start()
        other.goto(f"{secure.address}/")
        other.evaluate("navigator.serviceWorker.getRegistration().then(r => r.update())")
        wait_for(lambda names=names: {*names, "somebody-else"} >= set(visit.page.evaluate("caches.keys()")))
        visit.page.wait_for_timeout(1000)
        secure.kill()
        visit.page.reload()
        ready(visit)
        secure.start()
        visit.page.reload()
        ready(visit)


def test_no_kept_sheet_is_shown_once_somebody_else_came_in_or_the_visit_has_ended(
    visit: Visit, secure: Serving
) -> None:
    sheet = sheet_kept(visit)
    into(visit, "Ben")
    assert sheet not in kept(visit)
    for told in ("/settings", "/api/jobs", sheet):
        visit.goto(sheet)
        wait_for(lambda: sheet in kept(visit))
        out(visit)
        visit.goto(told)
        expect(visit.page.get_by_text("was disconnected")).to_be_visible()
        wait_for(lambda: sheet not in kept(visit))
        if told != sheet:
            into(visit, "Ada")
    secure.kill()
    with pytest.raises(Error, match="ERR_"):
        visit.goto(sheet)


def test_a_sheet_that_is_being_put_down_while_its_visit_ends_is_forgotten_too(visit: Visit) -> None:
    sheet = sheet_kept(visit)
    worker = visit.context.service_workers[0]
    worker.evaluate(SLOW)
    visit.page.evaluate("sheet => navigator.serviceWorker.controller.postMessage({keep: [sheet]})", sheet)
    wait_for(lambda: worker.evaluate("putting") == "begun")
    out(visit)
    visit.goto("/settings")
    expect(visit.page.get_by_text("was disconnected")).to_be_visible()
    wait_for(lambda: worker.evaluate("putting") == "done")
    visit.page.wait_for_timeout(500)
    assert sheet not in kept(visit)


def test_a_sheet_that_is_open_when_its_visit_ends_is_kept_no_longer_and_its_answers_are(
    visit: Visit, secure: Serving
) -> None:
    sheet = sheet_kept(visit)
    out(visit)
    step = answer(visit)
    expect(visit.page.locator("[data-line]")).to_have_text("▲ disconnected, kept here", timeout=15_000)
    wait_for(lambda: sheet not in kept(visit))
    again = visit.context.new_page()
    again.goto(secure.link())
    again.get_by_role("button", name="Come in").click()
    again.wait_for_url(f"{secure.address}/")
    visit.goto(sheet)
    ready(visit)
    all_sent(visit)
    assert [one for one, _ in claims_of(secure.book)] == [step]


def test_an_answer_kept_while_away_is_sent_once_by_two_windows(visit: Visit, secure: Serving) -> None:
    sheet = sheet_kept(visit)
    secure.kill()
    step = answer(visit)
    other = Visit(visit.context, visit.context.new_page(), secure)
    other.goto(sheet)
    ready(other)
    expect(other.page.locator("[data-line]")).to_have_text("▲ no network, 1 kept here")
    secure.start()
    all_sent(visit)
    all_sent(other)
    assert [one for one, _ in claims_of(secure.book)] == [step]
    for path in ("/", "/settings", "/facts", "/plan"):
        visit.goto(path)
    assert {path for path in kept(visit) if not path.startswith("/static/")} == {sheet}, "nothing else is kept"
