"""Readings of a few wheels as columns of numbers: the amount of air, how sure each figure is, and what figures share."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats: TypeAlias = NDArray[np.float64]
    Ints: TypeAlias = NDArray[np.int64]

AS_IF_AT_K = 288.15
"""Amounts of air are given as the absolute pressure that a tyre would have at 15 °C."""
DAYS_PER_MONTH = 365.25 / 12


@dataclass(frozen=True, slots=True)
class Gaugings:
    """Columns of one length n, by time; one row is one reading of one wheel.

    `wheel`: 0 to `wheels` - 1. `month`: when, in months of 30.4 days since any one day. `kpa`: (n,) or (n, c) for c cars that were
    read alike: the amount of air, as absolute pressure at 15 °C. `own_kpa`: standard deviation of a reading's own error;
    `shared_kpa`: of the error that all readings of its occasion have in common, such as the weather's. `occasion`: readings of one
    occasion have one number, and stand together. `level`: readings between which nobody let air in or out have one number, 0 to
    `levels` - 1, of one wheel each. `gauge`: the number of the instrument, 0 to `gauges` - 1, whose constant error is not known;
    -1 for one that has none. `mends`: wheels, and months at which their tyre was off or mended: a leak from before ends there.
    `clock`: `month`, running as much faster as a sound tyre loses more when it is warmer; None for an even one.
    """

    wheel: Ints
    month: Floats
    kpa: Floats
    own_kpa: Floats
    shared_kpa: Floats
    occasion: Ints
    level: Ints
    gauge: Ints
    gauge_kpa: tuple[float, ...] = ()
    mends: tuple[tuple[int, float], ...] = ()
    clock: Floats | None = None

    @property
    def wheels(self) -> int:
        """How many wheels."""
        return int(self.wheel.max()) + 1 if len(self.wheel) else 0

    @property
    def levels(self) -> int:
        """How many levels."""
        return int(self.level.max()) + 1 if len(self.level) else 0

    @property
    def running(self) -> Floats:
        """The clock by which a sound tyre loses."""
        return self.month if self.clock is None else self.clock

    def until(self, rows: int) -> Gaugings:
        """The first so many rows."""
        cut = slice(0, rows)
        clock = None if self.clock is None else self.clock[cut]
        return Gaugings(
            self.wheel[cut], self.month[cut], self.kpa[cut], self.own_kpa[cut], self.shared_kpa[cut], self.occasion[cut],
            self.level[cut], self.gauge[cut], self.gauge_kpa, self.mends, clock,
        )  # fmt: skip
