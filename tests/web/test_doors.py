"""Who is let in, for how long, and what a back-up lets in: nobody."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from books import later
from commands import run
from visits import let_in, outside, words
from wheelside.errors import BadRequest
from wheelside.jobs.book import files
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.book.doors import come_in, new_key, show_out, who_is
from wheelside.jobs.work.doing import begin
from wheelside.jobs.work.shop import at_the_shop, new_shop_link
from wheelside.web.guard import cookie_of

DAY = 24 * 60.0


def test_nobody_is_let_into_a_restored_book_by_what_counted_before(
    household_desk: Desk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A visit that goes on, one that is ended after the back-up, a key that was not used, a shop's link, the calendar's address."""
    old = household_desk
    job = begin(old).job
    assert job is not None
    stays, ended, key = let_in(old), let_in(old), new_key(old)
    _, shop = new_shop_link(old, job)
    calendar = stays.calendar()
    files.back_up(old, tmp_path / "back.zip")
    ends = who_is(old, ended.token)
    assert ends is not None
    show_out(old, ends.id)
    monkeypatch.setattr(files, "now", lambda: later(1))
    new, _ = files.restore(tmp_path / "back.zip", str(tmp_path / "again.book"))
    new.clock = lambda: later(2)
    for token in (stays.token, ended.token):
        assert who_is(new, token) is None
        browser = outside(new)
        browser.cookies.set(cookie_of(new), token)
        assert browser.get("/things").status_code == 401
    with pytest.raises(BadRequest, match="used already"):
        come_in(new, key, "", "")
    assert at_the_shop(new, shop) is None
    assert outside(new).get(calendar).status_code == 404
    again = let_in(new)
    assert "restored from a back-up" in words(again.get("/settings"))
    assert outside(new).get(again.calendar()).status_code == 200
    new.close()


def test_restoring_says_that_nobody_is_connected_and_how_to_connect(
    book_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(capsys, "book", "back-up", book_file, tmp_path / "b.zip")[0] == 0
    code, out, _ = run(capsys, "book", "restore", tmp_path / "b.zip", tmp_path / "again.book")
    told = " ".join(out.split())
    assert code == 0
    assert "No browser is connected to it, and no link or calendar address of before counts" in told
    assert f"wheelside serve {tmp_path / 'again.book'}" in told


def test_the_calendars_address_is_made_anew(home: Desk) -> None:
    site = let_in(home)
    seen = [site.calendar()]
    for _ in range(2):
        assert "Make a new address" in site.get("/settings")
        assert site.post("/settings/calendar") == "/settings?renewed=1#calendar"
        seen.append(site.calendar())
    assert [outside(home).get(path).status_code for path in seen] == [404, 404, 200]
    assert "the calendar has a new address (Ada, calendar)" in words(site.get("/settings"))
    assert files.wrong(home) == ()
    assert site.client.post("/settings/calendar").status_code == 403
    assert outside(home).post("/settings/calendar").status_code == 401


def test_a_visit_ends_that_was_not_used_for_180_days(home: Desk) -> None:
    """One that is used goes on, though nothing was written all the time and the server is started anew each day."""
    used, unused = let_in(home, "used"), let_in(home, "unused")
    for day in (60, 100, 180):
        home.clock = lambda day=day: later(day * DAY)  # type: ignore[misc]
        home.seen.clear()
        used.get("/things")
    home.clock = lambda: later(180 * DAY + 1)
    assert unused.client.get("/things").status_code == 401
    page = words(used.get("/settings"))
    assert re.search(r"unused , Ada, last seen 2026-11-25 12:00; disconnected 2027-05-24 12:00", page)
    assert page.count("; disconnected") == 1


@pytest.mark.parametrize(
    ("host", "headers", "given"),
    [
        ("127.0.0.1", {}, True),
        ("::1", {}, True),
        ("192.0.2.7", {}, False),
        ("127.0.0.1", {"x-forwarded-for": "192.0.2.7"}, False),
        ("192.0.2.7", {"x-forwarded-for": "127.0.0.1"}, False),
    ],
)
def test_a_back_up_is_had_on_the_machine_itself_only(
    home: Desk, host: str, headers: dict[str, str], given: bool
) -> None:
    site = let_in(home, host=host)
    answer = site.client.get("/settings/back-up.zip", headers=headers)
    page = site.client.get("/settings", headers=headers).text
    assert answer.content.startswith(b"PK") is given
    assert answer.status_code == (200 if given else 403)
    assert ("/settings/back-up.zip" in page) is given
    if not given:
        assert "wheelside book back-up" in words(answer.text)
        assert "wheelside book back-up" in words(page)
