"""Looking at who hears whom in a garage."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from wheelside.earshot.report import Earshot, earshot
from wheelside.garage.model import Garage
from wheelside.garage.present import line_now
from wheelside.garage.season import horizon_end
from wheelside.jobs.garagedesk import Where, load_garage
from wheelside.jobs.source import today
from wheelside.jobs.work.asking import wearing


@dataclass(frozen=True, slots=True)
class Overheard:
    """Who hears whom, and the garage it is about."""

    garage: Garage
    day: date
    earshot: Earshot


def earshot_of(where: Where, *, day: date | None = None, wears: tuple[tuple[str, str], ...] = ()) -> Overheard:
    """Who hears whom in a garage from `day` on (today where None). `wears`: what is on which car now. Raises Mendable, Outside."""
    on = day or today()
    garage = wearing(load_garage(where), on, wears)
    return Overheard(garage, on, earshot(garage, line_now(garage, on, horizon_end(garage, on)), on))
