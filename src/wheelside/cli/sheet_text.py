"""A run sheet in a terminal or a pipe: lines that are never wider than it is, eighty columns at most."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from rich.cells import cell_len, chop_cells

from wheelside.cli.sheet_paper import SITTINGS, OneCard, OneSitting, Paper
from wheelside.cli.sheet_rows import Block, Row

WIDEST = 80
_IN, _GAP = 4, 2
_GLUE = re.compile(
    r"(?<=[0-9A-F]{4}) (?=[0-9A-F]{4}\b)|(?<=\d) (?=\d{3}\b)|(?<=\d) (?=(?:bar|psi|kPa|°C|°F|Nm|min|km|h|mm)\b)"
    r"|(?<=\bdecimal) (?=\d)|(?<=last) (?=\d)|(?<=\w) (?=_{3})|(?<=_) (?=bar|psi|kPa|°C|°F)|(?<=\[) (?=\])|(?<=\S) (?=\[ ?\])"
)
_HARD = "\u00a0"
"""Stands between what is never parted at the end of a line: the groups of an ID, a figure and its unit, a blank and what it is for."""


@dataclass(frozen=True, slots=True)
class PaperLine:
    """A line as it is printed, and its look, as rich calls it: of the first so many columns, or of all of it."""

    text: str
    style: str = ""
    of: int | None = None


def wrapped(text: str, width: int, first: str = "", then: str = "") -> list[str]:
    """A text in lines of so many columns at most, the first behind `first`, the others behind `then`. A word that is too long is broken."""
    lines, line, empty = [], first, True
    for word in _GLUE.sub(_HARD, text).split(" "):
        for piece in _pieces(word, width - cell_len(then)):
            gap = "" if empty else " "
            if not empty and cell_len(line) + len(gap) + cell_len(piece) > width:
                lines.append(line)
                line, gap = then, ""
            line, empty = f"{line}{gap}{piece}", False
    return [one.replace(_HARD, " ").rstrip() for one in (*lines, line)]


def _pieces(word: str, width: int) -> list[str]:
    """A word; in pieces where no line holds it."""
    if cell_len(word) <= width:
        return [word]
    softer = word.split(_HARD)
    return [p for part in softer for p in _pieces(part, width)] if len(softer) > 1 else chop_cells(word, max(1, width))


def short(paper: Paper, width: int) -> Iterator[PaperLine]:
    """The cards, and what stands before and after them."""
    yield from _top(paper, width)
    for part in paper.parts:
        yield from _part(part, width, full=False)
    yield PaperLine("")
    yield from _end(paper, width)


def in_full(paper: Paper, width: int) -> Iterator[PaperLine]:
    """Everything: the cards with how, why and what if not, those that are only called for, the level, and all that is found."""
    yield from _top(paper, width)
    for part in paper.parts:
        yield from _part(part, width, full=True)
    if paper.called_for:
        yield from (PaperLine(""), PaperLine("ONLY IF CALLED FOR", "bold"))
    for card in paper.called_for:
        yield from _card(card, width, full=True)
    yield from (PaperLine(""), PaperLine("EVIDENCE", "bold"))
    yield from (PaperLine(one) for text in paper.level for one in wrapped(text, width))
    if paper.know:
        yield from (PaperLine(""), PaperLine("TO KNOW", "bold"))
    for weight, text in paper.know:
        yield from (PaperLine(one) for one in wrapped(f"{weight}: {text}", width, then="  "))


def one_sitting(paper: Paper, parts: Sequence[OneSitting], width: int) -> Iterator[PaperLine]:
    """The cards of one sitting, under the name of the whole."""
    yield from (PaperLine(one, "bold") for one in wrapped(paper.first, width))
    for part in parts:
        yield from _part(part, width, full=False)


def one_card(card: OneCard, width: int) -> Iterator[PaperLine]:
    """One card in full."""
    yield from _card(card, width, full=True)


def refused(why: Iterable[str], width: int) -> Iterator[PaperLine]:
    """Why there is no sheet."""
    text = "No run sheet: something must not be done, or can't all be so, as the file has it. Mend that first."
    yield from (PaperLine(one, "bold") for one in wrapped(text, width))
    for reason in why:
        yield from (
            PaperLine(one, "bold red" if reason.startswith("■") else "yellow")
            for one in wrapped(reason, width, then="  ")
        )


def _top(paper: Paper, width: int) -> Iterator[PaperLine]:
    yield from (PaperLine(one, "bold") for one in wrapped(paper.first, width))
    yield PaperLine(paper.day)
    for text in paper.get:
        yield from (PaperLine(one, "yellow") for one in wrapped(text, width, then="  "))


def overview(paper: Paper, width: int) -> Iterator[PaperLine]:
    """What it is, and each sitting with the names of its cards."""
    yield from (PaperLine(one, "bold") for one in wrapped(paper.first, width))
    for part in paper.parts:
        cards = ", ".join(f"{card.number} {card.title}" for card in part.cards)
        head = f"{part.called}: " if part.called else ""
        yield from (PaperLine(one) for one in wrapped(f"{head}{cards}", width, then="  "))


def _one_sitting(paper: Paper) -> str:
    """How one sitting alone is asked for: the longest, for example; '' where there is but one."""
    longest = max(paper.parts, key=lambda p: sum(len(c.blocks) for c in p.cards), default=None)
    name = next((n for n, s in SITTINGS.items() if longest is not None and s is longest.sitting), "")
    return f"--sitting {name}  " if name and len(paper.parts) > 1 else ""


def _end(paper: Paper, width: int) -> Iterator[PaperLine]:
    for text in paper.care:
        yield from (PaperLine(one, "yellow") for one in wrapped(f"▲ {text}", width, then="  "))
    if paper.called_for:
        names = "; ".join(f"{card.title}: --card {card.key}" for card in paper.called_for)
        yield from (PaperLine(one) for one in wrapped(f"Only if called for. {names}", width))
    yield from (PaperLine(one) for one in wrapped(paper.level[0], width))
    yield from (
        PaperLine(one, "dim")
        for one in wrapped(f"More: {_one_sitting(paper)}--full (how, why, if not)  --pdf FILE (for the wall)", width)
    )


def _part(part: OneSitting, width: int, *, full: bool) -> Iterator[PaperLine]:
    yield PaperLine("")
    if part.heading:
        head = part.called.replace(part.heading, part.heading.upper(), 1)
        yield from (PaperLine(one, "bold") for one in wrapped(head, width))
    for card in part.cards:
        yield from _card(card, width, full=full)


def _card(card: OneCard, width: int, *, full: bool) -> Iterator[PaperLine]:
    if card.cautions:
        text = " ▲ ".join(card.cautions)
        yield from (PaperLine(one, "yellow") for one in wrapped(text, width, "▲ ", "  "))
    yield from _head(card, width)
    for text in grid(card.table, width - _IN):
        yield PaperLine(" " * _IN + text)
    for block in card.blocks[_in_head(card) :]:
        yield from (replace(line, text=" " * _IN + line.text) for line in _block(block, width - _IN))
    for name, text in card.more if full else ():
        yield from (
            PaperLine(one, "dim" if name in ("why", "how") else "")
            for one in wrapped(f"{name}: {text}", width, " " * _IN, " " * (_IN + _GAP))
        )


def _in_head(card: OneCard) -> int:
    """How many of its blocks go on behind its name, line by line."""
    return int(bool(card.blocks and not card.blocks[0].rows and not card.table))


def _head(card: OneCard, width: int) -> Iterator[PaperLine]:
    """The number, the name, the one line, and what there is to say before any row."""
    number = f"{card.number:2d}" if card.number else " –"
    name = f"{card.title}."
    first, *others = card.blocks[0].lines if _in_head(card) else ("",)
    head = " ".join(filter(None, (name, card.line, first)))
    for n, text in enumerate(wrapped(head, width, f"{number}  ", " " * _IN)):
        yield PaperLine(text, "bold", of=0 if n else _IN + cell_len(name))
    for text in others:
        yield from (
            PaperLine(one, "bold red" if one.startswith("■") else "")
            for one in wrapped(text, width, " " * _IN, " " * _IN)
        )


def _block(block: Block, width: int) -> Iterator[PaperLine]:
    yield from (PaperLine(one) for one in grid(block.rows, width))
    for text in block.lines:
        style = "bold red" if text.startswith("■") else ""
        yield from (PaperLine(one, style) for one in wrapped(text, width, then=" " * _GAP))


def grid(rows: Sequence[Row], width: int) -> Iterator[str]:
    """Rows in columns where they fit; else each row by itself, wrapped behind its first cell."""
    if not rows:
        return
    many = max(map(len, rows))
    cells = [[*row, *("",) * (many - len(row))] for row in rows]
    wide = [max(cell_len(row[n]) for row in cells) for n in range(many)]
    used = [n for n in range(many) if wide[n]]
    if sum(wide[n] for n in used) + _GAP * (len(used) - 1) <= width:
        for row in cells:
            yield (" " * _GAP).join(row[n] + " " * (wide[n] - cell_len(row[n])) for n in used).rstrip()
        return
    head = min(wide[0], width // 3)
    for row in cells:
        lead = row[0] if cell_len(row[0]) <= head else ""
        text = "  ".join(cell for cell in (row[1:] if lead or not row[0] else row) if cell)
        yield from wrapped(text, width, lead + " " * (head - cell_len(lead) + _GAP), " " * (head + _GAP))
