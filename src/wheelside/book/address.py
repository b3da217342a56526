"""What names a book: its file, or the address of a database."""

from __future__ import annotations

import re
from pathlib import Path

BEGINS = b"SQLite format 3\x00"
"""The first bytes of a book's file: https://www.sqlite.org/fileformat2.html, 1.3.1."""
SUFFIX = ".book"
MOST_WRONG_BITS = 8
"""A text's first sixteen characters differ from a book's in many more."""


def is_address(where: str) -> bool:
    """Whether a book's name is a database address rather than a file."""
    return bool(re.match(r"[a-z][a-z0-9+]*://", where))


def is_book(path: Path) -> bool:
    """Whether a file is a book rather than a garage file: also a damaged one, whose first bytes are nearly a book's, or are cut off."""
    begins = _begins(path)
    return _nearly(begins) if begins else path.suffix == SUFFIX and path.is_file()


def is_text(path: Path) -> bool:
    """Whether a file begins as a text does, so that it was never a book."""
    begins = _begins(path)
    return bool(begins) and begins.isascii() and b"\0" not in begins and not _nearly(begins)


def _begins(path: Path) -> bytes:
    """The first bytes of a file; none of what is no file. A file that can't be read is told by whoever reads it."""
    try:
        if not path.is_file():
            return b""
        with path.open("rb") as file:
            return file.read(len(BEGINS))
    except OSError:
        return b""


def _nearly(begins: bytes) -> bool:
    """Whether bytes are a book's first ones but for a few bits, or the first of them."""
    wrong = sum((one ^ other).bit_count() for one, other in zip(begins, BEGINS, strict=False))
    return wrong <= MOST_WRONG_BITS


def spoken(where: str) -> str:
    """A book's name as messages show it: an address without its password."""
    if not is_address(where):
        return where
    from sqlalchemy.engine import make_url

    address = make_url(where)
    hidden = [key for key in address.query if "password" in key.lower()]
    return address.difference_update_query(hidden).render_as_string(hide_password=True)
