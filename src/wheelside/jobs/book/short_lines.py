"""Lines of a file of readings, none of which may be so long that it takes all memory."""

from __future__ import annotations

from typing import TextIO

from wheelside.errors import BadRequest

LONGEST_ROW, MOST_COLUMNS = 200_000, 500
"""So many signs a row may have, over all its lines, and so many columns a table."""


class ShortLines:
    """The lines of a text, one at a time. `taken`: signs since the last row; who reads rows sets it back. Raises BadRequest."""

    def __init__(self, lines: TextIO, name: str) -> None:
        self.lines, self.name, self.taken = lines, name, 0

    def __iter__(self) -> ShortLines:
        return self

    def __next__(self) -> str:
        line = self.lines.readline(LONGEST_ROW + 1)
        self.taken += len(line)
        if self.taken > LONGEST_ROW:
            found = f"more than {LONGEST_ROW} characters"
            raise BadRequest(
                f"{self.name} has a row of {found}: look at what it is", found=found, expected="rows of readings"
            )
        if not line:
            raise StopIteration
        return line


def few_columns(heads: tuple[str, ...], name: str) -> tuple[str, ...]:
    """The headings of a table. Raises BadRequest where there are more than any table of readings has."""
    if len(heads) > MOST_COLUMNS:
        found = f"{len(heads)} columns"
        raise BadRequest(
            f"{name} has {found}: keep only those with readings", found=found, expected=f"at most {MOST_COLUMNS}"
        )
    return heads
