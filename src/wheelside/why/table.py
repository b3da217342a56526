"""Causes of a lit lamp, tests, and how likely each outcome is under each cause: judgement, read from `causes.json`.

table = why_table()
table.cause("leak").prior
table.test("gauge").odds["leak"]
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from wheelside.finding import Basis, Ground

BASIS = Basis(
    Ground.JUDGEMENT, "causes and odds of a lit lamp, for cars of 3 to 12 years with more than one wheel set; not data"
)


@dataclass(frozen=True, slots=True)
class LampCause:
    """Something that lights the lamp, or keeps it dark. `prior`: in percent of all first causes, before anything is known.

    `minutes` and `money`: of its usual cure, in EUR or what money is like it. `added`: it is none of the table's, which sum to 100.
    `short`: its few words behind "consistent with".
    """

    code: str
    words: str
    cure: str
    prior: float
    minutes: float
    money: float
    added: bool = False
    short: str = ""


@dataclass(frozen=True, slots=True)
class WhyTest:
    """Something to look at or try. `outcomes` in order, what is usual first; `odds`: for each cause the chance of each, summing to 1.

    `nothing`: the same for a car with nothing wrong. `minutes` and `money`: what it costs who owns the tool. `says`: each outcome in words.
    """

    code: str
    words: str
    minutes: float
    money: float
    outcomes: tuple[str, ...]
    odds: Mapping[str, tuple[float, ...]]
    nothing: tuple[float, ...]
    says: tuple[str, ...] = ()

    def saying(self, outcome: str) -> str:
        """An outcome in words. Raises ValueError for one that it has not."""
        return self.says[self.outcomes.index(outcome)]

    def shown(self, outcome: str, others: float = 0.0) -> dict[str, float]:
        """Weights of all outcomes where one was seen; `others`: what each of the others still weighs beside it, 0 for nothing, 1 for as much."""
        return {o: 1.0 if o == outcome else others for o in self.outcomes}


@dataclass(frozen=True, slots=True)
class WhyContext:
    """What is known before any test, and how many times likelier it makes some causes."""

    code: str
    words: str
    times: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class WhyTable:
    """The whole of it. `together`: tests that look at one and the same thing, such as the lamp, so that they err together."""

    causes: tuple[LampCause, ...]
    tests: tuple[WhyTest, ...]
    contexts: tuple[WhyContext, ...] = ()
    together: tuple[tuple[str, ...], ...] = ()

    def cause(self, code: str) -> LampCause:
        """One cause. Raises KeyError."""
        return {c.code: c for c in self.causes}[code]

    def test(self, code: str) -> WhyTest:
        """One test. Raises KeyError."""
        return {t.code: t for t in self.tests}[code]

    def context(self, code: str) -> WhyContext:
        """One context. Raises KeyError."""
        return {c.code: c for c in self.contexts}[code]

    @property
    def groups(self) -> tuple[tuple[WhyTest, ...], ...]:
        """All tests, those that err together side by side."""
        alone = [(t.code,) for t in self.tests if not any(t.code in group for group in self.together)]
        return tuple(tuple(self.test(code) for code in group) for group in (*self.together, *alone))


@cache
def why_table() -> WhyTable:
    """The table that is shipped."""
    read = json.loads(files(__package__).joinpath("causes.json").read_text())
    return WhyTable(
        tuple(LampCause(**c) for c in read["causes"]),
        tuple(
            WhyTest(
                t["code"], t["words"], t["minutes"], t["money"], tuple(t["outcomes"]),
                {cause: _shares(row) for cause, row in t["odds"].items()}, _shares(t["nothing"]),
                tuple(t["says"]),
            )
            for t in read["tests"]
        ),
        tuple(WhyContext(**c) for c in read["contexts"]),
        tuple(map(tuple, read["together"])),
    )  # fmt: skip


def _shares(percent: list[float]) -> tuple[float, ...]:
    return tuple(p / 100 for p in percent)
