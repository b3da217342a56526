"""The whole suite on machines of eight days, by a faked clock of every process: no test may go by the machine's date.

    python benchmarks/eight_days.py [--day NAME ...] [-- PYTEST ARGUMENTS]

Prints a line a day: passed, failed, seconds. Fails where any test failed, on any day. It runs on the sources, and takes as long as the
suite takes, eight times. Without arguments behind `--` it runs all tests, two at a time. Chromium keeps the machine's own date: the pages
have their day from Wheelside.
"""

from __future__ import annotations

import argparse
import os
import re
import subprocess
import sys
import tempfile
import time
from datetime import UTC, datetime
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
UTC_ZONE, CHANGING_ZONE = "UTC0", "CET"
"""Zones as the zone database names them; in the second, clocks go forward on the last Sunday of March, at 01:00 UTC."""
DAYS: dict[str, tuple[str | None, str]] = {
    "today": (None, UTC_ZONE),
    "change": ("2026-11-28 09:00:00", UTC_ZONE),
    "winter": ("2027-01-15 12:00:00", UTC_ZONE),
    "spring": ("2027-04-20 12:00:00", UTC_ZONE),
    "summer": ("2027-07-15 12:00:00", UTC_ZONE),
    "autumn": ("2027-10-15 12:00:00", UTC_ZONE),
    "leap-day": ("2028-02-29 12:00:00", UTC_ZONE),
    "new-year": ("2027-12-31 23:57:00", UTC_ZONE),
    "clocks-change": ("2027-03-28 00:55:00", CHANGING_ZONE),
}
"""When each run begins, in UTC (None: now), and the zone of its machine. `change` is the day in the demo's season line; where that is today,
`today` is the same."""


LEFT_OUT = ("tests/web/test_machine_days.py",)
"""It puts its own machines on three days, by another library: on top of this one it would be on none of them."""
BY = "WHEELSIDE_MACHINE_IS_OFF_BY"
SETTINGS = ("-q", "-W", "ignore::pytest.PytestAssertRewriteWarning")


def moved_to(at: str | None, folder: Path) -> dict[str, str]:
    """What processes have in their environment for a clock that says `at` now, all of them the same one."""
    sources = str(ROOT / "src")
    if at is None:
        return {"PYTHONPATH": sources}
    by = datetime.fromisoformat(at).replace(tzinfo=UTC).timestamp() - time.time()
    # each Python process, as it starts, moves its wall clock; what measures time stays as it is
    faked = f"""
import os, time
from datetime import UTC, datetime
import time_machine
time_machine.travel(datetime.fromtimestamp(time.time() + float(os.environ["{BY}"]), UTC), tick=True).start()
"""
    (folder / "sitecustomize.py").write_text(faked, encoding="utf-8")
    return {"PYTHONPATH": f"{folder}{os.pathsep}{sources}", BY: f"{by:.0f}"}


def run(name: str, options: list[str]) -> bool:
    """Runs the suite on one of the days and prints its line; whether all passed."""
    at, zone = DAYS[name]
    before = {k: v for k, v in os.environ.items() if k not in {"WHEELSIDE_CLOCK", "WHEELSIDE_EXPECTED_IN"}}
    start = time.perf_counter()
    command = [sys.executable, "-m", "pytest", *SETTINGS, *(f"--ignore={one}" for one in LEFT_OUT), *options]
    with tempfile.TemporaryDirectory() as folder:
        env = {**before, "TZ": zone, **moved_to(at, Path(folder))}
        done = subprocess.run(command, cwd=ROOT, env=env, capture_output=True, text=True, check=False)
    took = time.perf_counter() - start
    passed, failed, errors = (_count(done.stdout, what) for what in ("passed", "failed", r"errors?"))
    print(f"{name:14} {at or 'now':20} {zone:5} {passed:6} passed {failed + errors:4} failed {took:7.0f} s", flush=True)
    if done.returncode != 0:
        print(done.stdout[-6000:], done.stderr[-2000:], sep="\n", flush=True)
    return done.returncode == 0 and passed > 0


def _count(said: str, what: str) -> int:
    """A number out of the last line in which pytest says how many there were."""
    found = re.findall(rf"(\d+) {what}\b", said[-400:])
    return int(found[-1]) if found else 0


def main() -> int:
    """Runs the days that are asked for; the exit status."""
    reading = argparse.ArgumentParser(description="The suite on machines of eight days.")
    reading.add_argument(
        "--day", action="append", choices=DAYS, metavar="NAME", help=f"one of {', '.join(DAYS)}; all if left out"
    )
    reading.add_argument("pytest", nargs="*", help="arguments for pytest, behind --; '-n 2' if there are none")
    asked = reading.parse_args()
    results = [run(day, asked.pytest or ["-n", "2"]) for day in asked.day or DAYS]
    return 0 if all(results) else 1


if __name__ == "__main__":
    sys.exit(main())
