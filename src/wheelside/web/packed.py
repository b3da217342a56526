"""Rows of a page that differ in single words only: the first is sent whole, each further one as the words in which it differs."""

from __future__ import annotations

import re

from markupsafe import Markup

_WORD = re.compile(r"[A-Za-z0-9]+")
BETWEEN = "\f"
"""What stands between two rows; no page has it."""


class Seen:
    """The rows that were sent so far, by what stands between their words."""

    def __init__(self) -> None:
        """None yet."""
        self.rows: list[list[str]] = []
        self.by_frame: dict[str, int] = {}


def packed(rows: list[str], seen: Seen) -> Markup:
    """The rows of one card for the page's script, which unpacks them to the letter.

    >>> packed([Markup("<p>wheel W1</p>"), Markup("<p>wheel W2</p>")], Seen())
    Markup('<p>wheel W1</p>\\x0c~0 2=W2')
    """
    return Markup(BETWEEN).join(Markup(_pack(str(row), seen)) for row in rows)  # noqa: S704  rows are Markup of our own templates


def _pack(row: str, seen: Seen) -> str:
    frame, words = _WORD.sub("x", row), _WORD.findall(row)
    like = seen.by_frame.setdefault(frame, len(seen.rows))
    if like == len(seen.rows):
        seen.rows.append(words)
        return row
    other, parts, last = seen.rows[like], [], 0
    for n, (one, two) in enumerate(zip(other, words, strict=True)):
        if one != two:
            parts.append(f"{n - last}={two}")
            last = n
    return " ".join((f"~{like}", *parts))
