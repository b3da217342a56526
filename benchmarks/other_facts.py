"""Garages with other facts, each sensible by itself, through plan, air card, sheet and fit: status 0, 1 or 2 only.

python benchmarks/other_facts.py                      5,000 garages
python benchmarks/other_facts.py --garages 200 --seed 3
"""

from __future__ import annotations

import argparse
import io
import os
import random
import sys
import tempfile
import time
from collections import Counter
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path

import tomli_w

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))

from mutating import Mutator
from wheelside.cli.main import status
from wheelside.demo import DEMO_DAY

COMMANDS = (("plan", "--no-save"), ("air",), ("sheet", "--no-save"), ("fit",))


def main() -> int:
    """Draws garages as asked for, and prints what came of them; 1 where something was a fault."""
    wanted = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    wanted.add_argument("--garages", type=int, default=5000)
    wanted.add_argument("--seed", type=int, default=1)
    args = wanted.parse_args()
    os.environ["WHEELSIDE_CLOCK"] = f"{DEMO_DAY}T09:00:00+01:00"
    mutator = Mutator(random.Random(args.seed))
    counted: Counter[str] = Counter()
    faults, began, slowest = [], time.monotonic(), (0.0, "")
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "other.toml"
        for n in range(args.garages):
            table, told = mutator.drawn(1 + n % 4)
            file.write_text(tomli_w.dumps(table), encoding="utf-8")
            sets = [one["id"] for one in table.get("set", ()) if "id" in one]
            for command, *extra in COMMANDS:
                if command == "fit" and sets:
                    extra = ["--set", sets[n % len(sets)]]  # noqa: PLW2901  a set of this garage
                err, at = io.StringIO(), time.monotonic()
                with redirect_stdout(io.StringIO()), redirect_stderr(err):
                    code = status([command, str(file), *extra, "--on", str(DEMO_DAY)])
                slowest = max(slowest, (time.monotonic() - at, f"{command} after {told}"))
                counted[f"{command} {code}"] += 1
                if code not in (0, 1, 2) or (code == 2) != bool(err.getvalue()):
                    faults.append(f"garage {n}: {command} ends with {code} after {told}: {err.getvalue()[:300]}")
    print(
        f"{args.garages} garages, seed {args.seed}, {time.monotonic() - began:.0f} s: {dict(sorted(counted.items()))}"
    )
    print(f"slowest {slowest[0]:.1f} s: {slowest[1]}")
    print(f"faults: {len(faults)}")
    for fault in faults[:30]:
        print(fault)
    return int(bool(faults))


if __name__ == "__main__":
    sys.exit(main())
