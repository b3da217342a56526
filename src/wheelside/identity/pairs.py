"""Wheels that carry one ID, the rule that keeps them apart, and that rule held against the season line."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import combinations
from typing import Protocol

from wheelside.finding import Basis, Finding, Ground, Weight
from wheelside.garage.ids import proven_different
from wheelside.garage.joined import parts_on
from wheelside.garage.model import Garage
from wheelside.garage.words import AtRest
from wheelside.identity.whereabouts import Ears, Lines, Stretch
from wheelside.sensor.ident import SensorId


class Carrying(Protocol):
    """A wheel and the ID that it is to carry, None where that is not known."""

    @property
    def wheel(self) -> str: ...

    @property
    def id(self) -> SensorId | None: ...


class Placed(Carrying, Protocol):
    """A wheel of a set, with its ID."""

    @property
    def set(self) -> str: ...


@dataclass(frozen=True, slots=True)
class PairMoment:
    """Where the two wheels of a pair are from a day on, in words."""

    day: date
    first: str
    other: str


@dataclass(frozen=True, slots=True)
class PairRule:
    """Two wheels that carry one ID, and what that asks: while one is on its car, the other may be at `allowed` places only.

    `line`: where both are from day to day along the season line; none of it breaks the rule.
    """

    wheels: tuple[str, str]
    id: SensorId
    cars: tuple[str, ...]
    allowed: tuple[str, ...]
    forbidden: tuple[str, ...]
    line: tuple[PairMoment, ...]


def share_an_id(garage: Garage, a: Carrying, b: Carrying) -> bool:
    """Whether two wheels carry one ID that a receiver could take from either."""
    if a.id is None or b.id is None or a.id.key != b.id.key:
        return False
    return not proven_different(garage, a.id.family, b.id.family)


def pair_rules(garage: Garage, lines: Lines, ears: Ears, wheels: Sequence[Placed]) -> Iterator[PairRule]:
    """For wheels that carry one ID under a plan, new clones and old ones alike: what keeps them apart."""
    alike: dict[tuple[int, int], list[Placed]] = defaultdict(list)
    for wheel in wheels:
        if wheel.id is not None:
            alike[wheel.id.key].append(wheel)
    for group in alike.values():
        for a, b in combinations(group, 2):
            if share_an_id(garage, a, b):
                yield _rule(garage, lines, ears, a, b)


def _rule(garage: Garage, lines: Lines, ears: Ears, a: Placed, b: Placed) -> PairRule:
    assert a.id is not None, "the two share an ID"
    both = [lines.of_wheel(w.set, w.wheel) for w in (a, b)]
    cars = tuple(sorted({s.spots[0].on for way in both for s in way if s.spots[0].on in ears.bit and s.spots[0].on}))
    mask = sum(ears.bit[car] for car in cars)
    heard = {p.id: any(ears.at_place(p.id, w.set, lines.day) & mask for w in (a, b)) for p in garage.place}
    return PairRule(
        wheels=(a.wheel, b.wheel),
        id=a.id,
        cars=cars,
        allowed=tuple(p for p, near in heard.items() if not near),
        forbidden=tuple(p for p, near in heard.items() if near),
        line=tuple(_moments(ears, both[0], both[1])),
    )


def _moments(ears: Ears, first: tuple[Stretch, ...], other: tuple[Stretch, ...]) -> Iterator[PairMoment]:
    """Each way in which the two are placed, on the first day of it."""
    told: set[tuple[str, str]] = set()
    for day in sorted({s.since for s in (*first, *other)}):
        here = [next((s for s in way if s.since <= day < s.until), None) for way in (first, other)]
        words = [ears.words(s.spots[0]) if s else "sold or scrapped" for s in here]
        if (words[0], words[1]) not in told:
            told.add((words[0], words[1]))
            yield PairMoment(day, words[0], words[1])


def pair_findings(garage: Garage, rules: Sequence[PairRule], day: date) -> Iterator[Finding]:
    """The pairs of each two sets as something to take care of: they must never meet."""
    sets = {wheel: s for s in garage.set for _, wheel in s.wheels}
    alike: dict[tuple[str, str, str], list[PairRule]] = defaultdict(list)
    for rule in rules:
        one, other = (sets[w].name for w in rule.wheels)
        alike[one, other, _where_it_may_be(garage, rule, day)].append(rule)
    for (one, other, where), own in alike.items():
        names = [" with ".join(garage.wheels[w].name for w in rule.wheels) for rule in own]
        text = f"{', '.join(names)}: each two carry one ID. They must never be within earshot of one car."
        way = f"{where}; before storing either elsewhere, selling or lending it, plan again"
        about = f"pairs of {one} and {other}" if one != other else f"pairs within {one}"
        yield Finding(Weight.WARNING, "clone-pair", about, text, (Basis(Ground.COMPUTED, "this plan"),), way)


def _where_it_may_be(garage: Garage, rule: PairRule, day: date) -> str:
    """The storage rule of a pair in words."""
    cars = " or ".join(garage.cars[car].name for car in rule.cars) or "a car"
    places = ", ".join(garage.places[p].name for p in rule.allowed) or "no place of this file"
    not_at = ", ".join(garage.places[p].name for p in rule.forbidden)
    sensors = [parts_on(garage, wheel, day).sensor for wheel in rule.wheels]
    still = all(s is not None and s.at_rest is AtRest.SILENT for s in sensors)
    rule_text = f"while one is on {cars}, keep the other at {places}{f' and never at {not_at}' if not_at else ''}"
    return f"{rule_text}{', for both are silent while they lie still' if still and not_at else ''}"
