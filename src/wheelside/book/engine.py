"""The two databases a book can live in: how each is opened, written to by one at a time, and how its errors read."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, text
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError, DBAPIError, NoSuchModuleError
from sqlalchemy.exc import TimeoutError as PoolTimeout

from wheelside.book.address import is_address, spoken
from wheelside.errors import BadRequest, Outside, ReadOnly

RESTORE = "keep the file as it is, and bring back a back-up with 'wheelside book restore'"
"""What to do about a book that is damaged."""
WAIT_S = 10
"""How long a write waits for another one that is under way."""
_WRITERS_TURN = 7_318_052_611
"""The number of the lock that writers take in turn in PostgreSQL; any that nobody else uses."""


def engine_for(where: str) -> Engine:
    """An engine for a file or a 'postgresql://…' address; nothing is opened yet. Raises BadRequest."""
    if not is_address(where):
        return _sqlite(Path(where))
    if not where.startswith("postgresql://"):
        raise BadRequest(
            f"no book at {where.split(':', 1)[0]}: a book is a file or a PostgreSQL address",
            found=where.split(":", 1)[0],
            expected="postgresql://USER@HOST/DATABASE",
        )
    try:
        address = make_url(where).set(drivername="postgresql+psycopg")
        return _postgres(address)
    except (ImportError, NoSuchModuleError) as error:
        raise BadRequest(
            "books in PostgreSQL need the library psycopg: install Wheelside with its extra 'postgres'"
        ) from error
    except (ArgumentError, ValueError) as error:
        raise BadRequest("the address can't be read: write postgresql://USER@HOST/DATABASE", expected="…") from error


def _sqlite(path: Path) -> Engine:
    engine = create_engine(
        URL.create(
            "sqlite", database=str(path.absolute())
        ),  # as text, a name's '?' and '%' would be read as an address's
        creator=lambda: _connected(path),
        pool_size=20,
        max_overflow=60,
        pool_timeout=WAIT_S,
        hide_parameters=True,  # values are no part of an error: keys and names are among them
    )

    @event.listens_for(engine, "begin")
    def begin(conn: Connection) -> None:
        writes = conn.get_execution_options().get("writes")
        conn.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    return engine


def _connected(path: Path) -> sqlite3.Connection:
    """A connection to a file. Where file or folder take no writes it only reads, as nothing else is to be had then."""
    raw = sqlite3.connect(path.absolute(), timeout=WAIT_S, check_same_thread=False)
    try:
        return _ready(raw)
    except sqlite3.OperationalError as error:
        raw.close()
        kind = error.sqlite_errorcode & 0xFF
        if kind not in (sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_READONLY) or not _whole_without_log(path):
            raise
    only = f"{path.resolve().as_uri()}?immutable=1"
    return _ready(sqlite3.connect(only, timeout=WAIT_S, check_same_thread=False, uri=True))


def _ready(raw: sqlite3.Connection) -> sqlite3.Connection:
    raw.isolation_level = None  # transactions are begun by us, so that tables are made within them too
    for pragma in ("journal_mode = WAL", "synchronous = FULL", "foreign_keys = ON", "trusted_schema = OFF"):
        raw.execute(f"PRAGMA {pragma}").close()
    return raw


def _whole_without_log(path: Path) -> bool:
    """Whether all that a file holds is in it, and nothing of it still in the log beside it."""
    log = path.with_name(f"{path.name}-wal")
    return path.is_file() and path.stat().st_size > 0 and not (log.exists() and log.stat().st_size)


def _postgres(address: Any) -> Engine:
    engine = create_engine(
        address,
        connect_args={"connect_timeout": WAIT_S},
        pool_pre_ping=True,
        pool_size=10,
        max_overflow=40,
        pool_timeout=WAIT_S,
        hide_parameters=True,  # values are no part of an error: keys and names are among them
    )

    @event.listens_for(engine, "begin")
    def begin(conn: Connection) -> None:
        options = conn.get_execution_options()
        if options.get("writes"):
            take_turn(conn)
        else:
            only = "" if options.get("later") else " READ ONLY"
            conn.exec_driver_sql(f"SET TRANSACTION ISOLATION LEVEL REPEATABLE READ{only}")

    return engine


def take_turn(conn: Connection) -> None:
    """Makes this transaction the one that writes. In a file the first write does so by itself."""
    if conn.dialect.name == "sqlite":
        return
    conn.exec_driver_sql("SET LOCAL synchronous_commit = on")
    conn.exec_driver_sql(f"SET LOCAL lock_timeout = '{WAIT_S}s'")
    conn.exec_driver_sql(f"SELECT pg_advisory_xact_lock({_WRITERS_TURN})")


def overtaken(error: DBAPIError) -> bool:
    """Whether a write failed because somebody else wrote after this transaction began to read, or is writing just now.

    A file is busy then (SQLite's result codes, primary code 5); in a server the number of the entry is taken (SQLSTATE 23505).
    """
    if isinstance(error.orig, sqlite3.Error):
        return error.orig.sqlite_errorcode & 0xFF == sqlite3.SQLITE_BUSY
    return getattr(error.orig, "sqlstate", None) == "23505"


@contextmanager
def transaction(engine: Engine, name: str, *, writes: bool, later: bool = False) -> Iterator[Connection]:
    """One transaction: kept whole when the block ends, gone when it raises. Raises Outside for what the disk or server does.

    `later`: it reads, and may write in the end; until then nobody waits for it.
    """
    doing = "writing" if writes else "reading"
    try:
        with engine.connect() as conn:
            conn = conn.execution_options(writes=writes, later=later)  # noqa: PLW2901  the same connection, told what it is for
            with conn.begin():
                yield conn
    except PoolTimeout as error:
        raise Outside(f"{doing} the book {spoken(name)}: too many do so at once; try again in a moment") from error
    except DBAPIError as error:
        raise _outside(error, f"{doing} the book {spoken(name)}") from error
    except UnicodeDecodeError as error:  # what sqlite3 raises for a text with a spoilt byte in it
        raise Outside(f"{doing} the book {spoken(name)}: it is damaged ({error}): {RESTORE}") from error


_AGAIN = "then open the book again, and do it again where it is not there; nothing is kept by half, nor twice"
_SAYINGS = (
    (r"disk is full|No space left", f"the disk is full: free some room, {_AGAIN}"),
    (r"disk I/O error", f"the disk failed or is full: look after the disk and its room, {_AGAIN}"),
    (r"readonly database|read-only", "it can't be written to: look at your rights to the file and its folder"),
    (r"malformed|file is not a database|integrity", f"it is damaged: {RESTORE}"),
    (r"database is locked|lock timeout|canceling statement due to lock", "another program is writing to it: try again when that is done"),
    (r"unable to open", "it can't be opened: look at the name, the folder and your rights to them"),
    (r"connection|server closed|terminating", "the database server can't be reached: look whether it runs and whether the address is right"),
)  # fmt: skip


def _outside(error: DBAPIError, doing: str) -> Outside:
    said = str(error.orig).strip().split("\n")[0]
    for pattern, way in _SAYINGS:
        if re.search(pattern, said, re.IGNORECASE):
            return (ReadOnly if "written to:" in way else Outside)(f"{doing}: {way} ({said})")
    return Outside(f"{doing}: {said}")


WHOLE_UP_TO = 4_000_000
"""A file of so many bytes is looked at in whole whenever it is opened: a household's, in some hundredths of a second."""


def is_small(conn: Connection) -> bool:
    """Whether a book is a file that is looked at in whole whenever it is opened."""
    if conn.dialect.name != "sqlite":
        return False
    pages, size = (int(conn.execute(text(f"PRAGMA {what}")).scalar_one()) for what in ("page_count", "page_size"))
    return pages * size <= WHOLE_UP_TO


def sound(conn: Connection, *, whole: bool = False) -> tuple[str, ...]:
    """What the database itself finds wrong with its pages; empty where nothing. `whole` looks at indexes and references too.

    PostgreSQL looks after its pages by itself; nothing is asked of it.
    """
    if conn.dialect.name != "sqlite":
        return ()
    cut = _cut(conn)
    if cut:
        return (cut,)
    looked = "integrity_check" if whole or is_small(conn) else "quick_check"
    found = [str(row[0]) for row in conn.execute(text(f"PRAGMA {looked}(20)"))]
    if whole:
        found += [f"a row of {row[0]} refers to nothing" for row in conn.execute(text("PRAGMA foreign_key_check"))]
    return tuple(line for line in found if line != "ok")


def _cut(conn: Connection) -> str:
    """What is wrong with the length of a book's file: it is whole pages (https://www.sqlite.org/fileformat2.html, 1.2).

    Where a log stands beside it, a power cut may have torn a page that was being taken over; the log still has it.
    """
    size = int(conn.execute(text("PRAGMA page_size")).scalar_one())
    file = next((str(row[2]) for row in conn.execute(text("PRAGMA database_list")) if row[1] == "main"), "")
    log = Path(f"{file}-wal")
    if not file or (log.exists() and log.stat().st_size):
        return ""
    odd = Path(file).stat().st_size % size
    return f"{odd} bytes stand behind its last whole page" if odd else ""
