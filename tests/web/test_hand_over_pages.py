"""The page for a set's buyer, the same as one file, and keeping that it is sold."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from books import NOON
from garages import DAY, seeded
from visits import Site, let_in, words
from wheelside.demo import household
from wheelside.jobs.book.desk import Desk, new_desk
from wheelside.jobs.book.files import take_in_text

PAGE = "/things/set/winter/hand-over"


@pytest.fixture
def home(tmp_path: Path) -> Iterator[Desk]:
    desk = new_desk(str(tmp_path / "household.book"), tmp_path / "photos", lambda: NOON)
    desk.bits = seeded()
    take_in_text(desk, household().decode(), "household.toml")
    yield desk
    desk.close()


@pytest.fixture
def site(home: Desk) -> Site:
    return let_in(home)


def version(page: str) -> str:
    return page.split('name="version" value="')[1].split('"', maxsplit=1)[0]


def test_it_is_looked_at_kept_and_corrected(site: Site) -> None:
    assert 'href="/things/set/winter/hand-over"' in site.get("/things/set/winter")
    assert "How long it lasts The chance that one of " in words(site.get("/things/set/winter"))
    page = site.get(PAGE)
    assert "1 893 077 246" in page
    assert "70D610FE" in page
    assert "Sold: keep this" in page
    assert site.desk.loaded().garage.sets["winter"].sold is None, "looking keeps nothing"
    assert site.post(PAGE, 303, {"day": str(DAY), "version": version(page)}) == PAGE
    after = site.get(PAGE)
    assert "Sold: keep this" not in after
    assert "1 893 077 246" in after, "it can be printed again"
    assert 'href="/facts/set/winter#f-sold"' in after
    assert "sold on 2026-11-25" in words(site.get("/things/set/winter"))
    assert "How long it lasts" not in words(site.get("/things/set/winter"))
    assert "sold on 2026-11-25" in words(site.get("/things"))
    assert "It lies at" not in site.get("/things/set/winter")
    assert "handed over to a buyer" in words(site.get("/things/wheel/W1"))


def test_what_was_not_looked_at_is_not_kept(site: Site) -> None:
    page = site.get(PAGE)
    stale = str(int(version(page)) + 1)
    assert "look again" in site.post(PAGE, 409, {"day": str(DAY), "version": stale})
    for fields in ({}, {"day": "soon", "version": version(page)}, {"day": "2026-12-24", "version": version(page)}):
        site.post(PAGE, 400, fields)
    site.get("/things/set/nobody/hand-over", 404)
    site.get(PAGE + "?day=soon", 400)
    assert site.desk.loaded().garage.sets["winter"].sold is None


def test_a_day_can_be_chosen(site: Site) -> None:
    page = site.get(PAGE + "?day=2029-09-02")
    assert "From 2029-09-02 on nobody here uses them." in page
    assert "10.0" in words(page), "years since the week of 1 September 2019"
    assert "Sold: keep this" not in page, "that day is yet to come"


def test_the_file_is_whole_by_itself_and_has_nothing_of_the_owners(site: Site) -> None:
    answer = site.client.get(PAGE + ".html")
    text = answer.text
    assert "attachment" in answer.headers["content-disposition"]
    assert "default-src 'none'" in answer.headers["content-security-policy"]
    assert "70D610FE" in text
    for word in (
        "<script",
        "<link",
        "src=",
        "href=",
        "<form",
        "Estate",
        "Carport",
        "Shed",
        "Ada",
        "household",
        "7D20E418",
    ):
        assert word not in text, word
