"""From a plan and an air card to the run sheet of one job. Write it like this."""

from __future__ import annotations

from wheelside.fill.card import AirCard
from wheelside.finding import Finding, Weight
from wheelside.garage.change import Change
from wheelside.garage.model import Garage
from wheelside.identity.plan import IdentityPlan
from wheelside.sheet.after import after
from wheelside.sheet.before import before
from wheelside.sheet.context import Job
from wheelside.sheet.looks import looks
from wheelside.sheet.prove import aim, drive, prove
from wheelside.sheet.step import RunSheet, Step
from wheelside.sheet.swap import pressures, swap, take_off
from wheelside.sheet.teach import teach
from wheelside.sheet.write import bench, in_wheel, shop, written_wrongly

_PARTS = (before, bench, take_off, shop, in_wheel, swap, pressures, teach, drive, prove, after, written_wrongly)


def run_sheet(garage: Garage, plan: IdentityPlan, card: AirCard, change: Change) -> RunSheet:
    """The ordered steps of one change of wheels, each with the evidence that it wants.

    `card` is the air card of the coming set on the car.
    """
    going = garage.sets.get(change.going or "")
    job = Job(garage, plan, card, garage.cars[change.car], garage.sets[change.coming], going, change.day)
    steps: list[Step] = [step for part in _PARTS for step in part(job)]
    return RunSheet(
        car=change.car,
        coming=change.coming,
        going=change.going,
        stays_on=job.coming_is_on,
        day=change.day,
        aim=aim(job),
        steps=tuple(steps),
        findings=tuple(dict.fromkeys((*_said_before(job), *looks(job)))),
    )


def _said_before(job: Job) -> list[Finding]:
    """What plan and air card had to say and the person at the wheel must not miss: all but the notes."""
    return [f for f in (*job.plan.findings, *job.card.findings) if f.weight is not Weight.NOTE]
