"""The whole suite on machines of eight days, by a faked clock of every process: no test may go by the machine's date.

    python benchmarks/eight_days.py [--day NAME ...] [-- PYTEST ARGUMENTS]

Prints a line a day: passed, failed, seconds. Fails where any test failed, on any day. It needs Debian's `faketime`, runs on the sources,
and takes as long as the suite takes, eight times. Without arguments behind `--` it runs all tests, two at a time.

Left out are tests that libfaketime 0.9.10 can't carry, and long ones without a date in them; see `LEFT_OUT`.
"""

from __future__ import annotations

import argparse
import os
import re
import subprocess
import sys
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


LEFT_OUT = (
    # they wait on locks with a time limit (sem_clockwait), which libfaketime does not know: they never wake
    "tests/car", "tests/jobs/test_carback.py", "tests/jobs/test_carbook.py", "tests/jobs/test_carteach.py", "tests/cli/test_car_command.py",
    "tests/cli/test_car_killed.py", "tests/cli/test_port_command.py", "tests/web/test_port_pages.py", "tests/web/test_port_browser.py",
    "tests/demo/test_practice_adapter.py",
    # a browser is slow under it; the demo's job is walked on three machine days in the suite itself (tests/web/test_machine_days.py)
    "tests/web/test_browser.py", "tests/web/test_machine_days.py", "tests/web/test_readings_browser.py",
    # the fault library takes the place of the faking one; thousands of kills, plans and damaged bytes, each on a day that is given
    "tests/book/test_faults.py", "tests/book/test_kills.py", "tests/identity/test_enumeration.py", "tests/web/test_api.py",
)  # fmt: skip


def library() -> str:
    """The faking library. Ends the program where it is not installed."""
    found = sorted(Path("/usr/lib").glob("*/faketime/libfaketimeMT.so.1"))
    if not found:
        sys.exit("libfaketime is missing: install the package faketime")
    return str(found[0])


def moved_to(at: str | None) -> dict[str, str]:
    """What processes have in their environment for a clock that says `at` now, all of them the same one."""
    if at is None:
        return {}
    by = datetime.fromisoformat(at).replace(tzinfo=UTC).timestamp() - time.time()
    return {"LD_PRELOAD": library(), "FAKETIME": f"{by:+.0f}", "NO_FAKE_STAT": "1", "PYTHONDONTWRITEBYTECODE": "1"}


def run(name: str, options: list[str]) -> bool:
    """Runs the suite on one of the days and prints its line; whether all passed."""
    at, zone = DAYS[name]
    before = {k: v for k, v in os.environ.items() if k not in {"WHEELSIDE_CLOCK", "WHEELSIDE_EXPECTED_IN"}}
    env = {**before, "TZ": zone, "PYTHONPATH": str(ROOT / "src"), **moved_to(at)}
    start = time.perf_counter()
    command = [sys.executable, "-m", "pytest", "-q", *(f"--ignore={one}" for one in LEFT_OUT), *options]
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
