"""Cuts the power at random moments of a program's writes: nothing acknowledged is lost, and the book is sound.

python benchmarks/power.py               300 cuts
python benchmarks/power.py --cuts 30 --seed 3
"""

from __future__ import annotations

import argparse
import os
import random
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

TESTS = Path(__file__).parents[1] / "tests"
sys.path.insert(0, str(TESTS))

from cutting import Cuts, recording  # noqa: E402


def main() -> int:
    """Cuts as often as asked for, and prints what came of it; 1 where something was a fault."""
    wanted = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    wanted.add_argument("--cuts", type=int, default=300)
    wanted.add_argument("--seed", type=int, default=1)
    args = wanted.parse_args()
    os.environ.update(WHEELSIDE_CLOCK="2026-11-25T12:00:00+01:00")
    began = time.monotonic()
    with tempfile.TemporaryDirectory() as name:
        folder, library = Path(name), Path(name) / "record.so"
        source = TESTS / "book" / "record.c"
        compiler = shutil.which("gcc") or "gcc"
        subprocess.run([compiler, "-shared", "-fPIC", "-o", str(library), str(source), "-ldl", "-lpthread"], check=True)
        cuts = Cuts(recording(folder / "recorded", library), folder / "left", random.Random(args.seed))
        cuts.cut(args.cuts)
    print(
        f"{len(cuts.calls)} calls, {args.cuts} cuts, seed {args.seed}, {time.monotonic() - began:.0f} s: {dict(cuts.counted)}"
    )
    print(f"faults: {len(cuts.faults)}")
    for fault in cuts.faults[:20]:
        print(fault)
    return int(bool(cuts.faults))


if __name__ == "__main__":
    sys.exit(main())
