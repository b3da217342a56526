"""A program that is killed in the middle of its writes loses nothing that it acknowledged, and doubles nothing."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from claiming import same_again
from wheelside.book.address import is_address
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.work.doing import begin

TESTS = Path(__file__).parents[1]
CAMPAIGN = {False: (500, 400), True: (60, 48)}
"""How many kills, and how many of them at least while a write is open; for a file, and for a server."""
JOBS = 27


def test_nothing_acknowledged_is_lost_and_nothing_doubled_however_often_a_program_is_killed(
    household_desk: Desk, place: str, capfd: pytest.CaptureFixture[str]
) -> None:
    kills, bar = CAMPAIGN[is_address(place)]
    job = begin(household_desk).job
    assert job is not None
    for n in range(JOBS - 1):
        same_again(household_desk, job, f"{n:016x}")
    household_desk.close()
    program = [sys.executable, "-P", str(TESTS / "book" / "killing.py")]
    command = [*program, place, str(household_desk.photos), str(kills), str(bar), "20"]
    environ = {**os.environ, "PYTHONPATH": os.pathsep.join([str(TESTS), *sys.path])}
    done = subprocess.run(command, env=environ, capture_output=True, text=True, timeout=250, check=False)
    assert done.returncode == 0, done.stderr[-4000:]
    counts = json.loads(done.stdout)
    with capfd.disabled():
        sys.stdout.write(f"\n{place.split(':', 1)[0] if is_address(place) else 'a file'}: {counts}\n")
    assert counts["kills"] >= kills
    assert counts["open"] >= bar, counts
    assert counts["open and gone"] > kills / 4, counts
    assert counts["answered"] > kills / 2, counts
    assert counts["sent again"] > kills / 4, counts
