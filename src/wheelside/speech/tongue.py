"""A language: patterns by a catalogue of gettext's form, and how it puts lists together."""

from __future__ import annotations

import gettext
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from wheelside.said import Joined

Join = Callable[[Sequence[str], Joined], str]


def english_list(parts: Sequence[str], by: Joined) -> str:
    """Parts in a row as English has them, without a comma before the last.

    >>> english_list(("a", "b", "c"), Joined.AND)
    'a, b and c'
    """
    if by is Joined.SEMICOLON:
        return "; ".join(parts)
    if by is Joined.COMMA or len(parts) < 2:
        return ", ".join(parts)
    return f"{', '.join(parts[:-1])} {by.value} {parts[-1]}"


@dataclass(frozen=True)
class Tongue:
    """One language. The catalogue is asked for each pattern by its English; plurals are the catalogue's own affair."""

    catalogue: gettext.NullTranslations
    join: Join = english_list

    def pattern(self, one: str, many: str = "", n: int = 1) -> str:
        """The pattern in this language; of two, the one for `n` things."""
        return self.catalogue.ngettext(one, many, n) if many else self.catalogue.gettext(one)


ENGLISH = Tongue(gettext.NullTranslations())
"""The patterns as they stand in the code."""
