"""What each action costs the owner, in seconds of time and hundredths of money."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from wheelside.finding import Basis, Ground
from wheelside.garage.model import Car
from wheelside.garage.wishes import Costs
from wheelside.garage.words import Teaching
from wheelside.units import Duration, Money, UnitChoice

DEFAULT_CURRENCY = "EUR"
_DEFAULT_MONEY = {"hour": 15, "sensor": 45, "kit": 5, "fitting": 20, "teach_paid": 60}
_DEFAULT_MINUTES = {"shop_trip": 60, "write": 4, "write_mounted": 12}
_TEACH_MINUTES = {
    Teaching.DRIVING: 1,
    Teaching.DRIVING_CORNERS: 1,
    Teaching.STEPS: 15,
    Teaching.PORT: 15,
    Teaching.LOCKED: 60,
}


@dataclass(frozen=True, slots=True)
class Rate:
    """One figure that the plan reckons with, and whether it is the owner's or a default."""

    name: str
    text: str
    basis: Basis


@dataclass(frozen=True, slots=True)
class Price:
    """What something costs: seconds of the owner's time and hundredths of the plan's currency."""

    seconds: int
    hundredths: int

    def __add__(self, other: Price) -> Price:
        return Price(self.seconds + other.seconds, self.hundredths + other.hundredths)


NOTHING = Price(0, 0)


@dataclass(frozen=True, slots=True)
class Tariff:
    """All figures of one plan. `weigh` turns a price into the one number that is made least."""

    currency: str
    hour_hundredths: int
    write: Price
    write_mounted: Price
    refit_wheel: Price
    shop_trip: Price
    teach_seconds: int | None
    teach_paid: int
    rates: tuple[Rate, ...]

    def weigh(self, price: Price) -> int:
        """The price in 1/3600 of a hundredth, time at the owner's hourly worth; exact in whole numbers."""
        return price.seconds * self.hour_hundredths + price.hundredths * 3600

    def teach(self, car: Car) -> Price:
        """Teaching one set to `car`; an unknown way of teaching is reckoned as step by step."""
        seconds = self.teach_seconds
        if seconds is None:
            seconds = 60 * _TEACH_MINUTES[car.taught_by or Teaching.STEPS]
        return Price(seconds, self.teach_paid if car.taught_by is Teaching.LOCKED else 0)


def tariff(costs: Costs, units: UnitChoice) -> Tariff:
    """The tariff of a garage: the owner's figures, and shown defaults for the rest."""
    given = {name: getattr(costs, name) for name in _DEFAULT_MONEY}
    currency = next((m.currency for m in given.values() if m), DEFAULT_CURRENCY)
    money = {name: m or Money(Decimal(_DEFAULT_MONEY[name]), currency) for name, m in given.items()}
    times = {name: getattr(costs, name) or Duration(60.0 * minutes) for name, minutes in _DEFAULT_MINUTES.items()}
    default = Basis(Ground.DEFAULT, "judgement; change it in [costs]")
    rates = [Rate(n, units.show_money(m), costs.basis(n) if given[n] else default) for n, m in money.items()]
    rates += [Rate(n, f"{t.minutes:g} min", costs.basis(n) if getattr(costs, n) else default) for n, t in times.items()]
    by_car = (
        "by how the car is taught: driving 1 min, for the drive is made anyway, step by step 15, port 15, locked 60"
    )
    teach = f"{costs.teach.minutes:g} min" if costs.teach else by_car
    rates.append(Rate("teach", teach, costs.basis("teach") if costs.teach else default))
    each = sum(money[name].hundredths for name in ("sensor", "kit", "fitting"))
    return Tariff(
        currency=currency,
        hour_hundredths=money["hour"].hundredths,
        write=Price(int(times["write"].seconds), 0),
        write_mounted=Price(int(times["write_mounted"].seconds), 0),
        refit_wheel=Price(0, each),
        shop_trip=Price(int(times["shop_trip"].seconds), 0),
        teach_seconds=int(costs.teach.seconds) if costs.teach else None,
        teach_paid=money["teach_paid"].hundredths,
        rates=tuple(rates),
    )
