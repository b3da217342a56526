"""What of a recording is looked at before the library reads it: its size, the length of its lines, what its packed parts come to."""

from __future__ import annotations

import re
import struct
import zlib
from itertools import count as count_from
from pathlib import Path

from wheelside.errors import BadRequest

LARGEST, LARGEST_UNPACKED, LONGEST_LINE = 20_000_000, 25_000_000, 10_000
MOST_LINES, MOST_FRAMES = 250_000, 200_000
"""Some minutes of a whole bus; a conversation has some hundreds."""
_HEADER_SIZE, _OBJECT, _CONTAINER, _PACKED = struct.Struct("<4sL"), struct.Struct("<4sHHLL"), 10, 2
_CONTAINER_HEAD = 16
_NO_LENGTH = re.compile(rb"LOBJ.{4}(?:[\x00-\x0f]\x00\x00\x00|..[\x10-\xff]|...[^\x00])", re.DOTALL)
"""An object of BLF that is shorter than its own head, or longer than any: the library would read it for ever."""


def refuse_large(file: Path) -> None:
    """Raises BadRequest for a recording that would take all memory or never end, or that is no ordinary file; OSError."""
    if file.exists() and not file.is_file():
        raise BadRequest(f"{file} is no ordinary file; name a recording", found=str(file), expected="a CAN log")
    size = file.stat().st_size
    if size > LARGEST:
        raise too_large(file, f"{size} bytes")
    if file.suffix == ".blf":
        _refuse_packed(file, file.read_bytes())
        return
    with file.open("rb") as lines:
        for count in count_from(1):
            line = lines.readline(LONGEST_LINE + 1)
            if not line:
                return
            if count > MOST_LINES:
                raise too_large(file, f"more than {MOST_LINES} lines")
            if len(line) > LONGEST_LINE:
                raise too_large(file, f"a line of more than {LONGEST_LINE} characters")


def too_large(file: Path, found: str) -> BadRequest:
    """Why a recording is not read."""
    return BadRequest(
        f"{file} is too large: {found}; record only the conversation, or cut it",
        found=found,
        expected=f"at most {LARGEST} bytes and {MOST_FRAMES} frames",
    )


def _refuse_packed(file: Path, data: bytes) -> None:
    if len(data) < _HEADER_SIZE.size:
        return  # told by the library, as all else that is no BLF
    at, unpacked = _HEADER_SIZE.unpack_from(data)[1], 0
    while at + _OBJECT.size <= len(data):
        sign, _, _, size, kind = _OBJECT.unpack_from(data, at)
        if sign != b"LOBJ" or size < _OBJECT.size:
            raise BadRequest(
                f"{file} can't be read as a recording: it is damaged", found=str(file), expected="a CAN log"
            )
        inside = data[at + _OBJECT.size : at + size]
        if kind == _CONTAINER:
            held = _held(inside, LARGEST_UNPACKED - unpacked)
            unpacked += len(held)
            if unpacked >= LARGEST_UNPACKED:
                raise too_large(file, f"more than {LARGEST_UNPACKED} bytes unpacked")
            if _NO_LENGTH.search(held):
                raise BadRequest(
                    f"{file} can't be read as a recording: it is damaged", found=str(file), expected="a CAN log"
                )
        at += size + size % 4


def _held(inside: bytes, most: int) -> bytes:
    """What a container holds, no more than `most` bytes of it."""
    body = inside[_CONTAINER_HEAD:]
    if int.from_bytes(inside[:2], "little") != _PACKED:
        return body[:most]
    try:
        return zlib.decompressobj().decompress(body, most)
    except zlib.error:
        return b""  # told by the library
