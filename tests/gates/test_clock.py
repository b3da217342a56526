"""No test goes by the machine's clock: nothing reads it but its one home, and that only where no clock is given."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import wheelside

HERE = Path(__file__).parent
SAMPLES, ROOT = HERE / "samples", HERE.parents[1]


def gate(*folder: Path) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, str(HERE / "clockreads.py"), *map(str, folder)]
    return subprocess.run(command, capture_output=True, text=True, check=False)


def test_nothing_reads_a_clock_beside_its_home() -> None:
    found = gate()
    assert (found.returncode, found.stderr) == (0, "")


def test_the_gate_finds_every_read_of_the_samples_and_nothing_else(tmp_path: Path) -> None:
    """Each line of the samples that says so is found; none of the others."""
    shutil.copytree(SAMPLES / "clock", tmp_path, dirs_exist_ok=True)
    found = gate(tmp_path)
    assert found.returncode == 1
    marked = [
        f"{file.relative_to(tmp_path).as_posix()}:{number}"
        for file in tmp_path.rglob("*.*")
        for number, line in enumerate(file.read_text(encoding="utf-8").splitlines(), 1)
        if re.search(r"(#|//).*\bread\b", line)
    ]
    assert len(marked) >= 20
    assert sorted({":".join(line.split(":")[:2]) for line in found.stderr.splitlines()[1:]}) == sorted(marked)


def test_a_test_that_reads_the_machines_clock_or_starts_a_process_without_one_fails(tmp_path: Path) -> None:
    shutil.copy(SAMPLES / "clockless.py", tmp_path / "test_clockless.py")
    shutil.copy(ROOT / "tests" / "conftest.py", tmp_path / "conftest.py")
    command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "-p", "no:randomly", str(tmp_path)]
    env = {**os.environ, "PYTHONPATH": f"{ROOT / 'tests'}{os.pathsep}{Path(wheelside.__file__).parents[1]}"}
    found = subprocess.run(command, cwd=tmp_path, env=env, capture_output=True, text=True, check=False)
    assert "2 failed, 1 passed" in found.stdout
    assert "a test reads the machine's clock" in found.stdout
    assert "a test starts a process without WHEELSIDE_CLOCK" in found.stdout
