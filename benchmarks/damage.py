"""Flips bits of a book and cuts it short, and runs commands on what is left: damage is told with status 3, or nothing has changed.

python benchmarks/damage.py                     500 flips, 200 cuts
python benchmarks/damage.py --flips 50 --cuts 20 --seed 3
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))

from damaging import damages


def main() -> int:
    """Damages a book as asked for, and prints what came of it; 1 where something was a fault."""
    wanted = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    wanted.add_argument("--flips", type=int, default=500)
    wanted.add_argument("--cuts", type=int, default=200)
    wanted.add_argument("--seed", type=int, default=1)
    args = wanted.parse_args()
    os.environ.update(WHEELSIDE_CLOCK="2026-11-25T12:00:00+01:00", COLUMNS="100")
    began = time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        book = damages(Path(folder), args.seed)
        book.flips(args.flips)
        book.cuts(args.cuts)
    print(
        f"{args.flips} flips, {args.cuts} cuts, seed {args.seed}, {time.monotonic() - began:.0f} s: {dict(book.counted)}"
    )
    print(f"faults: {len(book.faults)}")
    for fault in book.faults[:20]:
        print(fault)
    return int(bool(book.faults))


if __name__ == "__main__":
    sys.exit(main())
