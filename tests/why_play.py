"""Cases of a lit lamp, drawn from a table of odds and played to a cure that is seen to work, with one or another way to choose what is tried next.

Every way begins with what the lamp does. It ends with cures, each with the drive that shows whether it worked: in their best order until a
workshop is cheaper (`best_end`), or as somebody does who goes by a list, the likeliest first until the lamp is right (`list_end`). `optimum` is
the least that any way can cost: dynamic programming over everything that can be told.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

import numpy as np

from wheelside.why.belief import CaseSeen, WhyModel, following, rows, weights_before
from wheelside.why.choose import WORKSHOP_MIN, WORKSHOP_MONEY, Lookout, Owns, Told
from wheelside.why.table import WhyTable, WhyTest

LAMP, GAUGE = "lamp-at-start", "gauge"
FIXED = (
    "last-work", "pattern", "sensor-age", "colder", "gauge", "dash", "codes", "wake", "read-ids", "soap", "hold", "car-list", "valves",
    "corner-test", "spare-look", "label", "drive", "listen-home", "unplug", "others-away", "other-set",
)  # fmt: skip
"""The fixed order of facts/trade.md C5, what it does not name put between by cost; judgement."""
ON_PRESSURE = ("soap", "hold")
SURE_ENOUGH, MOST_TESTS = 0.9, 12
"""Where fixed orders stop, facts/trade.md C5."""
Choosing = Callable[[Lookout, Told], str]


@dataclass(frozen=True)
class DrawnCase:
    """The causes that are there, and what every test would show."""

    causes: tuple[str, ...]
    outcomes: Mapping[str, str]

    @property
    def behaviour(self) -> str:
        return self.outcomes[LAMP]


@dataclass(frozen=True)
class PlayedCase:
    """What a case came to, in money: its tests, and all of it with either end; and how many tests there were."""

    tests: float
    best_end: float
    list_end: float
    made: int


class LampWorld:
    """Where cases come from."""

    def __init__(self, table: WhyTable, how: WhyModel | None = None) -> None:
        self.table, how = table, how or WhyModel()
        self.sets, weight = weights_before(table, CaseSeen(), how)
        self.share = weight / weight.sum()
        self.rows = {t.code: rows(t, self.sets, how) for t in table.tests}
        self.after = {
            b.code: following(self.rows[a.code], self.rows[b.code], how.alike)
            for group in table.groups for a, b in pairwise(group)
        }  # fmt: skip

    def draw(self, rng: np.random.Generator, causes: tuple[str, ...] | None = None) -> DrawnCase:
        """A case; with these causes, where they are named."""
        h = int(rng.choice(len(self.sets), p=self.share)) if causes is None else self.sets.index(causes)
        outcomes: dict[str, str] = {}
        for group in self.table.groups:
            before = -1
            for test in group:
                chances = self.rows[test.code][h] if before < 0 else self.after[test.code][h, before]
                before = int(rng.choice(len(chances), p=np.maximum(chances, 0) / np.maximum(chances, 0).sum()))
                outcomes[test.code] = test.outcomes[before]
        return DrawnCase(self.sets[h], outcomes)


def misjudged(table: WhyTable, factor: float, seed: int) -> WhyTable:
    """The table with every figure off by a factor between 1/`factor` and `factor`, each row summing to 1 again."""
    rng = np.random.default_rng(seed)

    def off(row: tuple[float, ...]) -> tuple[float, ...]:
        wrong = np.array(row) * factor ** rng.uniform(-1, 1, len(row))
        return tuple((wrong / wrong.sum()).tolist())

    causes = tuple(replace(c, prior=c.prior * factor ** float(rng.uniform(-1, 1))) for c in table.causes)
    tests = tuple(replace(t, odds={c: off(r) for c, r in t.odds.items()}, nothing=off(t.nothing)) for t in table.tests)
    return replace(table, causes=causes, tests=tests)


def lookout(table: WhyTable, how: WhyModel | None = None) -> Lookout:
    """What is believed by a table, before anything is known."""
    return Lookout(table, CaseSeen(), Owns(), how or WhyModel())


def ours(at: Lookout, told: Told) -> str:
    """Safety first, then the least expected cost."""
    return GAUGE if GAUGE not in told else at.best(told).first


def fixed_order(at: Lookout, told: Told) -> str:
    """The fixed order, to the end of its patience; what is for leaks alone only where a pressure was low."""
    if _sure(at, told):
        return ""
    low = told.get(GAUGE, "") != at.table.test(GAUGE).outcomes[0]
    return next((c for c in FIXED if c not in told and (low or c not in ON_PRESSURE)), "")


def most_information(at: Lookout, told: Told) -> str:
    """Safety first, then the test that is expected to leave the least doubt about the causes, whatever it costs."""
    if GAUGE not in told:
        return GAUGE
    return "" if _sure(at, told) else max(at.open(told), key=lambda t: -_doubt_after(at, told, t)).code


def most_a_minute(at: Lookout, told: Told) -> str:
    """The same for each minute."""
    if GAUGE not in told:
        return GAUGE
    if _sure(at, told):
        return ""
    now = _doubt(at.weights(told)[None, :])[0]
    return max(at.open(told), key=lambda t: (now - _doubt_after(at, told, t)) / t.minutes).code


def _sure(at: Lookout, told: Told) -> bool:
    weight = at.weights(told)
    return (
        len(told) >= MOST_TESTS
        or not at.open(told)
        or float(((weight / weight.sum()) @ at.member).max()) >= SURE_ENOUGH
    )


def _doubt(weights: Any) -> Any:
    """The entropy of each row, in bits."""
    share = weights / np.maximum(weights.sum(axis=1, keepdims=True), 1e-300)
    return -(share * np.log2(np.maximum(share, 1e-300))).sum(axis=1)


def _doubt_after(at: Lookout, told: Told, test: WhyTest) -> float:
    weights = np.stack([at.weights({**told, test.code: o}) for o in test.outcomes])
    chance = weights.sum(axis=1)
    return float(chance @ _doubt(weights) / chance.sum())


def workshop_for(at: Lookout, causes: tuple[str, ...]) -> float:
    """What a workshop costs with these causes left: it has to find them, and their parts are paid for there, too."""
    if not causes:
        return 0.0
    parts = [at.table.cause(c).money for c in causes]
    return float(at.price(WORKSHOP_MIN, WORKSHOP_MONEY) + sum(money for money in parts if money < WORKSHOP_MONEY))


class Playing:
    """One way of choosing by what is believed; what it chose is remembered."""

    def __init__(self, at: Lookout, choosing: Choosing) -> None:
        self.at, self.choosing = at, choosing
        self._chosen: dict[frozenset[tuple[str, str]], str] = {}

    def next(self, told: Told) -> str:
        key = frozenset(told.items())
        if key not in self._chosen:
            self._chosen[key] = self.choosing(self.at, told)
        return self._chosen[key]

    def play(self, case: DrawnCase) -> PlayedCase:
        """One case to its end."""
        told, cost = {LAMP: case.behaviour}, self._price(LAMP)
        while test := self.next(told):
            cost += self._price(test)
            told[test] = case.outcomes[test]
        weight = self.at.weights(told)
        best = self._cured(self.at.cures(weight)[1], case)
        listed = self._cured(self.at.codes[np.argsort(-(weight @ self.at.member), kind="stable")].tolist(), case)
        return PlayedCase(cost, cost + best, cost + listed, len(told))

    def _cured(self, cures: Sequence[str], case: DrawnCase) -> float:
        """What cures in an order cost until all causes are gone, or a workshop has to find what they left."""
        left, cost = set(case.causes), 0.0
        prices = dict(zip(self.at.codes.tolist(), self.at.cost.tolist(), strict=True))
        for cure in cures:
            cost += prices[cure] if left else 0.0
            left.discard(cure)
        return cost + workshop_for(self.at, tuple(left))

    def expected(self, told: Told) -> float:
        """What the way is expected to cost from here, all that can be told written out."""
        weight, test = self.at.weights(told), self.next(told)
        if not test:
            return self.at.cures(weight)[0]
        whole, cost = float(weight.sum()), self._price(test)
        for o in self.at.table.test(test).outcomes:
            chance = float(self.at.weights({**told, test: o}).sum()) / whole
            cost += chance * self.expected({**told, test: o}) if chance > 0 else 0.0
        return cost

    def _price(self, code: str) -> float:
        test = self.at.table.test(code)
        return self.at.price(test.minutes, test.money)


class Replanning:
    """This program's way as it is gone: after each cure that did not help it is chosen anew, tests that are still open among it.

    What is tested after a cure shows what is left; it is drawn anew.
    """

    def __init__(self, table: WhyTable, world: LampWorld) -> None:
        self.table, self.world, self.at = table, world, lookout(table)
        self._known: dict[object, tuple[str, str]] = {}

    def play(self, case: DrawnCase, rng: np.random.Generator) -> float:
        """What one case costs to its end, in money."""
        prices = dict(zip(self.at.codes.tolist(), self.at.cost.tolist(), strict=True))
        told, later, cured, now = {LAMP: case.behaviour}, dict[str, int](), list[str](), case
        cost: float = self._price(LAMP)
        while True:
            kind, code = self._next(told, later, tuple(cured))
            if kind == "test":
                cost, told[code] = cost + self._price(code), now.outcomes[code]
                later |= {code: len(cured)} if cured else {}
                continue
            if kind == "workshop" or not now.causes:
                return cost + workshop_for(self.at, now.causes)
            cost += prices[code]
            cured.append(code)
            still = tuple(c for c in now.causes if c != code)
            if not still:
                return cost
            now = self.world.draw(rng, still)

    def _next(self, told: dict[str, str], later: dict[str, int], cured: tuple[str, ...]) -> tuple[str, str]:
        key = (frozenset(told.items()), frozenset(later.items()), cured)
        if key not in self._known:
            seen = CaseSeen({c: {o: 1.0} for c, o in told.items()}, cured=cured, later=dict(later))
            best = Lookout(self.table, seen, Owns(), WhyModel()).best({})
            step = ("test", best.first) if best.first else ("cure", best.cures[0]) if best.cures else ("workshop", "")
            self._known[key] = step if GAUGE in told else ("test", GAUGE)
        return self._known[key]

    def _price(self, code: str) -> float:
        test = self.table.test(code)
        return float(self.at.price(test.minutes, test.money))


def sub_model(table: WhyTable, seed: int, most: int = 150_000) -> WhyTable:
    """Eight causes and up to eight tests of a table, drawn at random; no more states than `most`."""
    rng = np.random.default_rng(seed)
    causes = {table.causes[int(n)].code for n in rng.choice(len(table.causes), 8, replace=False)}
    drawn = [table.tests[int(n)] for n in rng.choice(len(table.tests), 8, replace=False)]
    while np.prod([len(t.outcomes) + 1 for t in drawn]) > most:
        drawn.pop()
    codes = {t.code for t in drawn}
    return WhyTable(
        tuple(c for c in table.causes if c.code in causes),
        tuple(replace(t, odds={c: r for c, r in t.odds.items() if c in causes}) for t in table.tests if t.code in codes),
        (), tuple(mine for group in table.together if len(mine := tuple(c for c in group if c in codes)) > 1),
    )  # fmt: skip


def optimum(at: Lookout) -> float:
    """The least expected cost of any way to choose, by dynamic programming over all that can be told; written without `best` and `after`."""
    tests = [t for group in at.groups for t in group]
    sizes = [len(t.outcomes) + 1 for t in tests]
    weight = at.before[None, :]
    for group in at.groups:
        shape = tuple(len(t.outcomes) + 1 for t in group)
        mine = np.stack([at._likelihood(group, _told(group, digits)) for digits in np.ndindex(*shape)])
        weight = (weight[:, None, :] * mine[None, :, :]).reshape(-1, weight.shape[1])
    chance = weight.sum(axis=1)
    value = np.concatenate([at.costs(part) for part in np.array_split(weight, max(1, len(weight) // 4096))])
    digits, strides = np.unravel_index(np.arange(len(value)), sizes), np.cumprod([1, *sizes[:0:-1]])[::-1]
    made = sum((d > 0).astype(int) for d in digits)
    for level in range(len(tests) - 1, -1, -1):
        for test, digit, stride in zip(tests, digits, strides, strict=True):
            here = np.flatnonzero((made == level) & (digit == 0) & (chance > 0))
            after = sum(
                chance[here + stride * (o + 1)] * value[here + stride * (o + 1)] for o in range(len(test.outcomes))
            )
            value[here] = np.minimum(value[here], at.price(test.minutes, test.money) + after / chance[here])
    return float(value[0])


def _told(group: tuple[WhyTest, ...], digits: tuple[int, ...]) -> Told:
    return {t.code: t.outcomes[d - 1] for t, d in zip(group, digits, strict=True) if d}
