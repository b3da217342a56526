"""The IDs that a car's own list holds, by corner: what a set's sensors send, as long as its lamp is off with that set on."""

from __future__ import annotations

from contextlib import suppress

from wheelside.car.card import Holds, PortCard
from wheelside.car.codes import BadAnswer
from wheelside.car.negative import Refused
from wheelside.car.reads import CardRead, read_list, read_value
from wheelside.car.talk import Talk
from wheelside.corner import Corner
from wheelside.errors import BadRequest
from wheelside.garage.model import Car, Garage
from wheelside.inquiry.course import set_on
from wheelside.inquiry.query import Query
from wheelside.jobs.car.port import talking
from wheelside.jobs.car.pressures import counting
from wheelside.jobs.car.visit import Visit, kept_card
from wheelside.units.moment import Moment


def car_can_say(garage: Garage, car: Car | None, query: Query, at: Moment) -> bool:
    """Whether a question is for the IDs of the set that is on a car, so that the car itself can answer it."""
    on = set_on(garage, car, at.day) if car is not None else None
    return on is not None and query.code == f"ids/{on.id}"


def ids_in_list(visit: Visit, link: str) -> dict[str, str]:
    """The IDs in the list that the car goes by, in hex digits by a corner's key. Only the lists are asked for.

    Raises BadRequest where the car has no port card, does not tell its lists apart, or keeps them by no corner; NoAnswer, LinkLost, Outside.
    """
    kept = kept_card(visit.desk, visit.car)
    if kept is None:
        raise BadRequest(
            "this car has no port card yet: give it one on its page, under Your things", expected="a port card"
        )
    with talking(kept.card, link) as talk:
        row = counting(_lists(talk, kept.card), kept.card)
    keys = {corner.value: corner.key for corner in Corner}
    found = {keys[place]: one.hex for place, one in row.ids if one is not None and place in keys} if row else {}
    if not found:
        raise BadRequest(
            "the car did not say which ID it watches at which corner: type them, or read them with a trigger",
            expected="IDs by corner",
        )
    return found


def _lists(talk: Talk, card: PortCard) -> CardRead:
    """What the lists hold, and which of them the car watches; what the unit refuses is left out. Raises NoAnswer, LinkLost."""
    lists, values = [], []
    for row in card.lists:
        with suppress(Refused, BadAnswer):
            lists.append(read_list(talk, row))
    for value in (v for v in card.values if v.holds is Holds.WATCHED):
        with suppress(Refused, BadAnswer):
            values.append(read_value(talk, value))
    return CardRead(tuple(lists), tuple(values), ())
