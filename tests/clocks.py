"""The clock of whole processes, faked by libfaketime: what a machine on another day would show them."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys

FAKING = ("LD_PRELOAD", "FAKETIME", "FAKETIME_SHARED", "NO_FAKE_STAT", "PYTHONDONTWRITEBYTECODE")


def faked(at: str, zone: str = "UTC0") -> dict[str, str]:
    """What a process has in its environment for a clock that says `at` now, as in '2028-02-29 12:00:00', and runs on.

    So have all processes that it starts, and their clocks agree. The monotonic clock is moved, too (browsers are slow otherwise);
    times of files are left as they are. `zone`: that of `at`, as in TZ.
    """
    return {**_moved(at, zone), "NO_FAKE_STAT": "1", "PYTHONDONTWRITEBYTECODE": "1"}


def _moved(at: str, zone: str) -> dict[str, str]:
    """Fails where libfaketime is not installed: no test may be left out."""
    program = shutil.which("faketime")
    assert program is not None, "faketime is missing: install the package faketime"
    env = {k: v for k, v in os.environ.items() if k not in FAKING} | {"TZ": zone}
    done = subprocess.run(
        [program, "-m", at, "printenv", "LD_PRELOAD", "FAKETIME"], env=env, capture_output=True, text=True, check=True, timeout=20
    )  # fmt: skip
    preload, by = done.stdout.split()
    return {"LD_PRELOAD": preload, "FAKETIME": by}


def clock_with(env: dict[str, str]) -> str:
    """What the clock of a process with this environment says, in UTC, to the minute."""
    look = "import datetime; print(datetime.datetime.now().isoformat(' ', 'minutes'))"
    command = [sys.executable, "-c", look]
    return subprocess.run(
        command, env=env | {"TZ": "UTC0"}, capture_output=True, text=True, check=True, timeout=20
    ).stdout.strip()
