"""What the run sheet of the demo household asks of a person, against what it asked before it was cards.

    python benchmarks/sheet_counts.py

The figures of before are kept, not measured again: the sheet of that day is gone. Those of today are counted on the sheet itself. It ends
with 1 where one is above its bar.

A word is what stands between blanks and has a letter or a figure in it; so a place to fill in is none. No caution counts.
An answer: what has to be given on a card, where nothing calls for more. That a wheel is done and the ID that it shows are one answer; the
temperature of the tyres is asked once on a card. An ID is typed whole where its last digits do not do.
"""

from __future__ import annotations

import re
import sys
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from wheelside.cli.sheet_paper import OneCard, Paper, paper_of
from wheelside.cli.sheet_text import WIDEST, short
from wheelside.demo import DEMO_DAY, DEMO_FILE, household
from wheelside.garage.model import Garage
from wheelside.jobs.work.sheet import make_sheet, sheet_for
from wheelside.sheet.ask import Ask, Asked
from wheelside.sheet.step import Does, RunSheet, Step

OLD = {
    "steps": 53, "answers": 95, "answers that have to be": 66, "IDs typed whole": 20, "cautions": 36, "texts of cautions": 11, "lines": 628,
    "words": 7216, "minutes": 307,
}  # fmt: skip
"""Kept: the sheet of the demo household as it was printed before cards, 5 h 07 min with the hour at the shop."""
OLD_MINUTES = {
    "snapshot": 6, "codes-before": 3, "pressures-before": 8, "answer": 8, "parts": 10, "write": 4, "read-back": 4, "shop": 60, "label": 4,
    "fit": 36, "torque": 6, "carry-away": 10, "air": 12, "wake": 4, "choose-list": 2, "clear-the-air": 5, "rest": 20, "teach-begin": 2,
    "teach": 4, "drive": 15, "second-start": 3, "codes-after": 6, "ids-heard": 5, "corner": 20, "corner-back": 12, "retorque": 8, "store": 20,
    "taken-out": 5, "record": 5,
}  # fmt: skip
"""Kept: its minutes by act. Each act of one wheel took as long then as it does in garage/acts.py today, but codes and list, which were one."""
OLD_LOCKS = ("corner-back-w1", "corner-back-w2", "corner-back-w3", "corner-back-w4")
BARS = {
    "cards": 14, "answers that have to be": 50, "IDs typed whole": 4, "IDs confirmed": 10, "words in full": 2500, "words on the cards": 1000,
    "minutes without the shop": 190,
}  # fmt: skip
_WORD = re.compile(r"[^\W_]")


@dataclass(frozen=True, slots=True)
class Counts:
    """What one sheet asks for. `minutes`: by act; `called`: the minutes of acts that only an answer calls for, or that may be left out."""

    figures: dict[str, int]
    lines: int
    cautions: int
    minutes: dict[str, int]
    called: dict[str, int]
    locks: tuple[str, ...]


def words_in(texts: Iterable[str]) -> int:
    """How many words there are."""
    return sum(bool(_WORD.search(one)) for text in texts for one in text.split())


def _on_card(card: OneCard) -> Iterator[str]:
    yield from (card.title, card.line, *(cell for row in card.table for cell in row))
    for block in card.blocks:
        yield from (*block.lines, *(cell for row in block.rows for cell in row))


def _in_full(paper: Paper) -> Iterator[str]:
    """All that stands in the full sheet but cautions; labels and headings too."""
    yield from (paper.first, paper.day, *paper.get, *paper.level, *(part for one in paper.know for part in one))
    for card in (*(c for p in paper.parts for c in p.cards), *paper.called_for):
        yield from (*_on_card(card), *(part for one in card.more for part in one))


def _answers(sheet: RunSheet) -> int:
    """The answers that have to be given where all goes as planned."""
    steps = {s.id: s for s in sheet.steps}
    count = 0
    for card in sheet.cards:
        own = [steps[i] for i in card.steps if not steps[i].calls and not steps[i].optional]
        asked = [(s, a) for s in own for a in s.asks if a.required and not a.only]
        count += len({_one_answer(s, a) for s, a in asked})
    return count


