"""A garage file of its own for each test of the commands."""

from __future__ import annotations

from pathlib import Path

import pytest

from wheelside.demo import household


@pytest.fixture(autouse=True)
def wide_pipe(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("COLUMNS", raising=False)


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "household.toml"
    path.write_bytes(household())
    return path
