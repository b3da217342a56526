"""What is on each car, by what was seen and else by the season line, and the line as it really goes on from a day.

The season line is what is meant. A change whose day has come is done once somebody has seen it done. Until then it stays
open for sixty days: the set before it is taken to be on. Write-up: docs/deciding.md, "What is on the car".
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import cached_property

from wheelside.garage.car_now import CarNow
from wheelside.garage.model import Garage
from wheelside.garage.open_change import OpenChange, SeenStandIn, TakenOn, stated_stand_ins
from wheelside.garage.season import Spell, horizon_end, somebody_elses, spells
from wheelside.garage.seen import Known, known_wheels
from wheelside.garage.set_now import SetNow
from wheelside.garage.words import ROAD_CORNERS, Corner

_EARLIEST = date(1980, 1, 1)


@dataclass(frozen=True)
class Present:
    """How things stand on a day. `day` to `end`: the days of the line."""

    garage: Garage
    day: date
    end: date

    # --- what is known

    @cached_property
    def known(self) -> dict[str, Known]:
        """What is known of each wheel that was seen; nothing of those of which every set is sold or scrapped."""
        known = known_wheels(self.garage, self.day)
        return {w: k for w, k in known.items() if not self.garage.wheel_gone_by(w, self.day)}

    @property
    def next_day(self) -> date:
        """The day from which an open change is in the line: the line has whole days, and today it is not done yet."""
        return self.day + timedelta(days=1)

    @cached_property
    def meant(self) -> tuple[Spell, ...]:
        """The season line as it is meant, from its first day on."""
        return spells(self.garage, _EARLIEST, self.end)

    @cached_property
    def meant_of(self) -> dict[str, tuple[Spell, ...]]:
        """The season line as it is meant, by set."""
        return _grouped((spell.set, spell) for spell in self.meant)

    @cached_property
    def meant_on(self) -> dict[str, tuple[Spell, ...]]:
        """The season line as it is meant, by car."""
        return _grouped((spell.on, spell) for spell in self.meant if spell.on is not None)

    @cached_property
    def _cars(self) -> dict[str, CarNow]:
        return {car.id: CarNow(self, car.id) for car in self.garage.car}

    def set_on(self, car: str) -> str | None:
        """The set that is on a car now, or most of it; None where that is not known."""
        return self._cars[car].current

    @cached_property
    def car_of(self) -> dict[str, str]:
        """For each set that is on a car, or most of it: which."""
        return {on: car.id for car in self.garage.car if (on := self.set_on(car.id)) is not None}

    def wheel_at(self, car: str) -> dict[Corner, str]:
        """The wheels that are on a car now by corner, as far as that is known or taken."""
        return self._cars[car].corners

    def wholly_on(self, set_id: str, car: str) -> bool:
        """Whether every wheel of a set is on a car, at its own corner."""
        at = self.wheel_at(car)
        return all(at.get(c) == w for c, w in self.garage.sets[set_id].wheels if c in ROAD_CORNERS or c in at)

    def misplaced(self, car: str) -> tuple[tuple[Corner, str], ...]:
        """The wheels on a car that belong to another corner, or to another set than the one that is on: where they are."""
        base = self.garage.sets.get(self.set_on(car) or "")
        meant = dict(base.wheels) if base else {}
        standing_in = {s.wheel for s in stated_stand_ins(self.garage, self.day) if s.on == car}
        at = self.wheel_at(car)
        return tuple((c, w) for c, w in at.items() if base and meant.get(c, w) != w and w not in standing_in)

    def car_with(self, wheel: str) -> str | None:
        """The car that a wheel is on now; None where it is on none."""
        return next((car.id for car in self.garage.car if wheel in self.wheel_at(car.id).values()), None)

    @cached_property
    def open(self) -> tuple[OpenChange, ...]:
        """The changes that are due by now or asked for, the longest due first."""
        found = [c.open for c in self._own_cars if c.open is not None]
        return tuple(sorted(found, key=lambda c: (c.due or self.day, c.car)))

    @cached_property
    def taken(self) -> tuple[TakenOn, ...]:
        """What is taken to be on by the season line alone, though nobody has said so."""
        return tuple(c.taken for c in self._own_cars if c.taken is not None)

    @property
    def _own_cars(self) -> list[CarNow]:
        """The cars that are not somebody else's, of which nothing is asked."""
        return [c for name, c in self._cars.items() if not self.garage.cars[name].somebody_elses]

    # --- the line as it goes on

    @cached_property
    def line(self) -> tuple[Spell, ...]:
        """The season line from `day` to `end` as it really goes on: what is on stays on until the change is made."""
        out: list[Spell] = []
        for wheel_set in self.garage.set:
            own = tuple(s for s in self.meant_of.get(wheel_set.id, ()) if s.until > self.day)
            out += SetNow(self, wheel_set, own).spells()
        line = _untangled(out)
        theirs = somebody_elses(self.garage, line, self.day)
        return tuple(replace(s, or_at=()) if s.set in theirs else s for s in line)

    @cached_property
    def here(self) -> Garage:
        """The garage with each wheel that was seen at the corner of another one standing in for it, until the next day."""
        rows = tuple(self._stand_ins())
        return replace(self.garage, stand_in=(*self.garage.stand_in, *rows)) if rows else self.garage

    def _stand_ins(self) -> Iterator[SeenStandIn]:
        busy = {w for s in stated_stand_ins(self.garage, self.day) for w in (s.wheel, s.instead_of)}
        for car in self.garage.car:
            base = self.garage.sets.get(self.set_on(car.id) or "")
            for corner, wheel in base.wheels if base else ():
                other = self.wheel_at(car.id).get(corner)
                if other is None or other == wheel or other not in self.garage.sets_of or {other, wheel} & busy:
                    continue
                known = self.known.get(wheel)
                at = known.at if known else None
                busy |= {other, wheel}
                yield SeenStandIn(
                    wheel=other, instead_of=wheel, on=car.id, other_at=at, since=self.day, until=self.next_day
                )

    # --- what the parts above ask

    def changes_of(self, car: str) -> tuple[tuple[date, str], ...]:
        """The days from which the season line means another set to be on a car, with the set."""
        out: list[tuple[date, str]] = []
        for spell in self.meant_on.get(car, ()):
            if not out or out[-1][1] != spell.set:
                out.append((spell.since, spell.set))
        return tuple(out)

    def move_of(self, set_id: str) -> OpenChange | None:
        """The open change that a set has part in."""
        return next((c for c in self.open if set_id in (c.coming, c.going)), None)


