"""Garages with other facts, each sensible by itself, through plan, air card, sheet and fit: status 0, 1 or 2 only.

Where plan and sheet have nothing against a garage, its sheet is carried out to the letter besides, in a household that is as its file tells it:
on the day, with stops half way, or after one that was given up, in turn.

python benchmarks/other_facts.py                              5,000 garages, every walk that can be
python benchmarks/other_facts.py --garages 200 --seed 3
python benchmarks/other_facts.py --garages 2000 --walks 0     the commands alone
python benchmarks/other_facts.py --seed 3 --one 17            one of them alone, with its file and all its steps
"""

from __future__ import annotations

import argparse
import io
import os
import random
import sys
import tempfile
import time
import traceback
from collections import Counter
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass, field, replace
from pathlib import Path

import tomli_w

TESTS = Path(__file__).resolve().parents[1] / "tests"
sys.path[:0] = [str(TESTS / "walking"), str(TESTS)]

from days import Came, Day, Kind  # noqa: E402
from told import walk_file  # noqa: E402

from mutating import Mutator, Table  # noqa: E402
from wheelside.cli.main import status  # noqa: E402
from wheelside.demo import DEMO_DAY  # noqa: E402

KINDS = (Kind.ON, Kind.HALF_WAY, Kind.GIVEN_UP)
COMMANDS = (("plan", "--no-save"), ("air",), ("sheet", "--no-save"), ("fit",))


@dataclass
class Run:
    """What came of the garages so far."""

    walks: int
    tell: bool = False
    changes: int = 0
    counted: Counter[str] = field(default_factory=Counter)
    walked: Counter[str] = field(default_factory=Counter)
    why: Counter[str] = field(default_factory=Counter)
    faults: list[str] = field(default_factory=list)
    slowest: tuple[float, str] = (0.0, "")

    def garage(self, n: int, file: Path, table: Table, told: list[str]) -> None:
        """One garage through all commands, and through a walk where it plans."""
        file.write_text(tomli_w.dumps(table), encoding="utf-8")
        self.changes += len(told)
        sets = [one["id"] for one in table.get("set", ()) if "id" in one]
        codes = {}
        for command, *extra in COMMANDS:
            more = ["--set", sets[n % len(sets)]] if command == "fit" and sets else extra
            codes[command] = self._command(n, command, [str(file), *more, "--on", str(DEMO_DAY)], told)
        if (codes["plan"], codes["sheet"]) == (0, 0) and self.walked.total() < self.walks:
            self._walk(n, file.read_text("utf-8"), told)

    def _command(self, n: int, command: str, args: list[str], told: list[str]) -> int:
        err, at = io.StringIO(), time.monotonic()
        with redirect_stdout(io.StringIO()), redirect_stderr(err):
            code = status([command, *args])
        self._timed(at, f"{command} after {told}")
        self.counted[f"{command} {code}"] += 1
        if code not in (0, 1, 2) or (code == 2) != bool(err.getvalue()):
            self._fault(f"garage {n}: {command} ends with {code} after {told}: {err.getvalue()[:300]}")
        return code

    def _walk(self, n: int, text: str, told: list[str]) -> None:
        at, kind = time.monotonic(), KINDS[n % len(KINDS)]
        try:
            day = walk_file(text, DEMO_DAY, kind, n)
        except Exception as error:  # noqa: BLE001  told apart by where it was raised
            where = traceback.extract_tb(error.__traceback__)[-1]
            day = Day(
                n, kind, Came.LEFT_OUT, f"the walker does not know this: {Path(where.filename).name} {where.name}"
            )
            if not where.filename.startswith(str(TESTS)):
                day = replace(
                    day, came=Came.FAILED, why=f"{type(error).__name__} at {where.filename} {where.name}: {error}"
                )
        self._timed(at, f"walk after {told}")
        self.walked[day.came.value] += 1
        if day.came in (Came.REFUSED, Came.LEFT_OUT):
            self.why[day.why] += 1
        if day.came is Came.FAILED:
            self._fault(f"garage {n}, {kind.value}: {day.why} after {told}")
        if self.tell:
            print(text, *day.log, day.why, sep="\n")

    def _fault(self, what: str) -> None:
        self.faults.append(what)
        print(what, flush=True)

    def _timed(self, began: float, what: str) -> None:
        self.slowest = max(self.slowest, (time.monotonic() - began, what))


def main() -> int:
    """Draws garages as asked for, and prints what came of them; 1 where something was a fault."""
    wanted = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    wanted.add_argument("--garages", type=int, default=5000)
    wanted.add_argument("--seed", type=int, default=1)
    wanted.add_argument("--walks", type=int, default=sys.maxsize, help="at most so many walks")
    wanted.add_argument("--one", type=int, help="the garage with this number alone")
    args = wanted.parse_args()
    os.environ["WHEELSIDE_CLOCK"] = f"{DEMO_DAY}T09:00:00+01:00"
    mutator = Mutator(random.Random(args.seed))
    run, began = Run(args.walks, tell=args.one is not None), time.monotonic()
    count = args.garages if args.one is None else args.one + 1
    with tempfile.TemporaryDirectory() as folder:
        for n in range(count):
            table, told = mutator.drawn(1 + n % 4)
            if args.one in (None, n):
                run.garage(n, Path(folder) / "other.toml", table, told)
            if args.one is None and n % 100 == 99:
                _tell(run, n + 1, args.seed, began)
    _tell(run, count, args.seed, began)
    for why, many in run.why.most_common():
        print(f"{many:5}  {why}")
    return int(bool(run.faults))


def _tell(run: Run, count: int, seed: int, began: float) -> None:
    print(
        f"{count} garages, seed {seed}, {run.changes} changes, {time.monotonic() - began:.0f} s: {dict(sorted(run.counted.items()))}"
    )
    print(
        f"walks: {dict(run.walked)}; slowest {run.slowest[0]:.1f} s: {run.slowest[1]}; faults: {len(run.faults)}",
        flush=True,
    )


if __name__ == "__main__":
    sys.exit(main())
