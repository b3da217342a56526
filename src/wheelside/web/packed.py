"""Rows of a page that differ in single words only: the first is sent whole, each further one as the words in which it differs; so are lines.

A row that is like none before it goes line by line. What is sent whole is counted from 0, rows and lines apart: `~2 3=W2 1=w2` is the third row
with its fourth word W2 and the one after it w2; `^2 3=W2 1=w2` is the third line so.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from functools import lru_cache

from markupsafe import Markup

_SIGN = re.compile(r"^\^", re.MULTILINE)
_WORD = re.compile(r"[A-Za-z0-9]+")
BETWEEN = "\f"
"""What stands between two rows; no page has it."""


@lru_cache(maxsize=4096)
def _parted(text: str) -> tuple[str, tuple[str, ...]]:
    """What stands between the words of a text, and its words. Held, as the texts of a sheet hardly change from one time to the next."""
    return _WORD.sub("x", text), tuple(_WORD.findall(text))


@dataclass(slots=True)
class SentWhole:
    """Texts that were sent whole: the words of each, and the first by what stands between its words."""

    sent: list[tuple[str, ...]] = field(default_factory=list)
    by_frame: dict[str, int] = field(default_factory=dict)

    def like(self, text: str) -> str | None:
        """A text as the words in which it differs from one before it; None where it goes whole, for nothing is like it or that is no longer."""
        frame, words = _parted(text)
        at = self.by_frame.setdefault(frame, len(self.sent))
        if at < len(self.sent) and len(told := _differs(at, self.sent[at], words)) + 1 < len(text):
            return told
        self.sent.append(words)
        return None


@dataclass(slots=True)
class Seen:
    """What was sent so far of a page."""

    rows: SentWhole = field(default_factory=SentWhole)
    lines: SentWhole = field(default_factory=SentWhole)


def packed(rows: list[str], seen: Seen) -> Markup:
    r"""The rows of one card for the page's script, which unpacks them to the letter.

    >>> packed([Markup("<p>wheel W1</p>"), Markup("<p>wheel W2</p>"), Markup("<p>wheel W3</p>\n<hr>")], Seen())
    Markup('<p>wheel W1</p>\x0c~0 2=W2\x0c^0 2=W3\n<hr>')
    """
    return Markup(BETWEEN).join(Markup(_pack(_SIGN.sub("&#94;", str(row)), seen)) for row in rows)  # noqa: S704  rows are Markup of our own templates


def _pack(row: str, seen: Seen) -> str:
    told = seen.rows.like(row)
    return f"~{told}" if told is not None else "\n".join(_line(line, seen) for line in row.split("\n"))


def _line(line: str, seen: Seen) -> str:
    told = seen.lines.like(line)
    return f"^{told}" if told is not None else line


def _differs(at: int, other: tuple[str, ...], words: tuple[str, ...]) -> str:
    parts, last = [], 0
    for n, (one, two) in enumerate(zip(other, words, strict=True)):
        if one != two:
            parts.append(f"{n - last}={two}")
            last = n
    return " ".join((str(at), *parts))
