"""Air that somebody let in without saying so, and figures that can't be: found in the amounts, told, never taken for a leak's end."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from wheelside.watch.line import whitened
from wheelside.watch.prior import NORMAL_MOST

if TYPE_CHECKING:
    from wheelside.watch.columns import Floats, Gaugings, Ints

LEAST_KPA = 7.0
"""A rise of less is not asked about. Judgement."""
TIMES, TIMES_ASKED, TIMES_CAREFUL = 3.3, 4.5, 2.2
"""How many standard deviations a rise has to be until nothing is taken of what the amount was before, and until it is asked about;
and until it could be one at all. Judgement."""
STRAY_TIMES = 4.5
ALONE_KPA = 40.0
"""How far a figure is trusted that neither the one before nor the one after bears out: next to nothing."""
BESIDE = 4
"""So many readings on each side of a rise are looked at."""
SLOPE, SLOPE_SD = 4.0, 25.0
"""What a tyre may lose meanwhile, kPa a month: next to nothing is taken of it."""
LONG_MONTHS = 1.0
SLOW, SLOW_SD = 1.0, 0.3
LEAST_LONG_KPA = 4.0
"""After so long the least that was let in counts, too: no tyre gains air, so what has risen a little was filled, whatever it lost. Judgement."""
LOOKED_AT_KPA = 5.0
RISE_PRECISION = 1e-6
"""Of a rise next to nothing is taken beforehand, either."""


@dataclass(frozen=True, slots=True)
class Suspected:
    """Air that seems to have been let in: the wheel, the row of the first reading after it, and how much. `sure`: so much that it is asked."""

    wheel: int
    after: int
    kpa: float
    sure: bool


def levelled(g: Gaugings, times: float = TIMES) -> tuple[Gaugings, tuple[Suspected, ...]]:
    """The amounts with a new level after each rise that no error explains, and the rises. `g.kpa` is (n,).

    `times`: of how many standard deviations such a rise is. A figure that the next one takes back is nearly left out.
    """
    import numpy as np

    g = without_strays(g)
    found: list[Suspected] = []
    tested = {gap: _tested(g, gap) for gap in _gaps(g)}
    while tested:
        gap, (likely, kpa, wheels) = max(tested.items(), key=lambda one: one[1][0])
        if likely <= times:
            break
        level = g.level.copy()
        for w, row in gap:
            if w in wheels:
                later = (g.wheel == w) & (g.month >= g.month[row]) & (level == level[row])
                level[later] = level.max() + 1
                found.append(Suspected(w, row, kpa, likely > TIMES_ASKED))
        g = replace(g, level=np.unique(level, return_inverse=True)[1])
        near = [one for one in tested if abs(one[0][1] - gap[0][1]) <= 2 * BESIDE * len(gap)]
        tested.update({one: _tested(g, one) for one in near if one != gap})
        del tested[gap]
        others = tuple((w, row) for w, row in gap if w not in wheels)
        if others:
            tested[others] = _tested(g, others)
    return g, tuple(sorted(found, key=lambda s: s.after))


def apart(g: Gaugings) -> Gaugings:
    """The amounts with a new level after each long time without a reading in which a tyre lost no more than sound ones do: perhaps filled."""
    import numpy as np

    level = g.level.copy()
    for w in range(g.wheels):
        rows = np.flatnonzero(g.wheel == w)
        for a, b in pairwise(rows[np.argsort(g.month[rows], kind="stable")].tolist()):
            long = float(g.month[b] - g.month[a])
            if level[a] == level[b] and long > LONG_MONTHS and g.kpa[a] - g.kpa[b] < NORMAL_MOST * long:
                level[(g.wheel == w) & (g.month >= g.month[b]) & (level == level[b])] = level.max() + 1
    return replace(g, level=np.unique(level, return_inverse=True)[1])


Gap = tuple[tuple[int, int], ...]
"""What was read at the end of a stretch without readings: wheels and rows."""


def _gaps(g: Gaugings) -> list[Gap]:
    """The occasions before which an amount seems to have risen, beside the one before it or the one before that."""
    import numpy as np

    before: dict[int, list[int]] = {}
    found: list[Gap] = []
    starts = np.flatnonzero(np.diff(g.occasion, prepend=g.occasion[:1] - 1)).tolist()
    for begin, end in pairwise([*starts, len(g.wheel)]):
        risen, rows = False, []
        for row in range(begin, end):
            w = int(g.wheel[row])
            back = [old for old in before.get(w, [])[-2:] if g.level[old] == g.level[row]]
            risen |= any(g.kpa[row] - g.kpa[old] > LOOKED_AT_KPA for old in back)
            if back:
                rows.append((w, row))
            before.setdefault(w, []).append(row)
        if risen:
            found.append(tuple(rows))
    return found


def _tested(g: Gaugings, gap: Gap) -> tuple[float, float, tuple[int, ...]]:
    """The likeliest rise before a gap's readings: of how many deviations, how much, and of which wheels; one wheel, or all of them."""
    rows, jump = _around(g, gap)
    whose: list[tuple[int, ...]] = [(w,) for w, _ in gap]
    if len(gap) > 1:
        whose.append(tuple(w for w, _ in gap))
    slopes, least = [(SLOPE, SLOPE_SD)], LEAST_KPA
    if float(g.month[rows][jump > 0].min() - g.month[rows][jump == 0].max()) > LONG_MONTHS:
        slopes, least = [*slopes, (SLOW, SLOW_SD)], LEAST_LONG_KPA
    rises = (one for slope in slopes for one in _rises(g, rows, jump, whose, slope))
    return max((times if kpa > least else 0.0, kpa, wheels) for times, kpa, wheels in rises)


