"""Holding a book against what must be true of it, by the database's own check and by ours."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

from sqlalchemy import Connection, text

from wheelside.book import tables
from wheelside.book.checksum import damaged
from wheelside.book.engine import sound
from wheelside.book.photos import photo_names, read_photo
from wheelside.book.reading import Purpose, Warmth

_UNKNOWN = " OR ".join(
    f"{column} NOT IN ({', '.join(repr(code.value) for code in codes)})"
    for column, codes in (("purpose", Purpose), ("warmth", Warmth))
)
_RULES = (
    ("two versions of one fact count at once", "SELECT kind || ' ' || key FROM fact WHERE until IS NULL GROUP BY kind, key HAVING COUNT(*) > 1"),
    ("a fact ended before it began", "SELECT kind || ' ' || key FROM fact WHERE until <= since"),
    ("entries are missing", "SELECT 'entry' FROM (SELECT COUNT(*) AS n, MAX(num) AS last FROM entry) e WHERE n <> last"),
    ("evidence is missing", "SELECT 'evidence' FROM (SELECT COUNT(*) AS n, MAX(num) AS last FROM evidence) e WHERE n <> last"),
    ("evidence came twice", "SELECT client FROM evidence GROUP BY client HAVING COUNT(*) > 1"),
    ("a row refers to no entry", "SELECT 'evidence ' || num FROM evidence WHERE entry NOT IN (SELECT num FROM entry)"),
    ("a row refers to no entry", "SELECT 'event ' || num FROM event WHERE entry NOT IN (SELECT num FROM entry)"),
    ("a row refers to no entry", "SELECT 'reading ' || subject FROM reading WHERE entry NOT IN (SELECT num FROM entry) LIMIT 20"),
    ("a row refers to no entry", "SELECT 'mistaken reading ' || num FROM mistaken WHERE entry NOT IN (SELECT num FROM entry)"),
    ("a row refers to no entry", "SELECT 'mistaken reading ' || num FROM mistaken WHERE marked NOT IN (SELECT num FROM entry)"),
    ("mistaken readings are missing", "SELECT 'mistaken' FROM (SELECT COUNT(*) AS n, MAX(num) AS last FROM mistaken) m WHERE n <> last"),
    ("a row refers to no entry", "SELECT 'car record ' || num FROM car_record WHERE entry NOT IN (SELECT num FROM entry)"),
    ("records of cars are missing", "SELECT 'car_record' FROM (SELECT COUNT(*) AS n, MAX(num) AS last FROM car_record) c WHERE n <> last"),
    ("a reading says what no reading says", f"SELECT 'reading ' || subject FROM reading WHERE {_UNKNOWN} LIMIT 20"),  # noqa: S608  codes of ours
    ("a reading says what no reading says", f"SELECT 'mistaken reading ' || num FROM mistaken WHERE {_UNKNOWN}"),  # noqa: S608  as above
    ("the book has more than one identity, or none", "SELECT 'book' FROM (SELECT COUNT(*) AS n FROM book) b WHERE n <> 1"),
)  # fmt: skip


def wrong_with(conn: Connection, photos: Path) -> tuple[str, ...]:
    """Everything that is wrong, one line each; empty where nothing is."""
    return tuple(_wrong(conn, photos))


def _wrong(conn: Connection, photos: Path) -> Iterator[str]:
    pages = sound(conn, whole=True)
    yield from (f"the database: {line}" for line in pages)
    if pages:
        return
    yield from rows_wrong(conn)
    for what, query in _RULES:
        yield from (f"{what}: {row[0]}" for row in conn.execute(text(query)).fetchmany(20))
    for name in photo_names(photos):
        if read_photo(photos, name) is None:
            yield f"the photo {name[:12]}… is not what its name says"
    named = {str(row[0]) for row in conn.execute(text("SELECT body FROM evidence"))}
    there = set(photo_names(photos))
    for body in named:
        yield from (
            f"the photo {name[:12]}… of a piece of evidence is missing" for name in _named(body) if name not in there
        )


def rows_wrong(conn: Connection, *, every: bool = True) -> Iterator[str]:
    """The rows whose checksum is not theirs; of all tables, or of those that every decision rests on: what is believed now, IDs set aside."""
    f = tables.fact.c
    some = ((tables.book, None), (tables.reservation, None), (tables.fact, f.until.is_(None)))
    for table, where in [(t, None) for t in tables.metadata.sorted_tables] if every else some:
        yield from (f"a row is not as it was written: {row}" for row in damaged(conn, table, where))


def _named(body: str) -> Iterator[str]:
    for answer in json.loads(body).get("answers", ()):
        if isinstance(answer, dict) and answer.get("photo"):
            yield str(answer["photo"])
