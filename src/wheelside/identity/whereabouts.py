"""Where each wheel is from stretch to stretch, and which cars can hear it there."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property
from itertools import pairwise

from wheelside.earshot.hearing import heard_between
from wheelside.garage.ids import car_band, proven_different
from wheelside.garage.model import Car, Garage
from wheelside.garage.season import SEEN_ROW, Spell, car_place, last_on
from wheelside.garage.stay import StandIn
from wheelside.identity.choice import PlanFact
from wheelside.said import Said, say


@dataclass(frozen=True, slots=True)
class Spot:
    """One whereabouts: on a car, riding in one, at a place, or, with none of the three, somewhere not named.

    `stay`: the number of the stay whose place the plan picks, None where nothing is to be picked. `resting`:
    whether it lies still even where the place is not known.
    """

    on: str | None = None
    riding_in: str | None = None
    at: str | None = None
    stay: int | None = None
    resting: bool = False

    @property
    def car(self) -> str | None:
        return self.on or self.riding_in


@dataclass(frozen=True, slots=True)
class Stretch:
    """Days on which a wheel is in one of a few spots, by one fact of the file."""

    since: date
    until: date
    spots: tuple[Spot, ...]
    fact: PlanFact


@dataclass(frozen=True)
class Lines:
    """The stretches of every set and wheel from `day` to `end`. Nowhere, once sold or scrapped, is no stretch."""

    garage: Garage
    day: date
    end: date
    line: tuple[Spell, ...]

    @cached_property
    def _of_set(self) -> dict[str, tuple[Stretch, ...]]:
        by_set: dict[str, list[Spell]] = defaultdict(list)
        for spell in self.line:
            by_set[spell.set].append(spell)
        return {s.id: tuple(self._filled(s.id, s.leaves, by_set[s.id])) for s in self.garage.set}

    def _filled(self, set_id: str, leaves: date | None, own: list[Spell]) -> Iterator[Stretch]:
        """The spells of one set and the gaps between them."""
        gap = PlanFact("unplaced", set_id)
        last = min(self.end, leaves) if leaves else self.end
        at = self.day
        for spell in own:
            since, until = max(spell.since, self.day), min(spell.until, last)
            if since >= until:
                continue
            if at < since:
                yield Stretch(at, since, (Spot(),), gap)
            yield Stretch(since, until, _spots(spell), stay_fact(self.garage, spell.row, set_id))
            at = until
        if at < last:
            yield Stretch(at, last, (Spot(),), gap)

    def of_set(self, set_id: str) -> tuple[Stretch, ...]:
        return self._of_set[set_id]

    def _with_several(self, sets: tuple[str, ...]) -> tuple[Stretch, ...]:
        """The stretches of a wheel of several sets, by id: with the one that is on a car, else the last that was, else the first."""
        turns = sorted({d for name in sets for s in self.of_set(name) for d in (s.since, s.until)})
        out: list[Stretch] = []
        last = last_on(self.garage, sets, self.day)
        for since, until in pairwise(turns):
            there = {name: s for name in sets for s in self.of_set(name) if s.since <= since < s.until}
            on = next((name for name, s in there.items() if s.spots[0].on is not None), None)
            last = on or last
            now = there.get(last or "", next(iter(there.values()), None))
            if now is not None:
                out.append(replace(now, since=since, until=until))
        return tuple(out)

    @cached_property
    def _stand_ins(self) -> dict[str, list[tuple[StandIn, PlanFact]]]:
        out: dict[str, list[tuple[StandIn, PlanFact]]] = defaultdict(list)
        for one in self.garage.stand_in:
            for wheel in (one.wheel, one.instead_of):
                out[wheel].append((one, PlanFact("stand-in", f"{one.wheel} {one.since}")))
        return out

    def of_wheel(self, wheel: str) -> tuple[Stretch, ...]:
        """The stretches of a wheel of a set: its set's, but for the days on which it stands in or is stood in for."""
        sets = self.garage.sets_of[wheel]
        stretches = self.of_set(sets[0]) if len(sets) == 1 else self._with_several(sets)
        for one, fact in self._stand_ins.get(wheel, ()):
            stretches = tuple(self._put_in(stretches, wheel, one, fact))
        return stretches

    def _put_in(self, stretches: tuple[Stretch, ...], wheel: str, one: StandIn, fact: PlanFact) -> Iterator[Stretch]:
        spot = Spot(on=one.on)
        if wheel == one.instead_of:
            spot = Spot(at=one.other_at) if one.other_at else Spot(riding_in=one.on)
        for s in stretches:
            if s.since < min(s.until, one.since):
                yield Stretch(s.since, min(s.until, one.since), s.spots, s.fact)
            since, until = max(s.since, one.since), min(s.until, one.until)
            if since < until:
                yield Stretch(since, until, (spot,), fact)
            if max(s.since, one.until) < s.until:
                yield Stretch(max(s.since, one.until), s.until, s.spots, s.fact)

    @cached_property
    def turns(self) -> tuple[date, ...]:
        """The days on which a car comes to stand elsewhere, the first day included."""
        days = {d for o in self.garage.outing for d in (o.since, o.until) if self.day < d < self.end}
        return (self.day, *sorted(days))


