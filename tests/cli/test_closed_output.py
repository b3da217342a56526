"""A reader that has left, or an output that is closed, is no failure of a command."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from wheelside.demo import DEMO_DAY

COMMANDS = (
    "plan {} --on DAY", "plan {} --on DAY --json", "air {}", "sheet {} --on DAY", "earshot {}", "check {}", "demo", "schema", "manual",
    "--help", "plan --help", "id read 12345678", "",
)  # fmt: skip


def shell(command: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(["bash", "-c", command], capture_output=True, text=True, check=False)


def line(args: str, file: Path) -> str:
    return f"{sys.executable} -m wheelside {args.replace('DAY', str(DEMO_DAY)).format(file)}"


@pytest.mark.parametrize("args", COMMANDS)
def test_a_reader_that_has_left_ends_nothing_badly(file: Path, args: str) -> None:
    done = shell(f"{line(args, file)} | true; exit ${{PIPESTATUS[0]}}")
    assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.parametrize(
    ("args", "code"), [("check {}x", 2), ("plan {} --no-such", 2), ("plan {} --on DAY", 0), ("check {}x --json", 2)]
)
@pytest.mark.parametrize("closed", ["2>&-", "2>/dev/full", "2> >(true)", "<&- 2>&-"])
def test_messages_that_nobody_reads_change_no_status(file: Path, args: str, code: int, closed: str) -> None:
    assert shell(f"{line(args, file)} {closed}").returncode == code
