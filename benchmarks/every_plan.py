"""Random households, planned, and the cost of each plan held against every plan that there is.

    python benchmarks/every_plan.py                            a thousand households
    python benchmarks/every_plan.py --count 200 --first 7000   fewer of them, from another seed
    python benchmarks/every_plan.py --first 7012 --count 1 --show   one of them alone, with its file

Each is drawn from a seed of its own, small enough for every combination of choices to be tried; the trial goes by the rules as they are
told a second time, in tests/identity/oracle.py. Prints the seed of every mismatch with both weights and the kinds of the household, then how
many there were of each kind, how many of them did not match, and the seconds. Fails where one did not match.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path
from random import Random

sys.path[:0] = [str(Path(__file__).resolve().parents[1] / "tests" / part) for part in (".", "identity")]

from kinds_drawn import KINDS, kinds  # noqa: E402
from oracle import Enumeration  # noqa: E402
from sketch import Case, draw_case  # noqa: E402

from wheelside.identity.plan import Reasons, identity_plan  # noqa: E402

NO_KIND = "none of these"
NO_PLAN = "no plan is possible"


@dataclass
class Tally:
    """What was counted, and how long it took."""

    drawn: Counter[str] = field(default_factory=Counter)
    wrong: Counter[str] = field(default_factory=Counter)
    count: int = 0
    mismatches: int = 0
    drawing: float = 0.0
    planning: float = 0.0
    trying: float = 0.0

    def take(self, seed: int) -> Case:
        """Draws one household, plans it and tries every plan; tells where the two don't match."""
        began = time.perf_counter()
        case = draw_case(Random(seed))
        drawn = time.perf_counter()
        plan = identity_plan(case.world.garage, case.world.day, (), Random(1).getrandbits, reasons=Reasons.NONE)
        planned = time.perf_counter()
        best = Enumeration(case.world, case.wheels).run()
        tried = time.perf_counter()
        self.drawing, self.planning = self.drawing + drawn - began, self.planning + planned - drawn
        self.trying += tried - planned
        of = sorted(kinds(case.world)) or [NO_KIND]
        self.count += 1
        self.drawn.update([*of, *([NO_PLAN] if best is None else [])])
        weight = plan.weight if plan.possible else None
        if weight != best:
            self.mismatches += 1
            self.wrong.update([*of, *([NO_PLAN] if best is None else [])])
            print(f"seed {seed}: planned {told(weight)}, tried {told(best)}: {'; '.join(of)}")
        return case

    def sum_up(self) -> None:
        for kind in (*KINDS, NO_KIND, NO_PLAN):
            print(f"{kind:36} {self.drawn[kind]:5} {self.drawn[kind] / self.count:6.1%} {self.wrong[kind]:5} wrong")
        seconds = f"{self.drawing:.1f} s drawing, {self.planning:.1f} s planning, {self.trying:.1f} s trying every plan"
        print(f"{self.count} households, {self.mismatches} mismatches; {seconds}")


def told(weight: int | None) -> str:
    """The weight of a plan; nothing where no plan is possible."""
    return "nothing" if weight is None else f"{weight}"


def main() -> int:
    """Plans and tries the households. 1 where one did not match."""
    wanted = argparse.ArgumentParser()
    wanted.add_argument("--count", type=int, default=1000)
    wanted.add_argument("--first", type=int, default=0)
    wanted.add_argument("--show", action="store_true", help="print each household's file, too")
    args = wanted.parse_args()
    tally = Tally()
    for seed in range(args.first, args.first + args.count):
        case = tally.take(seed)
        if args.show:
            print(f"# seed {seed}, planned on {case.world.day}\n{case.text}")
    tally.sum_up()
    return 1 if tally.mismatches else 0


if __name__ == "__main__":
    sys.exit(main())
