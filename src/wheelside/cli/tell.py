"""Printing: tables and colour in a terminal, plain text in a pipe."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from rich.console import Console, ConsoleOptions, RenderableType, RenderResult
from rich.padding import Padding
from rich.segment import Segment
from rich.table import Table
from rich.text import Text

from wheelside.cli.output import echo
from wheelside.cli.sheet_paper import named_about
from wheelside.cli.sheet_text import PaperLine
from wheelside.finding import Finding, Weight
from wheelside.fit.verdict import SIGNS
from wheelside.harmless import harmless
from wheelside.said import Said
from wheelside.screens.screen import Block, Findings, Look, Screen, Section, Sentence, ShownTable, Verdicts
from wheelside.speech.speech import Speech
from wheelside.speech.together import together
from wheelside.units import UnitChoice

PIPE_WIDTH = 140
_MARKS = {Weight.FORBIDDEN: "✕", Weight.WARNING: "▲", Weight.ASK: "?", Weight.NOTE: "·"}
_LOOKS = {Look.PLAIN: "", Look.STRONG: "bold", Look.SOFT: "dim", Look.CARE: "yellow"}
_STYLES = {Weight.FORBIDDEN: "bold red", Weight.WARNING: "yellow", Weight.ASK: "cyan", Weight.NOTE: "dim"}


@dataclass(frozen=True, slots=True)
class _Plainly:
    """What is printed, all its text harmless; the styles are our own."""

    what: RenderableType

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        for part in console.render(self.what, options):
            yield part if part.control else Segment(harmless(part.text), part.style)


def _flat(text: str) -> str:
    return " ".join(text.splitlines())


class Teller:
    """Writes to standard output in the way that suits where it goes, in the units of one person."""

    def __init__(self, units: UnitChoice | None = None) -> None:
        self.speech = Speech(units or UnitChoice())
        terminal = sys.stdout.isatty()
        width = None if terminal or "COLUMNS" in os.environ else PIPE_WIDTH
        self.console = Console(highlight=False, soft_wrap=False, width=width, emoji=False, markup=False)

    def _put(self, what: RenderableType) -> None:
        """Prints; in a pipe without the blanks that fill a line."""
        if self.console.is_terminal:
            self.console.print(_Plainly(what))
            return
        with self.console.capture() as caught:
            self.console.print(what)
        echo("\n".join(line.rstrip() for line in caught.get().split("\n")), nl=False)

    def heading(self, text: str, beside: str = "") -> None:
        """A heading with a rule beneath as long as itself."""
        self.blank()
        line = Text(_flat(text), style="bold")
        if beside:
            line.append(f"   {_flat(beside)}", style="not bold dim")
        self._put(line)
        self._put(Text("─" * min(len(line), self.console.width), style="dim"))

    def blank(self) -> None:
        self._put(Text(""))

    def line(self, text: str, style: str = "", indent: int = 0) -> None:
        """One line, broken only where it is too long: what stands in it can't begin another."""
        self._put(Padding(Text(_flat(text), style=style), (0, 0, 0, indent), expand=False))

    @property
    def width(self) -> int:
        """The columns that there are."""
        return self.console.width

    def lines(self, lines: Iterable[PaperLine]) -> None:
        """Lines that fit as they are."""
        for line in lines:
            text = Text(line.text)
            text.stylize(line.style, 0, line.of)
            self._put(text)

    def table(
        self,
        columns: Sequence[str],
        rows: Iterable[Sequence[str]],
        right: Sequence[int] = (),
        whole: Sequence[int] = (),
        indent: int = 2,
    ) -> None:
        """Columns under plain headings, no boxes; `right` are the columns set flush right, `whole` those never broken."""
        table = Table(box=None, padding=(0, 2, 0, 0), header_style="dim", pad_edge=False, show_header=any(columns))
        for n, name in enumerate(columns):
            table.add_column(name, justify="right" if n in right else "left", overflow="fold", no_wrap=n in whole)
        for row in rows:
            table.add_row(*(Text(cell) for cell in row))
        self._put(Padding(table, (0, 0, 0, indent), expand=False))

    def screen(self, screen: Screen, more: str = "") -> None:
        """A screen with its heading. `more`: what shows the folded parts, which are then only named; '' to show them at once."""
        self._headed(screen.heading, screen.beside)
        folded = [part for part in screen.parts if more and part.folded and part.heading is not None]
        self.parts(part for part in screen.parts if part not in folded)
        if folded:
            self.blank()
            self.line(f"More: {more}   {'; '.join(self.speech.text(part.heading) for part in folded)}", style="dim")

    def parts(self, parts: Iterable[Section]) -> None:
        """Parts of a screen, one below the other."""
        for place, part in enumerate(parts):
            if part.brief:
                self._close(part, first=not place)
            elif part.folded and part.heading is not None:
                self.line(self.speech.text(part.heading), "bold", indent=2)
            else:
                self._headed(part.heading, part.beside)
            for n, block in enumerate(part.blocks):
                if n and isinstance(block, ShownTable):
                    self.blank()
                self._block(block)
            self.parts(
                row.more for block in part.blocks if isinstance(block, ShownTable) for row in block.rows if row.more
            )

    def _close(self, part: Section, *, first: bool) -> None:
        """A blank line and a plain heading; no blank line before what stands first."""
        if not first:
            self.blank()
        if part.heading is not None:
            self.line(self.speech.text(part.heading), "bold")

    def _headed(self, heading: Said | None, beside: Said | None) -> None:
        if heading is not None:
            self.heading(self.speech.text(heading), self.speech.text(beside) if beside else "")

    def _block(self, block: Block) -> None:
        said = self.speech.text
        if isinstance(block, Sentence):
            self.line(said(block.said), _LOOKS[block.look], indent=4 if block.deeper else 2)
        elif isinstance(block, ShownTable):
            grid = block.in_rows
            rows = [[said(cell) for cell in row.cells] for row in grid.rows]
            self.table([said(column) for column in grid.columns], rows, grid.right, grid.whole)
        elif isinstance(block, Findings):
            (self._in_brief if block.brief else self._findings)(block.findings)
        else:
            self._judged(block)

    def _judged(self, block: Verdicts) -> None:
        said = self.speech.text
        for line in block.lines:
            at = f" ({', '.join(line.corners)})" if line.corners else ""
            head = f"{SIGNS[line.verdict]} {said(line.title)}{at}: {said(line.verdict)}. {said(line.text)}"
            self.line(head, indent=4)
            if line.way_out:
                self.line(f"→ {self.speech.way(line.way_out)}", indent=6)
            self.line(f"rests on {'; '.join(said(b.said) for b in line.basis)}", style="dim", indent=6)

    def findings(self, findings: Iterable[Finding], title: str = "To know") -> None:
        """Findings under a title, the serious ones first; those that say the same of several things together."""
        if some := list(findings):
            self.heading(title)
            self._findings(some)

    def _in_brief(self, findings: Iterable[Finding]) -> None:
        """Each in one text, without what it rests on; what to do about it, where it has to be done first."""
        said = self.speech.text
        for f in together(findings):
            way = f" → {self.speech.way(f.way_out)}" if f.way_out and f.weight is not Weight.WARNING else ""
            word = f"{said(f.weight)}: " if f.weight is Weight.FORBIDDEN else ""
            text = f"{_MARKS[f.weight]} {word}{named_about(f.about, self.speech)}: {said(f.text)}{way}"
            self.line(text, _STYLES[f.weight], indent=2)

    def _findings(self, findings: Iterable[Finding]) -> None:
        said = self.speech.text
        for f in together(findings):
            head = Text(f"{_MARKS[f.weight]} {said(f.weight)}: ", style=_STYLES[f.weight])
            head.append(f"{_flat(said(f.about))}: ", style="not dim bold" if f.weight is not Weight.NOTE else "")
            head.append(_flat(said(f.text)), style="default not bold not dim")
            self._put(Padding(head, (0, 0, 0, 2), expand=False))
            if f.way_out:
                self.line(f"→ {self.speech.way(f.way_out)}", indent=4)
            self.line(f"rests on {'; '.join(said(b.said) for b in f.basis)}", style="dim", indent=4)


def exit_status(findings: Iterable[Finding]) -> int:
    """1 where something must not be done, else 0."""
    return int(any(f.weight is Weight.FORBIDDEN for f in findings))
