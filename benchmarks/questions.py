"""How many questions it takes until plan and pressures are those of all that an owner knows, and stay so: by worth, in a fixed order, at random.

    python benchmarks/questions.py [--garages 100] [--seed 1]
    python benchmarks/questions.py --waits

With `--waits`: how long the next question lets an owner of twelve wheels wait, who thinks for a second each time. Bar: 0.3 s.

Garages of up to 8 wheels are drawn with what their owner knows. The opening and what is always asked are the same in each order, and are not
counted. By worth: the question whose answers change most for the least effort, all weighed; when none changes anything the fixed order goes
on. Bars: on average no more than the fixed order, at most 60 % of random, never more than three above the fixed one.
"""

from __future__ import annotations

import argparse
import random
import sys
import tempfile
import time
from concurrent.futures import ProcessPoolExecutor
from datetime import UTC, datetime
from pathlib import Path
from statistics import mean, median

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))
from inquiry_drawn import counted, drawn
from inquiry_owners import said
from wheelside.inquiry.query import Errand
from wheelside.jobs.book.desk import new_desk
from wheelside.jobs.work.starting import Asker
from wheelside.units.moment import Moment

RANDOM_BAR, ABOVE_BAR, WAIT_BAR, THINKS_S = 0.6, 3, 0.3, 1.0


def main() -> int:
    """Draws, counts, and prints each figure beside its bar; 1 where a bar is not met."""
    reader = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    reader.add_argument("--garages", type=int, default=100)
    reader.add_argument("--seed", type=int, default=1)
    reader.add_argument("--waits", action="store_true")
    given = reader.parse_args()
    if given.waits:
        return waits()
    seeds = random.Random(given.seed).sample(range(1_000_000), given.garages)
    with ProcessPoolExecutor(2) as pool:
        found = list(pool.map(counted, seeds))
    worth, fixed, drawn = (mean(one[n] for one in found) for n in range(3))
    most = max(one[0] - one[1] for one in found)
    print(f"{given.garages} garages: by worth {worth:.2f} questions, fixed {fixed:.2f}, random {drawn:.2f}")
    print(f"  by worth / fixed   {worth / fixed:.2f} of 1.00")
    print(f"  by worth / random  {worth / drawn:.2f} of {RANDOM_BAR:.2f}")
    print(f"  most above fixed   {most} of {ABOVE_BAR}")
    worst = sorted(zip(found, seeds, strict=True), key=lambda one: one[0][1] - one[0][0])[:5]
    print("  furthest above:", ", ".join(f"seed {seed}: {one[0]} for {one[1]}" for one, seed in worst))
    return int(worth > fixed or worth > RANDOM_BAR * drawn or most > ABOVE_BAR)


def waits() -> int:
    """Two cars with three sets, asked to the end: the longest and the median wait for a question."""
    desk = new_desk(
        str(Path(tempfile.mkdtemp()) / "twelve.book"), clock=lambda: Moment.of(datetime(2026, 11, 30, 9, 0, tzinfo=UTC))
    )
    asker = Asker(desk)
    asker.answer("begin", {"pick": "figures", "name": "Other"})
    asker.answer("on/Other", {"pick": "all-year", "size": "175/65 R15 84T"})
    waited, took = [], 0.0
    car = "-new"
    for _ in range(60):
        start = time.perf_counter()
        turn = asker.turn(Errand.WHEELS, car)
        took = time.perf_counter() - start
        if turn.query is None:
            break
        waited.append((took, turn.query.code))
        time.sleep(THINKS_S)
        given = said(
            {
                **drawn(7),
                "begin": {"pick": "figures", "name": "Mine"},
                "other/": {"pick": "winter", "size": "205/60 R16 92H"},
            },
            turn.query,
        )
        asker.answer(turn.query.code, given)
        car = "Mine"
    wheels = len(desk.loaded().garage.wheel)
    longest, code = max(waited)
    middle = median(one for one, _ in waited)
    print(
        f"{wheels} wheels, {len(waited)} questions: longest wait {longest:.3f} s ({code}), median {middle:.3f} s; bar {WAIT_BAR} s"
    )
    print(f"  the end, where nothing more is asked: {took:.3f} s")
    desk.close()
    return int(longest > WAIT_BAR)


if __name__ == "__main__":
    sys.exit(main())
