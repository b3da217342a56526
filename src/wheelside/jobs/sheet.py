"""Writing the run sheet of the next change of wheels."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from wheelside.fill.card import AirCard, air_card
from wheelside.finding import Finding, Weight
from wheelside.garage.change import Change
from wheelside.garage.model import Garage
from wheelside.garage.offers import without_offers
from wheelside.identity.choice import Action
from wheelside.identity.plan import IdentityPlan
from wheelside.jobs.air import Wishes, change_on, with_wishes
from wheelside.jobs.plan import Planned, plan_garage
from wheelside.sheet.sheet import run_sheet
from wheelside.sheet.step import RunSheet


@dataclass(frozen=True, slots=True)
class Sheeted:
    """A run sheet with the plan and the air card it is made from.

    `sheet` is None where something must not be done; `forbidden` says what.
    """

    planned: Planned
    card: AirCard
    sheet: RunSheet | None
    forbidden: tuple[Finding, ...]


def sheet_for(
    garage_file: Path, *, day: date | None = None, car: str | None = None, wheel_set: str | None = None,
    wishes: Wishes | None = None, plan_file: Path | None = None, keep: bool = True,
) -> Sheeted:  # fmt: skip
    """The run sheet for what is due: a set that is on and has work to do, else the next change, or what is asked for.

    Its fresh IDs are set aside.

    No sheet is made where no plan is possible or a wheel must not be fitted. Raises Mendable, Outside.
    """
    planned = plan_garage(garage_file, day=day, plan_file=plan_file, keep=keep)
    made = make_sheet(planned.garage, planned.plan, car=car, wheel_set=wheel_set, wishes=wishes)
    return Sheeted(planned, *made)


def make_sheet(
    garage: Garage, plan: IdentityPlan, *, car: str | None = None, wheel_set: str | None = None,
    wishes: Wishes | None = None,
) -> tuple[AirCard, RunSheet | None, tuple[Finding, ...]]:  # fmt: skip
    """The air card, the run sheet and what forbids one, for what is due under a plan, or for what is asked for.

    Raises BadRequest where no set goes on a car.
    """
    garage = without_offers(with_wishes(garage, wishes or Wishes()))
    change = _due(plan, car, wheel_set) or change_on(garage, plan.day, car, wheel_set)
    card = air_card(garage, garage.cars[change.car], garage.sets[change.coming], plan.day)
    sheet = run_sheet(garage, plan, card, change) if plan.possible else None
    every = (*plan.findings, *card.findings, *(sheet.findings if sheet else ()))
    forbidden = tuple(dict.fromkeys(f for f in every if f.weight is Weight.FORBIDDEN))
    return card, None if forbidden else sheet, forbidden


def _due(plan: IdentityPlan, car: str | None, wheel_set: str | None) -> Change | None:
    """A set that is on a car today and has a sensor to be changed or written: due now."""
    to_do = {w.set for w in plan.wheels if w.action is Action.REFIT or w.writes}
    for spell in plan.line:
        named = car in (None, spell.on) and wheel_set in (None, spell.set)
        if spell.on is not None and named and spell.covers(plan.day) and spell.since < plan.day and spell.set in to_do:
            return Change(spell.on, spell.set, None, plan.day)
    return None
