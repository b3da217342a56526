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


def next_change(
    garage: Garage,
    line: tuple[Spell, ...],
    day: date,
    car: str | None,
    coming: str | None,
    within_days: int | None = None,
) -> Change:
    """The change that a person means: for a named set that is on a car, that one; else the next from `day` on; else what is on.

    `within_days`: the next change counts only when it is that near; the set that is on comes first else.

    Raises BadRequest where the file knows no such car or set, or no set goes on the car.
    """
    for value, table, word in ((car, garage.cars, "car"), (coming, garage.sets, "set")):
        if value is not None and value not in table:
            known = ", ".join(sorted(table)) or "none"
            raise BadRequest(f"no {word} '{value}' in the file: it has {known}", found=value, expected=known)
    mounts = [s for s in line if s.on is not None and car in (None, s.on) and coming in (None, s.set)]
    present = sorted((s for s in mounts if s.covers(day)), key=lambda s: (s.on or "", s.set))
    ahead = [s for s in mounts if s.since >= day]
    near = [s for s in ahead if within_days is None or (s.since - day).days <= within_days]
    if present and (coming is not None or not near) and present[0].since < day:
        return _as_it_is(present[0], day)
    if ahead:
        first = min(ahead, key=lambda s: (s.since, s.on or "", s.set))
        assert first.on is not None, "a mount is on a car"
        off = set_on(line, first.on, first.since - timedelta(days=1))
        return Change(first.on, first.set, off if off != first.set else None, first.since)
    if present:
        return _as_it_is(present[0], day)
    whose = f"car '{car}'" if car else "any car"
    what = f"set '{coming}'" if coming else "a set"
    raise BadRequest(
        f"the season line never puts {what} on {whose} from {day} on: add a [[stay]] with 'set', 'on', 'since' and 'until'",
        expected="a [[stay]] with 'on'",
    )


def _as_it_is(spell: Spell, day: date) -> Change:
    assert spell.on is not None, "a mount is on a car"
    return Change(spell.on, spell.set, None, day)
