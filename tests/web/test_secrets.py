"""No page, no export, no error page and no report has a secret in it: the book's signing key, a browser's token, a one-time key."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import insert
from sqlalchemy.exc import DBAPIError

from books import NOON
from crawling import secrets_of
from garages import seeded
from visits import let_in
from wheelside.book import tables
from wheelside.demo import household
from wheelside.jobs.book.desk import Desk, new_desk
from wheelside.jobs.book.doors import new_key
from wheelside.jobs.book.files import take_in_text


@pytest.fixture
def home(tmp_path: Path) -> Iterator[Desk]:
    """A book in a file; what pages show does not hang on the database."""
    desk = new_desk(str(tmp_path / "household.book"), tmp_path / "photos")
    desk.clock, desk.bits = (lambda: NOON), seeded()
    take_in_text(desk, household().decode(), "household.toml")
    yield desk
    desk.close()


EXPORTS = (
    "/settings/garage.toml",
    "/api/garage",
    "/api/jobs",
    "/api/plan",
    "/api/agenda",
    "/api/facts/car",
    "/api/openapi.json",
)
REFUSED = (
    "/nothing",
    "/jobs/none",
    "/in/wrong",
    "/shop/wrong",
    "/facts/none",
    "/fit?car=none",
    "/things/car/none",
    "/photos/none",
)


def test_no_export_has_a_secret_in_it(home: Desk) -> None:
    site = let_in(home)
    wanted = secrets_of(home, site)
    for path in EXPORTS:
        assert [s for s in wanted if s in site.get(path)] == [], path


def test_no_error_page_has_a_secret_in_it(home: Desk) -> None:
    site = let_in(home)
    key = new_key(home)
    wanted = secrets_of(home, site, key)
    for path in REFUSED:
        answer = site.client.get(path, headers={"x-any": key})
        assert [s for s in wanted if s in answer.text] == [], path


def test_neither_the_page_of_a_bug_nor_its_report_has_a_secret_in_it(
    home: Desk, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("TMPDIR", str(tmp_path))
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    site = let_in(home)

    def broken(*_: object) -> None:
        raise RuntimeError("broken")

    monkeypatch.setattr("wheelside.web.pages.plan.plan_screen", broken)
    answer = site.client.get("/plan", headers={"authorization": f"Bearer {site.token}"})
    assert answer.status_code == 500
    (report,) = tmp_path.glob("wheelside-trouble-*.txt")
    for text in (answer.text, report.read_text(encoding="utf-8")):
        assert "RuntimeError" in text
        assert [s for s in secrets_of(home, site) if s in text] == []


def test_an_error_of_the_database_does_not_tell_the_values(home: Desk) -> None:
    row = {"id": "x", "digest": "secret", "label": "", "person": "", "made_at": 1, "seen_at": 1, "checksum": 0}
    with home.book.engine.connect() as conn, pytest.raises(DBAPIError) as raised:
        conn.execute(insert(tables.visitor), [row, row])
    assert not re.search("secret", str(raised.value).split("[SQL")[1])
