"""How likely each cause is, after what was seen: no cause, one, or two at once, all of them enumerated, so exactly.

found = believe(why_table(), CaseSeen({"lamp-at-start": {"flashes": 1.0}}, contexts=("sensors-old",)))
found.causes["battery"]

Causes are there or not, each by itself; a car whose lamp is looked at has one or two of them, seldom none. An outcome of two causes at once is
the worse one of what each would show, or that of either (`Combining`). Tests that look at one thing err together: of two such, one after the
other, half the time (judgement) the second one falls as high or low among its outcomes as the first did.
Source: any text on Bayesian networks; the worse of two is the noisy-max model.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
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

    `contexts`: by code; `excluded`: causes that can't be, for a hard fact says so. `cured`: causes that were cured, in order, though the lamp
    was not right after the drive that followed; `later`: of a test that was made after some of these cures, after how many.
    """

    outcomes: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    contexts: tuple[str, ...] = ()
    excluded: tuple[str, ...] = ()
    cured: tuple[str, ...] = ()
    later: Mapping[str, int] = field(default_factory=dict)

    def cured_before(self, test: str) -> tuple[str, ...]:
        """What was cured when a test was made; all that was, for one that is still to be made."""
        return self.cured[: self.later.get(test, 0)] if test in self.outcomes else self.cured


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
    """The chances of all that may be: `causes` that each is there, alone or with another; `several` of each set of causes; they sum to 1.

    What was cured is there no more.
    """

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
            weight = weight * likelihoods(group, seen, how, lambda t: rows_of(t, sets, seen, how)) ** how.temper
    total = float(weight.sum())
    chance = weight / total if total > 0 else np.zeros(len(weight))
    there, several = dict.fromkeys(codes, 0.0), dict[tuple[str, ...], float]()
    for mine, p in zip(left(sets, seen.cured), chance.tolist(), strict=True):
        several[mine] = several.get(mine, 0.0) + p
        for c in mine:
            there[c] += p
    return Belief(there, several)


def left(sets: tuple[tuple[str, ...], ...], cured: tuple[str, ...]) -> tuple[tuple[str, ...], ...]:
    """What is left of each set of causes after some cures."""
    return tuple(tuple(c for c in mine if c not in cured) for mine in sets) if cured else sets


def weights_before(table: WhyTable, seen: CaseSeen, how: WhyModel) -> tuple[tuple[tuple[str, ...], ...], Floats]:
    """All sets of causes that may be, none, one or two, and their weights (h,) before any test; cures that did not help leave none that they
    would have cured.
    """
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
    found: Floats = np.array(weights)
    if seen.cured:
        found = found * np.array([bool(mine) for mine in left(tuple(sets), seen.cured)])
    return tuple(sets), found


def likelihoods(
    group: tuple[WhyTest, ...], seen: CaseSeen, how: WhyModel, row_of: Callable[[WhyTest], Floats]
) -> Floats:
    """How likely what was seen in tests that err together is, under each set of causes: (h,). Tests in between that were not made are left open.

    `row_of`: the rows of a test, as `rows` has them.
    """
    import numpy as np

    made = [n for n, t in enumerate(group) if t.code in seen.outcomes]
    row = row_of(group[0])
    along = row * _weights(group[0], seen)
    for test in group[1 : made[-1] + 1]:
        after = row_of(test)
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


def rows_of(test: WhyTest, sets: tuple[tuple[str, ...], ...], seen: CaseSeen, how: WhyModel) -> Floats:
    """The rows of a test of a case: what was cured before it is no longer seen in it."""
    return rows(test, left(sets, seen.cured_before(test.code)), how)


def rows(test: WhyTest, sets: tuple[tuple[str, ...], ...], how: WhyModel) -> Floats:
    """The chances of a test's outcomes under each set of causes: (h, o)."""
    import numpy as np

    at = {c: n for n, c in enumerate(test.odds)}
    odds = np.maximum(np.array([test.odds[c] for c in at]), how.floor)
    first, last = (np.array([at[mine[end]] if mine else -1 for mine in sets]) for end in (0, -1))
    if how.combining is Combining.EITHER:
        both = (odds[first] + odds[last]) / 2
    else:
        high = np.cumsum(odds, axis=1)
        both = np.diff(high[first] * high[last], axis=1, prepend=0.0)
    found: Floats = np.where((first == last)[:, None], odds[first], both)
    found[first < 0] = test.nothing
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
