"""The later days on which a sensor could be written: when its wheel comes on or off a car, and before it is moved or sold."""

from __future__ import annotations

from datetime import date, timedelta

from wheelside.garage.model import Garage
from wheelside.garage.season import Spell

_DAY = timedelta(days=1)


def moments_of(garage: Garage, line: tuple[Spell, ...], wheel: str, day: date, end: date) -> tuple[date, ...]:
    """The days after `day` and before `end`, in order. Where a spell puts a set of the wheel on a car or takes it off one, that day; the
    day before any other spell, and before the set is sold. A line that leaves several places open moves the set to any of them."""
    found: set[date] = set()
    for name in garage.sets_of.get(wheel, ()):
        own = [s for s in line if s.set == name]
        for spell in own:
            before = next((s for s in own if s.until == spell.since), None)
            changed = spell.on is not None or (before is not None and before.on is not None)
            found.add(spell.since if changed else spell.since - _DAY)
            if spell.on is not None:
                found.add(spell.until)
        sold = garage.sets[name].sold
        if sold is not None:
            found.add(sold - _DAY)
    left = garage.leaves_with(wheel)
    last = min(end, left.leaves) if left is not None and left.leaves is not None else end
    return tuple(sorted(d for d in found if day < d < last))
