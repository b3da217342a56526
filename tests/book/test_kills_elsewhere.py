"""A program that is killed while it keeps photos, ends jobs or brings an older book up to date loses nothing that it acknowledged."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

TESTS = Path(__file__).parents[1]
KILLS = {"photos": 40, "jobs": 12, "layouts": 10}
"""How often each kind of work is killed."""
SEED = 5


def test_nothing_acknowledged_is_lost_whatever_a_program_is_killed_at(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    command = [sys.executable, "-P", str(TESTS / "killed.py"), str(tmp_path), str(SEED), *map(str, KILLS.values())]
    environ = {**os.environ, "PYTHONPATH": os.pathsep.join([str(TESTS), *sys.path])}
    done = subprocess.run(command, env=environ, capture_output=True, text=True, timeout=200, check=False)
    assert done.returncode == 0, done.stderr[-4000:]
    counts = json.loads(done.stdout)
    with capfd.disabled():
        sys.stdout.write(f"\n{counts}\n")
    for kind, kills in KILLS.items():
        assert counts[kind]["kills"] == kills
        assert counts[kind]["in the middle"] > kills / 5, counts[kind]
        assert kind == "layouts" or counts[kind]["acknowledged"] > kills, counts[kind]
