"""A storage hall: many sets of one family, all in one earshot, sharing few silent places and a stock of blank sensors.

    python benchmarks/hall.py            the hall of 1,000 wheels, and the demo household
    python benchmarks/hall.py --growth   100 to 5,000 wheels, as a table and as growth.svg in the present folder

One worker of the solver. Prints what was planned, the cost, the proven bound, seconds and peak memory.
"""

from __future__ import annotations

import argparse
import random
import resource
import subprocess
import sys
import time
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from wheelside.garage.file import read_garage
from wheelside.garage.model import Garage
from wheelside.identity.audit import audit
from wheelside.identity.choice import Action, IdChoice
from wheelside.identity.plan import identity_plan

DAY = date(2026, 11, 25)
CORNERS = ("front_left", "front_right", "rear_left", "rear_right")
SEED = 20261125


@dataclass(frozen=True)
class Size:
    """How large a hall is: 4 wheels a set, 4 cars for 5 sets; a fourth of the cars have two sets."""

    wheels: int

    @property
    def sets(self) -> int:
        return self.wheels // 4

    @property
    def cars(self) -> int:
        return self.sets * 4 // 5

    @property
    def silent_places(self) -> int:
        return max(1, self.sets // 25)

    @property
    def blanks(self) -> int:
        return max(1, self.wheels // 50)


def hall(size: Size, seed: int = SEED) -> str:
    """The garage file of a hall: 5 % of IDs on two cars, half of the sensors rewritable, few blanks and silent places."""
    draw = random.Random(seed)
    lines = [
        "wheelside = 1", 'title = "A storage hall"',
        '[[place]]\nid = "hall"', f'[[place]]\nid = "steel room"\nroom = {size.silent_places}',
        '[[path]]\nbetween = ["hall", "steel room"]\nheard = "no"',
        '[[family]]\nid = "kestrel"\nband = "433.92 MHz"\nbits = 32\nprinted = "hex"',
        '[[writer]]\nid = "writer"\ncan = ["given"]',
        f'[[blank]]\nfamily = "kestrel"\ncount = {size.blanks}\neach = "12 EUR"',
    ]  # fmt: skip
    numbers = draw.sample(range(1 << 24, (1 << 32) - 1), size.wheels)
    for _ in range(size.wheels // 20):
        one, other = draw.sample(range(size.wheels), 2)
        if one // 4 != other // 4:
            numbers[one] = numbers[other]
    teaching = ("step by step", "port", "locked", "driving")
    for car in range(size.cars):
        held = f'holds = [{{ set = "s{car}" }}]'
        lines.append(
            f'[[car]]\nid = "c{car}"\nstands_at = "hall"\nmonitor = "direct"\nfamily = "kestrel"\nspare_counted = false\n'
            f"remembers_sets = {draw.choice((1, 1, 1, 2))}\ncorner_aware = {draw.choice(('true', 'true', 'false'))}\n"
            f'taught_by = "{draw.choice(teaching)}"\n{held}'
        )
    for n in range(size.sets):
        wheels = []
        for k, corner in enumerate(CORNERS):
            wheel = 4 * n + k
            lines.append(
                f'[[sensor]]\nid = "x{wheel}"\nprinted = "{numbers[wheel]:08X}"\nfamily = "kestrel"\nanswers = true\n'
                f'at_rest = "transmits"\nwriting = "{draw.choice(("rewritable", "fixed"))}"\n'
                f"first_used = {2017 + draw.randrange(9)}-04-01"
            )
            lines.append(f'[[wheel]]\nid = "w{wheel}"\njoined = [{{ sensor = "x{wheel}" }}]')
            wheels.append(f'{corner} = "w{wheel}"')
        lines.append(f'[[set]]\nid = "s{n}"\nwheels = {{ {", ".join(wheels)} }}')
    for car in range(size.cars):
        lines += stays(car, size, draw)
    return "\n".join(lines) + "\n"


def stays(car: int, size: Size, draw: random.Random) -> list[str]:
    """A car with one set keeps it on; one with two changes in spring and autumn, and stores in the hall or the steel room."""
    other = size.cars + car
    if other >= size.sets:
        return [f'[[stay]]\nset = "s{car}"\non = "c{car}"\nsince = 2026-01-01']
    spring, autumn = date(2026, 4, 1 + draw.randrange(20)), date(2026, 11, 1 + draw.randrange(20))
    again = spring.replace(year=2027)
    row = '[[stay]]\nset = "{}"\n{}\nsince = {}\nuntil = {}\nyearly = true'
    stored = 'at = "hall"\nor_at = ["steel room"]'
    return [
        row.format(f"s{car}", f'on = "c{car}"', spring, autumn), row.format(f"s{car}", stored, autumn, again),
        row.format(f"s{other}", stored, spring, autumn), row.format(f"s{other}", f'on = "c{car}"', autumn, again),
    ]  # fmt: skip


def measured(name: str, garage: Garage) -> tuple[float, float]:
    """Plans and audits a garage, and prints what came of it; seconds to plan, and the gap to the bound."""
    start = time.perf_counter()
    plan = identity_plan(garage, DAY, (), random.Random(1).getrandbits)
    took = time.perf_counter() - start
    start = time.perf_counter()
    breaches = audit(garage, plan)
    checked = time.perf_counter() - start
    assert not breaches, breaches[:3]
    gap = (plan.weight - plan.bound) / plan.weight if plan.weight else 0.0
    kinds = {
        "refit": sum(w.action is Action.REFIT for w in plan.wheels), "in hand": sum(w.in_hand for w in plan.wheels),
        "fresh": sum(w.choice is IdChoice.FRESH for w in plan.wheels),
        "clone": sum(w.choice is IdChoice.CLONE for w in plan.wheels),
        "teachings": sum(t.needed for t in plan.teachings), "moved": len([p for p in plan.picked if p.place != "hall"]),
    }  # fmt: skip
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(
        f"{name}: {len(plan.wheels)} wheels, {len(garage.car)} cars; {', '.join(f'{v} {k}' for k, v in kinds.items())}"
    )
    print(f"  cost {plan.weight / 360000:.2f} {plan.currency}, bound {plan.bound / 360000:.2f}, gap {100 * gap:.3f} %")
    print(f"  planned in {took:.2f} s, audited in {checked:.2f} s, peak {peak:.0f} MiB")
    return took, gap


def growth() -> None:
    """Times halls of growing size, each in a process of its own, and draws the times on double-logarithmic paper."""
    points = []
    for wheels in (100, 200, 500, 1000, 2000, 5000):
        run = [sys.executable, __file__, "--wheels", str(wheels)]
        out = subprocess.run(run, capture_output=True, text=True, check=True).stdout
        print(out, end="", flush=True)
        proven = out.split("gap ")[1].startswith("0.000 %")
        points.append((wheels, float(out.split("planned in ")[1].split(" s")[0]), proven))
    Path("growth.svg").write_text(plot(points), encoding="utf-8")
    print("drawn in growth.svg; seconds per 100 wheels: " + ", ".join(f"{n}: {100 * t / n:.2f}" for n, t, _ in points))


def plot(points: list[tuple[int, float, bool]]) -> str:
    """The times as an SVG, both scales logarithmic; an open dot where the best was not proven."""
    from math import log10

    def x(wheels: float) -> float:
        return 70 + 240 * log10(wheels / 100)

    def y(seconds: float) -> float:
        return 330 - 90 * log10(max(seconds, 0.05) / 0.05)

    grid = "".join(
        f'<line x1="70" x2="500" y1="{y(s):.1f}" y2="{y(s):.1f}" stroke="#ccc"/><text x="62" y="{y(s) + 4:.1f}" text-anchor="end">{s:g} s</text>'
        for s in (0.1, 1, 10, 100)
    )
    grid += "".join(
        f'<line y1="30" y2="330" x1="{x(n):.1f}" x2="{x(n):.1f}" stroke="#ccc"/><text x="{x(n):.1f}" y="348" text-anchor="middle">{n}</text>'
        for n in (100, 1000, 5000)
    )
    line = " ".join(f"{x(n):.1f},{y(t):.1f}" for n, t, _ in points)
    dots = "".join(
        f'<circle cx="{x(n):.1f}" cy="{y(t):.1f}" r="4" stroke="#1c4f6b" stroke-width="2" fill="{"#1c4f6b" if proven else "#fff"}"/>'
        for n, t, proven in points
    )
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 540 380" font-family="sans-serif" font-size="13" fill="#222">'
        '<rect width="540" height="380" fill="#fff"/><text x="70" y="20">Seconds to plan a storage hall; open dot: best not proven</text>'
        f'{grid}<polyline points="{line}" fill="none" stroke="#1c4f6b" stroke-width="2"/>{dots}'
        '<text x="285" y="370" text-anchor="middle">wheels</text></svg>\n'
    )


def main() -> None:
    """Runs the benchmark that is asked for."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--wheels", type=int, default=0)
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--growth", action="store_true")
    asked = parser.parse_args()
    if asked.growth:
        growth()
        return
    start = time.perf_counter()
    garage = read_garage(hall(Size(asked.wheels or 1000), asked.seed).encode(), "hall.toml")
    print(f"read in {time.perf_counter() - start:.2f} s")
    measured("hall", garage)
    if not asked.wheels:
        from wheelside.demo import household

        measured("household", read_garage(household(), "household.toml"))


if __name__ == "__main__":
    main()
