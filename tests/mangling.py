"""Every word that is said replaced by nonsense, so that whatever goes by words goes wrong."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Iterator
from contextlib import contextmanager

import pytest

from wheelside.said import Coded, Said
from wheelside.speech.tongue import Tongue

_PLACE = re.compile(r"(\{[a-z_][a-z_0-9]*\})")
_ALPHABETS = ("abcdefghijklmnopqrstuvwxyz", "ABCDEFGHIJKLMNOPQRSTUVWXYZ")
_ON = {ord(a): letters[(n + 7) % 26] for letters in _ALPHABETS for n, a in enumerate(letters)}


def mangled(pattern: str) -> str:
    """Nonsense in place of a pattern, its places kept: each letter by the seventh after it, and a mark at both ends.

    >>> mangled("at {day}: low")
    '‹ha {day}: svd›'
    """
    parts = _PLACE.split(pattern)
    return "‹" + "".join(p if n % 2 else p.translate(_ON) for n, p in enumerate(parts)) + "›"


def codes() -> Iterator[Coded]:
    """Every code that has words."""
    kinds = list(Coded.__subclasses__())
    while kinds:
        kind = kinds.pop()
        kinds += kind.__subclasses__()
        yield from kind


def _pattern(_: Tongue, one: str, many: str = "", n: int = 1) -> str:
    return mangled(many if many and n != 1 else one)


@contextmanager
def nonsense() -> Iterator[None]:
    """Nonsense in place of the words of every code, and of every pattern that is put into words."""
    with pytest.MonkeyPatch.context() as patch:
        for one in codes():
            patch.setattr(one, "words", mangled(one.words))
        patch.setattr(Tongue, "pattern", _pattern)
        yield


SERVE = "import sys; from mangling import nonsense; from wheelside.cli.main import run\nwith nonsense(): run()"
"""A program that is Wheelside with nonsense for words."""


@contextmanager
def said_as_nonsense() -> Iterator[None]:
    """Nonsense in place of every pattern already where it is said, so that whoever looks at one finds nothing that he knows."""
    plainly = Said.__init__

    def said(self: Said, pattern: str, values: tuple[tuple[str, object], ...] = (), many: str = "") -> None:
        plainly(self, mangled(pattern), values, mangled(many) if many else "")

    with nonsense(), pytest.MonkeyPatch.context() as patch:
        patch.setattr(Said, "__init__", said)
        yield


def bare(value: object) -> object:
    """A value without its words: of what is said the values alone, in their order; everything else as it is, field by field."""
    if isinstance(value, Said):
        return tuple(bare(one) for _, one in value.values)
    if isinstance(value, tuple | list):
        return tuple(bare(one) for one in value)
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return type(value).__name__, *(bare(getattr(value, f.name)) for f in dataclasses.fields(value))
    return value
