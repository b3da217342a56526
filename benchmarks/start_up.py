"""How long a command takes to start, against the least that could be: medians of paired runs, and their ratios.

    python benchmarks/start_up.py [RUNS]

Run it with the Python in which wheelside is installed. Absolute times depend on the machine; the ratios
are what the project holds itself to: help at most 6 times `python -c pass`, a plan of the demo household
at most 2.5 times importing the solver alone.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from wheelside.demo import DEMO_DAY, DEMO_FILE, household

Command = list[str]


def seconds(command: Command) -> float:
    """How long one run takes, in seconds of wall time."""
    start = time.perf_counter()
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
    return time.perf_counter() - start


def compare(name: str, command: Command, baseline: Command, runs: int, bar: float) -> bool:
    """Prints both medians and their ratio; whether it stays within the bar."""
    seconds(command)
    seconds(baseline)
    pairs = [(seconds(command), seconds(baseline)) for _ in range(runs)]
    mine, other = (statistics.median(side) for side in zip(*pairs, strict=True))
    ratio = mine / other
    print(f"{name}: {mine * 1000:.0f} ms, baseline {other * 1000:.0f} ms, ratio {ratio:.2f} (bar {bar})")
    return bool(ratio <= bar)


def main(runs: int) -> int:
    """0 where both bars are kept, else 1."""
    wheelside = str(Path(sys.executable).with_name("wheelside"))
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / DEMO_FILE
        file.write_bytes(household())
        plan = [wheelside, "plan", str(file), "--on", str(DEMO_DAY)]
        solver = [sys.executable, "-c", "from ortools.sat.python import cp_model"]
        kept = [
            compare("wheelside --help", [wheelside, "--help"], [sys.executable, "-c", "pass"], runs, 6.0),
            compare("wheelside plan (demo)", plan, solver, runs, 2.5),
        ]
    return 0 if all(kept) else 1


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 20))
