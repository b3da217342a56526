"""The season line: which set is where, day by day."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from wheelside.garage.model import Garage, Stay

FAR = date(9999, 12, 31)


@dataclass(frozen=True, slots=True, order=True)
class Spell:
    """One set in one whereabouts from `since` to the day before `until`. Exactly one of the three is given."""

    since: date
    until: date
    set: str
    on: str | None
    at: str | None
    riding_in: str | None

    def covers(self, day: date) -> bool:
        return self.since <= day < self.until


def horizon_end(garage: Garage, day: date) -> date:
    """The first day after the years that the owner's plan looks at, counted from `day`."""
    return day.replace(year=day.year + garage.plan.horizon_years, day=min(day.day, 28))


def spells(garage: Garage, start: date, end: date) -> tuple[Spell, ...]:
    """Every spell that touches start to end (end not included), yearly stays repeated, in order of time.

    Spells keep their true first day and end at the latest at `end`.
    """
    found = [spell for stay in garage.stay for spell in _repeated(stay, end)]
    return tuple(sorted((s for s in found if s.until > start and s.since < end), key=_order))


def _order(spell: Spell) -> tuple[date, date, str, str]:
    return spell.since, spell.until, spell.set, f"{spell.on}|{spell.at}|{spell.riding_in}"


def _repeated(stay: Stay, end: date) -> list[Spell]:
    out = []
    for years in range(max(1, end.year - stay.since.year + 1) if stay.yearly else 1):
        since = _shifted(stay.since, years)
        until = _shifted(stay.until, years) if stay.until else FAR
        if since < end:
            out.append(Spell(since, min(until, end), stay.set, stay.on, stay.at, stay.riding_in))
    return out


def _shifted(day: date, years: int) -> date:
    try:
        return day.replace(year=day.year + years)
    except ValueError:  # 29 February
        return day.replace(year=day.year + years, day=28)


def where(line: tuple[Spell, ...], set_id: str, day: date) -> Spell | None:
    """Where a set is on a day; None where the line does not say."""
    return next((s for s in line if s.set == set_id and s.covers(day)), None)


def set_on(line: tuple[Spell, ...], car_id: str, day: date) -> str | None:
    """The set on a car on a day; None where the line does not say."""
    return next((s.set for s in line if s.on == car_id and s.covers(day)), None)


def moments(line: tuple[Spell, ...], start: date, end: date) -> tuple[date, ...]:
    """The first day of each stretch in which nothing moves, from `start` on."""
    days = {start} | {d for s in line for d in (s.since, s.until) if start < d < end}
    return tuple(sorted(days))
