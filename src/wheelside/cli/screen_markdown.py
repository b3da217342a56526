"""A screen as Markdown, to print or to pass on."""

from __future__ import annotations

from collections.abc import Iterator

from wheelside.cli.sheet_markdown import safe
from wheelside.screens.screen import Findings, Look, Screen, Section, Sentence, ShownTable
from wheelside.speech.speech import Speech
from wheelside.speech.together import together
from wheelside.units import UnitChoice


def screen_markdown(screen: Screen, units: UnitChoice) -> str:
    """Headings, lines and tables in CommonMark with tables; names from the file are escaped. Raises TypeError for a fit report's lines."""
    speech = Speech(units)
    out = [f"# {safe(speech.text(screen.heading))}", ""]
    if screen.beside:
        out += [safe(speech.text(screen.beside)), ""]
    for part in screen.parts:
        out += _part(part, speech)
    return "\n".join(out)


def _part(part: Section, speech: Speech) -> Iterator[str]:
    if part.heading is not None:
        yield from (f"## {safe(speech.text(part.heading))}", "")
    for block in part.blocks:
        if isinstance(block, Sentence):
            text = safe(speech.text(block.said))
            yield from (f"**{text}**" if block.look is Look.STRONG else text, "")
        elif isinstance(block, ShownTable):
            yield from _table(block.in_rows, speech)
        elif isinstance(block, Findings):
            yield from (f"- **{speech.text(f.weight)}**: {safe(speech.text(f.text))}" for f in together(block.findings))
            yield ""
        else:
            raise TypeError("lines of a fit report are not laid out as Markdown")


def _table(grid: ShownTable, speech: Speech) -> Iterator[str]:
    yield _row(safe(speech.text(column)) for column in grid.columns)
    yield _row("---" for _ in grid.columns)
    for row in grid.rows:
        yield _row(safe(speech.text(cell)) for cell in row.cells)
    yield ""


def _row(cells: Iterator[str]) -> str:
    return f"| {' | '.join(cells)} |"
