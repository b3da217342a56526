"""Files in and out, today's date, and the random source."""

from __future__ import annotations

import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime
from pathlib import Path

from wheelside.book.disk import whole_file
from wheelside.errors import BadRequest, Outside
from wheelside.units.moment import Moment


def today() -> date:
    """The day where the person is."""
    return datetime.now(UTC).astimezone().date()


def now() -> Moment:
    """This moment, in the zone where the person is."""
    return Moment.of(datetime.now(UTC).astimezone())


def random_bits(k: int) -> int:
    """k random bits from the system's cryptographic source."""
    return secrets.randbits(k)


def read_bytes(path: Path, what: str) -> bytes:
    """The bytes of a file. Raises BadRequest where there is none, or no ordinary one; Outside where it can't be read."""
    try:
        if path.exists() and not path.is_file():
            kind = "a folder; name the file in it" if path.is_dir() else "no ordinary file; name one that is"
            raise BadRequest(f"reading {what}: {path} is {kind}", found=str(path), expected="a file")
        return path.read_bytes()
    except FileNotFoundError as error:
        raise BadRequest(
            f"reading {what}: there is no file {path}; check the name", found=str(path), expected="a file"
        ) from error
    except OSError as error:
        raise Outside(
            f"reading {what} {path}: {error.strerror or error}; check the disk and your rights to the file"
        ) from error


_BOOK = b"SQLite format 3\x00"


def is_book(path: Path) -> bool:
    """Whether a file is a book rather than a garage file."""
    try:
        with path.open("rb") as file:
            return file.read(len(_BOOK)) == _BOOK
    except OSError:  # told by whoever reads it
        return False


@contextmanager
def alone_in(folder: Path) -> Iterator[None]:
    """Holds a folder against other runs of Wheelside, where the system can; waits for one that holds it.

    Raises Outside where the folder can't be opened.
    """
    try:
        import fcntl
    except ImportError:  # no such locks on this system
        yield
        return
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError as error:
        raise Outside(
            f"opening the folder {folder}: {error.strerror or error}; check its name and your rights to it"
        ) from error
    try:
        fcntl.flock(handle, fcntl.LOCK_EX)
        yield
    finally:
        os.close(handle)


def write_whole(path: Path, text: str, what: str) -> None:
    """Writes a file so that either the old or the new content is there, never half. Raises Outside."""
    with whole_file(path, f"writing {what} {path}") as half:
        half.write_text(text, encoding="utf-8")
