"""How many questions it takes until plan and pressures are those of all that an owner knows, and stay so: by worth, in a fixed order, at random.

    python benchmarks/questions.py [--garages 100] [--seed 1]

Garages of up to 8 wheels are drawn with what their owner knows. The opening and what is always asked are the same in each order, and are not
counted. By worth: the question whose answers change most for the least effort, all weighed; when none changes anything the fixed order goes
on. Bars: on average no more than the fixed order, at most 60 % of random, never more than three above the fixed one.
"""

from __future__ import annotations

import argparse
import random
import sys
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from statistics import mean

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))
from inquiry_drawn import counted

RANDOM_BAR, ABOVE_BAR = 0.6, 3


def main() -> int:
    """Draws, counts, and prints each figure beside its bar; 1 where a bar is not met."""
    reader = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    reader.add_argument("--garages", type=int, default=100)
    reader.add_argument("--seed", type=int, default=1)
    given = reader.parse_args()
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


if __name__ == "__main__":
    sys.exit(main())
