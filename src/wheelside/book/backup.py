"""A back-up: one zip file with every row of every table as JSON Lines, and the photos; the same for both databases.

It is taken while others go on writing, shows one moment of the book, and is whole or not there at all.
"""

from __future__ import annotations

import hashlib
import json
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, MetaData, Table, insert, select, text
from sqlalchemy.exc import DataError, IntegrityError, InterfaceError, ProgrammingError

from wheelside.book.disk import whole_file
from wheelside.book.layout import bring_to, known_layouts, layout_of
from wheelside.book.photos import keep_photo, photo_name, photo_names, read_photo
from wheelside.errors import BadRequest, Outside
from wheelside.units.moment import Moment

FORMAT = 1
_DAMAGE = (
    KeyError,
    ValueError,
    TypeError,
    AttributeError,
    EOFError,
    RecursionError,
    OverflowError,
    DataError,
    IntegrityError,
    InterfaceError,
    ProgrammingError,
)
"""What a file that is no back-up, or a damaged one, leads to."""
_CHUNK = 5_000
_LARGEST, _LARGEST_LIST = 20_000_000, 2_000_000
"""So many bytes a member or a row may have: a photo that is kept is far smaller."""
_MANIFEST = "wheelside-backup.json"


@dataclass(frozen=True, slots=True)
class BackUp:
    """What a back-up holds: the book's identifier and layout, rows by table, photos, those that were missing."""

    book: str
    layout: str
    rows: dict[str, int]
    photos: int
    missing: tuple[str, ...]


def write_backup(conn: Connection, photos: Path, to: Path, at: Moment) -> BackUp:
    """Writes what this transaction sees. Raises BadRequest where there is a file already, Outside where it can't be written."""
    if to.exists():
        raise BadRequest(f"there is something at {to} already: name another file", found=str(to))
    with (
        whole_file(to, f"writing the back-up {to}") as half,
        zipfile.ZipFile(half, "w", zipfile.ZIP_DEFLATED, compresslevel=3) as zipped,
    ):
        return _fill(conn, photos, zipped, at)


def _fill(conn: Connection, photos: Path, zipped: zipfile.ZipFile, at: Moment) -> BackUp:
    layout = layout_of(conn)
    assert layout is not None, "only a book is backed up"
    rows, digests = {}, {}
    for table in _tables(conn):
        counted, digest = 0, hashlib.sha256()
        query = select(table).order_by(*table.primary_key.columns)
        with zipped.open(f"tables/{table.name}.jsonl", "w", force_zip64=True) as out:
            for row in conn.execute(query, execution_options={"yield_per": _CHUNK}):
                line = json.dumps(list(row), ensure_ascii=False, allow_nan=False).encode() + b"\n"
                out.write(line)
                digest.update(line)
                counted += 1
        rows[table.name], digests[table.name] = counted, digest.hexdigest()
    missing = []
    kept = 0
    for name in photo_names(photos):
        data = read_photo(photos, name)
        if data is None:
            missing.append(name)
            continue
        zipped.writestr(_member(f"photos/{name}"), data, zipfile.ZIP_STORED)
        kept += 1
    book = str(conn.execute(text("select id from book")).scalar_one())
    manifest = {
        "wheelside_backup": FORMAT, "book": book, "layout": layout, "made_at_us": at.us, "rows": rows,
        "sha256": digests, "columns": {t.name: [c.name for c in t.columns] for t in _tables(conn)}, "photos": kept,
    }  # fmt: skip
    zipped.writestr(_member(_MANIFEST), json.dumps(manifest, indent=1), zipfile.ZIP_DEFLATED)
    return BackUp(book, layout, rows, kept, tuple(missing))


def _member(name: str) -> zipfile.ZipInfo:
    """A member without a time of its own, as the tables are: the list says when the back-up was made."""
    made = zipfile.ZipInfo(name)
    made.external_attr = 0o600 << 16
    return made


def _tables(conn: Connection) -> tuple[Table, ...]:
    """The tables as the database has them, those that others refer to first."""
    found = MetaData()
    found.reflect(conn)
    return tuple(t for t in found.sorted_tables if t.name != "layout")