def _around(g: Gaugings, gap: Gap) -> tuple[Ints, Floats]:
    """The readings on both sides of a gap, of the same levels, and which of them stand after it."""
    import numpy as np

    chosen: list[int] = []
    after: set[int] = set()
    for w, row in gap:
        mine = np.flatnonzero((g.wheel == w) & (g.level == g.level[row]))
        place = int(np.searchsorted(mine, row))
        chosen += mine[max(0, place - BESIDE) : place + BESIDE].tolist()
        after.update(mine[place : place + BESIDE].tolist())
    rows = np.array(sorted(chosen), dtype=np.int64)
    return rows, np.array([float(row in after) for row in rows.tolist()])


def _rises(
    g: Gaugings, rows: Ints, jump: Floats, whose: list[tuple[int, ...]], slope: tuple[float, float]
) -> Iterator[tuple[float, float, tuple[int, ...]]]:
    """How far each of some choices of wheels rose alike, the lines of all going on before and after it; `slope`: what they lose and its spread."""
    import numpy as np

    one = replace(
        g, wheel=g.wheel[rows], month=g.month[rows], kpa=g.kpa[rows], own_kpa=g.own_kpa[rows], shared_kpa=g.shared_kpa[rows],
        occasion=g.occasion[rows], level=g.level[rows], gauge=g.gauge[rows], clock=None,
    )  # fmt: skip
    there, number = np.unique(one.wheel, return_inverse=True)
    count, gauges = len(there), len(g.gauge_kpa)
    at = np.arange(len(rows))
    x = np.zeros((len(rows), 2 * count + gauges))
    x[at, number] = 1.0
    x[at, count + number] = -(one.month - one.month.mean())
    known = one.gauge >= 0
    x[at[known], 2 * count + one.gauge[known]] = 1.0
    rising = np.stack([jump * (one.wheel[:, None] == np.array(wheels)).any(axis=1) for wheels in whose], axis=1)
    precision = np.concatenate(
        [np.full(count, 1e-4), np.full(count, slope[1] ** -2), np.array(g.gauge_kpa, dtype=float) ** -2]
    )
    mean = np.concatenate([np.full(count, float(one.kpa.mean())), np.full(count, slope[0]), np.zeros(gauges)])
    white = whitened(one, np.concatenate([x, rising], axis=1))
    white_x, white_rising = white[:, : x.shape[1]], white[:, x.shape[1] :]
    cross, vector = x.T @ white_rising, white_x.T @ one.kpa + precision * mean
    solved = np.linalg.solve(x.T @ white_x + np.diag(precision), np.concatenate([cross, vector[:, None]], axis=1))
    worth = np.einsum("nk,nk->k", rising, white_rising) + RISE_PRECISION - np.einsum("bk,bk->k", cross, solved[:, :-1])
    for wheels, s, h in zip(
        whose, worth.tolist(), (white_rising.T @ one.kpa - cross.T @ solved[:, -1]).tolist(), strict=True
    ):
        kpa = h / s
        yield kpa * s**0.5, kpa, wheels


@dataclass(frozen=True, slots=True)
class RiseStep:
    """From one reading of a wheel to its next one of the same level: the rows, the rise, and its own deviation."""

    before: int
    after: int
    rise: float
    own: float


def _steps(g: Gaugings) -> list[RiseStep]:
    import numpy as np

    found = []
    for w in range(g.wheels):
        rows = np.flatnonzero(g.wheel == w)
        rows = rows[np.argsort(g.month[rows], kind="stable")]
        for a, b in pairwise(rows.tolist()):
            if g.level[a] == g.level[b]:
                own = float(np.sqrt(g.own_kpa[a] ** 2 + g.own_kpa[b] ** 2))
                found.append(RiseStep(a, b, float(g.kpa[b] - g.kpa[a]), own))
    return found


def without_strays(g: Gaugings) -> Gaugings:
    """The amounts, with a figure that its neighbours on both sides contradict worth next to nothing; the last one always counts."""
    own: Any = g.own_kpa.copy()
    steps = _steps(g)
    after = {s.before: s for s in steps}
    fellows = _fellow_steps(g, steps)
    for s in steps:
        back = after.get(s.after)
        if back is None:
            continue
        out, home = s.rise - fellows.get(id(s), 0.0), back.rise - fellows.get(id(back), 0.0)
        limit = max(LEAST_KPA, STRAY_TIMES * s.own)
        if abs(out) > limit and out * home < 0 and abs(out + home) < 0.35 * abs(out):
            own[s.after] = ALONE_KPA
    return replace(g, own_kpa=own)


def _fellow_steps(g: Gaugings, steps: list[RiseStep]) -> dict[int, float]:
    """Of each step the middle of what all wheels did on the same two occasions, where three or more were read."""
    beside: dict[tuple[int, int], list[RiseStep]] = {}
    for s in steps:
        beside.setdefault((int(g.occasion[s.before]), int(g.occasion[s.after])), []).append(s)
    found = {}
    for together in beside.values():
        rises = sorted(s.rise for s in together)
        if len(rises) >= 3:
            middle = (rises[(len(rises) - 1) // 2] + rises[len(rises) // 2]) / 2
            found.update({id(s): middle for s in together})
    return found
