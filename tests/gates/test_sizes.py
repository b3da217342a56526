"""The gate of sizes finds what is too long, lets pass what just fits, and keeps its own list of exceptions short."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

HERE = Path(__file__).parent
SAMPLES, ROOT = HERE / "samples", HERE.parents[1]


def gate(script: Path = HERE / "sizes.py", *folder: Path) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, str(script), *map(str, folder)]
    return subprocess.run(command, capture_output=True, text=True, check=False)


def said(tmp_path: Path) -> list[str]:
    """What the gate says of a folder, the heading left out."""
    return gate(HERE / "sizes.py", tmp_path).stderr.splitlines()[1:]


def test_nothing_is_too_long_without_a_reason() -> None:
    found = gate()
    assert (found.returncode, found.stderr) == (0, "")


def test_the_gate_finds_the_long_functions_of_the_sample_and_not_those_that_fit(tmp_path: Path) -> None:
    shutil.copytree(SAMPLES / "sizes", tmp_path, dirs_exist_ok=True)
    assert gate(HERE / "sizes.py", tmp_path).returncode == 1
    assert [line.split(": ")[1].split()[0] for line in said(tmp_path)] == [
        "too_long", "too_long_while_waiting", "too_long_as_a_method",
    ]  # fmt: skip


@pytest.mark.parametrize("folder", ["src/wheelside", "tests/garage", "benchmarks"])
@pytest.mark.parametrize("name", ["a.py", "a.js", "a.html"])
def test_a_file_of_501_lines_is_found_and_one_of_500_is_not(tmp_path: Path, folder: str, name: str) -> None:
    file = tmp_path / folder / name
    file.parent.mkdir(parents=True)
    file.write_text("\n" * 500)
    assert said(tmp_path) == []
    file.write_text("\n" * 501)
    assert said(tmp_path) == [f"{folder}/{name}: 501 lines, at most 500"]


def test_an_exception_that_is_not_needed_any_more_is_found(tmp_path: Path) -> None:
    """The script takes the folder two above its own for the project: here one in which nothing is long."""
    script = tmp_path / "tests" / "gates" / "sizes.py"
    script.parent.mkdir(parents=True)
    shutil.copy(HERE / "sizes.py", script)
    found = gate(script)
    assert found.returncode == 1
    assert "tests/fit/fit_oracle.py: named in sizes.py, and not too long" in found.stderr
