"""Which change of wheels is next."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from wheelside.errors import BadRequest
from wheelside.garage.model import Garage
from wheelside.garage.season import Spell, set_on


@dataclass(frozen=True, slots=True)
class Change:
    """A set going on a car on a day; `going` comes off. Where nothing comes off, `coming` may be on already."""

    car: str
    coming: str
    going: str | None
    day: date


def next_change(garage: Garage, line: tuple[Spell, ...], day: date, car: str | None, coming: str | None) -> Change:
    """The next change from `day` on, for one car or set where they are given; without one, the set that is on.

    Raises BadRequest where the file knows no such car or set, or no set goes on the car.
    """
    for value, table, word in ((car, garage.cars, "car"), (coming, garage.sets, "set")):
        if value is not None and value not in table:
            known = ", ".join(sorted(table)) or "none"
            raise BadRequest(f"no {word} '{value}' in the file: it has {known}", found=value, expected=known)
    mounts = [s for s in line if s.on is not None and car in (None, s.on) and coming in (None, s.set)]
    ahead = [s for s in mounts if s.since >= day]
    if ahead:
        first = min(ahead, key=lambda s: (s.since, s.on or "", s.set))
        assert first.on is not None, "a mount is on a car"
        off = set_on(line, first.on, first.since - timedelta(days=1))
        return Change(first.on, first.set, off if off != first.set else None, first.since)
    present = sorted((s for s in mounts if s.covers(day)), key=lambda s: (s.on or "", s.set))
    if present and present[0].on:
        return Change(present[0].on, present[0].set, None, day)
    whose = f"car '{car}'" if car else "any car"
    what = f"set '{coming}'" if coming else "a set"
    raise BadRequest(
        f"the season line never puts {what} on {whose} from {day} on: add a [[stay]] with 'set', 'on', 'since' and 'until'",
        expected="a [[stay]] with 'on'",
    )
