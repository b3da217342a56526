"""What things cost, reckoned from the tariff's description alone: a part of the enumeration's own rules."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from math import exp

from wheelside.garage.joined import parts_on
from wheelside.garage.model import Blank, Car, Garage
from wheelside.garage.words import ROAD_CORNERS, AtRest, Corner, Teaching

MINUTES = {Teaching.DRIVING: 1, Teaching.DRIVING_CORNERS: 1, Teaching.STEPS: 15, Teaching.PORT: 15, Teaching.LOCKED: 60}
DEFAULT_MONEY = {"hour": 15, "sensor": 45, "kit": 5, "fitting": 20, "teach_paid": 60, "writer": 60}
DEFAULT_MINUTES = {"shop_trip": 60, "write": 4, "write_mounted": 12, "move": 20, "fault": 60, "show_corner": 8}
DEFAULT_ODDS = {"pair_meets": 0.05, "write_wrong": 0.01, "teach_fails": 0.04}
DEFAULT_LIFE = 9.0
MOST_WHEELS = 50
"""More than are ever changed in a garage that is tried."""


@dataclass(frozen=True)
class Prices:
    """What things cost, each as one weight, and what may go wrong with them."""

    garage: Garage

    def hundredths(self, name: str) -> int:
        given = getattr(self.garage.costs, name)
        return int(given.hundredths) if given else 100 * DEFAULT_MONEY[name]

    def seconds(self, name: str) -> int:
        given = getattr(self.garage.costs, name)
        return int(given.seconds) if given else 60 * DEFAULT_MINUTES[name]

    def time(self, *names: str) -> int:
        return sum(self.seconds(name) for name in names) * self.hundredths("hour")

    def odds(self, name: str) -> float:
        given = getattr(self.garage.odds, name)
        return float(given.fraction) if given else DEFAULT_ODDS[name]

    @staticmethod
    def risk(chance: float, weight: int) -> int:
        """What is to be expected of a thing that costs `weight` and happens with this chance."""
        return (round(chance * 1_000_000) * weight + 500_000) // 1_000_000

    @cached_property
    def refit(self) -> int:
        return 3600 * sum(self.hundredths(name) for name in ("sensor", "kit", "fitting"))

    @cached_property
    def writer(self) -> int:
        """A writer that is got, however many wheels it writes."""
        return 3600 * self.hundredths("writer")

    @cached_property
    def miswritten(self) -> int:
        return self.risk(self.odds("write_wrong"), self.time("fault", "write_mounted"))

    def met(self, years: float) -> int:
        """The risk of one pair of sets that are both there for so many years."""
        chance = 1 - (1 - self.odds("pair_meets")) ** years
        return self.risk(chance, self.time("fault"))

    def failing(self, age: float, years: float) -> int:
        """The risk that a sensor of an age, in years, fails within so many years."""
        given = self.garage.odds.sensor_life
        life = given.years if given else DEFAULT_LIFE
        chance = 1 - exp((age / life) ** 5 - ((age + years) / life) ** 5)
        return self.risk(chance, self.time("fault", "shop_trip") + self.refit)

    def teach(self, car: Car) -> int:
        given = self.garage.costs.teach
        seconds = int(given.seconds) if given else 60 * MINUTES.get(car.taught_by or Teaching.STEPS, 15)
        paid = 3600 * self.hundredths("teach_paid") if car.taught_by is Teaching.LOCKED else 0
        once = seconds * self.hundredths("hour") + paid
        return once + self.risk(self.odds("teach_fails"), once)

    def dearer(self, blank: Blank) -> int:
        """By how much a refit with a blank in hand is dearer than one with a bought sensor."""
        return 3600 * ((blank.each.hundredths if blank.each else 0) - self.hundredths("sensor"))

    def corner_proof(self, set_id: str, cars: Iterable[Car], day: date) -> int:
        """Proving a set corner by corner, where it goes on these cars."""
        corners = [corner for corner, _ in self.garage.sets[set_id].wheels if corner in ROAD_CORNERS]
        if not any(car.dash_shows for car in cars) or self._sizes_differ(set_id, day):
            return 0
        return len(corners) * self.time("show_corner")

    def _sizes_differ(self, set_id: str, day: date) -> bool:
        """Whether front and rear tyres of a set differ in size."""
        sizes: dict[bool, set[str]] = {True: set(), False: set()}
        for corner, wheel in self.garage.sets[set_id].wheels:
            tyre = parts_on(self.garage, wheel, day).tyre
            if corner in ROAD_CORNERS and tyre and tyre.designation:
                sizes[corner in (Corner.FRONT_LEFT, Corner.FRONT_RIGHT)].add(tyre.designation.size)
        return all(sizes.values()) and sizes[True] != sizes[False]


# --- blanks in hand -----------------------------------------------------------------------------------------------

Want = tuple[str, bool, bool]
"""A sensor that is wanted: of which family, whether silent at rest, and whether it has to be a blank."""


def fits(blank: Blank, family: str, *, at_rest: bool) -> bool:
    return family in blank.families and (blank.at_rest is AtRest.SILENT) is at_rest


def silent_in_hand(garage: Garage, family: str | None) -> bool:
    """Whether any blanks of a family are noted as silent at rest."""
    return any(fits(blank, family or "", at_rest=True) for blank in garage.blank)


@dataclass
class Hand:
    """The blanks in hand, and what it costs least to serve all that is wanted."""

    prices: Prices
    _found: dict[tuple[tuple[Want, ...], tuple[int, ...]], int | None] = field(default_factory=dict)

    def least(self, wanted: Iterable[Want]) -> int | None:
        """The least cost beside that of bought sensors; None where there are too few blanks."""
        return self._least(tuple(sorted(wanted)), tuple(blank.count for blank in self.prices.garage.blank))

    def _least(self, wanted: tuple[Want, ...], counts: tuple[int, ...]) -> int | None:
        if not wanted:
            return 0
        key = (wanted, counts)
        if key not in self._found:
            (family, at_rest, must), rest = wanted[0], wanted[1:]
            ways = [] if must else [self._least(rest, counts)]
            for n, blank in enumerate(self.prices.garage.blank):
                if counts[n] and fits(blank, family, at_rest=at_rest):
                    found = self._least(rest, (*counts[:n], counts[n] - 1, *counts[n + 1 :]))
                    ways.append(None if found is None else found + self.prices.dearer(blank))
            self._found[key] = min((way for way in ways if way is not None), default=None)
        return self._found[key]

    @property
    def most_saved(self) -> int:
        """What the blanks save at most."""
        rows = self.prices.garage.blank
        return sum(max(0, -self.prices.dearer(blank)) * min(MOST_WHEELS, blank.count) for blank in rows)
