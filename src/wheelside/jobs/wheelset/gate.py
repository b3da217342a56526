"""Checking a set at the gate of a store or a workshop."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from wheelside.errors import BadRequest
from wheelside.garage.model import Garage
from wheelside.identity.gate import GateCheck, gate_check
from wheelside.jobs.garagedesk import Where, load_garage
from wheelside.jobs.source import today
from wheelside.jobs.work.asking import wearing


@dataclass(frozen=True, slots=True)
class Gated:
    """A gate check, with the garage and the day it is for."""

    garage: Garage
    day: date
    check: GateCheck


def check_at_gate(
    where: Where, wheel_set: str, texts: Sequence[str], *, day: date | None = None,
    wears: tuple[tuple[str, str], ...] = (),
) -> Gated:  # fmt: skip
    """Compares the IDs read off a set with what is written down. `wears`: what is on which car now. Raises Mendable, Outside."""
    on = day or today()
    garage = wearing(load_garage(where), on, wears)
    if wheel_set not in garage.sets:
        known = ", ".join(sorted(garage.sets)[:40]) or "none"
        raise BadRequest(f"no set '{wheel_set}' in the file: it has {known}", found=wheel_set, expected=known)
    return Gated(garage, on, gate_check(garage, wheel_set, texts, on))
