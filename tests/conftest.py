"""What holds for every test: none is skipped, none reaches beyond this machine."""

from __future__ import annotations

import ipaddress
import socket
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings

from wheelside.demo import household

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
