"""What each action costs the owner, in seconds of time and hundredths of money, and what may go wrong at which odds."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from wheelside.finding import Basis, Ground
from wheelside.garage import acts
from wheelside.garage.model import Car, Garage
from wheelside.garage.rates import PLAN_MONEY, money_of, rate_basis, sensor_life, sensor_life_basis
from wheelside.garage.words import Teaching
from wheelside.said import Figure, Said, Table, count, say
from wheelside.sensor.life import fails_within
from wheelside.units import Duration, Money
from wheelside.units.quantity import DAYS_PER_YEAR

DEFAULT_MINUTES = {
    "shop_trip": acts.SHOP_VISIT, "write": acts.ON_BENCH, "write_mounted": acts.IN_WHEEL, "move": acts.MOVE_SET,
    "show_corner": acts.SHOW_CORNER, "fault": acts.FIND_FAULT,
}  # fmt: skip
DEFAULT_ODDS = {"pair_meets": 0.05, "write_wrong": 0.01, "teach_fails": 0.04}
TEACH_MINUTES = {
    Teaching.DRIVING: acts.TEACH_BY_DRIVING,
    Teaching.DRIVING_CORNERS: acts.TEACH_BY_DRIVING,
    Teaching.STEPS: acts.TEACH_BY_STEPS,
    Teaching.PORT: acts.TEACH_BY_PORT,
    Teaching.LOCKED: acts.TEACH_PAID,
    Teaching.NOT: 0,
}
MILLION = 1_000_000
WEIGHT = 360_000
"""So much of a plan's weight is one of its currency."""
_UNSURE = Basis(Ground.DEFAULT, say("judgement; change it in {odds}", odds=Table("odds", many=False)))


@dataclass(frozen=True, slots=True)
class Rate:
    """One figure that the plan reckons with, and whether it is the owner's or a default."""

    name: str
    text: Said
    basis: Basis


@dataclass(frozen=True, slots=True)
class Price:
    """What something costs: seconds of the owner's time and hundredths of the plan's currency."""

    seconds: int
    hundredths: int

    def __add__(self, other: Price) -> Price:
        return Price(self.seconds + other.seconds, self.hundredths + other.hundredths)

    def __sub__(self, other: Price) -> Price:
        return Price(self.seconds - other.seconds, self.hundredths - other.hundredths)

    def times(self, n: int) -> Price:
        return Price(self.seconds * n, self.hundredths * n)


NOTHING = Price(0, 0)


def as_money(weight: float, currency: str, least: str = "0.01") -> Money:
    """A plan's weight as money; `least`: to what it is rounded."""
    return Money((Decimal(round(weight)) / WEIGHT).quantize(Decimal(least)), currency)


@dataclass(frozen=True, slots=True)
class Risk:
    """Something that may go wrong: its name, its odds in millionths, and what it would cost. `to`: to what."""

    name: str
    ppm: int
    price: Price
    to: Said | None = None


