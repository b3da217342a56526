"""The manual page and completion, made from the commands."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys

import pytest

from commands import run
from wheelside.cli.main import COMMANDS


def test_the_manual_page_has_every_command_and_is_roff(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "manual")
    assert code == 0
    assert out.startswith(".TH WHEELSIDE 1")
    for name in COMMANDS:
        assert f".SS wheelside {name}".replace("-", "\\-") in out
    assert r"\-\-lan" in out
    program = shutil.which("groff")
    if program is not None:
        done = subprocess.run(
            [program, "-man", "-ww", "-Tutf8"], input=out, capture_output=True, text=True, timeout=60, check=True
        )
        assert done.stderr == ""


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_completion_is_printed_for_each_shell(shell: str, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "manual", "--completion", shell)
    assert code == 0
    assert "_WHEELSIDE_COMPLETE" in out


def test_commands_are_completed() -> None:
    env = {**os.environ, "COMP_WORDS": "wheelside st", "COMP_CWORD": "1", "_WHEELSIDE_COMPLETE": "bash_complete"}
    done = subprocess.run(
        [sys.executable, "-m", "wheelside"], env=env, capture_output=True, text=True, timeout=60, check=False
    )
    assert "plain,start" in done.stdout.splitlines()
