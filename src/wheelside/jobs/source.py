"""Files in and out, today's date, and the random source."""

from __future__ import annotations

import os
import secrets
import tempfile
from datetime import UTC, date, datetime
from pathlib import Path

from wheelside.errors import BadRequest, Outside
from wheelside.garage.file import read_garage
from wheelside.garage.model import Garage


def today() -> date:
    """The day where the person is."""
    return datetime.now(UTC).astimezone().date()


def random_bits(k: int) -> int:
    """k random bits from the system's cryptographic source."""
    return secrets.randbits(k)


def read_bytes(path: Path, what: str) -> bytes:
    """The bytes of a file. Raises BadRequest where there is none, Outside where it can't be read."""
    try:
        return path.read_bytes()
    except FileNotFoundError as error:
        raise BadRequest(
            f"reading {what}: there is no file {path}; check the name", found=str(path), expected="a file"
        ) from error
    except IsADirectoryError as error:
        raise BadRequest(
            f"reading {what}: {path} is a folder; name the file in it", found=str(path), expected="a file"
        ) from error
    except OSError as error:
        raise Outside(
            f"reading {what} {path}: {error.strerror or error}; check the disk and your rights to the file"
        ) from error


def load_garage(path: Path) -> Garage:
    """The garage of a file. Raises BadFile, BadRequest, Outside."""
    return read_garage(read_bytes(path, "the garage file"), str(path))


def write_whole(path: Path, text: str, what: str) -> None:
    """Writes a file so that either the old or the new content is there, never half. Raises Outside."""
    try:
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
        try:
            with os.fdopen(handle, "w", encoding="utf-8") as out:
                out.write(text)
                out.flush()
                os.fsync(out.fileno())
            Path(name).replace(path)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
    except OSError as error:
        raise Outside(
            f"writing {what} {path}: {error.strerror or error}; free some room, or name another place"
        ) from error
