"""When a tyre of which nothing is proven yet will be seen to be normal or to lose air, if it is read on as so far."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from wheelside.watch.columns import DAYS_PER_MONTH, Gaugings
from wheelside.watch.estimate import Losses, losses
from wheelside.watch.line import Candidates, Reduced, candidates, model, reduced
from wheelside.watch.prior import MOST_NORMAL
from wheelside.watch.says import MAYBE, SURE, TELLS

USUAL_GAP_DAYS = 14.0
"""How often somebody reads who has read once. Judgement."""
STEPS_AHEAD = (1, 2, 3, 4, 6, 8)
"""After how many more readings it is tried whether it would be proven."""


def is_normal(found: Losses, tells: float) -> bool:
    """Whether a loss is seen to be normal. `tells`: how well the readings alone tell it, kPa a month."""
    import numpy as np

    if tells > TELLS or float(found.chance[0]) > MAYBE:
        return False
    return float(found.below(np.array([MOST_NORMAL]))[0]) > 0.95


class ReadOn:
    """The amounts of a record read on. What is worked out for one wheel serves all that were read with it last."""

    def __init__(self, g: Gaugings) -> None:
        self.g = g
        self._known: dict[tuple[int, float, float, int], tuple[Reduced, Candidates]] = {}

    def proven(self, now: float, w: int) -> float:
        """The month, counted as the amounts are, in which a wheel's loss would be proven. `now`: the month that it is."""
        import numpy as np

        g = self.g
        times = np.unique(g.month[g.wheel == w])
        gap = float(np.median(np.diff(times)[-6:])) * DAYS_PER_MONTH if len(times) > 1 else USUAL_GAP_DAYS
        gap = min(max(gap, 1.0), 28.0) / DAYS_PER_MONTH
        first = max(now, float(times[-1]) + gap)
        for n in STEPS_AHEAD:
            r, c = self._after(w, first, gap, n)
            found, s = losses(r, c, w), float(r.s[int(np.flatnonzero(c.wheel == w)[0]), 0, 0])
            if is_normal(found, s**-0.5 if s > 0 else float("inf")) or float(found.chance[0]) > SURE:
                break
        return first + (n - 1) * gap

    def _after(self, w: int, first: float, gap: float, n: int) -> tuple[Reduced, Candidates]:
        """What is left of the model after n more readings, for every wheel of the last occasion of `w`."""
        import numpy as np

        g = self.g
        last = int(g.occasion[np.flatnonzero(g.wheel == w)[-1]])
        key = (last, first, gap, n)
        if key not in self._known:
            longer = _longer(g, np.flatnonzero(g.occasion == last), first, gap, n)
            c = candidates(longer).of(tuple(g.wheel[g.occasion == last].tolist()))
            self._known[key] = reduced(longer, model(longer), c), c
        return self._known[key]


def _longer(g: Gaugings, same: Any, first: float, gap: float, n: int) -> Gaugings:
    """The amounts with n more occasions, on which every wheel of the rows `same` goes on as it went."""
    import numpy as np

    rates = {int(g.wheel[row]): _slope(g, int(g.wheel[row]), int(g.level[row])) for row in same}
    rows = np.tile(same, n)
    step = np.repeat(np.arange(n), len(same))
    month = first + step * gap
    kpa = g.kpa[rows] - np.array([rates[int(g.wheel[row])] for row in rows]) * (month - g.month[rows])
    occasion = np.concatenate([g.occasion, g.occasion.max() + 1 + step])
    longer: dict[str, Any] = {name: np.concatenate([getattr(g, name), getattr(g, name)[rows]]) for name in REPEATED}
    clock = np.concatenate([g.running, g.running[rows] + month - g.month[rows]])
    return replace(
        g, month=np.concatenate([g.month, month]), kpa=np.concatenate([g.kpa, kpa]), occasion=occasion, clock=clock, **longer
    )  # fmt: skip


REPEATED = ("wheel", "own_kpa", "shared_kpa", "level", "gauge")


def _slope(g: Gaugings, w: int, level: int) -> float:
    """How a wheel went of late, kPa a month: its own line where there are readings enough, drawn to what is usual; else the usual."""
    import numpy as np

    rows = np.flatnonzero((g.wheel == w) & (g.level == level))
    x, y = g.month[rows] - g.month[rows].mean(), g.kpa[rows]
    weight = float((x**2).sum()) / float((g.own_kpa[rows] ** 2).mean())
    prior = 2.5**-2
    line = -float((x * y).sum()) / float((x**2).sum()) if float((x**2).sum()) > 0 else 0.0
    return (weight * line + prior * 4.0) / (weight + prior)
