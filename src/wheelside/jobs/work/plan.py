"""Planning the IDs of a garage, and setting fresh ones aside. Write it like this."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from wheelside.errors import BadRequest
from wheelside.garage.model import Garage
from wheelside.garage.suppose import supposing
from wheelside.identity.difference import PlanDifference, difference
from wheelside.identity.plan import IdentityPlan, Reasons
from wheelside.identity.reserve import release
from wheelside.identity.tipping import Tipping, tipping_points
from wheelside.jobs.garagedesk import GarageDesk, Where, at_desk
from wheelside.jobs.source import today
from wheelside.jobs.work.asking import wearing
from wheelside.jobs.work.audited import audited
from wheelside.said import Said, say

if TYPE_CHECKING:  # the database's library comes with it
    from wheelside.jobs.work.tyres import TyresNow


@dataclass(frozen=True, slots=True)
class Planned:
    """A plan, the garage it is for, and where its reservations were saved; None where they were not.

    `tipping`: from which figures another plan would win, where that was asked for; `tyres`: what is said of each, likewise.
    """

    garage: Garage
    plan: IdentityPlan
    saved_in: str | None
    tipping: tuple[Tipping, ...] = ()
    tyres: TyresNow | None = None


@dataclass(frozen=True, slots=True)
class Supposed:
    """The plan with some facts taken otherwise, and what it does otherwise than the plan without."""

    facts: tuple[str, ...]
    planned: Planned
    difference: PlanDifference


def plan_garage(
    where: Where,
    *,
    day: date | None = None,
    plan_file: Path | None = None,
    keep: bool = True,
    let_go: str | None = None,
    reasons: Reasons = Reasons.WHY,
    reasons_for: Collection[str] = (),
    tipping: bool = False,
    wears: tuple[tuple[str, str], ...] = (),
    changed: Callable[[Garage, date], Garage] = lambda garage, _: garage,
    said: Callable[[GarageDesk], TyresNow | None] = lambda _: None,
) -> Planned:
    """Plans the garage as it stands on `day` (today where None) and saves its reservations.

    `where`: a garage file or a book. `plan_file`: where those of a file are kept, beside it where None. `keep` False plans without
    saving. `let_go`: a wheel whose reserved ID is released first. `reasons`: what it answers beside what is done;
    `reasons_for`: wheels whose choices not taken are answered in any case. `tipping`: with the figures from which another plan would win.
    `wears`: what is on which car now, car and set. `changed`: what is asked for besides. `said`: what is said of
    tyres, in the same transaction. Raises Mendable, Outside.
    """
    on = day or today()

    def planned(desk: GarageDesk) -> Planned:
        garage = changed(wearing(desk.load().garage, on, wears), on)
        _known(garage, reasons_for)
        reserved = desk.reserved()
        plan = audited(garage, on, release(reserved, let_go) if let_go else reserved, reasons_for, reasons=reasons)
        return Planned(garage, plan, desk.keep(plan.reserved, plan) if keep else None, tyres=said(desk))

    made = at_desk(where, planned, keeps=keep, plan_file=plan_file)
    return replace(made, tipping=tipping_points(made.garage, on)) if tipping else made


def suppose(
    where: Where,
    facts: Collection[str],
    *,
    day: date | None = None,
    plan_file: Path | None = None,
    reasons: Reasons = Reasons.WHY,
    reasons_for: Collection[str] = (),
    tipping: bool = False,
) -> Supposed:
    """Plans the garage as if some of its facts were others; nothing is saved.

    `facts`: lines such as 'car.estate.remembers_sets = 1'. Raises Mendable, Outside.
    """
    on = day or today()
    there, reserved = at_desk(where, lambda desk: (desk.load(), desk.reserved()), plan_file=plan_file)
    garage, other = there.garage, supposing(there.table, facts)
    _known(other, reasons_for)
    before = audited(garage, on, reserved)
    after = audited(other, on, reserved, reasons_for, reasons=reasons)
    planned = Planned(other, after, None, tipping_points(other, on) if tipping else ())
    told = difference(other, before, after)
    new = _new(garage, other)
    return Supposed(tuple(facts), planned, replace(told, lines=(*new, *told.lines)))


def _new(garage: Garage, other: Garage) -> Iterator[Said]:
    """What is said of the places and writers that only the second garage has."""
    place, writer = (
        "place '{id}' is supposed, which the file does not have",
        "writer '{id}' is supposed, which the file does not have",
    )
    yield from (say(place, id=p.id) for p in other.place if p.id not in garage.places)
    known = {w.id for w in garage.writer}
    yield from (say(writer, id=w.id) for w in other.writer if w.id not in known)


def _known(garage: Garage, wheels: Collection[str]) -> None:
    for wheel in wheels:
        if wheel not in garage.wheels:
            known = ", ".join(sorted(garage.wheels)[:40]) or "none"
            raise BadRequest(f"no wheel '{wheel}' in the file: it has {known}", found=wheel, expected=known)
