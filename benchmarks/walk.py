"""Random household-days, each carried out to the letter by a simulated person: what came of them.

    python benchmarks/walk.py                          a thousand days
    python benchmarks/walk.py --days 200 --seed 7000   fewer of them, from another seed
    python benchmarks/walk.py --one 7012               one day alone, with all its steps
    python benchmarks/walk.py --horizon 100            a hundred households, each lived to the end of its horizon

Prints what came of each kind of day, why days were refused or left out, the seconds, and each failure with its seed; the garage files
of failures are written into the folder that `--out` names. Fails where one failed.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections import Counter
from pathlib import Path

TESTS = Path(__file__).resolve().parents[1] / "tests"
sys.path[:0] = [str(TESTS / "walking"), str(TESTS)]

from days import Came, Day, days  # noqa: E402
from horizon import Years, live_years  # noqa: E402


def main() -> int:
    """Lives the days, and tells. 1 where one failed."""
    wanted = argparse.ArgumentParser()
    wanted.add_argument("--days", type=int, default=1000)
    wanted.add_argument("--seed", type=int, default=0)
    wanted.add_argument("--one", type=int)
    wanted.add_argument("--horizon", type=int)
    wanted.add_argument("--out", type=Path, default=Path("walked"))
    args = wanted.parse_args()
    if args.horizon is not None:
        return _horizon(args.seed if args.one is None else args.one, args.horizon if args.one is None else 1, args)
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


def _horizon(first: int, count: int, args: argparse.Namespace) -> int:
    """Lives households for years, and tells. 1 where one failed."""
    began, lived = time.perf_counter(), list[Years]()
    for seed in range(first, first + count):
        lived.append(live_years(seed))
        if lived[-1].came is Came.FAILED:
            _tell(lived[-1], args.out)
        if args.one is not None:
            print(lived[-1].text, *lived[-1].log, sep="\n")
    done = [y for y in lived if y.came is Came.DONE]
    for theme in dict.fromkeys(y.theme for y in lived):
        came = Counter(y.came for y in lived if y.theme is theme)
        print(f"{theme.value:26}", ", ".join(f"{n} {c.value}" for c, n in came.items()))
    for why, n in Counter(y.why for y in lived if y.came is Came.LEFT_OUT).most_common():
        print(f"left out     {n:4}  {why}")
    for why, n in Counter(y.not_counted for y in done if y.not_counted).most_common():
        print(f"not counted  {n:4}  {why}")
    print(
        f"{sum(y.later > 0 for y in done)} households with later writings that came to pass, {sum(y.later for y in done)} sensors so"
    )
    print(
        f"{sum(y.sales > 0 for y in done)} with a sale, {sum(y.put_off > 0 for y in done)} with a writing that a later plan took back"
    )
    print(f"{sum(y.waited > 0 for y in done)} in which a stored set's work waited for its change")
    print(f"{len(lived)} households, {sum(y.jobs for y in lived)} jobs in {time.perf_counter() - began:.1f} s")
    return any(y.came is Came.FAILED for y in lived)


def _tell(day: Day, out: Path) -> None:
    out.mkdir(parents=True, exist_ok=True)
    file = out / f"{day.seed}.toml"
    file.write_text(day.text + "".join(f"# {line}\n" for line in day.log), encoding="utf-8")
    kind = day.theme if isinstance(day, Years) else day.kind
    print(f"seed {day.seed}, {kind}: {day.why}\n    {file}")


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
