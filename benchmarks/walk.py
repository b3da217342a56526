"""Random household-days, each carried out to the letter by a simulated person: what came of them.

    python benchmarks/walk.py                          a thousand days
    python benchmarks/walk.py --days 200 --seed 7000   fewer of them, from another seed
    python benchmarks/walk.py --one 7012               one day alone, with all its steps

Prints what came of each kind of day, why days were refused or left out, the seconds, and each failure with its seed; the garage files
of failures are written into the folder that `--out` names. Fails where one failed.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections import Counter
from pathlib import Path

sys.path[:0] = [str(Path(__file__).resolve().parents[1] / "tests" / "walking")]

from days import Came, Day, days  # noqa: E402


def main() -> int:
    """Lives the days, and tells. 1 where one failed."""
    wanted = argparse.ArgumentParser()
    wanted.add_argument("--days", type=int, default=1000)
    wanted.add_argument("--seed", type=int, default=0)
    wanted.add_argument("--one", type=int)
    wanted.add_argument("--out", type=Path, default=Path("walked"))
    args = wanted.parse_args()
    first, count = (args.seed, args.days) if args.one is None else (args.one, 1)
    began, all_days = time.perf_counter(), []
    for day in days(first, count):
        all_days.append(day)
        if day.came is Came.FAILED:
            _tell(day, args.out)
        if args.one is not None:
            print(day.text, *day.log, sep="\n")
    _sum_up(all_days, time.perf_counter() - began)
    return any(d.came is Came.FAILED for d in all_days)


def _tell(day: Day, out: Path) -> None:
    out.mkdir(parents=True, exist_ok=True)
    file = out / f"{day.seed}.toml"
    file.write_text(day.text + "".join(f"# {line}\n" for line in day.log), encoding="utf-8")
    print(f"seed {day.seed}, {day.kind}: {day.why}\n    {file}")


def _sum_up(all_days: list[Day], seconds: float) -> None:
    for kind in dict.fromkeys(d.kind for d in all_days):
        came = Counter(d.came for d in all_days if d.kind is kind)
        print(f"{kind.value:24}", ", ".join(f"{n} {c.value}" for c, n in came.items()))
    for what in (Came.REFUSED, Came.LEFT_OUT):
        for why, n in Counter(d.why for d in all_days if d.came is what).most_common():
            print(f"{what.value:12} {n:4}  {why}")
    print(f"{len(all_days)} household-days in {seconds:.1f} s")


if __name__ == "__main__":
    sys.exit(main())
