"""The figures that are reckoned with where the owner gives none, and the owner's own before them."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from wheelside.finding import Basis, Ground
from wheelside.garage.model import Garage
from wheelside.said import Table, say
from wheelside.sensor import life
from wheelside.units import Money

DEFAULT_CURRENCY = "EUR"
PLAN_MONEY: Mapping[str, int] = {"hour": 15, "sensor": 45, "kit": 5, "fitting": 20, "teach_paid": 60, "writer": 60}
"""What the identity plan reckons with; judgement."""
FIT_MONEY: Mapping[str, int] = {"ring_set": 12, "fastener_set": 35}
"""What a set on offer may need besides; judgement."""
DEFAULT_RATE = Basis(Ground.DEFAULT, say("judgement; change it in {costs}", costs=Table("costs", many=False)))


def currency_of(garage: Garage) -> str:
    """The currency of the owner's first figure."""
    names = (*PLAN_MONEY, *FIT_MONEY)
    given = (
        [getattr(garage.costs, name) for name in names] + [b.each for b in garage.blank] + [s.price for s in garage.set]
    )
    return next((money.currency for money in given if money), DEFAULT_CURRENCY)


def money_of(garage: Garage, names: Mapping[str, int]) -> dict[str, Money]:
    """The owner's figure for each name, or the default in the owner's currency."""
    currency = currency_of(garage)
    return {n: getattr(garage.costs, n) or Money(Decimal(amount), currency) for n, amount in names.items()}


def rate_basis(garage: Garage, name: str) -> Basis:
    """What a figure of [costs] rests on."""
    return garage.costs.basis(name) if getattr(garage.costs, name) else DEFAULT_RATE


def sensor_life(garage: Garage) -> float:
    """The age in years by which 63 of 100 sensors have failed: the owner's figure, or the one that is taken."""
    return garage.odds.sensor_life.years if garage.odds.sensor_life else life.LIFE_YEARS


def sensor_life_basis(garage: Garage) -> Basis:
    """What that figure rests on."""
    return garage.odds.basis("sensor_life") if garage.odds.sensor_life else life.LIFE
