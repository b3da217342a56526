"""Sets side by side for one car: what fits, what each still needs, and what a season with it costs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
import numpy.typing as npt

from wheelside.fit.facts import Array
from wheelside.fit.price import Bill, bill, totals
from wheelside.fit.scene import scene
from wheelside.fit.screen import Screening, counts_of, screen, seasons_of
from wheelside.fit.verdict import GRADES, QUESTIONS, Question, Verdict
from wheelside.garage.model import Car, Garage, WheelSet

MOST_SHOWN = 12


@dataclass(frozen=True, slots=True)
class Candidate:
    """One set for one car, as far as a comparison goes."""

    car: str
    set: str
    verdict: Verdict
    verdicts: tuple[tuple[Question, Verdict], ...]
    bill: Bill


@dataclass(frozen=True, slots=True)
class Ranking:
    """The sets for one car, the best first, and how many more there are that are not shown."""

    car: str
    candidates: tuple[Candidate, ...]
    more: int


def compare(
    garage: Garage,
    cars: Sequence[Car],
    sets: Sequence[WheelSet],
    day: date,
    present: Mapping[str, str],
    most: int = MOST_SHOWN,
) -> tuple[Ranking, ...]:
    """For each car the sets in order: the better verdict first, then the cheaper season, then by name."""
    judged = screen(scene(garage, cars, sets, present, day))
    order = ranked(judged, totals(garage, sets, judged.parts), [one.id for one in sets])
    return tuple(
        Ranking(
            car.id,
            tuple(_candidate(garage, car, sets[s], judged, c, int(s)) for s in order[c, :most]),
            max(0, len(sets) - most),
        )
        for c, car in enumerate(cars)
    )


def ranked(judged: Screening, total: Array, names: Sequence[str]) -> npt.NDArray[np.intp]:
    """For each car the sets' numbers, the best first; what has no price, or no known season, after what has; equal ones by name."""
    middle = (judged.seasons_least + judged.seasons_most) / 2
    each = np.divide(total, middle, out=np.full_like(total, np.inf), where=middle > 0)
    each = np.where(np.isnan(each), np.inf, each)
    place = np.empty(len(names), np.intp)
    place[sorted(range(len(names)), key=names.__getitem__)] = np.arange(len(names))
    return np.lexsort((np.broadcast_to(place, each.shape), each, judged.grades.max(axis=0)), axis=-1)


def _candidate(garage: Garage, car: Car, wheel_set: WheelSet, judged: Screening, c: int, s: int) -> Candidate:
    return Candidate(
        car.id,
        wheel_set.id,
        judged.verdict(c, s),
        tuple((question, GRADES[int(judged.grades[n, c, s])]) for n, question in enumerate(QUESTIONS)),
        bill(garage, wheel_set, counts_of(judged, c, s), seasons_of(judged, c, s)),
    )
