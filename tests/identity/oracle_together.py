"""What must not come together, told a second time from the rules' description alone: a part of the enumeration's own rules."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from itertools import combinations

from oracle_parts import Carrier, Number, Option, Spot, differ, told_apart
from oracle_world import World

from wheelside.garage.model import Car
from wheelside.garage.season import Spell
from wheelside.garage.words import Teaching


@dataclass(frozen=True)
class Together:
    """What comes together, where each stay that leaves several places open has one of them, by its row."""

    world: World
    places: dict[int, str] = field(default_factory=dict)
    _hearing: dict[object, tuple[frozenset[str], ...]] = field(default_factory=dict)
    _on_cars: dict[object, tuple[str | None, ...]] = field(default_factory=dict)

    def spell(self, set_id: str, moment: date) -> Spell | None:
        return next((s for s in self.world.line if s.set == set_id and s.since <= moment < s.until), None)

    def roomy(self) -> bool:
        """Whether no place holds more sets than it has room for."""
        rooms = {p.id: p.room for p in self.world.garage.place if p.room is not None}
        rooms = {place: room for place, room in rooms.items() if self.world.facts.hold("room", place)}
        return not rooms or all(self._roomy_at(rooms, moment) for moment in self.world.moments)

    def _roomy_at(self, rooms: dict[str, int], moment: date) -> bool:
        spots = [self._spot_of_set(wheels.id, moment) for wheels in self.world.garage.set]
        kept = Counter(spot.at for spot in spots if spot)
        return all(kept[place] <= room for place, room in rooms.items())

    def _spot_of_set(self, set_id: str, moment: date) -> Spot | None:
        """Where a set is; None where it is nowhere."""
        hold = self.world.facts.hold
        if self.world.left(set_id, moment):
            return None
        spell = self.spell(set_id, moment)
        if spell is None:
            return Spot() if hold("unplaced", set_id) else None
        if not hold("stay", f"{set_id} {self.world.garage.stay[spell.row].since}"):
            return None
        at = self.places.get(spell.row, spell.at)
        return Spot(spell.on, spell.riding_in, at, moves=at is None)

    def spot(self, carrier: Carrier, moment: date) -> Spot | None:
        """Where a sensor is; None where it is nowhere."""
        if carrier.wheel is None:
            fact = ("taken-out", "") if carrier.taken_out else ("kept", carrier.sensor or "")
            return Spot(at=carrier.place, moves=False) if self.world.facts.hold(*fact) else None
        if self.world.wheel_left(carrier.wheel, moment):
            return None
        for one in self.world.garage.stand_in:
            if carrier.wheel in (one.wheel, one.instead_of) and one.since <= moment < one.until:
                if not self.world.facts.hold("stand-in", f"{one.wheel} {one.since}"):
                    return None
                if carrier.wheel == one.wheel:
                    return Spot(on=one.on)
                return Spot(at=one.other_at, moves=False) if one.other_at else Spot(riding_in=one.on)
        return self._spot_of_set(self.world.with_set(carrier.wheel, moment), moment)

    def heard(self, carrier: Carrier, car: str, moment: date) -> bool:
        """Whether a car may hear a sensor at a moment."""
        spot = self.spot(carrier, moment)
        if spot is None or (carrier.silent and not spot.moves):
            return False
        if spot.bearer == car:
            return True
        place = self.world.car_place(spot.bearer, moment) if spot.bearer else spot.at
        if spot.bearer and place is None and not self.world.facts.hold("parked", spot.bearer):
            return False
        return self.world.place_heard(place, car, moment)

    def hearing(self, carrier: Carrier) -> tuple[frozenset[str], ...]:
        """The direct cars that may hear a sensor and take it for one of their own kind, moment by moment."""
        if carrier.body not in self._hearing:
            cars = [c for c in self.world.direct if not told_apart(self.world.garage, carrier.family, c.family)]
            self._hearing[carrier.body] = tuple(
                frozenset(c.id for c in cars if self.heard(carrier, c.id, moment)) for moment in self.world.moments
            )
        return self._hearing[carrier.body]

    def on_cars(self, carrier: Carrier) -> tuple[str | None, ...]:
        """The direct car that a sensor is on, moment by moment."""
        if carrier.body not in self._on_cars:
            direct = {car.id for car in self.world.direct}
            spots = (self.spot(carrier, moment) for moment in self.world.moments)
            self._on_cars[carrier.body] = tuple(s.on if s and s.on in direct else None for s in spots)
        return self._on_cars[carrier.body]

    def matters(self, car: Car, ids: frozenset[Number], one: Carrier, two: Carrier) -> bool:
        """Whether the car minds hearing one of the IDs from both: it holds it, will hold it, or could adopt it by itself."""
        if car.taught_by in (None, Teaching.DRIVING, Teaching.DRIVING_CORNERS) or car.holds is None:
            return True
        if any(entry.readings & ids for group in self.world.lists[car.id] for entry in group):
            return True
        return any(self.world.carried_on(c, car) & ids for c in (one, two))

    def clash(self, one: Carrier, two: Carrier) -> bool:
        """Whether two sensors may not be as they are: heard twice by a car, on two cars at once, or one of them sold."""
        if not one.ever & two.ever or told_apart(self.world.garage, one.family, two.family):
            return False
        if self._sold_alike(one, two) or self._sold_alike(two, one):
            return True
        return any(self._meets(one, two, shared, n) for n, shared in self._shared(one, two))

    def _shared(self, one: Carrier, two: Carrier) -> Iterator[tuple[int, frozenset[Number]]]:
        """The moments, by their numbers, at which two sensors have an ID in common, with those IDs."""
        for n, moment in enumerate(self.world.moments):
            if shared := one.ids_on(moment) & two.ids_on(moment):
                yield n, shared

    def _meets(self, one: Carrier, two: Carrier, shared: frozenset[Number], n: int) -> bool:
        first, second = self.on_cars(one)[n], self.on_cars(two)[n]
        if differ(first, second):
            return True
        cars = self.world.garage.cars
        return any(self.matters(cars[name], shared, one, two) for name in self.hearing(one)[n] & self.hearing(two)[n])

    def _sold_alike(self, one: Carrier, two: Carrier) -> bool:
        """Whether the first is sold within the horizon with an ID that the second has on that day, or is written with later."""
        sale = self.world.sale(one.wheel) if one.wheel else None
        if sale is None or not self.world.day < sale[0] < self.world.end:
            return False
        day, name = sale
        kept = not two.taken_out or self.world.facts.hold("taken-out", "")
        there = kept if two.wheel is None else not self.world.wheel_left(two.wheel, day)
        ids = two.ids_on(day) | (two.then[1] if two.then else frozenset())
        return there and bool(one.ids_on(day) & ids) and self.world.facts.hold("sold", name)

    def sound(self, option: Option) -> bool:
        """Whether an option goes together with what is there whatever is chosen."""
        within = any(self.clash(a, b) for a, b in combinations(option.carriers, 2))
        there = (*self.world.loose, *self.world.fixed)
        return not within and not any(self.clash(a, b) for a in option.carriers for b in there)
