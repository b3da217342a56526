"""The tables of a garage file that say where things are meant to be for a time, and where they really were."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from wheelside.declared.kinds import DAY, TEXT, TIME_OF_DAY, YES_NO, ListOf, Ref, choice, fact
from wheelside.declared.row import Row
from wheelside.garage.words import Corner, SeenHow


@dataclass(frozen=True, slots=True, kw_only=True)
class Stay(Row):
    """One stretch of the season line: where a set is from one day until another."""

    set: str = fact(Ref("set"), "The wheel set.", required=True)
    on: str | None = fact(Ref("car"), "The car that it is on.")
    at: str | None = fact(Ref("place"), "The place that it is kept at.")
    or_at: tuple[str, ...] = fact(ListOf(Ref("place"), 20), "Other places that would do; the plan picks one of all.")
    riding_in: str | None = fact(Ref("car"), "The car in which it is carried.")
    since: date = fact(DAY, "First day.", required=True)
    until: date | None = fact(DAY, "First day after; without it, until further notice.")
    yearly: bool = fact(YES_NO, "Whether the stay comes back every year.", default=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen(Row):
    """Where a set, or one wheel, really was on a day. Goes before the season line; of two such rows the newer one counts."""

    set: str | None = fact(Ref("set"), "The wheel set, each wheel at its own corner.")
    wheel: str | None = fact(Ref("wheel"), "Or one wheel.")
    on: str | None = fact(Ref("car"), "The car that it was on.")
    corner: Corner | None = fact(choice(Corner), "The corner of that car, for one wheel.")
    at: str | None = fact(Ref("place"), "The place that it lay at.")
    riding_in: str | None = fact(Ref("car"), "The car in which it was carried.")
    as_of: date = fact(DAY, "The day on which that was so.", required=True)
    time: str | None = fact(TIME_OF_DAY, "The time of that day, where two rows are of one day.")
    since: date | None = fact(DAY, "Since when it had been there, where that is known.")
    how: SeenHow = fact(choice(SeenHow), "How that is known.", default=SeenHow.OWNER)
    by: str | None = fact(TEXT, "Who said so.")
    job: str | None = fact(TEXT, "The job in which it was done.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Outing(Row):
    """Cars that stand somewhere else for a time, with what is on them and in them: a club day, a holiday."""

    cars: tuple[str, ...] = fact(ListOf(Ref("car"), 500), "The cars.", required=True)
    at: str = fact(Ref("place"), "Where they stand meanwhile.", required=True)
    since: date = fact(DAY, "First day.", required=True)
    until: date = fact(DAY, "First day after.", required=True)


@dataclass(frozen=True, slots=True, kw_only=True)
class StandIn(Row):
    """A wheel on the car in place of another one for a time: the spare after a puncture."""

    wheel: str = fact(Ref("wheel"), "The wheel that is put on.", required=True)
    instead_of: str = fact(Ref("wheel"), "The wheel that it stands in for.", required=True)
    on: str = fact(Ref("car"), "The car.", required=True)
    other_at: str | None = fact(Ref("place"), "Where the other wheel is meanwhile; none while it rides in the car.")
    since: date = fact(DAY, "First day.", required=True)
    until: date = fact(DAY, "First day after.", required=True)
