"""How likely each cause is, after what was seen: no cause, one, or two at once, all of them enumerated, so exactly.

found = believe(why_table(), CaseSeen({"lamp-at-start": {"flashes": 1.0}}, contexts=("sensors-old",)))
found.causes["battery"]

Causes are there or not, each by itself; a car whose lamp is looked at has one or two of them, seldom none. An outcome of two causes at once is
the worse one of what each would show, or that of either (`Combining`). Tests that look at one thing err together: of two such, one after the
other, half the time (judgement) the second one falls as high or low among its outcomes as the first did.
Source: any text on Bayesian networks; the worse of two is the noisy-max model.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from itertools import combinations
from typing import TYPE_CHECKING, TypeAlias

from wheelside.why.table import WhyTable, WhyTest

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats: TypeAlias = NDArray[np.float64]

SECOND = 0.3
"""The odds that a further cause is there beside a first one, for all causes together. Judgement."""
NOTHING = 0.02
"""How likely there is no cause at all, beside one cause. Judgement: lamps also light while the car starts."""
ALIKE = 0.5
"""How often tests of one group err together. Judgement."""


class Combining(StrEnum):
    """What two causes at once show."""

    WORSE = "worse"
    EITHER = "either"


@dataclass(frozen=True, slots=True)
class CaseSeen:
    """What is known of a case. `outcomes`: of each test that was made a weight for each outcome; one that is certain has 1, the others none.

    `contexts`: by code; `excluded`: causes that can't be, for a hard fact says so.
    """

    outcomes: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    contexts: tuple[str, ...] = ()
    excluded: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class WhyModel:
    """How beliefs are made; all of it judgement."""

    combining: Combining = Combining.WORSE
    second: float = SECOND
    nothing: float = NOTHING
    alike: float = ALIKE
    temper: float = 1.0
    floor: float = 0.0


@dataclass(frozen=True, slots=True)
class Belief:
    """The chances of all that may be: `causes` that each is there, alone or with another; `several` of each set of causes; they sum to 1."""

    causes: Mapping[str, float]
    several: Mapping[tuple[str, ...], float]

    @property
    def nothing(self) -> float:
        """The chance that there is no cause."""
        return self.several.get((), 0.0)

    @property
    def likeliest(self) -> str:
        """The likeliest cause; the first of the table where several are equally likely."""
        return max(self.causes, key=lambda c: self.causes[c])


def believe(table: WhyTable, seen: CaseSeen, how: WhyModel | None = None) -> Belief:
    """What is to be believed. Raises KeyError for a test, an outcome or a context that the table has not."""
    import numpy as np

    how = how or WhyModel()
    codes = tuple(c.code for c in table.causes)
    sets, weight = weights_before(table, seen, how)
    for group in table.groups:
        if any(t.code in seen.outcomes for t in group):
            weight = weight * likelihoods(group, sets, seen, how) ** how.temper
    total = float(weight.sum())
    chance = weight / total if total > 0 else np.zeros(len(weight))
    there = dict.fromkeys(codes, 0.0)
    for mine, p in zip(sets, chance.tolist(), strict=True):
        for c in mine:
            there[c] += p
    return Belief(there, dict(zip(sets, chance.tolist(), strict=True)))


def weights_before(table: WhyTable, seen: CaseSeen, how: WhyModel) -> tuple[tuple[tuple[str, ...], ...], Floats]:
    """All sets of causes that may be, none, one or two, and their weights (h,) before any test."""
    import numpy as np

    odds = {}
    for cause in table.causes:
        p = 0.0 if cause.code in seen.excluded else cause.prior
        for context in seen.contexts:
            p *= table.context(context).times.get(cause.code, 1.0)
        odds[cause.code] = p
    total = sum(odds.values())
    possible = [c for c, p in odds.items() if p > 0]
    sets: list[tuple[str, ...]] = [(), *((c,) for c in possible)]
    weights = [how.nothing, *(odds[c] / total for c in possible)]
    if how.second > 0:
        pairs = list(combinations(possible, 2))
        sets += pairs
        weights += [how.second * odds[a] * odds[b] / total**2 for a, b in pairs]
    return tuple(sets), np.array(weights)


def likelihoods(group: tuple[WhyTest, ...], sets: tuple[tuple[str, ...], ...], seen: CaseSeen, how: WhyModel) -> Floats:
    """How likely what was seen in tests that err together is, under each set of causes: (h,). Tests in between that were not made are left open."""
    import numpy as np

    made = [n for n, t in enumerate(group) if t.code in seen.outcomes]
    row = rows(group[0], sets, how)
    along = row * _weights(group[0], seen)
    for test in group[1 : made[-1] + 1]:
        after = rows(test, sets, how)
        along = np.einsum("ha,hab->hb", along, following(row, after, how.alike)) * _weights(test, seen)
        row = after
    found: Floats = along.sum(axis=1)
    return found


def _weights(test: WhyTest, seen: CaseSeen) -> Floats:
    import numpy as np

    told = seen.outcomes.get(test.code)
    if told is None:
        return np.ones(len(test.outcomes))
    if unknown := set(told) - set(test.outcomes):
        raise KeyError(f"{test.code} has no outcome {sorted(unknown)}")
    return np.array([told.get(o, 0.0) for o in test.outcomes])


def rows(test: WhyTest, sets: tuple[tuple[str, ...], ...], how: WhyModel) -> Floats:
    """The chances of a test's outcomes under each set of causes: (h, o)."""
    import numpy as np

    place = {c: n for n, c in enumerate(test.odds)}
    alone = np.vstack([np.maximum(np.array(list(test.odds.values())), how.floor), test.nothing])
    one, other = (alone[[place[mine[end]] if mine else len(place) for mine in sets]] for end in (0, -1))
    if how.combining is Combining.EITHER:
        either: Floats = (one + other) / 2
        return either
    worse = np.diff(np.cumsum(one, axis=1) * np.cumsum(other, axis=1), axis=1, prepend=0.0)
    found: Floats = np.where(np.array([len(mine) > 1 for mine in sets])[:, None], worse, one)
    return found


def following(first: Floats, second: Floats, alike: float) -> Floats:
    """The chances of a test's outcomes after one of the same group: (h, a, b) for rows (h, a) and (h, b), whose own chances stay what they are."""
    import numpy as np

    high_a, high_b = np.cumsum(first, axis=1), np.cumsum(second, axis=1)
    low_a, low_b = high_a - first, high_b - second
    shared = np.minimum(high_a[:, :, None], high_b[:, None, :]) - np.maximum(low_a[:, :, None], low_b[:, None, :])
    there = first[:, :, None] > 0
    together = np.where(there, np.maximum(shared, 0.0) / np.where(there, first[:, :, None], 1.0), second[:, None, :])
    found: Floats = (1 - alike) * second[:, None, :] + alike * together
    return found
