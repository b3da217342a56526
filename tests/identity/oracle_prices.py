"""What things cost, reckoned from the tariff's description alone: a part of the enumeration's own rules."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import exp

from wheelside.garage.model import Car, Garage
from wheelside.garage.words import Teaching

MINUTES = {Teaching.DRIVING: 1, Teaching.DRIVING_CORNERS: 1, Teaching.STEPS: 15, Teaching.PORT: 15, Teaching.LOCKED: 60}
DEFAULT_MONEY = {"hour": 15, "sensor": 45, "kit": 5, "fitting": 20, "teach_paid": 60, "writer": 60}
DEFAULT_MINUTES = {"shop_trip": 60, "write": 4, "write_mounted": 12, "move": 20, "fault": 60}
DEFAULT_ODDS = {"pair_meets": 0.05, "write_wrong": 0.01, "teach_fails": 0.04}
DEFAULT_LIFE = 9.0


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

    def blank(self, family: str) -> int:
        """By how much a refit with a blank in hand is dearer than one with a bought sensor."""
        each = next((row.each for row in self.garage.blank if row.family == family), None)
        return 3600 * ((each.hundredths if each else 0) - self.hundredths("sensor"))
