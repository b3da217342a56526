"""The wheels that are read together, as they stand: of each whether it loses air, how fast, since when, and how much is in it.

found = watched(taken(record), now_us)
found[0].losses.chance
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from wheelside.watch.columns import DAYS_PER_MONTH, Gaugings
from wheelside.watch.estimate import Losses, losses
from wheelside.watch.line import Candidates, LineModel, Reduced, candidates, model, reduced, whitened
from wheelside.watch.record import AmountsTaken
from wheelside.watch.refills import TIMES_CAREFUL, Suspected, apart, levelled

if TYPE_CHECKING:
    from wheelside.watch.columns import Floats

ALL_TRIED = 120
"""Up to so many readings of a wheel each gap between two is tried as the beginning of a leak."""
RESTLESS = 1.3
"""From how many times the spread that was taken the readings are counted as worse than that. Judgement."""
RESTLESS_MOST = 3.0
ROUNDS = 3
LIKELY = 0.5
NOISE_ROWS = 12


@dataclass(frozen=True, slots=True)
class Watched:
    """One wheel. `amount_kpa` with its deviation: absolute pressure at 15 °C at the moment asked for.

    `since_month`: when the leak began most likely, in months of the record; None without one. `since_known`: whether it was there at the
    first reading. `last_row`: the newest reading, by row of the record; None for a wheel that was read never.
    `chance`: that it leaks. `tells_kpa`: how near its readings alone tell the loss since air was last let in, kPa a month; infinite for a single one.
    """

    wheel: str
    losses: Losses | None
    amount_kpa: float
    amount_sd_kpa: float
    since_month: float | None
    from_first: bool
    last_row: int | None
    tells_kpa: float
    refills: tuple[Suspected, ...] = ()
    chance: float = 0.0


def watched(t: AmountsTaken, now_us: int) -> tuple[Watched, ...]:
    """Every wheel of a record, in its order."""
    return counted(t, now_us)[1]


def counted(t: AmountsTaken, now_us: int) -> tuple[Gaugings, tuple[Watched, ...]]:
    """The amounts as they count, with the levels that nobody said began and the errors as grown; and every wheel of a record, in its order.

    A leak is as likely as it is seen both ways: with new levels where air was let in for all that is likely, and wherever it could have been.
    """
    import numpy as np

    if not len(t.gaugings.wheel):
        return t.gaugings, tuple(_never(w) for w in t.record.wheels)
    g, refills = levelled(t.gaugings)
    now = (now_us - t.first_us) / (86400e6 * DAYS_PER_MONTH)
    usual, (g, c, r, leaks) = g, settled(g)
    found = {w: losses(r, c, w) for w in np.unique(c.wheel).tolist()}
    likely = any(float(one.chance[0]) > LIKELY for one in found.values())
    careful = _careful(t.gaugings, usual) if likely else None
    m = model(g, leaks)
    best, spread = fitted(g, m)
    out = []
    for w, name in enumerate(t.record.wheels):
        rows = np.flatnonzero(g.wheel == w)
        if not len(rows):
            out.append(_never(name))
            continue
        last = int(rows[np.argmax(g.month[rows])])
        mine = found.get(w)
        month = _since(mine)
        amount, sd = _amount(g, m, w, last, now, leaks, best, spread)
        k = np.flatnonzero(c.wheel == w)
        tells = float(r.s[k[0], 0, 0] ** -0.5) if len(k) and r.s[k[0], 0, 0] > 0 else float("inf")
        first = month is not None and month <= float(g.month[rows].min())
        mine_refills = tuple(s for s in refills if s.wheel == w)
        out.append(
            Watched(name, mine, amount, sd, month, first, last, tells, mine_refills, _both_ways(mine, careful, w))
        )
    return g, tuple(out)


def _careful(g: Gaugings, usual: Gaugings) -> tuple[Candidates, Reduced] | None:
    """What is read with a new level wherever air could have been let in, long times without a reading too; None where that changes nothing."""
    import numpy as np

    careful = apart(levelled(g, TIMES_CAREFUL)[0])
    if np.array_equal(careful.level, usual.level):
        return None
    _, c, r, _ = settled(careful)
    return c, r


def _both_ways(mine: Losses | None, careful: tuple[Candidates, Reduced] | None, w: int) -> float:
    if mine is None:
        return 0.0
    chance = float(mine.chance[0])
    if careful is None or chance <= LIKELY:
        return chance
    c, r = careful
    return min(chance, float(losses(r, c, w).chance[0]))


def _never(name: str) -> Watched:
    return Watched(name, None, float("nan"), float("nan"), None, False, None, float("inf"))


def settled(g: Gaugings) -> tuple[Gaugings, Candidates, Reduced, tuple[tuple[int, float], ...]]:
    """Twice through: first each wheel as if its fellows were sound, then with the leaks that were found; errors grown where need be."""
    leaks: tuple[tuple[int, float], ...] = ()
    for again in range(ROUNDS):
        c, r = _read_with(g, leaks)
        found, last = _likely(r, c), again == ROUNDS - 1
        restless = 1.0 if last else _restless(g, found)
        if last or (found == leaks and restless == 1.0):
            return g, c, r, leaks
        g, leaks = replace(g, own_kpa=g.own_kpa * restless), found
    raise AssertionError("the last round returns")


def _read_with(g: Gaugings, leaks: tuple[tuple[int, float], ...]) -> tuple[Candidates, Reduced]:
    """The leaks that are tried, and what the readings say of each, with some leaks taken to be there."""
    c = candidates(g, ALL_TRIED, dict(leaks))
    return c, reduced(g, model(g, leaks), c, tuple(-1 if _mended(g, *leak) else leak[0] for leak in leaks))


def _likely(r: Reduced, c: Candidates) -> tuple[tuple[int, float], ...]:
    import numpy as np

    found = []
    for w in np.unique(c.wheel).tolist():
        one = losses(r, c, w)
        leaking = np.isfinite(one.month)
        if float(one.weight[leaking, 0].sum()) > LIKELY:
            found.append((w, _likeliest(one, leaking)))
    return tuple(found)


def _mended(g: Gaugings, w: int, month: float) -> bool:
    return any(wheel == w and m > month for wheel, m in g.mends)


def _since(one: Losses | None) -> float | None:
    """When a leak that goes on began most likely; None where there can be none."""
    if one is None or not (one.leaks > 0).any():
        return None
    return _likeliest(one, one.leaks > 0)


def _likeliest(one: Losses, which: Any) -> float:
    import numpy as np

    leaking = np.flatnonzero(which)
    weight, month = one.weight[leaking, 0], one.month[leaking]
    months, at = np.unique(month, return_inverse=True)
    return float(months[np.argmax(np.bincount(at, weight))])


def _restless(g: Gaugings, leaks: tuple[tuple[int, float], ...]) -> float:
    """By how much the readings' own errors are to be grown, so that they explain what the lines leave over; 1 for not at all."""
    if len(g.wheel) < NOISE_ROWS:
        return 1.0
    m = model(g, leaks)
    best, _ = fitted(g, m)
    left = g.kpa - m.columns @ best
    free = len(g.wheel) - g.levels - g.wheels - len(leaks)
    if free < NOISE_ROWS / 2:
        return 1.0
    ratio = float(left @ whitened(g, left[:, None])[:, 0]) / free
    return float(min(ratio**0.5, RESTLESS_MOST)) if ratio > RESTLESS else 1.0


def fitted(g: Gaugings, m: LineModel) -> tuple[Floats, Floats]:
    """The base columns' best values, (b,), and their covariance, (b, b)."""
    import numpy as np

    white = whitened(g, m.columns)
    information = m.columns.T @ white + np.diag(m.precision)
    covariance = np.asarray(np.linalg.inv(information), dtype=np.float64)
    return covariance @ (white.T @ g.kpa + m.precision * m.mean), covariance


def _amount(
    g: Gaugings, m: LineModel, w: int, last: int, now: float, leaks: tuple[tuple[int, float], ...], best: Floats, spread: Floats
) -> tuple[float, float]:  # fmt: skip
    """The amount of air of a wheel now, and its deviation."""
    import numpy as np

    row = np.zeros(len(m.mean))
    row[g.level[last]] = 1.0
    row[m.losses[w]] = -(g.running[last] + now - g.month[last])
    for i, (wheel, month) in enumerate(leaks):
        if wheel == w and not _mended(g, w, month):
            row[len(m.mean) - len(leaks) + i] = -max(now - month, 0.0)
    return float(row @ best), max(float(row @ spread @ row), 0.0) ** 0.5
