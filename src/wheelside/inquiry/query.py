"""One question to an owner, as data: what is asked, what can be picked or typed, and where it is found."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import TypeAlias

from wheelside.errors import Mendable
from wheelside.said import Coded, Said
from wheelside.units import UnitChoice

DONT_KNOW = "dont-know"
"""The pick that says that it is not known."""
TYPED = ""
"""The pick of a question that is answered by what is typed."""
Given: TypeAlias = Mapping[str, str]
"""An answer: what was typed, by gap, and under 'pick' the code of what was picked."""


@dataclass(frozen=True, slots=True)
class Occasion:
    """The day on which somebody answers, and the units that bare numbers are in."""

    day: date
    units: UnitChoice = field(default_factory=UnitChoice)


class Errand(Coded):
    """What brings somebody."""

    LAMP = "lamp", "The tyre lamp is on"
    WHEELS = "wheels", "I'm changing wheels"
    USED = "used", "I'm looking at a used set"
    PRESSURES = "pressures", "Pressures today"


@dataclass(frozen=True, slots=True)
class Pick:
    """One answer that can be picked: its code, its words, what follows from it. `usual`: it is what is usual; `rare`: nothing is tried with it."""

    code: str
    words: Said
    then: Said | None = None
    usual: bool = False
    rare: bool = False


@dataclass(frozen=True, slots=True)
class Gap:
    """One thing to type. `value`: what stands there already; `kind`: 'text', 'figure', 'day' or 'id'; `trials`: texts to try out."""

    name: str
    label: Said
    value: str = ""
    unit: str = ""
    example: str = ""
    kind: str = "text"
    trials: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Query:
    """One question. `code` says what it is about; `four`: its gaps are the four corners; `alone`: picks that nothing is typed with.

    `where`: where the answer is found; `unknown`: what not knowing leads to, None where that can't be said; `effort`: what it takes to find it.
    `of_today`: it is about this day alone.
    """

    code: str
    title: Said
    picks: tuple[Pick, ...] = ()
    gaps: tuple[Gap, ...] = ()
    where: Said | None = None
    unknown: Said | None = None
    drawing: str = ""
    four: bool = False
    alone: tuple[str, ...] = ()
    effort: int = 1
    of_today: bool = False

    def gap(self, name: str) -> Gap:
        """A gap by its name. Raises StopIteration where there is none."""
        return next(g for g in self.gaps if g.name == name)


class AnswerRefused(Mendable):
    """An answer that can't be taken: what is wrong, by gap ('' where it is no gap's)."""

    def __init__(self, wrong: Mapping[str, str]) -> None:
        super().__init__("; ".join(wrong.values()), found="", expected="")
        self.wrong = dict(wrong)
