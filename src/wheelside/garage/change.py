"""Which change of wheels is next."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from wheelside.errors import BadRequest
from wheelside.garage.model import Garage
from wheelside.garage.open_change import OpenChange
from wheelside.garage.present import Present
from wheelside.garage.season import set_on


@dataclass(frozen=True, slots=True)
class Change:
    """A set going on a car on a day; `going` comes off. Where nothing comes off, `coming` may be on already.

    `then`: the day from which the line has it so, which is the day after for a change that is made today. `due`: the day
    that the season line had for it, where that has come already.
    """

    car: str
    coming: str
    going: str | None
    day: date
    then: date
    due: date | None = None


def next_change(now: Present, car: str | None, coming: str | None, within_days: int | None = None) -> Change:
    """The change that a person means: for a named set that is on a car, that one; else what is due by now; else the next
    of the season line; else what is on.

    `within_days`: the next change counts only when it is that near; the set that is on comes first else. Raises BadRequest
    where the file knows no such car or set, or no set goes on the car.
    """
    garage = now.garage
    known_change(garage, car, coming)
    still_there(garage, coming, now.day)
    found = next((c for c in _free_first(now) if car in (None, c.car) and coming in (None, c.coming)), None)
    if found is not None:
        return _due(now, found)
    present = _present(now, car, coming)
    ahead = [s for s in now.line if _ours(garage, s.on) and car in (None, s.on) and coming in (None, s.set)]
    ahead = [s for s in ahead if s.since > now.day and now.set_on(s.on or "") != s.set]
    near = [s for s in ahead if within_days is None or (s.since - now.day).days <= within_days]
    if present and (coming is not None or not near):
        return present
    if ahead:
        first = min(ahead, key=lambda s: (s.since, now.car_of.get(s.set, s.on) != s.on, s.on or "", s.set))
        assert first.on is not None, "a mount is on a car"
        off = set_on(now.line, first.on, first.since - timedelta(days=1)) or now.set_on(first.on)
        return Change(first.on, first.set, off if off != first.set else None, first.since, first.since)
    if present:
        return present
    whose = f"car '{car}'" if car else "any car"
    what = f"set '{coming}'" if coming else "a set"
    raise BadRequest(
        f"the season line never puts {what} on {whose} from {now.day} on: name car and set, or say in the season line "
        "when a set goes on it",
        expected="a stay of a set on a car",
    )


def known_change(garage: Garage, car: str | None, coming: str | None) -> None:
    """Raises BadRequest where the file knows no such car or set."""
    for value, table, word in ((car, garage.cars, "car"), (coming, garage.sets, "set")):
        if value is not None and value not in table:
            known = ", ".join(sorted(table)) or "none"
            raise BadRequest(f"no {word} '{value}' in the file: it has {known}", found=value, expected=known)
    if car is not None and garage.cars[car].somebody_elses:
        name = garage.cars[car].name
        raise BadRequest(
            f"{name} is noted as somebody else's: nothing is planned for it", found=car, expected="a car of yours"
        )


def _ours(garage: Garage, car: str | None) -> bool:
    """Whether it is a car, and not somebody else's."""
    return car is not None and not garage.cars[car].somebody_elses


def still_there(garage: Garage, wheel_set: str | None, day: date) -> None:
    """Raises BadRequest where a set is sold or scrapped by a day."""
    one = garage.sets.get(wheel_set or "")
    if one is not None and one.gone_by(day):
        raise BadRequest(
            f"{one.name} is not yours any more since {one.leaves}", found=str(one.leaves), expected="a set of yours"
        )


def _free_first(now: Present) -> list[OpenChange]:
    """The open changes; those whose set is still on another car last, for it has to come off there first."""
    return sorted(now.open, key=lambda c: now.car_of.get(c.coming, c.car) != c.car)


def _due(now: Present, found: OpenChange) -> Change:
    return Change(found.car, found.coming, found.going, now.day, now.next_day, found.due)


def _present(now: Present, car: str | None, coming: str | None) -> Change | None:
    there = now.car_of.items()
    on = sorted((c, s) for s, c in there if _ours(now.garage, c) and car in (None, c) and coming in (None, s))
    return Change(on[0][0], on[0][1], None, now.day, now.day) if on else None