def restore_into(conn: Connection, backup: Path, photos: Path) -> BackUp:
    """Fills an empty database with a back-up, in the layout that it had. Raises BadRequest for a file that is none or is damaged."""
    if backup.exists() and not backup.is_file():
        raise BadRequest(f"{backup} is no ordinary file; name a back-up", found=str(backup), expected="a file")
    try:
        with zipfile.ZipFile(backup) as zipped:
            return _unpack(conn, zipped, photos, backup)
    except FileNotFoundError as error:
        raise BadRequest(f"there is no back-up {backup}; check the name", found=str(backup)) from error
    except (zipfile.BadZipFile, zipfile.LargeZipFile, *_DAMAGE) as error:
        raise BadRequest(
            f"{backup} is no back-up of a book, or is damaged ({error}); take another one. Nothing was restored",
            found=str(backup),
        ) from error
    except OSError as error:
        raise Outside(f"restoring {backup}: {error.strerror or error}; look after the disk") from error


def _unpack(conn: Connection, zipped: zipfile.ZipFile, photos: Path, backup: Path) -> BackUp:
    manifest = json.loads(_member_of(zipped, _MANIFEST, _LARGEST_LIST))
    if not isinstance(manifest, dict) or manifest.get("wheelside_backup") != FORMAT:
        raise BadRequest(
            f"{backup} is of a format that this Wheelside does not know: use the Wheelside that wrote it, or a newer one"
        )
    if manifest["layout"] not in known_layouts():
        raise BadRequest(
            f"{backup} has the layout {manifest['layout']!r}: use the Wheelside that wrote it, or a newer one"
        )
    bring_to(conn, manifest["layout"])
    for table in _tables(conn):
        _fill_table(conn, table, zipped, manifest)
    kept = 0
    for name in [n for n in zipped.namelist() if n.startswith("photos/")]:
        _keep_photo(photos, name.removeprefix("photos/"), _member_of(zipped, name))
        kept += 1
    if kept != manifest["photos"]:
        raise ValueError(f"{kept} photos of {manifest['photos']}")
    return BackUp(manifest["book"], manifest["layout"], manifest["rows"], kept, ())


def _member_of(zipped: zipfile.ZipFile, name: str, most: int = _LARGEST) -> bytes:
    """The bytes of a member that is no table. Raises ValueError for one that unpacks to more than any of ours."""
    with zipped.open(name) as member:
        data = member.read(most + 1)
    if len(data) > most:
        raise ValueError(f"{name[:40]} is too large")
    return data


def _keep_photo(photos: Path, name: str, data: bytes) -> None:
    if photo_name(data) != name:
        raise ValueError(f"photo {name[:12]} is not what its name says")
    keep_photo(photos, data)


def _fill_table(conn: Connection, table: Table, zipped: zipfile.ZipFile, manifest: dict[str, Any]) -> None:
    columns = manifest["columns"][table.name]
    digest, counted = hashlib.sha256(), 0
    for chunk in _chunks(zipped, table.name):
        for line in chunk:
            digest.update(line)
        conn.execute(insert(table), [dict(zip(columns, json.loads(line), strict=True)) for line in chunk])
        counted += len(chunk)
    if counted != manifest["rows"][table.name] or digest.hexdigest() != manifest["sha256"][table.name]:
        raise ValueError(f"table {table.name} is not what the back-up's list says")


def _chunks(zipped: zipfile.ZipFile, name: str) -> Iterator[list[bytes]]:
    with zipped.open(f"tables/{name}.jsonl") as lines:
        chunk, size = [], 0
        while line := lines.readline(_LARGEST + 1):
            if len(line) > _LARGEST:
                raise ValueError(f"a row of {name} is too large")
            chunk.append(line)
            size += len(line)
            if len(chunk) == _CHUNK or size > _LARGEST:
                yield chunk
                chunk, size = [], 0
        if chunk:
            yield chunk


def empty_database(conn: Connection) -> bool:
    """Whether a database has no tables at all."""
    found = MetaData()
    found.reflect(conn)
    return not found.tables
