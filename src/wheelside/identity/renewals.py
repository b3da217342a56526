"""One sensor at a time or all of a set at once, with the figures that the plan reckons with."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from wheelside.garage.lasting import SetLives, car_for, years_from
from wheelside.garage.model import Car
from wheelside.garage.present import Present
from wheelside.garage.rates import sensor_life
from wheelside.identity.costs import WEIGHT, Price, Tariff, as_money, tariff
from wheelside.sensor.renewing import FOR_YEARS, Charges, Weighed, even_age, weigh
from wheelside.units import Money
from wheelside.units.quantity import DAYS_PER_YEAR


@dataclass(frozen=True, slots=True)
class Renewal:
    """Both ways of renewing the sensors of a set until `until`, and what each is expected to cost; `off`: when the tyres are off next."""

    off: date
    until: date
    weighed: Weighed
    singly: Money
    together: Money


def renewal(now: Present, lives: SetLives, off: date | None) -> Renewal:
    """What renewing the sensors of a set is expected to cost. `off`: the day on which its tyres are due.

    Without such a day, or where it is further than four years, it is as if the tyres came off today.
    """
    figures = tariff(now.garage)
    off_in = years_from(now.day, off) if off is not None else 0.0
    off_in = off_in if off_in <= FOR_YEARS else 0.0
    charges = charges_of(figures, car_for(now, lives.set))
    found = weigh(lives.batch, lives.nodes, charges, off_in=off_in)
    day = now.day + timedelta(days=round(off_in * DAYS_PER_YEAR))
    until = day + timedelta(days=round(FOR_YEARS * DAYS_PER_YEAR))
    return Renewal(
        day, until, found, *(as_money(cost * WEIGHT, figures.currency, "1") for cost in (found.singly, found.together))
    )


def even_years(now: Present, lives: SetLives) -> float | None:
    """The age in years from which on all sensors of such a set are cheaper renewed at once while its tyres are off; None: not by 30 years."""
    charges = charges_of(tariff(now.garage), car_for(now, lives.set))
    return even_age(len(lives.batch.serving), lives.batch.serving[0].use, charges, sensor_life(now.garage))


def charges_of(figures: Tariff, car: Car | None) -> Charges:
    """What a sensor that fails costs, and what all of a set cost while the tyres are off, as the plan reckons: in its currency.

    A lit lamp found out about, a visit to the shop, tyre off and on, a part, and teaching; all at once: the parts, and teaching once.
    """
    teach = figures.teach(car) if car is not None else Price(0, 0)
    failing = figures.fault + figures.shop_trip + Price(0, figures.fitting_hundredths) + teach
    part = Price(0, figures.sensor_hundredths + figures.kit_hundredths)
    return Charges(*(figures.weigh(price) / WEIGHT for price in (part, failing, teach)))
