"""Files that are there whole or not at all, and outlast a power cut once they are."""

from __future__ import annotations

import errno
import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from wheelside.errors import Outside, ReadOnly


@contextmanager
def whole_file(path: Path, doing: str) -> Iterator[Path]:
    """A half file beside `path` to write into, which takes its place when the block ends, and is gone when it raises.

    File and folder are written out before it returns. Raises Outside, saying what was being done.
    """
    was_there = path.exists()
    try:
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=".half-", suffix=path.suffix)
        os.close(handle)
        half = Path(name)
        try:
            yield half
            _write_out(half)
            half.replace(path)
        except BaseException:
            half.unlink(missing_ok=True)
            raise
        _make_last(path, was_there=was_there)
    except OSError as error:
        raise disk_trouble(error, doing) from error


def _make_last(path: Path, *, was_there: bool) -> None:
    """Makes a new name last; one that can't be made to is taken away again, where there was none before."""
    try:
        sync_folder(path.parent)
    except OSError:
        if not was_there:
            path.unlink(missing_ok=True)
        raise


def disk_trouble(error: OSError, doing: str) -> Outside:
    """What a disk did, and what to do about it."""
    way = (
        "free some room, then do it again"
        if error.errno in (errno.ENOSPC, errno.EDQUOT)
        else ("look after the disk, its room and your rights to the folder; then do it again")
    )
    kind = ReadOnly if error.errno in (errno.EROFS, errno.EACCES, errno.EPERM) else Outside
    return kind(f"{doing}: {error.strerror or error}; {way}")


def sync_folder(folder: Path) -> None:
    """Makes new names in a folder last, where the system can. Raises OSError."""
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:  # folders can't be opened on this system
        return
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _write_out(path: Path) -> None:
    with path.open("rb") as file:
        os.fsync(file.fileno())
