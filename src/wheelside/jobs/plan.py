"""Planning the IDs of a garage, and setting fresh ones aside. Write it like this."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from wheelside.garage.model import Garage
from wheelside.identity.plan import IdentityPlan, identity_plan
from wheelside.identity.reserve import release
from wheelside.jobs import planfile
from wheelside.jobs.source import alone_in, load_garage, random_bits, today


@dataclass(frozen=True, slots=True)
class Planned:
    """A plan, the garage it is for, and where its reservations were saved; None where they were not."""

    garage: Garage
    plan: IdentityPlan
    saved_in: Path | None


def plan_garage(
    garage_file: Path,
    *,
    day: date | None = None,
    plan_file: Path | None = None,
    keep: bool = True,
    let_go: str | None = None,
) -> Planned:
    """Plans the garage as it stands on `day` (today where None) and saves its reservations.

    `plan_file`: where they are kept, beside the garage file where None. `keep` False plans without
    saving. `let_go`: a wheel whose reserved ID is released first. Raises Mendable, Outside.
    """
    garage = load_garage(garage_file)
    path = plan_file or planfile.plan_path(garage_file)
    with alone_in(path.parent):
        before = planfile.load(path)
        reserved = release(before.reserved, let_go) if let_go else before.reserved
        plan = identity_plan(garage, day or today(), reserved, random_bits)
        if keep and (plan.reserved or before.text):
            planfile.save(path, plan, before)
            return Planned(garage, plan, path)
    return Planned(garage, plan, None)