def _one_answer(step: Step, one: Ask) -> tuple[str, ...]:
    """What makes two asks of a card one answer."""
    if one.kind is Asked.TEMPERATURE:
        return ("temperature",)
    act = {Does.READ_BACK: Does.WRITE}.get(step.does, step.does)
    if step.wheel and (one.kind in (Asked.ID, Asked.DONE) or one.options == ("yes", "no")):
        return (act.value, step.wheel)
    return (step.id, one.id)


def _ids(sheet: RunSheet, *, whole: bool) -> int:
    steps = (s for s in sheet.steps if not s.calls and not s.optional)
    asks = (a for s in steps for a in s.asks if a.kind is Asked.ID and a.wheel and a.required)
    return sum((a.tail == 0) is whole for a in asks)


def counted(sheet: RunSheet, garage: Garage) -> Counts:
    """What a sheet asks for; its words in the units of the garage."""
    paper = paper_of(garage, sheet)
    minutes, called = Counter[str](), Counter[str]()
    for s in sheet.steps:
        (called if s.optional or s.calls else minutes)[s.does.value] += s.minutes
    figures = {
        "cards": paper.count, "answers that have to be": _answers(sheet), "IDs typed whole": _ids(sheet, whole=True),
        "IDs confirmed": _ids(sheet, whole=False), "words in full": words_in(_in_full(paper)),
        "words on the cards": words_in(text for p in paper.parts for c in p.cards for text in _on_card(c)),
        "minutes without the shop": sheet.minutes - minutes[Does.CHANGE_SENSORS.value],
    }  # fmt: skip
    lines = len(list(short(paper, WIDEST)))
    cautions = sum(len(c.cautions) for p in paper.parts for c in p.cards)
    locks = tuple(s.id for s in sheet.steps if s.lock)
    return Counts(figures, lines, cautions, dict(minutes), dict(called), locks)


def demo_counts(*, in_book: bool) -> Counts:
    """The demo household's; in a book, where its answers are given, or beside its garage file, where it is printed."""
    with TemporaryDirectory() as folder:
        file = Path(folder) / DEMO_FILE
        file.write_bytes(household())
        made = sheet_for(file, day=DEMO_DAY, keep=False)
    garage = made.planned.garage
    sheet = make_sheet(garage, made.planned.plan, in_book=in_book)[1]
    assert sheet is not None, "the demo has a sheet"
    return counted(sheet, garage)


def told(found: Counts, book: Counts) -> Iterator[str]:
    """The table, line by line."""
    yield f"{'':34}{'before':>8}{'now':>8}{'bar':>8}"
    new = {**found.figures, "answers that have to be": book.figures["answers that have to be"]}
    rows = {
        "cards": "steps", "answers that have to be": "answers that have to be", "IDs typed whole": "IDs typed whole", "words in full": "words",
        "minutes without the shop": "minutes",
    }  # fmt: skip
    for name, bar in BARS.items():
        old = OLD[rows[name]] - (60 if name.startswith("minutes") else 0) if name in rows else "–"
        yield f"{name:34}{old:>8}{new[name]:>8}{bar:>8}"
    yield f"{'lines printed, cautions included':34}{OLD['lines']:>8}{found.lines:>8}"
    yield f"{'cautions printed':34}{OLD['cautions']:>8}{found.cautions:>8}"
    yield "before: as kept (53 steps, 95 answers, 66 of them had to be; 5 h 07 min). Answers are counted as they are given in a book."
    yield ""
    yield f"{'minutes by act':34}{'before':>8}{'now':>8}{'if called':>11}"
    for does in Does:
        before, now, called = (
            OLD_MINUTES.get(does.value, 0),
            found.minutes.get(does.value, 0),
            found.called.get(does.value, 0),
        )
        if before or now or called:
            how = (
                ""
                if before == now
                else "went"
                if not now
                else "came"
                if not before
                else "more"
                if now > before
                else "less"
            )
            yield f"{does.words[:33]:34}{before or '–':>8}{now or '–':>8}{called or '':>11}  {how}".rstrip()
    yield ""
    yield f"locks before: {', '.join(OLD_LOCKS)}"
    yield f"locks now: {', '.join(found.locks)}"


def main() -> int:
    """0 where all are within their bars, else 1."""
    found, book = demo_counts(in_book=False), demo_counts(in_book=True)
    print("\n".join(told(found, book)))
    new = {**found.figures, "answers that have to be": book.figures["answers that have to be"]}
    return int(any(new[name] > bar for name, bar in BARS.items()))


if __name__ == "__main__":
    sys.exit(main())
