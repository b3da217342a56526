"""What names a book: its file, or the address of a database."""

from __future__ import annotations

import re
from pathlib import Path

BEGINS = b"SQLite format 3\x00"
"""The first bytes of a book's file: https://www.sqlite.org/fileformat2.html, 1.3.1."""


def is_address(where: str) -> bool:
    """Whether a book's name is a database address rather than a file."""
    return bool(re.match(r"[a-z][a-z0-9+]*://", where))


def is_book(path: Path) -> bool:
    """Whether a file is a book rather than a garage file."""
    return _begins(path) == BEGINS


def is_text(path: Path) -> bool:
    """Whether a file begins as a text does, so that it was never a book."""
    begins = _begins(path)
    return bool(begins) and begins.isascii() and b"\0" not in begins


def _begins(path: Path) -> bytes:
    """The first bytes of an ordinary file; none of anything else, which could keep us waiting."""
    try:
        if not path.is_file():
            return b""
        with path.open("rb") as file:
            return file.read(len(BEGINS))
    except OSError:  # told by whoever reads it
        return b""


def spoken(where: str) -> str:
    """A book's name as messages show it: an address without its password."""
    if not is_address(where):
        return where
    from sqlalchemy.engine import make_url

    return make_url(where).render_as_string(hide_password=True)
