"""What a screen is made of. Nothing here is words yet, and nothing says how it is laid out: that is each edge's own."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import Enum
from typing import ClassVar

from wheelside.finding import Finding
from wheelside.fit.verdict import Line as FitLine
from wheelside.said import Said

Cell = object
"""Anything that has words: what is said, a code, a quantity, a name."""


class Look(Enum):
    """How much a line wants to be seen."""

    PLAIN = "plain"
    STRONG = "strong"
    SOFT = "soft"
    CARE = "care"


@dataclass(frozen=True, slots=True)
class Sentence:
    """One line. `deeper`: whether it belongs to the line before."""

    kind: ClassVar[str] = "line"

    said: Cell
    look: Look = Look.PLAIN
    deeper: bool = False


@dataclass(frozen=True, slots=True)
class ShownRow:
    """One row of a grid. `more`: what there is to know of it, which a page folds; `at`: what a link to it ends with."""

    cells: tuple[Cell, ...]
    more: Section | None = None
    at: str = ""


@dataclass(frozen=True, slots=True)
class ShownTable:
    """A table. `right`: columns of figures; `whole`: columns that are never broken; `big`: the column that is looked for.

    `cards`: whether a page shows a card for each row; the first two columns are then what the card is called. `on_cards`: columns that
    there is room for on cards only. `across`: whether it is few rows of many columns, which a page shows the other way round.
    """

    kind: ClassVar[str] = "grid"

    columns: tuple[Cell, ...]
    rows: tuple[ShownRow, ...]
    right: tuple[int, ...] = ()
    whole: tuple[int, ...] = ()
    big: int | None = None
    cards: bool = False
    on_cards: tuple[int, ...] = ()
    across: bool = False

    def beside(self, row: ShownRow) -> tuple[tuple[Cell, Cell], ...]:
        """What stands on a card below its name and its figure: each with the heading of its column."""
        named = enumerate(zip(self.columns, row.cells, strict=True))
        return tuple((column, cell) for n, (column, cell) in named if n > 1 and n != self.big and cell != "")

    @property
    def turned(self) -> ShownTable:
        """The same with a row for each column but the first."""
        columns = (self.columns[0], *(row.cells[0] for row in self.rows))
        turned = ((name, *(row.cells[n] for row in self.rows)) for n, name in enumerate(self.columns) if n)
        return ShownTable(columns, rows(turned), whole=tuple(range(len(columns))))

    @property
    def in_rows(self) -> ShownTable:
        """The same without the columns that only cards have room for."""
        shown = [n for n in range(len(self.columns)) if n not in self.on_cards]
        rows = tuple(replace(row, cells=tuple(row.cells[n] for n in shown)) for row in self.rows)
        right, whole = (tuple(shown.index(n) for n in some if n in shown) for some in (self.right, self.whole))
        return replace(self, columns=tuple(self.columns[n] for n in shown), rows=rows, right=right, whole=whole)

    @property
    def headed(self) -> bool:
        """Whether any column has a heading."""
        return any(column != "" for column in self.columns)


@dataclass(frozen=True, slots=True)
class Findings:
    """Findings; the edge shows the serious ones first, and those that say the same as one. `brief`: without what they rest on."""

    kind: ClassVar[str] = "told"

    findings: tuple[Finding, ...]
    brief: bool = False


@dataclass(frozen=True, slots=True)
class Verdicts:
    """Lines of a report on a wheel set, each with its verdict and what it rests on."""

    kind: ClassVar[str] = "judged"

    lines: tuple[FitLine, ...]


Block = Sentence | ShownTable | Findings | Verdicts


@dataclass(frozen=True, slots=True)
class Section:
    """One part of a screen. `code`: what it is, for drawings and links; `folded`: whether a page shows it on request only;
    `brief`: whether it stands close, under a plain heading."""

    code: str
    heading: Said | None
    blocks: tuple[Block, ...]
    beside: Said | None = None
    folded: bool = False
    brief: bool = False


@dataclass(frozen=True, slots=True)
class Screen:
    """All that a screen says, in its order."""

    heading: Said
    parts: tuple[Section, ...]
    beside: Said | None = None

    def part(self, code: str) -> Section | None:
        """The part of a code; None where there is none."""
        return next((part for part in self.parts if part.code == code), None)


def brief_part(code: str, heading: Said | None, *blocks: Block) -> Section:
    """A part that stands close, under a plain heading or none."""
    return Section(code, heading, blocks, brief=True)


def rows(cells: Iterable[Iterable[Cell]]) -> tuple[ShownRow, ...]:
    """Rows of cells that have nothing behind them."""
    return tuple(ShownRow(tuple(row)) for row in cells)


def to_know(findings: tuple[Finding, ...], heading: Said) -> tuple[Section, ...]:
    """A part with findings; none where there are none."""
    return (Section("to-know", heading, (Findings(findings),)),) if findings else ()
