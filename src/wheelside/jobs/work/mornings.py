"""When it is asked how cold mornings are: where the lamp's days of a tyre that loses air hang on it, and little is known of them."""

from __future__ import annotations

from wheelside.garage.model import Garage
from wheelside.inquiry.climate import climate_open, climate_query
from wheelside.inquiry.query import Query
from wheelside.jobs.work.tyres import TyresNow

ENOUGH_MONTHS = 6
"""Where it was read in so many months of a year how warm it was outside, enough is known. Judgement."""


def mornings_asked(garage: Garage, now: TyresNow, car: str) -> Query | None:
    """The question how cold mornings are; None where the lamp's days of no tyre on a car hang on it, or where it was answered."""
    hang = any(t.says.lamp is not None and t.says.lamp.early is not None for t in now.on(car))
    return climate_query(garage) if hang and climate_open(garage) and len(now.months_read) < ENOUGH_MONTHS else None
