"""What holds for every test: none is skipped, none reaches beyond this machine, none goes by the machine's clock."""

from __future__ import annotations

import ipaddress
import os
import socket
import subprocess
from collections.abc import Iterator
from itertools import count
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings
from playwright.sync_api import Browser, Playwright, sync_playwright
from sqlalchemy import Engine

from books import NOON
from browsing import Serving, chromium, serving
from garages import seeded
from servers import new_database, postgres
from wheelside.book import book, engine
from wheelside.demo import household
from wheelside.jobs import source
from wheelside.jobs.book.desk import Desk, new_desk
from wheelside.jobs.book.files import take_in
from wheelside.units.moment import Moment

settings.register_profile("wheelside", deadline=None, derandomize=False)
settings.load_profile("wheelside")

_connect = socket.socket.connect


def _loopback_only(self: socket.socket, address: Any) -> None:
    if self.family in (socket.AF_INET, socket.AF_INET6) and not ipaddress.ip_address(address[0]).is_loopback:
        raise AssertionError(f"a test reached for {address}")
    _connect(self, address)


@pytest.fixture(autouse=True)
def loopback_only(monkeypatch: pytest.MonkeyPatch) -> None:
    """Refuses connections that leave this machine."""
    monkeypatch.setattr(socket.socket, "connect", _loopback_only)


@pytest.fixture(scope="session", autouse=True)
def given_clock() -> Iterator[None]:
    """The clock of this process, and of every process that it starts, begins at noon of the demo's day; the machine's is not read."""
    start = subprocess.Popen.__init__

    def started(self: Any, *args: Any, **kwargs: Any) -> None:
        env = kwargs.get("env")
        if not (os.environ if env is None else env).get(source.CLOCK):
            raise AssertionError(f"a test starts a process without {source.CLOCK}: {args}")
        start(self, *args, **kwargs)

    def machine() -> Moment:
        raise AssertionError("a test reads the machine's clock")

    with pytest.MonkeyPatch.context() as patch:
        patch.setenv(source.CLOCK, NOON.iso())
        patch.setattr(source, "machine", machine)
        patch.setattr(subprocess.Popen, "__init__", started)
        yield


@pytest.fixture(autouse=True)
def noon(given_clock: None) -> None:
    """Each test begins at noon."""
    source.given.cache_clear()


def pytest_sessionfinish(session: pytest.Session) -> None:
    """A skipped test fails the run."""
    reporter = session.config.pluginmanager.get_plugin("terminalreporter")
    if reporter and reporter.stats.get("skipped") and session.exitstatus == 0:
        session.exitstatus = pytest.ExitCode.TESTS_FAILED


@pytest.fixture(autouse=True)
def wide_pipe(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("COLUMNS", raising=False)


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "household.toml"
    path.write_bytes(household())
    return path


@pytest.fixture(scope="session")
def postgres_server() -> Iterator[str]:
    """A PostgreSQL server of this run's own."""
    with postgres() as address:
        yield address


_databases = count()


@pytest.fixture(params=["sqlite", "postgresql"])
def place(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Where a new book may be made: a file, then a database."""
    if request.param == "sqlite":
        return str(tmp_path / "household.book")
    return new_database(request.getfixturevalue("postgres_server"), f"book{next(_databases)}")


@pytest.fixture
def desk(place: str, tmp_path: Path) -> Iterator[Desk]:
    """A desk at a new book, with a clock that stands still and random bits from a seed."""
    made = new_desk(place, tmp_path / "photos", lambda: NOON)
    made.bits = seeded()
    yield made
    made.close()


@pytest.fixture
def household_desk(desk: Desk, file: Path) -> Desk:
    """A desk at a book that holds the demo household."""
    take_in(desk, file)
    return desk


@pytest.fixture(autouse=True)
def closed_in_the_end(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    made: list[Engine] = []
    plain = engine.engine_for

    def remembered(where: str) -> Engine:
        made.append(plain(where))
        return made[-1]

    monkeypatch.setattr(book, "engine_for", remembered)
    yield
    for one in made:
        one.dispose()


@pytest.fixture
def home(tmp_path: Path, file: Path) -> Iterator[Desk]:
    """A desk at a book in a file that holds the demo household."""
    made = new_desk(str(tmp_path / "home.book"), clock=lambda: NOON)
    made.bits = seeded()
    take_in(made, file)
    yield made
    made.close()


@pytest.fixture(scope="module")
def player() -> Iterator[Playwright]:
    """What runs browsers, for the tests of one module."""
    with sync_playwright() as made:
        yield made


@pytest.fixture(scope="module")
def browser(player: Playwright) -> Iterator[Browser]:
    """One real browser for the tests of one module."""
    with chromium(player) as made:
        yield made


@pytest.fixture
def book_file(tmp_path: Path, file: Path) -> Path:
    """A book in a file that holds the demo household, for programs to open."""
    desk = new_desk(str(tmp_path / "home.book"))
    take_in(desk, file)
    desk.close()
    return tmp_path / "home.book"


@pytest.fixture
def server(book_file: Path) -> Iterator[Serving]:
    with serving(book_file) as made:
        yield made
