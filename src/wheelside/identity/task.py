"""What an identity plan is solved from: candidates, what must not come together, what each car remembers, what is scarce.

Numbers such as `candidates` of a clash index into `PlanProblem.candidates`, which holds the allowed candidates
of all members in order. A loosened problem holds those too that facts forbid.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from wheelside.garage.words import WhenFull
from wheelside.identity.choice import Candidate, Member, PlanFact
from wheelside.identity.costs import Price, Risk, Tariff
from wheelside.identity.meeting import Clash, Pick
from wheelside.identity.pairing import Pairing


@dataclass(frozen=True, slots=True)
class SameAs:
    """When a set carries just what an earlier one did, or it did itself: for each ID, as many of `mine` chosen as of `theirs`,
    and none of `none_of`, under which a wheel carries what no wheel of the other does.

    `by_corner`: each row is about two wheels at one corner. An ID that is not known beforehand is the same as none but itself.
    """

    rows: tuple[tuple[tuple[int, ...], tuple[int, ...]], ...] = ()
    none_of: tuple[int, ...] = ()
    by_corner: bool = False


@dataclass(frozen=True, slots=True)
class Mount:
    """A set going on a car. Counted from 0 for each car; `wheels` are the members that the car monitors.

    `held`: for each set of IDs in the car's list at the start, oldest first, the candidates under which
    each monitored wheel is found in it. `same`: for each earlier mount of this car, what it takes to carry
    the same IDs (nothing, where it is the same set), or None where that can't be. `untaught`: whether the car can't be taught at all.
    `midway`: the set is on the car already, and wheels of it may be written on that day.
    """

    car: str
    set: str
    day: date
    wheels: tuple[int, ...]
    slots: int
    when_full: WhenFull
    teach: Price
    risk: Risk
    held: tuple[tuple[tuple[int, ...], ...], ...]
    same: tuple[SameAs | None, ...]
    untaught: bool = False
    midway: bool = False


@dataclass(frozen=True, slots=True)
class Choice:
    """The places among which the plan picks for one stay, the first-named first; each other one costs `price`."""

    stay: int
    set: str
    places: tuple[str, ...]
    price: Price


@dataclass(frozen=True, slots=True)
class Room:
    """At most `room` of the tenants at a place on a day: sets that are there by a stay, or where it is picked."""

    place: str
    day: date
    room: int
    tenants: tuple[tuple[Pick | None, PlanFact], ...]


@dataclass(frozen=True, slots=True)
class Stock:
    """The new sensors of one row of blanks (-1: of none) that become one family. `written`: the refits that can use one; `refits`: all
    of that family that are not chosen from silent blanks.

    `count`: how many there are in the row, for all its families. `saving`: what one costs less than a bought one, in hundredths. `only`:
    whether none may be bought. `silent`: they are silent at rest, and every one of `written` takes one.
    """

    row: int
    family: str
    count: int
    saving: int
    written: tuple[int, ...]
    refits: tuple[int, ...]
    only: bool
    silent: bool = False


@dataclass(frozen=True, slots=True)
class ShopVisit:
    """A visit to the tyre shop with a set: on it any of `refits` can be done."""

    set: str
    refits: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Proof:
    """The corners of a set are shown one by one, where any of `carried` is chosen, a clone or an old ID carried on."""

    set: str
    carried: tuple[int, ...]
    price: Price


@dataclass(frozen=True, slots=True)
class PlanProblem:
    """All of one identity plan, ready to be solved."""

    members: tuple[Member, ...]
    candidates: tuple[Candidate, ...]
    of_member: tuple[tuple[int, ...], ...]
    clashes: tuple[Clash, ...]
    mounts: tuple[Mount, ...]
    trips: tuple[ShopVisit, ...]
    """For each set with refits a visit to the tyre shop; each refit needs one of a set that its wheel is in."""
    proofs: tuple[Proof, ...]
    """For each set what makes its corners to be proven one by one."""
    choices: tuple[Choice, ...]
    rooms: tuple[Room, ...]
    stocks: tuple[Stock, ...]
    got: tuple[int, ...]
    """The candidates that are written by a writer that is bought, hired or lent, once for all of them."""
    pairings: tuple[Pairing, ...]
    tariff: Tariff
    day: date
    narrowed: bool = False
    """Whether later writings are left out that could do some good only together with others."""
