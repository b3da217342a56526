"""Straight lines through the amounts of air of a few wheels: levels, losses, instruments' errors, and what all share.

A linear model with normal errors. Of each wheel an amount at each of its levels, and a loss; of each instrument a constant error;
of each occasion an error that its readings share, which is integrated out. A leak is one more column, nought until its first day.
All but a wheel's normal loss and its leak is eliminated exactly (Schur complement), so that for each wheel and each first day two
numbers are left. Source of the algebra: any text on linear models; the shared error by the formula of Sherman and Morrison.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

from wheelside.watch.prior import LEVEL_KPA, LEVEL_SD_KPA, normal_moments

if TYPE_CHECKING:
    from wheelside.watch.columns import Floats, Gaugings, Ints

AROUND = 15


@dataclass(frozen=True, slots=True)
class Candidates:
    """Leaks that may be: (k,) the wheel and the first month of each, and how many months it stands for.

    `first`: 1 for one that was there at the first reading; `until`: the month in which the wheel was mended, infinite for one that goes on.
    """

    wheel: Ints
    month: Floats
    width: Floats
    first: Ints
    until: Floats

    def of(self, wheels: tuple[int, ...]) -> Candidates:
        """Those of some wheels."""
        import numpy as np

        there = np.isin(self.wheel, wheels)
        return Candidates(self.wheel[there], self.month[there], self.width[there], self.first[there], self.until[there])


def one_leak(wheel: int, month: float) -> Candidates:
    """A leak of which it is known when it began."""
    import numpy as np

    return Candidates(
        np.array([wheel]), np.array([month]), np.array([1e-4]), np.array([0], dtype=np.int64), np.array([np.inf])
    )


@dataclass(frozen=True, slots=True)
class Reduced:
    """What the readings say of the normal loss and the leak of each candidate, for c cars: information and its vectors.

    The logarithm of the likelihood is h·x - x'Sx/2 with x = (normal loss, leak, late), the first two in kPa a month; late is how
    many kPa less than that have gone because the leak began after its candidate's month. `s`: (k, 3, 3); `h`: (k, 3, c).
    """

    s: Floats
    h: Floats


@dataclass(frozen=True, slots=True)
class LineModel:
    """The base columns with their priors: levels, losses, instruments; `known`: leaks of other wheels that are taken to be there."""

    columns: Floats
    precision: Floats
    mean: Floats
    losses: Ints


def candidates(g: Gaugings, most: int = 36, near: Mapping[int, float] | None = None) -> Candidates:
    """The first days that are tried: half-way between readings of a wheel, every one of late, fewer of long ago.

    `most`: up to how many readings all are tried; `near`: for a wheel the month round which all are, too.
    """
    import numpy as np

    found = []
    for w in range(g.wheels):
        times = np.unique(g.month[g.wheel == w])
        edges = sorted(m for wheel, m in g.mends if wheel == w)
        cuts = np.searchsorted(times, edges).tolist()
        for begin, end, until in zip([0, *cuts], [*cuts, len(times)], [*edges, np.inf], strict=True):
            found += _between(w, times[begin:end], until, most, None if near is None else near.get(w))
    whole = np.array(found, dtype=np.float64).reshape(-1, 5)
    return Candidates(whole[:, 0].astype(np.int64), whole[:, 1], whole[:, 2], whole[:, 3].astype(np.int64), whole[:, 4])


Row: TypeAlias = tuple[int, float, float, int, float]


def _between(w: int, times: Floats, until: float, most: int, near: float | None) -> list[Row]:
    """The candidates of a wheel between two mendings: one from its first reading there, and those half-way between readings."""
    import numpy as np

    if len(times) < 2:
        return []
    middles = (times[1:] + times[:-1]) / 2
    chosen = _thinned(middles, most)
    if near is not None:
        at = int(np.searchsorted(middles, near))
        chosen = np.union1d(chosen, middles[max(0, at - AROUND) : at + AROUND])
    edges = np.concatenate([[times[0]], (chosen[1:] + chosen[:-1]) / 2, [times[-1]]])
    rows = [(w, float(m), float(width), 0, until) for m, width in zip(chosen, np.diff(edges), strict=True)]
    return [(w, float(times[0]), 0.0, 1, until), *rows]


def _thinned(times: Floats, most: int) -> Floats:
    """At most so many of some times: the last twelve, and of those before fewer the older they are."""
    import numpy as np

    if len(times) <= most:
        return times
    back = np.unique(np.round(np.geomspace(12, len(times), most - 11)).astype(np.int64))
    found: Floats = times[np.unique(np.concatenate([np.arange(1, 13), back]) * -1 + len(times))]
    return found


def model(g: Gaugings, leaks: tuple[tuple[int, float], ...] = ()) -> LineModel:
    """The base columns: (n, b). `leaks`: wheels that leak, and since which month, as columns of their own with a wide prior."""
    import numpy as np

    n, w = len(g.wheel), g.wheels
    sizes = (g.levels, w, len(g.gauge_kpa), len(leaks))
    columns = np.zeros((n, sum(sizes)))
    rows, (mean, sd) = np.arange(n), normal_moments()
    columns[rows, g.level] = 1.0
    columns[rows, sizes[0] + g.wheel] = -g.running
    there = g.gauge >= 0
    columns[rows[there], sizes[0] + w + g.gauge[there]] = 1.0
    for i, (wheel, month) in enumerate(leaks):
        mended = min((m for w_, m in g.mends if w_ == wheel and m > month), default=np.inf)
        there = (g.wheel == wheel) & (g.month < mended)
        columns[:, sum(sizes[:3]) + i] = np.where(there, -np.maximum(g.month - month, 0.0), 0.0)
    precision = np.concatenate([
        np.full(sizes[0], LEVEL_SD_KPA**-2), np.full(w, sd**-2), np.array(g.gauge_kpa, dtype=float) ** -2,
        np.full(len(leaks), 1e-4),
    ])  # fmt: skip
    means = np.concatenate([np.full(sizes[0], LEVEL_KPA), np.full(w, mean), np.zeros(sizes[2] + sizes[3])])
    return LineModel(columns, precision, means, np.arange(sizes[0], sizes[0] + w, dtype=np.int64))


def whitened(g: Gaugings, x: Floats) -> Floats:
    """R^-1 x for columns x (n, m): R has each reading's own variance, and that of its occasion in common."""
    import numpy as np

    weight = g.own_kpa**-2
    scaled = x * weight[:, None]
    starts = np.flatnonzero(np.diff(g.occasion, prepend=g.occasion[:1] - 1))
    shared = g.shared_kpa[starts] ** 2
    factor = shared / (1.0 + shared * np.add.reduceat(weight, starts))
    sums = np.add.reduceat(scaled, starts, axis=0) * factor[:, None]
    repeats = np.diff(np.append(starts, len(g.wheel)))
    return scaled - np.repeat(sums, repeats, axis=0) * weight[:, None]


