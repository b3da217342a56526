"""CPU seconds of planning and wording, start-up and imports apart: 12 wheels, 48 wheels, all reasons, and halls of several seeds.

    python benchmarks/planning.py               small garages: the least, the middle and the most of ten seeds each
    python benchmarks/planning.py --halls 7     seven halls of 1,000 wheels besides, proven or how far from it
    python benchmarks/planning.py --file FILE --on 2026-01-05    one garage file

The small garages are halls of 12 and 48 wheels: many IDs twice, few places, half of the sensors rewritable. Bars: 12 wheels under 1 s, 48
under 2 s, all reasons of 48 wheels under 10 s or named as not worked out, a hall within 15 s, proven or within 1 %.
"""

from __future__ import annotations

import argparse
import random
import time
from collections.abc import Callable
from datetime import date
from pathlib import Path

from hall import DAY, SEED, Size, hall

from wheelside.garage.file import read_garage
from wheelside.garage.model import Garage
from wheelside.identity.plan import IdentityPlan, Reasons, identity_plan
from wheelside.screens.plan import plan_screen
from wheelside.screens.screen import Screen, Section, ShownTable
from wheelside.speech.speech import Speech

SEEDS = range(SEED, SEED + 10)


def worded(screen: Screen) -> int:
    """How many letters a screen has, every cell put into words."""
    speech = Speech()

    def of(part: Section) -> int:
        letters = 0
        for block in part.blocks:
            if isinstance(block, ShownTable):
                letters += sum(len(speech.text(cell)) for row in block.rows for cell in row.cells)
                letters += sum(of(row.more) for row in block.rows if row.more)
        return letters

    return sum(map(of, screen.parts))


def seconds(garage: Garage, reasons: Reasons, day: date = DAY) -> tuple[float, IdentityPlan]:
    """CPU seconds to plan a garage and to put the plan into words."""
    began = time.process_time()
    plan = identity_plan(garage, day, (), random.Random(1).getrandbits, reasons=reasons)
    assert worded(plan_screen(garage, plan)) or not plan.wheels
    return time.process_time() - began, plan


def told(name: str, made: Callable[[int], Garage], reasons: Reasons) -> None:
    """Prints one line for ten seeds."""
    runs = [seconds(made(seed), reasons) for seed in SEEDS]
    took = sorted(s for s, _ in runs)
    unanswered = max(len(plan.unanswered) for _, plan in runs)
    more = f", at most {unanswered} wheels named as not worked out" if unanswered else ""
    print(f"{name}: {took[0]:.2f} / {took[len(took) // 2]:.2f} / {took[-1]:.2f} s{more}", flush=True)


def small(wheels: int) -> Callable[[int], Garage]:
    """Halls of so many wheels, by seed."""
    return lambda seed: read_garage(hall(Size(wheels), seed).encode(), "small.toml")


def main() -> None:
    """Runs what is asked for."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--halls", type=int, default=0)
    parser.add_argument("--file", type=Path)
    parser.add_argument("--on", type=date.fromisoformat, default=DAY)
    asked = parser.parse_args()
    if asked.file:
        garage = read_garage(asked.file.read_bytes(), asked.file.name)
        for reasons in Reasons:
            took, plan = seconds(garage, reasons, asked.on)
            print(
                f"{asked.file.name}, reasons of {reasons.value}: {took:.2f} s, {len(plan.unanswered)} wheels not answered"
            )
        return
    told("12 wheels, least / middle / most", small(12), Reasons.WHY)
    told("48 wheels", small(48), Reasons.WHY)
    told("48 wheels, all reasons", small(48), Reasons.ALL)
    for seed in range(SEED, SEED + asked.halls):
        took, plan = seconds(read_garage(hall(Size(1000), seed).encode(), "hall.toml"), Reasons.WHY)
        gap = 100 * (plan.weight - plan.bound) / plan.weight if plan.weight else 0.0
        print(f"hall of 1000 wheels, seed {seed}: {took:.1f} s, gap {gap:.3f} %", flush=True)


if __name__ == "__main__":
    main()
