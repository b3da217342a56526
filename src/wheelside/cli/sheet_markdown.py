"""A run sheet as Markdown, to print or to keep beside the photos."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from wheelside.cli.sheet_paper import OneCard, Paper, paper_of
from wheelside.cli.sheet_rows import BOX
from wheelside.garage.model import Garage
from wheelside.harmless import harmless
from wheelside.screens.tyres import BesideAsk
from wheelside.sheet.step import RunSheet


def sheet_markdown(garage: Garage, sheet: RunSheet, says: Mapping[str, BesideAsk] | None = None) -> str:
    """The whole sheet in CommonMark with task boxes; names from the file are escaped. `says`: of tyres, by wheel."""
    return "\n".join(_lines(paper_of(garage, sheet, says)))


def _lines(paper: Paper) -> Iterator[str]:
    yield from (f"# {safe(paper.called)}", "", f"{safe(paper.first)} {safe(paper.day)}", "")
    for text in paper.get:
        yield from (f"> {safe(text)}", "")
    for part in paper.parts:
        if part.heading:
            yield from (f"## {safe(part.called)}", "")
        for card in part.cards:
            yield from _card(card)
    if paper.called_for:
        yield from ("## Only if called for", "")
    for card in paper.called_for:
        yield from _card(card)
    yield from ("## Evidence", "", *(safe(text) for text in paper.level), "")
    if paper.know:
        yield from ("## To know", "", *(f"- **{safe(weight)}**: {safe(text)}" for weight, text in paper.know), "")


def _card(card: OneCard) -> Iterator[str]:
    for caution in card.cautions:
        yield from (f"> **▲ Take care.** {safe(caution)}", "")
    yield from (f"### {f'{card.number}. ' if card.number else ''}{safe(card.title)}", "")
    if card.line:
        yield from (safe(card.line), "")
    if card.table:
        head, *rows = card.table
        yield from (_row(head), f"|{' --- |' * len(head)}", *(_row(row) for row in rows), "")
    for block in card.blocks:
        texts = list(block.lines)
        texts += [
            ": ".join(cell for cell in ("  ".join(filter(None, row[:2])), "; ".join(filter(None, row[2:]))) if cell)
            for row in block.rows
        ]
        yield from (
            f"- [ ] {safe(text.replace(f' {BOX}', '').replace(f'{BOX} ', '').replace(BOX, '')).rstrip()}"
            for text in texts
        )
    if card.blocks:
        yield ""
    for name, text in card.more:
        yield f"- {safe(name.capitalize())}: {safe(text)}"
    if card.more:
        yield ""


def _row(cells: tuple[str, ...]) -> str:
    return f"| {' | '.join(safe(cell) for cell in cells)} |"


def safe(text: str) -> str:
    """`text` with the signs that Markdown or HTML would take for markup made harmless."""
    text = harmless(text)
    for sign in "\\`*_[]<>#|":
        text = text.replace(sign, f"\\{sign}")
    return text.replace("\n", " ")
