"""What rules do with numbers, be they those of one pair or columns of those of many: NaN is what is not known.

Comparisons with what is not known are false, of a number as of a column. Columns are NumPy's; for plain numbers it is not imported.
"""

from __future__ import annotations

from functools import reduce
from typing import TYPE_CHECKING, Any, TypeAlias

from wheelside.fit.facts import N
from wheelside.fit.verdict import FITS, MEASURE, NO_MATTER, NOT, WITH_PART

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

Mask: TypeAlias = Any
"""Where something is so: a `bool` of one pair, a column of them of many; what comparisons of `N` give."""
Grade: TypeAlias = "int | npt.NDArray[np.uint8]"
"""A verdict as a number, see `verdict.GRADES`: of one pair, or of many."""


def unknown(*values: N) -> Mask:
    """Where any of the values is not known."""
    return reduce(_or, [value != value for value in values])  # noqa: PLR0124


def known(*values: N) -> Mask:
    """Where all of the values are known."""
    return no(unknown(*values))


def _or(one: Mask, other: Mask) -> Mask:
    return one | other


def some(*masks: Mask) -> Mask:
    """Where any of several things is so."""
    return reduce(_or, masks)


def no(mask: Mask) -> Mask:
    """Where something is not so."""
    return mask ^ True


def choose(where: Mask, this: Any, other: Any) -> Any:
    """The one value where something is so, the other where it is not."""
    if isinstance(where, bool):
        return this if where else other
    import numpy as np

    return np.where(where, this, other)


def either(value: N, otherwise: N) -> Any:
    """A value where it is known, else another."""
    return choose(unknown(value), otherwise, value)


def higher(one: N, other: N) -> Any:
    """The higher of two; the one that is known where one is not."""
    return choose((one >= other) | unknown(other), one, other)


def lower(one: N, other: N) -> Any:
    """The lower of two; the one that is known where one is not."""
    return choose((one <= other) | unknown(other), one, other)


def between(value: N, least: float, most: float) -> Any:
    """A value held within two bounds; what is not known stays so."""
    held = choose(value < least, least, value)
    return choose(held > most, most, held)


def count(*masks: Mask) -> Any:
    """How many of several things are so."""
    return sum(choose(mask, 1.0, 0.0) for mask in masks)


def grade(
    *,
    no: Mask | None = None,
    measure: Mask | None = None,
    part: Mask | None = None,
    idle: Mask | None = None,
) -> Grade:
    """The grade of every pair: it fits where nothing is said against it. `idle`: where the question does not arise, whatever else."""
    given = [
        (where, value)
        for where, value in ((part, WITH_PART), (measure, MEASURE), (no, NOT), (idle, NO_MATTER))
        if where is not None
    ]
    if all(isinstance(where, bool) for where, _ in given):
        return reduce(lambda out, one: one[1] if one[0] else out, given, FITS)
    import numpy as np

    out: Grade = np.uint8(FITS)  # type: ignore[assignment]
    for where, value in given:
        out = np.where(where, np.uint8(value), out)
    return out
