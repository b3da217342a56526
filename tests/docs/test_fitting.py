"""The purchases in the docs are what the program says of them."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from commands import run
from wheelside.demo import purchases

PAGE = Path(__file__).resolve().parents[2] / "docs" / "fitting.md"
BLOCKS = re.findall(r"```text\n\$ wheelside (.*?)\n(.*?)```", PAGE.read_text(encoding="utf-8"), re.DOTALL)


def _plain(text: str) -> str:
    """One space between words, however the lines were broken."""
    return " ".join(text.split())


def test_the_page_shows_all_three() -> None:
    assert [shlex.split(command)[-1] for command, _ in BLOCKS] == ["2026-11-25", "first", "second", "third"]


@pytest.mark.parametrize(("command", "lines"), BLOCKS, ids=[c.split()[-1] for c, _ in BLOCKS])
def test_each_line_shown_is_said(
    command: str, lines: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "purchases.toml").write_bytes(purchases())
    monkeypatch.chdir(tmp_path)
    code, out, _ = run(capsys, *shlex.split(command))
    assert code == int("second" in command)
    said = _plain(out)
    for line in lines.strip().splitlines():
        assert _plain(line) in said, line
