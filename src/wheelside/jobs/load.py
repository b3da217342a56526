"""The garage of a file, be it a garage file or a book."""

from __future__ import annotations

from pathlib import Path

from wheelside.garage.file import read_garage
from wheelside.garage.model import Garage
from wheelside.jobs.source import is_book, read_bytes


def garage_bytes(path: Path) -> bytes:
    """The bytes of a garage file, be it out of a book. Raises BadFile, BadRequest, Outside."""
    if not is_book(path):
        return read_bytes(path, "the garage file")
    from wheelside.jobs.desk import open_desk
    from wheelside.jobs.files import garage_text

    desk, _ = open_desk(str(path))
    try:
        return garage_text(desk).encode()
    finally:
        desk.close()


def load_garage(path: Path) -> Garage:
    """The garage of a file or a book. Raises BadFile, BadRequest, Outside."""
    return read_garage(garage_bytes(path), str(path))
