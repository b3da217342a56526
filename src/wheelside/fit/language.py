"""Words as numbers, so that numbers alone are compared: the words that cars and wheels of one judging have in common."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass, field


@dataclass
class Numbering:
    """Words by number, numbered as they come."""

    numbers: dict[Hashable, int] = field(default_factory=dict)

    def number(self, word: Hashable | None) -> float | None:
        """The word's number; None where there is no word."""
        return None if word is None else float(self.numbers.setdefault(word, len(self.numbers)))


@dataclass
class Language:
    """The words of one judging, each kind numbered by itself. `around`: how far a turn goes with each size, in mm."""

    sizes: Numbering = field(default_factory=Numbering)
    symbols: Numbering = field(default_factory=Numbering)
    families: Numbering = field(default_factory=Numbering)
    bands: Numbering = field(default_factory=Numbering)
    seats: Numbering = field(default_factory=Numbering)
    other: Numbering = field(default_factory=Numbering)
    around: dict[str, float | None] = field(default_factory=dict)
