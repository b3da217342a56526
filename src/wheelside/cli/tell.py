"""Printing: tables and colour in a terminal, plain text in a pipe."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable, Sequence

import click
from rich.console import Console, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from wheelside.finding import Finding, Weight
from wheelside.speech.speech import Speech
from wheelside.speech.together import together
from wheelside.units import UnitChoice

PIPE_WIDTH = 140
_MARKS = {Weight.FORBIDDEN: "✕", Weight.WARNING: "▲", Weight.ASK: "?", Weight.NOTE: "·"}
_STYLES = {Weight.FORBIDDEN: "bold red", Weight.WARNING: "yellow", Weight.ASK: "cyan", Weight.NOTE: "dim"}


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
            self.console.print(what)
            return
        with self.console.capture() as caught:
            self.console.print(what)
        click.echo("\n".join(line.rstrip() for line in caught.get().split("\n")), nl=False)

    def heading(self, text: str, beside: str = "") -> None:
        """A heading with a rule beneath as long as itself."""
        self.blank()
        line = Text(text, style="bold")
        if beside:
            line.append(f"   {beside}", style="not bold dim")
        self._put(line)
        self._put(Text("─" * min(len(line), self.console.width), style="dim"))

    def blank(self) -> None:
        self._put(Text(""))

    def line(self, text: str, style: str = "", indent: int = 0) -> None:
        self._put(Padding(Text(text, style=style), (0, 0, 0, indent), expand=False))

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

    def findings(self, findings: Iterable[Finding], title: str = "To know") -> None:
        """Findings, the serious ones first; those that say the same of several things together."""
        said = self.speech.text
        for n, f in enumerate(together(findings)):
            if n == 0:
                self.heading(title)
            head = Text(f"{_MARKS[f.weight]} {said(f.weight)}: ", style=_STYLES[f.weight])
            head.append(f"{said(f.about)}: ", style="not dim bold" if f.weight is not Weight.NOTE else "")
            head.append(said(f.text), style="default not bold not dim")
            self._put(Padding(head, (0, 0, 0, 2), expand=False))
            if f.way_out:
                self.line(f"→ {self.speech.way(f.way_out)}", indent=4)
            self.line(f"rests on {'; '.join(said(b.said) for b in f.basis)}", style="dim", indent=4)


def exit_status(findings: Iterable[Finding]) -> int:
    """1 where something must not be done, else 0."""
    return int(any(f.weight is Weight.FORBIDDEN for f in findings))
