"""What to try next: the test, or the cure, after which the way to a cure that is seen to work is expected to cost least.

found = choose(why_table(), CaseSeen({"lamp-at-start": {"flashes": 1.0}}), Owns())
found.first, found.ways[0].cost

What a way costs is minutes at the owner's worth of an hour, and money. Cures are tried in the order of chance by cost, each with the drive that shows
whether it worked, until it did or a workshop is cheaper; a test is worth what it saves of that. The look ahead is two tests deep.
Source: Heckerman, Breese, Rommelse 1995, Decision-theoretic troubleshooting (order of repairs by chance over cost, one test ahead). This differs:
two causes may be there at once, so a cure that worked may not be the last; two tests ahead; a workshop ends the way.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

from wheelside.why.belief import CaseSeen, WhyModel, left, likelihoods, rows_of, weights_before
from wheelside.why.table import WhyTable, WhyTest

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats: TypeAlias = NDArray[np.float64]
    Ints: TypeAlias = NDArray[np.int64]

WORKSHOP_MIN, WORKSHOP_MONEY = 120.0, 250.0
"""What it takes to have the cause found and cured by others, besides its parts. Judgement, as the cure of a receiver in the table, which is
found at a workshop only."""
SHOWN_MIN, SHOWN_MONEY = 30.0, 4.0
"""The drive that shows whether a cure worked. Judgement, as the table's."""
AHEAD = 2


@dataclass(frozen=True, slots=True)
class Owns:
    """What somebody's time is worth, in money an hour, and what they can't do: tests for which they have no tool, by code."""

    hour: float = 20.0
    without: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class WayOn:
    """A next step with what the whole way is expected to cost from here: a test's code, or '' for no further test. In money."""

    test: str
    cost: float


@dataclass(frozen=True, slots=True)
class NextBest:
    """All ways on, the cheapest first; `cures`: in which order they would be tried now, as far as that is cheaper than a workshop."""

    ways: tuple[WayOn, ...]
    cures: tuple[str, ...]

    @property
    def first(self) -> str:
        """The test to make next, '' for none."""
        return self.ways[0].test


def choose(
    table: WhyTable, seen: CaseSeen, owns: Owns | None = None, how: WhyModel | None = None, ahead: int = AHEAD
) -> NextBest:
    """What to try next. `ahead`: how many tests are looked ahead, 0 to 2. Raises KeyError as `believe` does."""
    return Lookout(table, seen, owns or Owns(), how or WhyModel()).best({}, ahead)


Told: TypeAlias = Mapping[str, str]
"""Outcomes by test, beyond what was seen already."""