def stay_fact(garage: Garage, row: int, set_id: str) -> PlanFact:
    """The fact of one stay, by its set and first day; that it was seen there, where no stay says so."""
    if row == SEEN_ROW:
        return PlanFact("seen", set_id)
    stay = garage.stay[row]
    return PlanFact("stay", f"{stay.set} {stay.since}")


def _spots(spell: Spell) -> tuple[Spot, ...]:
    if spell.at is None:
        return (Spot(on=spell.on, riding_in=spell.riding_in),)
    if not spell.or_at:
        return (Spot(at=spell.at),)
    return tuple(Spot(at=place, stay=spell.row) for place in (spell.at, *spell.or_at))


@dataclass
class Ears:
    """Which cars with wheel sensors hear a spot: one bit for each car, in the order of `cars`."""

    garage: Garage
    cars: tuple[Car, ...]
    _places: dict[tuple[str | None, str | None, date], int] = field(default_factory=dict)
    _between: dict[tuple[str | None, str | None, str | None, object], bool] = field(default_factory=dict)

    _named: dict[tuple[str | None, str], Said] = field(default_factory=dict)

    @property
    def all(self) -> int:
        return (1 << len(self.cars)) - 1

    @cached_property
    def bit(self) -> dict[str, int]:
        return {car.id: 1 << n for n, car in enumerate(self.cars)}

    @cached_property
    def _listened_for(self) -> set[str]:
        return {one.set for path in self.garage.path for one in path.listened}

    def hearing(self, spot: Spot, set_id: str | None, turn: date, *, silent: bool) -> int:
        """The cars that may hear a sensor of a set in a spot; `turn`: since when the cars stand as they do then."""
        if spot.car is not None:
            own = self.bit.get(spot.car, 0)
            return own | self.at_place(car_place(self.garage, spot.car, turn), None, turn)
        if spot.at is None:
            return 0 if silent and spot.resting else self.all
        return 0 if silent else self.at_place(spot.at, set_id, turn)

    def at_place(self, place: str | None, set_id: str | None, turn: date) -> int:
        """The cars that may hear a sensor at a place; all of them where the place is not known."""
        known = set_id if set_id in self._listened_for else None
        key = (place, known, turn)
        if key not in self._places:
            self._places[key] = sum(
                self.bit[car.id]
                for car in self.cars
                if self._hears(car, car_place(self.garage, car.id, turn), place, known)
            )
        return self._places[key]

    def _hears(self, car: Car, here: str | None, there: str | None, set_id: str | None) -> bool:
        key = (here, there, set_id, car_band(self.garage, car))
        if key not in self._between:
            self._between[key] = heard_between(self.garage, car, here, there, set_id).heard
        return self._between[key]

    def understanding(self, family: str) -> int:
        """The cars that may take a sensor of a family for one of their own kind."""
        return sum(self.bit[c.id] for c in self.cars if not proven_different(self.garage, family, c.family))

    def facts(self, car: Car, spot: Spot, turn: date) -> tuple[PlanFact, ...]:
        """The facts that let `car` hear a spot, beside the one that puts the wheel there."""
        if spot.car == car.id:
            return ()
        there = car_place(self.garage, spot.car, turn) if spot.car is not None else spot.at
        here = car_place(self.garage, car.id, turn)
        found = []
        if there is None and spot.car is not None:
            found.append(PlanFact("parked", spot.car))
        if here is None:
            found.append(PlanFact("parked", car.id))
        if here is not None and there is not None and here != there:
            found.append(PlanFact("heard", "|".join(sorted((here, there)))))
        return tuple(found)

    def words(self, spot: Spot) -> Said:
        """A spot as a person reads it."""
        if spot.on is not None:
            return say("on {car}", car=self.garage.cars[spot.on].name)
        if spot.riding_in is not None:
            return say("riding in {car}", car=self.garage.cars[spot.riding_in].name)
        if spot.at is not None:
            return say("{place}", place=self.garage.places[spot.at].name)
        return say("somewhere that the season line does not name")

    def nearby(self, car: Car, spot: Spot, turn: date) -> Said:
        """A spot as a person reads it, with how far it is from `car` where the file says."""
        if spot.at is None:
            return self.words(spot)
        here = car_place(self.garage, car.id, turn)
        if (here, spot.at) not in self._named:
            self._named[here, spot.at] = heard_between(self.garage, car, here, spot.at).where
        return self._named[here, spot.at]
