"""The garage of a file, be it a garage file or a book."""

from __future__ import annotations

from pathlib import Path

from wheelside.declared.text import Table
from wheelside.garage.file import read_text, text_of
from wheelside.garage.model import Garage
from wheelside.jobs.source import is_book, read_bytes


def load_garage(path: Path) -> Garage:
    """The garage of a file or a book. Raises BadFile, BadRequest, Outside."""
    return load_both(path)[0]


def load_both(path: Path) -> tuple[Garage, Table]:
    """The garage of a file or a book, and the table that describes it: the file's, or the book's rows. Raises as `load_garage`."""
    if not is_book(path):
        return read_text(text_of(read_bytes(path, "the garage file"), str(path)), str(path))
    from wheelside.jobs.desk import open_desk

    desk, _ = open_desk(str(path))
    try:
        loaded = desk.loaded()
    finally:
        desk.close()
    return loaded.garage, loaded.table
