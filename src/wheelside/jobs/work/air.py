"""Working out the air card of one set on one car."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from datetime import date
from typing import TYPE_CHECKING

from wheelside.air.loss import OwnLoss
from wheelside.errors import BadRequest
from wheelside.fill.card import AirCard, air_card
from wheelside.garage.change import Change, next_change
from wheelside.garage.check import check_conditions
from wheelside.garage.model import Garage
from wheelside.garage.offers import without_offers
from wheelside.garage.present import present
from wheelside.garage.wishes import Conditions
from wheelside.garage.words import TyreState
from wheelside.jobs.garagedesk import FileDesk, GarageDesk, Where, at_desk
from wheelside.jobs.source import now, today
from wheelside.jobs.work.asking import asking_for, wearing
from wheelside.units import Length, Temperature

if TYPE_CHECKING:  # the database's library comes with it
    from wheelside.jobs.work.tyres import TyresNow

NEAR_DAYS = 14
"""A change this near is what an air card is asked for; else it is for the set that is on."""


@dataclass(frozen=True, slots=True)
class Wishes:
    """What the person says now, over what the garage file says; None leaves the file's word."""

    tyre_temperature: Temperature | None = None
    temperature_of_use: Temperature | None = None
    coldest: Temperature | None = None
    warmest: Temperature | None = None
    height_here: Length | None = None
    height_there: Length | None = None
    load: str | None = None
    tyres: TyreState | None = None


@dataclass(frozen=True, slots=True)
class Aired:
    """An air card, the garage it is for, and the change it belongs to."""

    garage: Garage
    change: Change
    card: AirCard


def with_wishes(garage: Garage, wishes: Wishes) -> Garage:
    """The garage with the person's word of now in its conditions. Raises BadRequest where it can't be."""
    said = {f.name: value for f in fields(wishes) if (value := getattr(wishes, f.name)) is not None}
    conditions: Conditions = replace(garage.conditions, **said)
    for complaint in check_conditions(replace(garage, conditions=conditions)):
        what = f"{complaint.path[-1]}: found {complaint.found}, expected {complaint.expected}"
        raise BadRequest(f"{what}; {complaint.suggestion}", found=complaint.found, expected=complaint.expected)
    return replace(garage, conditions=conditions)


def card_for(
    where: Where,
    *,
    day: date | None = None,
    car: str | None = None,
    wheel_set: str | None = None,
    wishes: Wishes | None = None,
    wears: tuple[tuple[str, str], ...] = (),
) -> Aired:
    """The air card for a change of wheels that is near, else for the set that is on, or for the car and set asked for.

    `wears`: what is on which car now, car and set. Raises Mendable, Outside.
    """
    on = day or today()
    loaded, own = at_desk(where, _with_own)
    garage = wearing(with_wishes(loaded, wishes or Wishes()), on, wears)
    garage = asking_for(garage, on, car, wheel_set)
    change = change_on(garage, on, car, wheel_set, within_days=NEAR_DAYS)
    return Aired(garage, change, air_card(garage, garage.cars[change.car], garage.sets[change.coming], on, own))


def _with_own(desk: GarageDesk) -> tuple[Garage, dict[str, OwnLoss]]:
    """The garage, and of a book how fast its wheels lose by what was read of them."""
    garage, found = desk.load().garage, said_of_tyres(desk)
    if found is None:
        return garage, {}
    from wheelside.jobs.work.tyres import own_losses

    return garage, own_losses(found)


def said_of_tyres(desk: GarageDesk) -> TyresNow | None:
    """What is said of each tyre by the readings of a book; None for a file, and for a book without any."""
    if isinstance(desk, FileDesk):
        return None
    from wheelside.book.events import last_pressures

    if not last_pressures(desk.conn):
        return None
    from wheelside.jobs.work.tyres import all_tyres

    garage = desk.load().garage
    return all_tyres(desk.conn, garage, present(without_offers(garage), today()), now())


def change_on(
    garage: Garage, day: date, car: str | None, wheel_set: str | None, within_days: int | None = None
) -> Change:
    """The change that a person means, within the plan's horizon. Raises BadRequest."""
    return next_change(present(garage, day), car, wheel_set, within_days)
