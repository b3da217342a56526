"""Planning with a second reading of every rule."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date

from wheelside.garage.model import Garage
from wheelside.garage.offers import without_offers
from wheelside.identity.audit import audit
from wheelside.identity.plan import IdentityPlan, Reasons, identity_plan
from wheelside.identity.reserve import Reservation
from wheelside.jobs.source import random_bits
from wheelside.sensor.fresh import RandomBits


def audited(
    garage: Garage,
    day: date,
    reserved: tuple[Reservation, ...],
    reasons_for: Collection[str] = (),
    bits: RandomBits = random_bits,
    *,
    reasons: Reasons = Reasons.WHY,
) -> IdentityPlan:
    """A plan that keeps every rule by a second reading of them; one that does not is a bug. Sets on offer are left out."""
    garage = without_offers(garage)
    plan = identity_plan(garage, day, reserved, bits, reasons_for, reasons=reasons)
    breaches = audit(garage, plan)
    if breaches:
        first = breaches[0]
        raise RuntimeError(f"the plan breaks its own rule '{first.rule}' at {first.about}: {first.text}")
    return plan