class Lookout:
    """A case with what may come: the weights of all sets of causes after further outcomes, and what the way costs from there."""

    def __init__(self, table: WhyTable, seen: CaseSeen, owns: Owns, how: WhyModel) -> None:
        import numpy as np

        self.table, self.seen, self.owns, self.how = table, seen, owns, how
        self.sets, self.before = weights_before(table, seen, how)
        self.groups = table.groups
        self._held: dict[tuple[object, ...], Floats] = {}
        self._rows: dict[str, Floats] = {}
        codes = [c.code for c in table.causes]
        self.codes = np.array(codes)
        still = left(self.sets, seen.cured)
        self.member = np.array([[c in mine for c in codes] for mine in still], dtype=float)
        at = {c: n for n, c in enumerate(codes)}
        self.pair = np.array([[at[mine[0]], at[mine[-1]]] if mine else [-1, -1] for mine in still])
        self.cost = np.array([self.price(c.minutes + SHOWN_MIN, c.money + SHOWN_MONEY) for c in table.causes])
        parts = np.array([c.money if c.money < WORKSHOP_MONEY else 0.0 for c in table.causes])
        self.workshop: Floats = np.where(
            self.member.any(axis=1), self.price(WORKSHOP_MIN, WORKSHOP_MONEY) + self.member @ parts, 0.0
        )

    def best(self, told: Told, ahead: int = AHEAD) -> NextBest:
        """What to try next after some outcomes."""
        plain, cures = self.cures(self.weights(told))
        ways = [WayOn("", plain)]
        if ahead:
            ways += [WayOn(t.code, self.after(t, told, ahead)) for t in self.open(told)]
        return NextBest(tuple(sorted(ways, key=lambda w: w.cost)), cures)

    def price(self, minutes: float, money: float) -> float:
        """What minutes and money come to."""
        return minutes / 60 * self.owns.hour + money

    def open(self, told: Told) -> list[WhyTest]:
        """The tests that can still be made."""
        made = {*self.seen.outcomes, *told, *self.owns.without}
        return [t for t in self.table.tests if t.code not in made]

    def weights(self, told: Told) -> Floats:
        """The weights of all sets of causes after some outcomes: they sum to the chance of these, times one factor for the case."""
        weight = self.before
        for group in self.groups:
            weight = weight * self._likelihood(group, told)
        return weight

    def _likelihood(self, group: tuple[WhyTest, ...], told: Told) -> Floats:
        import numpy as np

        mine = tuple((t.code, told[t.code]) for t in group if t.code in told)
        key = (group[0].code, *mine)
        if key not in self._held:
            outcomes = {c: o for c, o in self.seen.outcomes.items() if any(t.code == c for t in group)}
            whole = CaseSeen({**outcomes, **{c: {o: 1.0} for c, o in mine}})
            self._held[key] = (
                likelihoods(group, whole, self.how, self._row) ** self.how.temper
                if whole.outcomes
                else np.ones(len(self.sets))
            )
        return self._held[key]

    def _row(self, test: WhyTest) -> Floats:
        if test.code not in self._rows:
            self._rows[test.code] = rows_of(test, self.sets, self.seen, self.how)
        return self._rows[test.code]

    def after(self, test: WhyTest, told: Told, ahead: int) -> float:
        """What the way is expected to cost with one test first, and up to `ahead` - 1 more where they save something."""
        import numpy as np

        outcomes: list[Told] = [{**told, test.code: o} for o in test.outcomes]
        weights = np.stack([self.weights(one) for one in outcomes])
        chance = weights.sum(axis=1)
        costs = self.costs(weights)
        if ahead > 1:
            for n, one in enumerate(outcomes):
                if chance[n] > 0:
                    costs[n] = min([costs[n], *self._one_more(one)])
        whole = float(chance.sum())
        return self.price(test.minutes, test.money) + (float(chance @ costs) / whole if whole > 0 else 0.0)

    def _one_more(self, told: Told) -> list[float]:
        """What the way costs with each further test, all at once."""
        import numpy as np

        tests = self.open(told)
        if not tests:
            return []
        weights: Floats = np.stack([self.weights({**told, t.code: o}) for t in tests for o in t.outcomes])
        chance, costs, found, at = weights.sum(axis=1), self.costs(weights), [], 0
        for t in tests:
            here = slice(at, at + len(t.outcomes))
            at = here.stop
            whole = float(chance[here].sum())
            found.append(self.price(t.minutes, t.money) + float(chance[here] @ costs[here]) / whole)
        return found

    def cures(self, weight: Floats) -> tuple[float, tuple[str, ...]]:
        """What the way costs without any further test, and the cures in their order, as far as they are cheaper than a workshop."""
        costs, order, stop = self._plain(weight[None, :])
        return float(costs[0]), tuple(self.codes[order[0, : stop[0]]].tolist())

    def costs(self, weights: Floats) -> Floats:
        """What the way costs without any further test, for several weights at once: (b,); nought where there is nothing to weigh."""
        return self._plain(weights)[0]

    def _plain(self, weights: Floats) -> tuple[Floats, Ints, Ints]:
        """The cost of the cheapest end to each order, (b,), the orders, (b, causes), and after how many cures a workshop is cheaper, (b,)."""
        import numpy as np

        whole = weights.sum(axis=1, keepdims=True)
        share = weights / np.where(whole > 0, whole, 1.0)
        order = np.argsort(-(share @ self.member) / self.cost, axis=1, kind="stable")
        n, b = len(self.cost), len(share)
        place = np.empty((b, n + 1), dtype=np.int64)
        np.put_along_axis(place[:, :n], order, np.arange(n)[None, :], axis=1)
        place[:, n] = -1  # where there is no cause, nothing is left from the start
        last = np.maximum(place[:, self.pair[:, 0]], place[:, self.pair[:, 1]])  # the cure with which a set is gone
        row = np.arange(b)[:, None] * (n + 1) + last + 1
        gone = np.bincount(row.ravel(), weights=share.ravel(), minlength=b * (n + 1)).reshape(b, n + 1)
        not_yet = 1.0 - np.cumsum(gone, axis=1)
        found = np.bincount(row.ravel(), weights=(share * self.workshop).ravel(), minlength=b * (n + 1)).reshape(
            b, n + 1
        )
        elsewhere = found.sum(axis=1, keepdims=True) - np.cumsum(found, axis=1)
        spent = np.concatenate(
            [np.zeros((len(share), 1)), np.cumsum(self.cost[order] * not_yet[:, :-1], axis=1)], axis=1
        )
        ends = spent + np.maximum(elsewhere, 0.0)
        stop = ends.argmin(axis=1)
        return np.where(whole[:, 0] > 0, ends.min(axis=1), 0.0), order, stop
