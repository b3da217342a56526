"""What is said of each tyre now, out of the book: one record for every screen, the calendar, sheets and proofs."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field

from wheelside.air.loss import OwnLoss
from wheelside.book.entry import View
from wheelside.book.journal import newest_entry
from wheelside.book.series import stamp_of
from wheelside.garage.model import Garage
from wheelside.garage.present import Present
from wheelside.garage.words import Corner
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.source import RUNNING
from wheelside.jobs.work.tyres_read import Reader, SetSays, TyreAt, reader_of, sets_there
from wheelside.units.moment import Moment
from wheelside.watch.curve import TyreCurve
from wheelside.watch.judge import RefillAsked

__all__ = ["TyreAt", "TyresNow", "all_tyres", "losing", "own_losses", "tyres_now"]

PATIENCE_S = 1.5
"""So long tyres of many sets are worked out for one page; what is left comes with the next ones."""


@dataclass(frozen=True, slots=True)
class TyresNow:
    """All tyres, cars first; air that seems to have been let in; and by wheel its amount over time.

    `months_read`: in which months, 1 to 12, it was read how warm it was outside.
    `whole`: whether all sets are worked out; the others stand as they were known last, or not at all.
    """

    tyres: tuple[TyreAt, ...]
    asked: tuple[RefillAsked, ...]
    curves: Mapping[str, TyreCurve] = field(default_factory=dict)
    whole: bool = True
    months_read: frozenset[int] = frozenset()

    def on(self, car: str) -> tuple[TyreAt, ...]:
        """Those on a car, by corner."""
        return tuple(t for t in self.tyres if t.car == car)

    def of(self, wheel: str) -> TyreAt | None:
        """One of them."""
        return next((t for t in self.tyres if t.wheel == wheel), None)

    @property
    def by_car(self) -> dict[str, tuple[TyreAt, ...]]:
        """Those on each car, by corner."""
        found: dict[str, list[TyreAt]] = {}
        for t in self.tyres:
            if t.car is not None:
                found.setdefault(t.car, []).append(t)
        return {car: tuple(tyres) for car, tyres in found.items()}


def tyres_now(
    desk: Desk, *, car: str = "", wheels: Collection[str] | None = None, patience_s: float = PATIENCE_S
) -> TyresNow:
    """What is said of each tyre at this moment; a set is worked out anew only where something of it has changed, or the day.

    `car`, `wheels`: only of the sets that are on that car, or that have one of those wheels, however long it takes. Raises Outside.
    """
    now, until = desk.clock(), RUNNING.seconds() + patience_s
    with desk.book.reading() as conn:
        loaded = desk.loaded_in(conn)
        since, garage = desk.apart_from_treads(loaded)
        reader = reader_of(conn, garage, desk.present(), now)
        entry, found, whole = desk.book.asked(conn, newest_entry), list[SetSays](), True
        some = bool(car) or wheels is not None
        for set_id, mine in sets_there(loaded.garage, now.day).items():
            if some and not _named(reader, mine, car, wheels):
                continue
            one = _held(desk, reader, (since, entry), set_id, mine)
            if one is None and not some and found and RUNNING.seconds() > until:
                whole = False
                held = desk.tyres.get(set_id)
                found += [held.says] if held is not None else []
                continue
            if one is None:
                with desk.alone(f"tyres {set_id}"):
                    state = (since, entry)
                    one = _held(desk, reader, state, set_id, mine) or _read(desk, reader, state, set_id, mine)
            found.append(one)
    return _together(loaded.garage, found, whole=whole)


def _named(reader: Reader, mine: tuple[str, ...], car: str, wheels: Collection[str] | None) -> bool:
    """Whether a set has one of some wheels; or, where none are named, one that is on a car."""
    return any(w in wheels if wheels is not None else reader.at.get(w, ("",))[0] == car for w in mine)


@dataclass(frozen=True, slots=True)
class HeldSays:
    """What was said of a set, and what it was worked out from: the facts' revision, treads aside, and the day, the newest entry, the readings."""

    revision: int
    entry: int
    day: object
    stamp: object
    says: SetSays


def _held(desk: Desk, reader: Reader, state: tuple[int, int], set_id: str, wheels: tuple[str, ...]) -> SetSays | None:
    """What is known of a set still; None where it has to be worked out anew."""
    held: HeldSays | None = desk.tyres.get(set_id)
    if held is None or (held.revision, held.day) != (state[0], reader.now.day):
        return None
    if held.entry != state[1]:
        if held.stamp != stamp_of(reader.conn, wheels):
            return None
        desk.tyres[set_id] = HeldSays(held.revision, state[1], held.day, held.stamp, held.says)
    says: SetSays = held.says
    return says


def _read(desk: Desk, reader: Reader, state: tuple[int, int], set_id: str, wheels: tuple[str, ...]) -> SetSays:
    stamp, says = stamp_of(reader.conn, wheels), reader.of_set(set_id, wheels)
    desk.tyres[set_id] = HeldSays(state[0], state[1], reader.now.day, stamp, says)
    return says


def all_tyres(
    conn: View, garage: Garage, present: Present, now: Moment, wheels: Collection[str] | None = None
) -> TyresNow:
    """What is said of each tyre of a garage by the readings of a book; `wheels`: of those of their sets alone."""
    reader = reader_of(conn, garage, present, now)
    there = sets_there(garage, present.day)
    wanted = {s: own for s, own in there.items() if wheels is None or any(w in wheels for w in own)}
    return _together(garage, [reader.of_set(*one) for one in wanted.items()], whole=True)


def _together(garage: Garage, found: list[SetSays], *, whole: bool) -> TyresNow:
    """All sets in one, by car and corner."""
    cars, sets = ({row.id: n for n, row in enumerate(rows)} for rows in (garage.car, garage.set))
    corners = {corner: n for n, corner in enumerate(Corner)}

    def place(t: TyreAt) -> tuple[int, int, int]:
        return (
            cars[t.car] if t.car is not None else len(cars),
            sets[t.set],
            corners.get(t.corner, 0) if t.corner else 0,
        )

    tyres = sorted((t for one in found for t in one.tyres), key=place)
    asked = tuple(a for one in found for a in one.asked)
    months = frozenset(m for one in found for m in one.months_read)
    return TyresNow(tuple(tyres), asked, {w: c for one in found for w, c in one.curves}, whole, months)


def own_losses(now: TyresNow) -> dict[str, OwnLoss]:
    """How fast wheels lose, of those whose own readings tell it."""
    return {t.wheel: OwnLoss(*t.says.rate) for t in now.tyres if t.says.rate is not None}


def losing(tyres: Iterable[TyreAt]) -> tuple[TyreAt, ...]:
    """Those that are not to be driven on, too low, or lose air: the gravest first."""
    grave = [t for t in tyres if t.says.grave]
    return tuple(sorted(grave, key=lambda t: t.says.rank))
