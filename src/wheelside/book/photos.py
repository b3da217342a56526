"""Photos beside the book, named by what is in them, so that a name can't lead anywhere else."""

from __future__ import annotations

import hashlib
import re
from pathlib import Path

from wheelside.book.disk import disk_trouble, sync_folder, whole_file
from wheelside.errors import BadRequest

_NAME = re.compile(r"[0-9a-f]{64}\.jpg")


def photo_name(data: bytes) -> str:
    """The name of a photo: the SHA-256 of its bytes."""
    return f"{hashlib.sha256(data).hexdigest()}.jpg"


def checked_name(name: str) -> str:
    """The name, where it is one that a photo can have. Raises BadRequest."""
    if not _NAME.fullmatch(name):
        raise BadRequest("no photo has such a name", found=name[:80], expected="64 hex digits and .jpg")
    return name


def keep_photo(folder: Path, data: bytes) -> str:
    """Keeps a photo whole or not at all, once; its name. Raises Outside."""
    name = photo_name(data)
    path = folder / name
    doing = f"keeping a photo in {folder}"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        if path.exists():
            sync_folder(folder)
            return name
    except OSError as error:
        raise disk_trouble(error, doing) from error
    with whole_file(path, doing) as half:
        half.write_bytes(data)
    return name


def read_photo(folder: Path, name: str) -> bytes | None:
    """A photo's bytes; None where there is none, or where it is not any more what its name says. Raises BadRequest."""
    try:
        data = (folder / checked_name(name)).read_bytes()
    except FileNotFoundError:
        return None
    return data if photo_name(data) == name else None


def photo_names(folder: Path) -> tuple[str, ...]:
    """The names of all photos there."""
    if not folder.is_dir():
        return ()
    return tuple(sorted(p.name for p in folder.iterdir() if _NAME.fullmatch(p.name)))
