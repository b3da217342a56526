"""Looking at who hears whom in a garage."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from wheelside.earshot.report import Earshot, earshot
from wheelside.garage.model import Garage
from wheelside.garage.season import horizon_end, spells
from wheelside.jobs.load import load_garage
from wheelside.jobs.source import today


@dataclass(frozen=True, slots=True)
class Heard:
    """Who hears whom, and the garage it is about."""

    garage: Garage
    day: date
    earshot: Earshot


def earshot_of(garage_file: Path, *, day: date | None = None) -> Heard:
    """Who hears whom in a garage from `day` on (today where None). Raises Mendable, Outside."""
    garage, on = load_garage(garage_file), day or today()
    return Heard(garage, on, earshot(garage, spells(garage, on, horizon_end(garage, on)), on))
