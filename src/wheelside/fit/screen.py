"""Every rule over every pair: what fits, what each set needs, and how many seasons are left in it."""

from __future__ import annotations

import math
import os
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from wheelside.fit import tyre_state
from wheelside.fit.facts import Array
from wheelside.fit.match import Four, Match
from wheelside.fit.rule import Rule, SetRule
from wheelside.fit.rules import RULES
from wheelside.fit.scene import Scene
from wheelside.fit.verdict import GRADES, NO_MATTER, QUESTIONS, WITH_PART, Part, Verdict
from wheelside.tyre.age import seasons_by_age
from wheelside.tyre.wear import seasons_by_tread

PARTS = tuple(Part)
CARS_AT_ONCE = 4
"""So many cars are judged in one go: columns of ten thousand sets then stay in the processor's cache. Shares go to several threads; each
writes into rows of its own, so the result does not depend on them."""
Counts = npt.NDArray[np.uint8]
Grades = npt.NDArray[np.uint8]


@dataclass(frozen=True, slots=True)
class Screening:
    """What is so of every pair. Shapes: `grades` (questions, cars, sets), `parts` (parts, cars, sets), seasons (cars, sets)."""

    grades: Grades
    parts: Counts
    seasons_least: Array
    seasons_most: Array

    def verdict(self, car: int, wheel_set: int) -> Verdict:
        """The most serious verdict of one pair."""
        return GRADES[int(self.grades[:, car, wheel_set].max())]


def screen(s: Scene) -> Screening:
    """All pairs judged."""
    cars, sets = s.shape
    made = Screening(
        np.zeros((len(QUESTIONS), cars, sets), np.uint8),
        np.zeros((len(PARTS), cars, sets), np.uint8),
        np.zeros((cars, sets)),
        np.zeros((cars, sets)),
    )
    shares = [slice(start, start + CARS_AT_ONCE) for start in range(0, cars, CARS_AT_ONCE)]
    with ThreadPoolExecutor(max_workers=min(len(shares), os.cpu_count() or 1) or 1) as workers:
        list(workers.map(lambda chosen: _fill(s.of_cars(chosen), made, chosen), shares))
    return made


def grades_of(rule: Rule | SetRule, s: Scene) -> Grades:
    """One rule's grades by car, set and corner (one corner for a rule on the set as one); nothing where there is no wheel."""
    return _graded(rule, s, s.match(), s.four())


def _graded(rule: Rule | SetRule, s: Scene, match: Match[Array], four: Four[Array]) -> Grades:
    if isinstance(rule, SetRule):
        return np.broadcast_to(np.asarray(rule.judge(four), np.uint8), (*s.shape, 1))
    grades = np.broadcast_to(np.asarray(rule.judge(match), np.uint8), (*s.shape, s.wheels.there.shape[2]))
    return np.where(s.wheels.there == 1, grades, np.uint8(NO_MATTER))


def _fill(s: Scene, made: Screening, chosen: slice) -> None:
    match, four = s.match(), s.four()
    needed: dict[Part, npt.NDArray[np.bool_]] = {}
    for rule in RULES:
        grades = _graded(rule, s, match, four)
        row = made.grades[QUESTIONS.index(rule.question), chosen]
        np.maximum(row, grades.max(axis=-1), out=row)
        if rule.part is not None:
            wanted = grades == WITH_PART
            needed[rule.part] = needed[rule.part] | wanted if rule.part in needed else wanted
    for part, wanted in needed.items():
        many = wanted.sum(axis=-1, dtype=np.uint8)
        if part is Part.TURNING:
            many = np.where(many > 0, tyre_state.wrong_side(four)[..., 0], 0).astype(np.uint8)
        made.parts[PARTS.index(part), chosen] = many if part.of_a_wheel else many > 0
    _without_double_work(made.parts[:, chosen], needed)
    made.seasons_least[chosen], made.seasons_most[chosen] = seasons(s)


def _without_double_work(parts: Counts, needed: dict[Part, npt.NDArray[np.bool_]]) -> None:
    """A wheel that gets a sensor gets its valve with it, and needs none written anew."""
    for part in (Part.VALVE, Part.REWRITING):
        if part in needed and Part.SENSOR in needed:
            parts[PARTS.index(part)] = (needed[part] & ~needed[Part.SENSOR]).sum(axis=-1, dtype=np.uint8)


def seasons(s: Scene) -> tuple[Array, Array]:
    """Least and most seasons that are left in a set's tyres, by tread and by age; NaN where either is not known of any."""
    w = s.wheels
    by_tread = seasons_by_tread(w.tread, tyre_state.used_up_at(w), s.cars.season_km)
    by_age = seasons_by_age(w.age_least, w.age_most)
    least, most = (np.minimum(tread, age) for tread, age in zip(by_tread, by_age, strict=True))
    there = w.there == 1
    return np.where(there, least, np.inf).min(axis=-1), np.where(there, most, np.inf).min(axis=-1)


def counts_of(judged: Screening, car: int, wheel_set: int) -> dict[Part, int]:
    """How many of each part one pair needs."""
    return {part: int(judged.parts[n, car, wheel_set]) for n, part in enumerate(PARTS)}


def seasons_of(judged: Screening, car: int, wheel_set: int) -> tuple[float, float] | None:
    """The seasons left of one pair; None where they are not known."""
    least, most = float(judged.seasons_least[car, wheel_set]), float(judged.seasons_most[car, wheel_set])
    return (least, most) if math.isfinite(least) and math.isfinite(most) else None
