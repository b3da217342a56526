"""One sensor at a time as each fails, or all of a set at once while the tyres are off: what either is expected to cost.

Money in any one currency, hours already turned into money. A second failure of the same sensor in the time is not reckoned (3 in 100 for a
new one in four years, with the life that is taken), nor what newer sensors are worth at its end.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from wheelside.sensor.outlook import Batch, LifeScale, Serving, new_fails, nodes_of, outlook

FOR_YEARS = 4.0
"""How far one looks from the day on which the tyres are off; judgement."""
_OLDEST = 30.0


@dataclass(frozen=True, slots=True)
class Charges:
    """What renewing costs. `part`: a sensor with its kit; `failing`: all besides that one failing sensor costs (the lit lamp, the
    visit, tyre off and on, teaching); `once`: what all of a set cost together besides the parts, while the tyres are off anyway."""

    part: float
    failing: float
    once: float


@dataclass(frozen=True, slots=True)
class Weighed:
    """What is expected to be paid until the end of the time, either way."""

    singly: float
    together: float

    @property
    def together_pays(self) -> bool:
        return self.together < self.singly


def weigh(batch: Batch, nodes: Sequence[LifeScale], charges: Charges, *, off_in: float = 0.0) -> Weighed:
    """Both ways of renewing the sensors of a set until `FOR_YEARS` after its tyres are off, in `off_in` years."""
    n, use = len(batch.serving), _use(batch)
    before = sum(outlook(batch, nodes, off_in).each)
    fail = sum(outlook(batch, nodes, off_in + FOR_YEARS).each)
    new = n * new_fails(use, nodes, FOR_YEARS)
    each = charges.part + charges.failing
    together = before * each + (n - before) * charges.part + charges.once + new * each
    return Weighed(fail * each, together)


def even_age(n: int, use: float, charges: Charges, life: float) -> float | None:
    """The age in years from which on all at once is cheaper for `n` sensors of one age while the tyres are off; None where it is not by 30 years."""

    def gain(age: float) -> float:
        batch = Batch((Serving(age, age, use),) * n)
        (nodes,) = nodes_of((batch,), life)
        fail, new = sum(outlook(batch, nodes, FOR_YEARS).each), n * new_fails(use, nodes, FOR_YEARS)
        return (fail - new) * (charges.part + charges.failing) - n * charges.part - charges.once

    low, high = 0.0, _OLDEST
    if n == 0 or gain(high) <= 0:
        return None
    while high - low > 0.05:
        middle = (low + high) / 2
        low, high = (middle, high) if gain(middle) <= 0 else (low, middle)
    return high


def _use(batch: Batch) -> float:
    return sum(one.use for one in batch.serving) / len(batch.serving) if batch.serving else 1.0
