"""Wheels that carry one ID, the rule that keeps them apart, and that rule held against the season line."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import combinations
from typing import Protocol

from wheelside.finding import Basis, Finding, Ground, Way, WayKind, Weight
from wheelside.garage.ids import proven_different
from wheelside.garage.joined import parts_on
from wheelside.garage.model import Garage
from wheelside.garage.words import AtRest
from wheelside.identity.whereabouts import Ears, Lines, Stretch
from wheelside.said import Joined, Said, listed, say
from wheelside.sensor.ident import SensorId


class Carrying(Protocol):
    """A wheel and the ID that it is to carry, None where that is not known."""

    @property
    def wheel(self) -> str: ...

    @property
    def id(self) -> SensorId | None: ...


class Placed(Carrying, Protocol):
    """A wheel of a set as a plan has it: the ID that it carries, from a later day on or now, and the one until then."""

    @property
    def set(self) -> str: ...

    @property
    def refit(self) -> bool: ...

    @property
    def silent(self) -> bool: ...

    @property
    def when(self) -> date | None: ...

    @property
    def before(self) -> SensorId | None: ...


@dataclass(frozen=True, slots=True)
class PairMoment:
    """Where the two wheels of a pair are from a day on."""

    day: date
    first: Said
    other: Said


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
    sets: tuple[str, str] = ("", "")
    silent: bool = False


def share_an_id(garage: Garage, a: Carrying, b: Carrying) -> bool:
    """Whether two wheels carry one ID that a receiver could take from either."""
    if a.id is None or b.id is None or a.id.key != b.id.key:
        return False
    return not proven_different(garage, a.id.family, b.id.family)


def pair_rules(garage: Garage, lines: Lines, ears: Ears, wheels: Sequence[Placed]) -> Iterator[PairRule]:
    """For wheels that carry one ID under a plan at one time, new clones and old ones alike: what keeps them apart."""
    alike: dict[tuple[int, int], list[_Phase]] = defaultdict(list)
    for phase in (phase for w in wheels for phase in _phases(garage, lines.day, w)):
        alike[phase.id.key].append(phase)
    for group in alike.values():
        for a, b in combinations(group, 2):
            together = a.since < b.until and b.since < a.until
            if a.wheel != b.wheel and together and share_an_id(garage, a, b):
                yield _rule(lines, ears, garage, a, b)


@dataclass(frozen=True, slots=True)
class _Phase:
    """A wheel that carries an ID from a day until another; `silent`: while it lies still it sends nothing."""

    wheel: str
    set: str
    id: SensorId
    silent: bool
    since: date
    until: date


def _phases(garage: Garage, day: date, w: Placed) -> Iterator[_Phase]:
    sensor = parts_on(garage, w.wheel, day).sensor
    silent = w.silent or (not w.refit and sensor is not None and sensor.at_rest is AtRest.SILENT)
    if w.when is not None and w.before is not None:
        yield _Phase(w.wheel, w.set, w.before, silent, day, w.when)
    if w.id is not None:
        yield _Phase(w.wheel, w.set, w.id, silent, w.when or day, date.max)


def _rule(lines: Lines, ears: Ears, garage: Garage, a: _Phase, b: _Phase) -> PairRule:
    since, until = max(a.since, b.since), min(a.until, b.until)
    both = [
        tuple(
            replace(s, since=max(s.since, since), until=min(s.until, until))
            for s in lines.of_wheel(w.wheel)
            if s.since < until and since < s.until
        )
        for w in (a, b)
    ]
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
        sets=(a.set, b.set),
        silent=a.silent and b.silent,
    )


def _moments(ears: Ears, first: tuple[Stretch, ...], other: tuple[Stretch, ...]) -> Iterator[PairMoment]:
    """Each way in which the two are placed, on the first day of it."""
    told: set[tuple[Said, Said]] = set()
    for day in sorted({s.since for s in (*first, *other)}):
        here = [next((s for s in way if s.since <= day < s.until), None) for way in (first, other)]
        said = [ears.words(s.spots[0]) if s else say("sold or scrapped") for s in here]
        if (said[0], said[1]) not in told:
            told.add((said[0], said[1]))
            yield PairMoment(day, said[0], said[1])


def pair_findings(garage: Garage, rules: Sequence[PairRule], day: date) -> Iterator[Finding]:
    """The pairs of each two sets as something to take care of: they must never meet."""
    alike: dict[tuple[str, str, Said], list[PairRule]] = defaultdict(list)
    for rule in rules:
        one, other = (garage.sets[name].name for name in rule.sets)
        alike[one, other, _where_it_may_be(garage, rule, day)].append(rule)
    for (one, other, where), own in alike.items():
        each = [say("{one} with {other}", **_two(garage, rule)) for rule in own]
        text = say(
            "{pairs}: each two carry one ID. They must never be within earshot of one car, except while wheels are changed.",
            pairs=listed(each, Joined.COMMA),
        )
        way = Way(
            WayKind.STORE, say("{rule}; before storing either elsewhere, selling or lending it, plan again", rule=where)
        )
        about = say("pairs of {one} and {other}", one=one, other=other)
        if one == other:
            about = say("pairs within {set}", set=one)
        yield Finding(Weight.WARNING, "clone-pair", about, text, (Basis(Ground.COMPUTED, "this plan"),), way)


def _two(garage: Garage, rule: PairRule) -> dict[str, str]:
    one, other = (garage.wheels[w].name for w in rule.wheels)
    return {"one": one, "other": other}


def _where_it_may_be(garage: Garage, rule: PairRule, day: date) -> Said:
    """The storage rule of a pair."""
    cars = listed((garage.cars[car].name for car in rule.cars), Joined.OR) if rule.cars else say("a car")
    places: object = say("no place of this file")
    if rule.allowed:
        places = listed((garage.places[p].name for p in rule.allowed), Joined.COMMA)
    told = say("while one is on {cars}, keep the other at {places}", cars=cars, places=places)
    if not rule.forbidden:
        return told
    stand = {garage.cars[car].stands_at for car in rule.cars}
    change = [garage.places[p].name for p in rule.forbidden if p in stand]
    never = [garage.places[p].name for p in rule.forbidden if p not in stand]
    if change:
        told = say("{rule}, and at {places} only while wheels are changed", rule=told, places=listed(change, Joined.OR))
    if never:
        told = say("{rule} and never at {places}", rule=told, places=listed(never, Joined.COMMA))
    sensors = [parts_on(garage, wheel, day).sensor for wheel in rule.wheels]
    still = all(s is not None and s.at_rest is AtRest.SILENT for s in sensors)
    return say("{rule}, for both are silent while they lie still", rule=told) if still else told