def leak_columns(g: Gaugings, c: Candidates) -> Floats:
    """The columns of each candidate, its leak's and then its lateness's: (n, 2 k)."""
    import numpy as np

    mine = (g.wheel[:, None] == c.wheel[None, :]) & (g.month[:, None] < c.until[None, :])
    after = g.month[:, None] - c.month[None, :]
    return np.concatenate(
        [np.where(mine, -np.maximum(after, 0.0), 0.0), np.where(mine & (after > 0), 1.0, 0.0)], axis=1
    )


def reduced(g: Gaugings, m: LineModel, c: Candidates, others: tuple[int, ...] = ()) -> Reduced:
    """What is left of the model for each candidate. `others`: for each leak in the model its wheel, which is left out for that wheel."""
    import numpy as np

    y = g.kpa if g.kpa.ndim == 2 else g.kpa[:, None]
    z = leak_columns(g, c)
    k = len(c.wheel)
    white, white_z, white_y = whitened(g, m.columns), whitened(g, z), whitened(g, y)
    information = m.columns.T @ white + np.diag(m.precision)
    vector = m.columns.T @ white_y + (m.precision * m.mean)[:, None]
    cross, hz = m.columns.T @ white_z, z.T @ white_y
    own = [np.einsum("nk,nk->k", z[:, a], white_z[:, b]) for a, b in _pairs(k)]
    s, h = np.empty((k, 3, 3)), np.empty((k, 3, y.shape[1]))
    first_leak = len(m.mean) - len(others)
    for w in np.unique(c.wheel):
        at, n = np.flatnonzero(c.wheel == w), m.losses[w]
        mine = [first_leak + i for i, wheel in enumerate(others) if wheel == w]
        rest = np.setdiff1d(np.arange(len(m.mean)), [n, *mine])
        both = np.concatenate([at, at + k])
        right = np.concatenate([information[rest, n][:, None], cross[np.ix_(rest, both)]], axis=1)
        solved = np.linalg.solve(information[np.ix_(rest, rest)], right)
        to_n, to_l, to_j = solved[:, 0], solved[:, 1 : len(at) + 1], solved[:, len(at) + 1 :]
        of_l, of_j = cross[np.ix_(rest, at)], cross[np.ix_(rest, at + k)]
        s[at, 0, 0] = information[n, n] - m.precision[n] - information[n, rest] @ to_n
        s[at, 0, 1] = s[at, 1, 0] = cross[n, at] - information[n, rest] @ to_l
        s[at, 0, 2] = s[at, 2, 0] = cross[n, at + k] - information[n, rest] @ to_j
        s[at, 1, 1] = own[0][at] - np.einsum("rk,rk->k", of_l, to_l)
        s[at, 1, 2] = s[at, 2, 1] = own[1][at] - np.einsum("rk,rk->k", of_l, to_j)
        s[at, 2, 2] = own[2][at] - np.einsum("rk,rk->k", of_j, to_j)
        h[at, 0] = (vector[n] - m.precision[n] * m.mean[n] - to_n @ vector[rest])[None, :]
        h[at, 1] = hz[at] - to_l.T @ vector[rest]
        h[at, 2] = hz[at + k] - to_j.T @ vector[rest]
    return Reduced(s, h)


def _pairs(k: int) -> tuple[tuple[slice, slice], ...]:
    leak, late = slice(0, k), slice(k, 2 * k)
    return (leak, leak), (leak, late), (late, late)
