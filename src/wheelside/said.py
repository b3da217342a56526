"""What is said, as data: an English pattern beside the logic that says it, and the values that it names.

Nothing here makes text. The room `speech` puts what is said into words, units and a language, at the edge: on the command line, on
pages, in proofs. So nobody can compare, keep or seal a sentence by mistake.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import Self

from wheelside.units import Length


class Coded(StrEnum):
    """A code that is compared and kept, with the words in which people read it: `NAME = "code", "words"`.

    The value is the code. `words` is a pattern, as of `Said`; without one the code is its own words.

    >>> class Light(Coded):
    ...     RED = "stop", "a red light"
    >>> Light("stop").words
    'a red light'
    """

    words: str

    def __new__(cls, code: str, words: str = "") -> Self:
        """The member of a code."""
        one = str.__new__(cls, code)
        one._value_ = code
        one.words = words or code
        return one


@dataclass(frozen=True, slots=True)
class Said:
    """A pattern with `{named}` places and the value for each, in the units that it has inside; no text of its own.

    Values: quantities, moments, days, money, IDs, numbers in one of the shapes below, codes, further `Said`, and plain `str` for names
    and texts that somebody else wrote. `many`: the pattern where the value 'n' is not one; '' where number makes no difference.
    """

    pattern: str
    values: tuple[tuple[str, object], ...] = ()
    many: str = ""

    def __getitem__(self, name: str) -> object:
        """The value of a name. Raises KeyError."""
        return dict(self.values)[name]


def say(pattern: str, /, **values: object) -> Said:
    """What is said, from its pattern and its values.

    >>> say("wheel {wheel} is low", wheel="W1")["wheel"]
    'W1'
    """
    return Said(pattern, tuple(values.items()))


def count(n: int, one: str, many: str, /, **values: object) -> Said:
    """What is said of a number of things, which stands as `{n}` in both patterns."""
    return Said(one, (("n", n), *values.items()), many)


class Joined(StrEnum):
    """How the parts of a list are put together."""

    AND = "and"
    OR = "or"
    COMMA = "comma"
    SEMICOLON = "semicolon"


@dataclass(frozen=True, slots=True)
class Listing:
    """Several values in a row, which a language puts together in its own way."""

    parts: tuple[object, ...]
    by: Joined = Joined.AND


def listed(parts: Iterable[object], by: Joined = Joined.AND) -> Listing:
    """A list of values."""
    return Listing(tuple(parts), by)


@dataclass(frozen=True, slots=True)
class Figure:
    """A bare number with so many decimals; None for as many as it has, three at most."""

    value: float
    decimals: int | None = None


@dataclass(frozen=True, slots=True)
class Depth:
    """A depth of tread, which is shown in other units than a length."""

    length: Length


@dataclass(frozen=True, slots=True)
class Distance:
    """A distance on the ground, shown in metres or feet."""

    length: Length
