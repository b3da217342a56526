"""Writing the run sheet of the next change of wheels."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from wheelside.errors import BadRequest
from wheelside.fill.card import AirCard, air_card
from wheelside.finding import Finding
from wheelside.fit.may import to_be_settled
from wheelside.garage.change import Change, known_change, next_change
from wheelside.garage.model import Garage
from wheelside.garage.offers import without_offers
from wheelside.garage.present import Present
from wheelside.garage.words import ROAD_CORNERS
from wheelside.identity.plan import IdentityPlan
from wheelside.jobs.garagedesk import Where
from wheelside.jobs.work.air import NEAR_DAYS, Wishes, said_of_tyres, with_wishes
from wheelside.jobs.work.asking import asking_for
from wheelside.jobs.work.plan import Planned, plan_garage
from wheelside.sheet.extent import Extent
from wheelside.sheet.sheet import run_sheet
from wheelside.sheet.step import RunSheet


@dataclass(frozen=True, slots=True)
class Sheeted:
    """A run sheet with the plan and the air card it is made from.

    `sheet` is None where something must not be done, or facts contradict one another; `forbidden` says what. What is said of
    tyres stands with the plan; nothing of a garage file, and of a book without readings.
    """

    planned: Planned
    card: AirCard
    sheet: RunSheet | None
    forbidden: tuple[Finding, ...]


def sheet_for(
    where: Where, *, day: date | None = None, car: str | None = None, wheel_set: str | None = None,
    wishes: Wishes | None = None, plan_file: Path | None = None, keep: bool = True, now: bool = False,
    wears: tuple[tuple[str, str], ...] = (), extent: Extent = Extent.ALL, about: str = "",
) -> Sheeted:  # fmt: skip
    """The run sheet for what is due, or for what is asked for, be it in the season line or not; see `change_due`.

    `now`: for a change that is made today, whatever day the line has for it. `wears`: what is on which car now, car and set.
    Its fresh IDs are set aside. `extent`: one part of the work on a set that is on its car, for which none are; `about`: the one wheel
    that it is about, by id, name or corner.

    No sheet is made where no plan is possible, a wheel must not be fitted, or facts on it contradict one another. Raises Mendable, Outside.
    """

    def asked(garage: Garage, on: date) -> Garage:
        return asking_for(garage, on, car, wheel_set, now=now) if extent.changes else garage

    keep = keep and extent.changes
    planned = plan_garage(
        where, day=day, plan_file=plan_file, keep=keep, wears=wears, changed=asked, said=said_of_tyres
    )
    made = make_sheet(
        planned.garage, planned.plan, car=car, wheel_set=wheel_set, wishes=wishes, extent=extent, about=about
    )
    return Sheeted(planned, *made)


def make_sheet(
    garage: Garage, plan: IdentityPlan, *, car: str | None = None, wheel_set: str | None = None,
    wishes: Wishes | None = None, in_book: bool = False, extent: Extent = Extent.ALL, about: str = "",
) -> tuple[AirCard, RunSheet | None, tuple[Finding, ...]]:  # fmt: skip
    """The air card, the run sheet and what forbids one, for what is due under a plan, or for what is asked for.

    `extent`: a whole change, by the owner or by a shop, or one part of the work, on a set that is on its car now. Raises BadRequest
    where no set goes on a car, or none is on, and where the part that is asked for has nothing to do. What is about one wheel, a flat tyre
    or a new one, is forbidden by nothing: it is what puts right what is wrong.
    """
    garage = without_offers(with_wishes(garage, wishes or Wishes()))
    if extent.of_one_wheel:
        car, wheel_set, about = _one_wheel(garage, plan, car, wheel_set, about)
    else:
        about = ""
    change = change_due(garage, plan, car, wheel_set) if extent.changes else _as_it_is(garage, plan, car, wheel_set)
    card = card_on(garage, change, plan.day)
    may = plan.possible or not extent.by_plan
    sheet = run_sheet(garage, plan, card, change, in_book=in_book, extent=extent, about=about) if may else None
    if extent.of_one_wheel:
        return card, sheet, ()
    every = (*(plan.findings if extent.by_plan else ()), *card.findings, *(sheet.findings if sheet else ()))
    forbidden = tuple(dict.fromkeys(f for f in every if to_be_settled(f)))
    return card, None if forbidden else sheet, forbidden


def _as_it_is(garage: Garage, plan: IdentityPlan, car: str | None, wheel_set: str | None) -> Change:
    """The set that is on a car now, with nothing to be changed. Raises BadRequest where there is none, or more than one."""
    known_change(garage, car, wheel_set)
    on = list(_on_now(Present(garage, plan.day, plan.end), car, wheel_set))
    if not on:
        raise BadRequest("No such set is known to be on a car. Say what is on the car now.")
    if len(on) > 1:
        raise BadRequest(f"Which car: {' or '.join(garage.cars[c.car].name for c in on)}?")
    return on[0]


def _one_wheel(
    garage: Garage, plan: IdentityPlan, car: str | None, wheel_set: str | None, named: str
) -> tuple[str, str, str]:
    """The car, the set and the wheel that are meant by an id, a name or a corner. Raises BadRequest where no wheel, or more than one, is."""
    now = Present(garage, plan.day, plan.end)
    on = [
        (change.car, change.coming, wheel)
        for change in _on_now(now, car, wheel_set)
        for corner, wheel in garage.sets[change.coming].wheels
        if corner in ROAD_CORNERS and named in (wheel, garage.wheels[wheel].name, corner.value)
    ]
    if len(on) == 1:
        return on[0]
    if on:
        raise BadRequest(f"Which car: {' or '.join(garage.cars[one].name for one, _, _ in on)}?")
    raise BadRequest(
        f"No wheel {named} is known to be on a car. Say what is on the car now, or name the wheel by its corner.",
        found=named,
    )


def change_due(garage: Garage, plan: IdentityPlan, car: str | None, wheel_set: str | None) -> Change:
    """What is to be done first: a change that is due or asked for; work on a set that is on; the next change that is near;
    work on a set that goes on no car; else the next change, or what is on. Raises BadRequest."""
    now = Present(garage, plan.day, plan.end)
    known_change(garage, car, wheel_set)
    to_do = {name for w in plan.wheels if w.has_work(plan.day) for name, _ in w.serves}
    if any(car in (None, c.car) and wheel_set in (None, c.coming) for c in now.open):
        return next_change(now, car, wheel_set)
    on = next((c for c in _on_now(now, car, wheel_set) if c.coming in to_do), None)
    if on is not None:
        return on
    stand = _on_stand(now, to_do) if car is None else ()
    if wheel_set is not None and (car is None and wheel_set in _goes_on_none(now)):
        return Change("", wheel_set, None, now.day, now.day)
    near = [s for s in now.line if s.on and s.since > now.day and (s.since - now.day).days <= NEAR_DAYS]
    if stand and wheel_set is None and not near:
        return stand[0]
    return next_change(now, car, wheel_set)


def _on_now(now: Present, car: str | None, wheel_set: str | None) -> Iterator[Change]:
    for set_id, its_car in now.car_of.items():
        if car in (None, its_car) and wheel_set in (None, set_id):
            yield Change(its_car, set_id, None, now.day, now.day)


def _goes_on_none(now: Present) -> tuple[str, ...]:
    """The sets that are on no car and that the season line puts on none."""
    goes = {s.set for s in now.line if s.on is not None} | set(now.car_of)
    return tuple(s.id for s in now.garage.set if s.id not in goes and not s.gone_by(now.day))


def _on_stand(now: Present, to_do: set[str]) -> tuple[Change, ...]:
    """Work on sets that go on no car."""
    return tuple(Change("", s, None, now.day, now.day) for s in _goes_on_none(now) if s in to_do)


def card_on(garage: Garage, change: Change, day: date) -> AirCard:
    """The air card of a change; an empty one for a set that goes on no car."""
    if not change.car:
        return AirCard(car="", set=change.coming, load="", day=day, situation=None, wheels=(), findings=())
    return air_card(garage, garage.cars[change.car], garage.sets[change.coming], day)
