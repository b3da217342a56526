"""Files in and out, the clock, and the random source. Nothing else in Wheelside reads the machine's clock."""

from __future__ import annotations

import os
import re
import secrets
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime
from functools import lru_cache
from pathlib import Path

from wheelside.book.disk import whole_file
from wheelside.car.frames import Time
from wheelside.errors import BadRequest, Outside
from wheelside.units.moment import Moment

Clock = Callable[[], Moment]
CLOCK = "WHEELSIDE_CLOCK"
"""The environment variable with the moment at which the program's clock starts, RFC 3339 with its offset."""
_RFC_3339 = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d{1,6})?(Z|[+-]\d\d:\d\d)")


def today() -> date:
    """The day where the person is. Raises BadRequest as `now` does."""
    return now().day


RUNNING = Time(time.monotonic, time.sleep)
"""The clock that tells no day and only runs on, and waiting by it."""


def now() -> Moment:
    """This moment, in the zone where the person is: by the clock that `WHEELSIDE_CLOCK` gives, else by the machine's.

    Raises BadRequest where the variable holds no moment.
    """
    text = os.environ.get(CLOCK, "")
    return given(text)() if text else machine()


def machine() -> Moment:
    """This moment by the machine's clock and in its zone."""
    return Moment.of(datetime.now(UTC).astimezone())


@lru_cache(maxsize=1)
def given(text: str) -> Clock:
    """The clock that a moment in RFC 3339 starts; it goes on running from the first time that it was asked for. Raises BadRequest."""
    return clock_from(_moment(text))


def clock_from(start: Moment) -> Clock:
    """A clock that shows `start` now and runs on."""
    began = time.monotonic_ns()
    return lambda: Moment(start.us + (time.monotonic_ns() - began) // 1000, start.offset_min)


def _moment(text: str) -> Moment:
    wanted = "2026-11-25T09:00:00+01:00"
    try:
        when = datetime.fromisoformat(text) if _RFC_3339.fullmatch(text) else None
    except ValueError:
        when = None
    if when is None or not 1980 <= when.year <= 2200:
        raise BadRequest(
            f"{CLOCK}={text}: write a moment from 1980 to 2200 with its offset, as in {wanted}; or leave it out",
            found=text,
            expected=wanted,
        )
    return Moment.of(when)


def random_bits(k: int) -> int:
    """k random bits from the system's cryptographic source."""
    return secrets.randbits(k)


MOST_BYTES = 60_000_000


def read_bytes(path: Path, what: str, most: int = MOST_BYTES) -> bytes:
    """The bytes of a file. Raises BadRequest where there is none, no ordinary one, or one that is too large; Outside where it can't be read."""
    try:
        if path.exists() and not path.is_file():
            kind = "a folder; name the file in it" if path.is_dir() else "no ordinary file; name one that is"
            raise BadRequest(f"reading {what}: {path} is {kind}", found=str(path), expected="a file")
        with path.open("rb") as file:
            data = file.read(most + 1)
    except FileNotFoundError as error:
        raise BadRequest(
            f"reading {what}: there is no file {path}; check the name", found=str(path), expected="a file"
        ) from error
    except OSError as error:
        raise Outside(
            f"reading {what} {path}: {error.strerror or error}; check the disk and your rights to the file"
        ) from error
    if len(data) > most:
        size = f"more than {most // 1_000_000} MB"
        raise BadRequest(
            f"reading {what}: {path} has {size}; look at what it is", found=size, expected=f"at most {most} bytes"
        )
    return data


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


def write_whole(path: Path, held: str | bytes, what: str) -> None:
    """Writes a file so that either the old or the new content is there, never half. Raises Outside."""
    with whole_file(path, f"writing {what} {path}") as half:
        half.write_bytes(held.encode("utf-8") if isinstance(held, str) else held)
