"""What fit, air card and sheet say of wheels in drawn garages, counted; and what became of it since another version.

    python benchmarks/verdicts.py                            300 garages, every set on every car
    python benchmarks/verdicts.py --garages 50 --seed 9000   fewer of them, from another seed
    python benchmarks/verdicts.py --keep before.json         writes every verdict down, too
    python benchmarks/verdicts.py --against before.json      tells every kind of verdict that is another now, with how often and where first

A pair is a set on a car. Of each pair: the lines of the fit, what stands on the air card and on the sheet, and for which wheels the card has
a figure. The sheet is asked without the identity plan, which has nothing to do with this. Nothing is on any car.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

sys.path[:0] = [str(Path(__file__).resolve().parents[1] / "tests" / "fit")]

from fit_drawn import DAY, drawn  # noqa: E402

from wheelside.fill.card import air_card  # noqa: E402
from wheelside.finding import Finding, Weight  # noqa: E402
from wheelside.fit.report import fit  # noqa: E402
from wheelside.garage.model import Car, Garage, WheelSet  # noqa: E402
from wheelside.garage.present import Present  # noqa: E402
from wheelside.garage.wishes import Conditions  # noqa: E402
from wheelside.identity.plan import IdentityPlan  # noqa: E402
from wheelside.sheet.context import Job  # noqa: E402
from wheelside.sheet.looks import looks  # noqa: E402
from wheelside.speech.speech import Speech  # noqa: E402
from wheelside.units import Length, Temperature  # noqa: E402

Said = dict[str, str]
"""What is said of one pair: by room, code and wheel."""
TO_SETTLE = ("capacity-contradicts", "speed-season")
"""Codes of what is to be found out before a sheet is made, written out so that older versions can be asked, too."""
NOT = "does not fit"
COLD = Temperature.from_celsius(5.0)
END = DAY + timedelta(days=365)


def owned(seed: int) -> Garage:
    """A drawn garage whose sets are the owner's, with conditions under which an air card has figures."""
    garage = drawn(seed)
    said = Conditions(tyre_temperature=COLD, temperature_of_use=COLD, height_here=Length(0.0), load="full")
    return replace(garage, conditions=said, set=tuple(replace(one, on_offer=False) for one in garage.set))


def pair_says(garage: Garage, car: Car, one: WheelSet) -> Said:
    """Everything that is said of one set on one car."""
    said: Said = {}
    for line in fit(garage, car, one, DAY, {}).lines:
        named = [corner.value for corner, _ in one.wheels] if line.corners == ("all four",) else line.corners
        for corner in named:
            said[f"fit|{line.code}|{corner}"] = line.verdict.value
    card = air_card(garage, car, one, DAY)
    plan = IdentityPlan(DAY, END, True, "EUR", (), (), (), ())
    job = Job(garage, plan, card, car, one, None, DAY, DAY, Present(garage, DAY, END))
    said |= dict(_findings("card", card.findings))
    said |= dict(_findings("sheet", tuple(looks(job))))
    figures = {setting.corner.value for setting in card.wheels}
    return said | {f"figure||{corner.value}": str(corner.value in figures) for corner, _ in one.wheels}


def _findings(room: str, found: tuple[Finding, ...]) -> Iterator[tuple[str, str]]:
    for one in found:
        yield f"{room}|{one.code}|{Speech().text(one.about).split(',')[0]}", one.weight.value


def told(garages: int, seed: int) -> dict[str, Said]:
    """What is said of every pair of so many garages."""
    return {
        f"{number}|{car.id}|{one.id}": pair_says(garage, car, one)
        for number in range(seed, seed + garages)
        for garage in (owned(number),)
        for car in garage.car
        for one in garage.set
    }


def _count(all_told: dict[str, Said]) -> None:
    lines = Counter((key.split("|")[0], key.split("|")[1], v) for said in all_told.values() for key, v in said.items())
    for (room, code, verdict), many in sorted(lines.items()):
        print(f"{room:7} {code:22} {verdict:22} {many:6}")
    refused = sum(bool(_refusals(said)) for said in all_told.values())
    print(f"{len(all_told)} pairs, {refused} of them refused by air card or sheet, or to be settled first")


def _refusals(said: Said) -> set[str]:
    """What keeps a sheet from being made."""
    rooms = {key: verdict for key, verdict in said.items() if key.split("|")[0] in ("card", "sheet")}
    return {k for k, v in rooms.items() if v == Weight.FORBIDDEN.value or k.split("|")[1] in TO_SETTLE}


def _compare(before: dict[str, Said], now: dict[str, Said]) -> None:
    changed: dict[tuple[str, str, str, str], list[str]] = {}
    for pair in sorted(before.keys() | now.keys()):
        one, other = before.get(pair, {}), now.get(pair, {})
        for key in sorted(one.keys() | other.keys()):
            was, became = one.get(key, "nothing"), other.get(key, "nothing")
            if was != became:
                room, code, corner = key.split("|")
                changed.setdefault((room, code, was, became), []).append(f"{pair}|{corner}")
    for (room, code, was, became), where in sorted(changed.items()):
        print(f"{room:7} {code:22} {was} -> {became}: {len(where)}, first {where[0]}")
    print(f"{len(changed)} kinds of change")
    both = before.keys() & now.keys()
    freed = [pair for pair in sorted(both) if _refusals(before[pair]) and not _refusals(now[pair])]
    lost = [
        (p, k)
        for p in sorted(both)
        for k, v in before[p].items()
        if k.startswith("fit|") and v == NOT and now[p].get(k) != NOT
    ]
    print(f"refused before and not now: {len(freed)} pairs {freed}")
    print(f"lines of the fit that did not fit before and are another now: {len(lost)} {lost}")


def main() -> None:
    """Grades, counts, and compares where asked to."""
    wanted = argparse.ArgumentParser()
    wanted.add_argument("--garages", type=int, default=300)
    wanted.add_argument("--seed", type=int, default=0)
    wanted.add_argument("--keep", type=Path)
    wanted.add_argument("--against", type=Path)
    args = wanted.parse_args()
    now = told(args.garages, args.seed)
    _count(now)
    if args.keep:
        args.keep.write_text(json.dumps(now), encoding="utf-8")
    if args.against:
        _compare(json.loads(args.against.read_text(encoding="utf-8")), now)


if __name__ == "__main__":
    main()
