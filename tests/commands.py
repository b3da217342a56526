"""Running commands in tests as a person runs them."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from wheelside.cli.main import status
from wheelside.demo import DEMO_DAY

ON = ["--on", str(DEMO_DAY)]


def run(capsys: pytest.CaptureFixture[str], *args: object) -> tuple[int, str, str]:
    code = status([str(a) for a in args])
    out = capsys.readouterr()
    return code, out.out, out.err


def json_of(capsys: pytest.CaptureFixture[str], *args: object) -> Any:
    _, out, _ = run(capsys, *args, "--json")
    return json.loads(out)


def teaching_set_1(book: Path, card: Path, link: str) -> tuple[str | Path, ...]:
    """The command that shows what teaching the winter set's IDs into 'set 1' of the estate would change; with --do behind it, it writes."""
    return ("car", "teach", book, card, "--car", "estate", "--set", "winter", "--list", "set 1", "--link", link)
