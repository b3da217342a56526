"""The width of IDs that are said to be of one kind: what one of them settles for all."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from wheelside.sensor.reading import Readings


class WidthQuestion(StrEnum):
    """What to ask the owner about the width of several IDs: is it one kind, how many bits, which are of another kind."""

    ONE_KIND = "one-kind"
    BITS = "how-many-bits"
    NOT_ONE_KIND = "not-one-kind"


@dataclass(frozen=True, slots=True)
class OneKind:
    """What texts have in common if they are of one kind.

    `widths`: the widths, in bits, in which all of them can be read; none where they can't be of one kind. `by`: a text that can
    be read in that one width alone, '' where there is none. `ask`: what is still to be asked, None where each text says it by itself.
    """

    widths: tuple[int, ...]
    by: str
    ask: WidthQuestion | None


def one_kind(texts: Iterable[Readings]) -> OneKind:
    """The widths that all texts have in common, and the question that settles it. What stands for no sensor says nothing."""
    each = [found for found in texts if not found.empty]
    if not each:
        return OneKind((), "", None)
    shared = tuple(sorted(set.intersection(*(set(found.widths) for found in each))))
    by = next((found.text for found in each if found.widths == shared), "") if len(shared) == 1 else ""
    if not shared:
        return OneKind((), "", WidthQuestion.NOT_ONE_KIND)
    if len(shared) > 1:
        return OneKind(shared, "", WidthQuestion.BITS)
    clear = all(found.widths == shared for found in each)
    return OneKind(shared, by, None if clear else WidthQuestion.ONE_KIND)
