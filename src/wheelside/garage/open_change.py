"""Changes that are due, sets that are taken to be on, and wheels that stand in for others."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from wheelside.garage.model import Garage, WheelSet
from wheelside.garage.stay import StandIn
from wheelside.garage.words import ROAD_CORNERS

OPEN_DAYS = 60
"""So long a change that nobody has seen done stays open; from then on it counts as done. Our own figure, judgement: wheels are
changed within weeks of the day that was meant, and a question that comes back for half a year is not read any more."""


@dataclass(frozen=True, slots=True)
class OpenChange:
    """A set that is meant to go on a car by now, or is asked for, and is not on it.

    `going`: the set that is on, None where none is known. `due`: the day that the season line has; None where it was asked
    for. `assumed`: nobody has said since that day what is on, so that it has to be asked.
    """

    car: str
    coming: str
    going: str | None
    due: date | None
    assumed: bool


class Taken(StrEnum):
    """Why a set is taken to be on a car though nobody has said so."""

    FIRST = "first stay"
    OLD = "change of long ago"


@dataclass(frozen=True, slots=True)
class TakenOn:
    """A set that is taken to be on a car since a day, by the season line alone."""

    car: str
    set: str
    since: date
    why: Taken


class SeenStandIn(StandIn):
    """A wheel that was seen at a corner of a car whose set has another one there; no row of a file."""


def stated_stand_ins(garage: Garage, day: date) -> tuple[StandIn, ...]:
    """The stand-ins of a day that the owner wrote down."""
    rows = (s for s in garage.stand_in if not isinstance(s, SeenStandIn))
    return tuple(s for s in rows if s.since <= day < s.until)


def counted(wheel_set: WheelSet) -> tuple[str, ...]:
    """The wheels by which a set is known to be on a car: those at road corners; its spare, where it is nothing else."""
    road = tuple(w for c, w in wheel_set.wheels if c in ROAD_CORNERS)
    return road or tuple(w for _, w in wheel_set.wheels)