def _grouped(named: Iterable[tuple[str, Spell]]) -> dict[str, tuple[Spell, ...]]:
    """Spells by name, those of one name in their order."""
    out: dict[str, list[Spell]] = defaultdict(list)
    for name, spell in named:
        out[name].append(spell)
    return {name: tuple(own) for name, own in out.items()}


def _untangled(found: list[Spell]) -> tuple[Spell, ...]:
    """The spells in order of time, with one set at a time on each car: the earlier one ends where the next begins."""
    line = sorted(found, key=lambda s: (s.since, s.until, s.set, f"{s.on}|{s.at}|{s.riding_in}"))
    for n, spell in enumerate(line):
        later = [o for o in line[n + 1 :] if o.on is not None and o.on == spell.on and o.set != spell.set]
        if later and later[0].since < spell.until:
            line[n] = replace(spell, until=later[0].since)
    return tuple(s for s in line if s.since < s.until)


def present(garage: Garage, day: date) -> Present:
    """How things stand on a day, for as long as the owner's plan looks ahead."""
    return Present(garage, day, horizon_end(garage, day))


def line_now(garage: Garage, day: date, end: date) -> tuple[Spell, ...]:
    """The season line from `day` to `end` as it really goes on, by what was seen; see `Present`."""
    return Present(garage, day, end).line
