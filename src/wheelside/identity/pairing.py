"""Which wheels could carry one ID, for how long, and what that risks."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from itertools import combinations

from wheelside.garage.ids import proven_different
from wheelside.garage.joined import parts_on
from wheelside.garage.model import Garage
from wheelside.garage.season import Spell
from wheelside.identity.choice import Candidate, Member
from wheelside.identity.costs import Risk, Tariff, years_until
from wheelside.identity.roll import Key, Roll
from wheelside.sensor.ident import SensorId

Sides = tuple[tuple[int, ...], tuple[int, ...] | None]
"""Two sides of a pair, one candidate of each; the other is None where it is no choice: a wheel on a car of somebody else's."""
_Sets = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Pairing:
    """Two sets, or one, that have a pair where one candidate of each side of any of the pairs is chosen.

    `lasting`: the pairs by how long they last, the shortest first, with the risk of such a one; the greatest of those that there are counts.
    """

    sets: _Sets
    lasting: tuple[tuple[Risk, tuple[Sides, ...]], ...]


@dataclass(frozen=True, slots=True, order=True)
class _Carries:
    """A wheel (by its number) that carries an ID from a day until another, by the family of its sensor. No last day: to the end."""

    member: int
    voice: str
    since: date
    until: date


@dataclass(frozen=True)
class Pairings:
    """Finds the pairs that any plan could have; arguments as of `Meetings`."""

    garage: Garage
    roll: Roll
    members: tuple[Member, ...]
    candidates: tuple[Candidate, ...]
    of_member: tuple[tuple[int, ...], ...]
    line: tuple[Spell, ...]
    day: date
    tariff: Tariff

    def found(self) -> Iterator[Pairing]:
        """For each two sets in which wheels could carry one ID, how, in order of the sets."""
        out: dict[_Sets, dict[float, list[Sides]]] = defaultdict(lambda: defaultdict(list))
        theirs = self._theirs()
        for key, carried in sorted(self._carried().items()):
            for one, own in sorted(carried.items()):
                for name, family, leaves in theirs.get(key, ()):
                    if not proven_different(self.garage, one.voice, family):
                        a, b = sorted((self.members[one.member].set, name))
                        out[a, b][self._years(one.until, leaves)].append((tuple(own), None))
            for one, other in combinations(sorted(carried), 2):
                if self._together(one, other) and not proven_different(self.garage, one.voice, other.voice):
                    a, b = sorted((self.members[one.member].set, self.members[other.member].set))
                    years = self._years(one.until, other.until)
                    out[a, b][years].append((tuple(carried[one]), tuple(carried[other])))
        for sets, by_years in sorted(out.items()):
            risks = ((self.tariff.pair_risk(years), tuple(pairs)) for years, pairs in sorted(by_years.items()))
            yield Pairing(sets, tuple(risks))

    def _carried(self) -> dict[Key, dict[_Carries, list[int]]]:
        """For each ID the wheels that could surely carry it, with the candidates under which they do."""
        out: dict[Key, dict[_Carries, list[int]]] = defaultdict(lambda: defaultdict(list))
        for n, own in enumerate(self.of_member):
            left = self.garage.leaves_with(self.members[n].wheel)
            last = left.leaves if left is not None and left.leaves is not None else date.max
            for i in own:
                c = self.candidates[i]
                spans: list[tuple[tuple[SensorId, ...], date, date]] = [(c.carries, c.when or self.day, last)]
                if c.when is not None:
                    spans.append((c.until_then, self.day, c.when))
                for ids, since, until in spans:
                    if len(ids) == 1:
                        out[ids[0].key][_Carries(n, c.voice, since, until)].append(i)
        return out

    def _together(self, one: _Carries, other: _Carries) -> bool:
        """Whether two wheels carry it at one time."""
        return one.member != other.member and one.since < other.until and other.since < one.until

    def _years(self, *until: date) -> float:
        """The years, from today, until the first of some days."""
        first = min(until)
        return years_until(None if first == date.max else first, self.day, self.tariff.years)

    def _theirs(self) -> dict[Key, list[tuple[str, str, date]]]:
        """The IDs that wheels on cars of somebody else's are sure to carry, each with their set, the sensor's family, and their last day."""
        out: dict[Key, list[tuple[str, str, date]]] = defaultdict(list)
        for set_id, wheel in self.roll.wheels_of_theirs(self.line):
            sensor = parts_on(self.garage, wheel, self.day).sensor
            ids = self.roll.carried_by(sensor)
            if sensor is not None and len(ids) == 1:
                out[ids[0].key].append((set_id, sensor.family or "", self.garage.sets[set_id].leaves or date.max))
        return out
