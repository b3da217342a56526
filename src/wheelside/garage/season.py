"""The season line: which set is where, day by day."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from wheelside.garage.model import Garage
from wheelside.garage.stay import Outing, Stay

FAR = date(9999, 12, 31)
SEEN_ROW = -1
"""In place of a stay's number: the spell rests on what was seen, not on a stay."""


@dataclass(frozen=True, slots=True, order=True)
class Spell:
    """One set in one whereabouts from `since` to the day before `until`. Exactly one of `on`, `at`, `riding_in` is given.

    `or_at`: places that would do as well as `at`. `row`: the number of its stay in the file,
    counted from 0, or `SEEN_ROW`.
    """

    since: date
    until: date
    set: str
    on: str | None
    at: str | None
    riding_in: str | None
    or_at: tuple[str, ...] = ()
    row: int = -1

    def covers(self, day: date) -> bool:
        return self.since <= day < self.until


def horizon_end(garage: Garage, day: date) -> date:
    """The first day after the years that the owner's plan looks at, counted from `day`."""
    return day.replace(year=day.year + garage.plan.horizon_years, day=min(day.day, 28))


def spells(garage: Garage, start: date, end: date) -> tuple[Spell, ...]:
    """Every spell that touches start to end (end not included), yearly stays repeated, in order of time.

    Spells keep their true first day and end at the latest at `end`, and when their set is sold or scrapped.
    """
    found = []
    for row, stay in enumerate(garage.stay):
        wheel_set = garage.sets.get(stay.set)
        leaves = (wheel_set.leaves if wheel_set else None) or FAR
        found += [s for s in _repeated(stay, row, min(end, leaves)) if s.until > start and s.since < end]
    return tuple(sorted(found, key=_order))


def _order(spell: Spell) -> tuple[date, date, str, str]:
    return spell.since, spell.until, spell.set, f"{spell.on}|{spell.at}|{spell.riding_in}"


def _repeated(stay: Stay, row: int, end: date) -> list[Spell]:
    out = []
    for years in range(max(1, end.year - stay.since.year + 1) if stay.yearly else 1):
        since = _shifted(stay.since, years)
        until = _shifted(stay.until, years) if stay.until else FAR
        if since < end:
            out.append(Spell(since, min(until, end), stay.set, stay.on, stay.at, stay.riding_in, stay.or_at, row))
    return out


def _shifted(day: date, years: int) -> date:
    try:
        return day.replace(year=min(9998, day.year + years))
    except ValueError:  # 29 February
        return day.replace(year=min(9998, day.year + years), day=28)


def settled(line: tuple[Spell, ...], places: dict[int, str]) -> tuple[Spell, ...]:
    """The line with one place for each stay that left several open: `places` by the number of the stay."""
    return tuple(replace(s, at=places[s.row], or_at=()) if s.row in places else s for s in line)


def where(line: tuple[Spell, ...], set_id: str, day: date) -> Spell | None:
    """Where a set is on a day; None where the line does not say."""
    return next((s for s in line if s.set == set_id and s.covers(day)), None)


def set_on(line: tuple[Spell, ...], car_id: str, day: date) -> str | None:
    """The set on a car on a day; None where the line does not say."""
    return next((s.set for s in line if s.on == car_id and s.covers(day)), None)


def last_on(garage: Garage, sets: tuple[str, ...], day: date) -> str | None:
    """Which of some sets, by id, the line had on a car last before a day; None where it had none."""
    ended = [
        (min(s.until, day), -sets.index(s.set))
        for s in spells(garage, date.min, day)
        if s.on is not None and s.set in sets
    ]
    return sets[-max(ended)[1]] if ended else None


def somebody_elses(garage: Garage, line: tuple[Spell, ...], day: date) -> frozenset[str]:
    """The sets that go on cars of somebody else's from a day on, and on no other: nothing is planned or moved of them."""
    on = {(s.set, garage.cars[s.on].somebody_elses) for s in line if s.on is not None and s.until > day}
    return frozenset(name for name, other in on if other and (name, False) not in on)


def moments(line: tuple[Spell, ...], start: date, end: date) -> tuple[date, ...]:
    """The first day of each stretch in which no set moves, from `start` on."""
    days = {start} | {d for s in line for d in (s.since, s.until) if start < d < end}
    return tuple(sorted(days))


def outing_of(garage: Garage, car_id: str, day: date) -> Outing | None:
    """The outing that a car is on, on a day; None on others."""
    return next((o for o in garage.outing if car_id in o.cars and o.since <= day < o.until), None)


def car_place(garage: Garage, car_id: str, day: date) -> str | None:
    """Where a car stands on a day: on an outing there, else where it is parked; None where that is not known."""
    outing = outing_of(garage, car_id, day)
    return outing.at if outing else garage.cars[car_id].stands_at