@dataclass(frozen=True, slots=True)
class Tariff:
    """All figures of one plan. `weigh` turns a price into the one number that is made least."""

    currency: str
    hour_hundredths: int
    sensor_hundredths: int
    kit_hundredths: int
    fitting_hundredths: int
    write: Price
    write_mounted: Price
    shop_trip: Price
    move: Price
    show_corner: Price
    fault: Price
    writer: Price
    teach_seconds: int | None
    teach_paid: int
    teach_scale: float
    odds: tuple[tuple[str, float], ...]
    life_years: float
    years: int
    rates: tuple[Rate, ...]

    @property
    def refit_wheel(self) -> Price:
        """A bought sensor, its kit and the fitting."""
        return Price(0, self.sensor_hundredths + self.kit_hundredths + self.fitting_hundredths)

    def weigh(self, price: Price) -> int:
        """The price in 1/3600 of a hundredth, time at the owner's hourly worth; exact in whole numbers."""
        return price.seconds * self.hour_hundredths + price.hundredths * 3600

    def weigh_risk(self, risk: Risk) -> int:
        """The expected cost of a risk, rounded to the unit of `weigh`."""
        return (risk.ppm * self.weigh(risk.price) + MILLION // 2) // MILLION

    def teach(self, car: Car) -> Price:
        """Teaching one set to `car`; an unknown way of teaching is reckoned as step by step."""
        seconds = self.teach_seconds
        if seconds is None:
            seconds = 60 * TEACH_MINUTES[car.taught_by or Teaching.STEPS]
        seconds = round(seconds * self.teach_scale)
        return Price(seconds, self.teach_paid if car.taught_by is Teaching.LOCKED else 0)

    def _odds(self, name: str) -> float:
        return dict(self.odds)[name]

    def pair_risk(self, years: float) -> Risk:
        """Two sets with one ID meet after all, some time within so many years."""
        return Risk("pair_meets", _ppm(1.0 - (1.0 - self._odds("pair_meets")) ** years), self.fault)

    def writing_risk(self) -> Risk:
        return Risk("write_wrong", _ppm(self._odds("write_wrong")), self.fault + self.write_mounted)

    def teaching_risk(self, teach: Price) -> Risk:
        return Risk("teach_fails", _ppm(self._odds("teach_fails")), teach)

    def failing_risk(self, age_years: float, years: float) -> Risk:
        """A sensor of this age that works fails within so many years (Weibull law)."""
        chance = fails_within(age_years, years, self.life_years)
        old, year = max(1, round(age_years)), "a sensor about {n} year old"
        to = count(old, year, "a sensor about {n} years old") if age_years > 0 else say("a new sensor")
        return Risk("sensor_life", _ppm(chance), self.fault + self.refit_wheel + self.shop_trip, to)


def years_until(last: date | None, day: date, horizon_years: int) -> float:
    """How many years of the horizon there are until a day; all of them where there is no such day."""
    if last is None:
        return float(horizon_years)
    return min(float(horizon_years), (last - day).days / DAYS_PER_YEAR)


def _ppm(odds: float) -> int:
    return round(odds * MILLION)


def _rates(
    garage: Garage, money: dict[str, Money], times: dict[str, Duration], odds: dict[str, float], life: float
) -> tuple[Rate, ...]:
    """Every figure with what it rests on."""
    costs = garage.costs
    rates = [Rate(n, say("{money}", money=m), rate_basis(garage, n)) for n, m in money.items()]
    rates += [Rate(n, say("{time}", time=t), rate_basis(garage, n)) for n, t in times.items()]
    teach = say(
        "by how the car is taught: driving 1 min, for the drive is made anyway, step by step 15, port 15, locked 60"
    )
    rates.append(Rate("teach", say("{time}", time=costs.teach) if costs.teach else teach, rate_basis(garage, "teach")))
    rates += [Rate(n, say("{share} %", share=Figure(100 * o)), _odds_basis(garage, n)) for n, o in odds.items()]
    lasts = say("{years} year", years=Figure(life)) if life == 1 else say("{years} years", years=Figure(life))
    rates.append(Rate("sensor_life", lasts, sensor_life_basis(garage)))
    return tuple(rates)


def _odds_basis(garage: Garage, name: str) -> Basis:
    return _UNSURE if getattr(garage.odds, name) is None else garage.odds.basis(name)


def tariff(garage: Garage) -> Tariff:
    """The tariff of a garage: the owner's figures, and shown defaults for the rest."""
    costs, given_odds = garage.costs, garage.odds
    money = money_of(garage, PLAN_MONEY)
    times = {name: getattr(costs, name) or Duration(60.0 * minutes) for name, minutes in DEFAULT_MINUTES.items()}
    shares = {name: getattr(given_odds, name) for name in DEFAULT_ODDS}
    odds = {name: DEFAULT_ODDS[name] if share is None else share.fraction for name, share in shares.items()}
    life = sensor_life(garage)
    return Tariff(
        currency=money["hour"].currency,
        hour_hundredths=money["hour"].hundredths,
        sensor_hundredths=money["sensor"].hundredths,
        kit_hundredths=money["kit"].hundredths,
        fitting_hundredths=money["fitting"].hundredths,
        write=Price(int(times["write"].seconds), 0),
        write_mounted=Price(int(times["write_mounted"].seconds), 0),
        shop_trip=Price(int(times["shop_trip"].seconds), 0),
        move=Price(int(times["move"].seconds), 0),
        show_corner=Price(int(times["show_corner"].seconds), 0),
        fault=Price(int(times["fault"].seconds), 0),
        writer=Price(0, money["writer"].hundredths),
        teach_seconds=int(costs.teach.seconds) if costs.teach else None,
        teach_paid=money["teach_paid"].hundredths,
        teach_scale=1.0,
        odds=tuple(odds.items()),
        life_years=life,
        years=garage.plan.horizon_years,
        rates=_rates(garage, money, times, odds, life),
    )
