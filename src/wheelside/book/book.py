"""One open book. Everything is read and written through its two kinds of transaction. Write it like this."""

from __future__ import annotations

import os
import secrets
import threading
import uuid
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from enum import Enum
from itertools import chain, count, islice
from pathlib import Path
from typing import TypeVar

from sqlalchemy import Connection, Engine, func, select
from sqlalchemy.exc import DBAPIError

from wheelside.book import tables
from wheelside.book.address import is_address, is_text, spoken
from wheelside.book.backup import BackUp, empty_database, restore_into, write_backup
from wheelside.book.calendar_word import new_word
from wheelside.book.check import rows_wrong
from wheelside.book.checksum import put
from wheelside.book.engine import RESTORE, engine_for, is_small, overtaken, sound, take_turn, transaction
from wheelside.book.entry import WriteNote, Writing
from wheelside.book.layout import NEWEST, bring_to, layout_of, refuse_newer
from wheelside.book.shop_links import end_all_shop_links
from wheelside.book.visitors import show_all_out
from wheelside.errors import BadRequest, Meanwhile, Outside
from wheelside.units.moment import US_PER_S, Moment

T = TypeVar("T")
LEAST_BYTES = 512
"""No book is smaller: the smallest page that SQLite has (https://www.sqlite.org/fileformat2.html, 1.3.2)."""


class Book:
    """A book in a file or in a PostgreSQL database."""

    def __init__(self, where: str, engine: Engine) -> None:
        self.where = where
        self.engine = engine
        self._moment = threading.local()

    @property
    def name(self) -> str:
        """The book's name without a password."""
        return spoken(self.where)

    @property
    def folder(self) -> Path | None:
        """The folder of a book's file; None for one in a database server."""
        return None if is_address(self.where) else Path(self.where).resolve().parent

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """One moment of the book, whatever is written meanwhile: within `one_moment` its own. Raises Outside."""
        view = self._view()
        if view is not None:
            yield view
            return
        with transaction(self.engine, self.where, writes=False) as conn:
            yield conn

    @contextmanager
    def one_moment(self) -> Iterator[Connection]:
        """All that this thread reads within the block is of one moment of the book, though it writes meanwhile: that of the first that it
        reads. Raises Outside.
        """
        with self.reading() as conn:
            if conn is self._view():
                yield conn
                return
            self._moment.view, self._moment.known = conn, {}
            try:
                yield conn
            finally:
                self._moment.view = None

    def asked(self, conn: Connection, question: Callable[[Connection], T]) -> T:
        """What a question about the book is answered; within `one_moment` it is asked but once."""
        if conn is not self._view():
            return question(conn)
        known: dict[Callable[[Connection], T], T] = self._moment.known
        if question not in known:
            known[question] = question(conn)
        return known[question]

    def _view(self) -> Connection | None:
        view: Connection | None = getattr(self._moment, "view", None)
        return view

    @contextmanager
    def writing(self, told: WriteNote) -> Iterator[Writing]:
        """One write with its entry in the journal, kept whole or not at all. Raises Outside."""
        with transaction(self.engine, self.where, writes=True) as conn:
            yield _entered(conn, told)

    @contextmanager
    def quietly(self) -> Iterator[Connection]:
        """A write that is no part of the record: who was let in. Raises Outside."""
        with transaction(self.engine, self.where, writes=True) as conn:
            yield conn

    def close(self) -> None:
        self.engine.dispose()


def _entered(conn: Connection, told: WriteNote) -> Writing:
    """A write, with its entry in the journal."""
    last = conn.execute(select(func.coalesce(func.max(tables.entry.c.num), 0))).scalar_one()
    writing = Writing(conn, int(last) + 1, told.at)
    row = {
        "num": writing.entry, "at": told.at.us, "offset_min": told.at.offset_min, "person": told.person,
        "via": told.via, "what": told.what, "client": told.client,
    }  # fmt: skip
    put(conn, tables.entry, row)
    return writing


def enter(conn: Connection, told: WriteNote) -> Writing:
    """A write in a transaction that has only read so far. Raises Meanwhile where somebody else has written since it began."""
    try:
        take_turn(conn)
        return _entered(conn, told)
    except DBAPIError as error:
        if not overtaken(error):
            raise
        raise Meanwhile("somebody else has written to the book meanwhile; nothing was kept: do it again") from error


def new_book(where: str, at: Moment) -> Book:
    """An empty book. Raises BadRequest where there is something already, Outside where it can't be made."""
    if not is_address(where) and Path(where).exists():
        raise BadRequest(f"there is something at {where} already: name another file", found=where)
    with _made(where) as engine, transaction(engine, where, writes=True) as conn:
        _refuse_full(conn, where)
        bring_to(conn)
        put(conn, tables.book, {"id": str(uuid.uuid4()), "made_at": at.us, "seal": secrets.token_hex(32)})
    return Book(where, engine)


@contextmanager
def _made(where: str) -> Iterator[Engine]:
    """An engine for a book that is being made; its file is gone again where that fails."""
    _private(where)
    try:
        with _engine(where) as engine:
            yield engine
    except BaseException:
        if not is_address(where):
            for name in (where, f"{where}-wal", f"{where}-shm", f"{where}-journal"):
                Path(name).unlink(missing_ok=True)
        raise


def _private(where: str) -> None:
    """Makes a book's file one that only its owner can read: it holds the key with which it signs. Raises Outside."""
    if is_address(where):
        return
    try:
        os.close(os.open(where, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600))
    except OSError as error:
        raise Outside(
            f"making the book {where}: {error.strerror or error}; look at the folder and your rights to it"
        ) from error


@contextmanager
def _engine(where: str) -> Iterator[Engine]:
    """An engine that is closed again where what is done with it fails."""
    engine = engine_for(where)
    try:
        yield engine
    except BaseException:
        engine.dispose()
        raise


def refuse_none(where: str) -> None:
    """Raises BadRequest where there is no file, or one that is not a book."""
    if is_address(where):
        return
    if not Path(where).is_file():
        raise BadRequest(
            f"there is no book {where}: check the name, or make one with 'wheelside book new {where}'", found=where
        )
    if Path(where).stat().st_size < LEAST_BYTES and not is_text(Path(where)):
        raise _damaged(where, "the file is cut off, or empty")
    if is_text(Path(where)):
        raise BadRequest(
            f"{where} is not a book: name one, or make one with 'wheelside book new', from a garage file with --from",
            found=where,
            expected="a book",
        )


def _layout_in(conn: Connection, where: str) -> str:
    """The layout of the book in this transaction. Raises BadRequest where there is none, Outside for damage or a newer one."""
    wrong = sound(conn)
    if wrong:
        raise _damaged(where, wrong[0])
    layout = layout_of(conn)
    if layout is None:
        raise BadRequest(f"{spoken(where)} is not a book: make one with 'wheelside book new'", found=spoken(where))
    refuse_newer(layout, spoken(where))
    if layout == NEWEST and (wrong := tuple(islice(rows_wrong(conn, every=is_small(conn)), 1))):
        raise _damaged(where, wrong[0])
    return layout


def _damaged(where: str, what: str) -> Outside:
    return Outside(
        f"opening the book {spoken(where)}: it is damaged ({what}); nothing was changed. {RESTORE[:1].upper()}{RESTORE[1:]}"
    )


def open_book(where: str, at: Moment, photos: Path) -> tuple[Book, Path | None]:
    """An open book, and the back-up that was made of it where its tables had to be brought up to date.

    The integrity of a file is looked at first. A book of a newer Wheelside is refused. Raises BadRequest, Outside.
    """
    refuse_none(where)
    with _engine(where) as engine:
        with transaction(engine, where, writes=False) as conn:
            layout = _layout_in(conn, where)
        if layout == NEWEST:
            return Book(where, engine), None
        kept = _backup_name(where, layout, at)
        with transaction(engine, where, writes=True) as conn:
            if layout_of(conn) == NEWEST:  # another program has brought it up to date meanwhile
                return Book(where, engine), None
            write_backup(conn, photos, kept, at)
            bring_to(conn)
    return Book(where, engine), kept


class Turn(Enum):
    """When a transaction takes the writers' turn: never; with its first write, in the end; before it reads."""

    NEVER = "never"
    LATER = "later"
    FIRST = "first"


@contextmanager
def at_book(where: str, at: Moment, photos: Path, turn: Turn) -> Iterator[Connection]:
    """One transaction on the book there, in which its integrity and its layout are looked at first.

    A book of an older Wheelside is brought up to date before, as `open_book` does it. Raises BadRequest, Outside.
    """
    refuse_none(where)
    kind = {"writes": turn is Turn.FIRST, "later": turn is Turn.LATER}
    with _engine(where) as engine, closing(Book(where, engine)):
        with transaction(engine, where, **kind) as conn:
            if _layout_in(conn, where) == NEWEST:
                yield conn
                return
        older, _ = open_book(where, at, photos)
        older.close()
        with transaction(engine, where, **kind) as conn:
            yield conn


def _backup_name(where: str, layout: str, at: Moment) -> Path:
    """A name beside the book that is not taken: household.before-0011-from-0002-1764081.zip; a killed program may have left one."""
    stem = Path("book") if is_address(where) else Path(where)
    first = stem.with_suffix(f".before-{NEWEST}-from-{layout}-{at.us // US_PER_S}.zip")
    more = (first.with_suffix(f".{n}.zip") for n in count(2))
    return next(name for name in chain((first,), more) if not name.exists())


def restore_book(backup: Path, where: str, photos: Path, at: Moment) -> tuple[Book, BackUp]:
    """A new book made from a back-up, brought up to date, into which nobody is let by what counted before.

    Raises BadRequest where there is something already, Outside.
    """
    if not is_address(where) and Path(where).exists():
        raise BadRequest(f"there is something at {where} already: name another file", found=where)
    with _made(where) as engine, transaction(engine, where, writes=True) as conn:
        _refuse_full(conn, where)
        made = restore_into(conn, backup, photos)
        bring_to(conn)
        _lock_up(conn, at)
    return Book(where, engine), made


def _lock_up(conn: Connection, at: Moment) -> None:
    """Ends what a back-up can't know of: a visit, a link or an address that was ended after it was made must not count again."""
    show_all_out(conn, at)
    end_all_shop_links(conn, at)
    _entered(conn, new_word(at, "restored from a back-up; the calendar has a new address"))


def _refuse_full(conn: Connection, where: str) -> None:
    if not empty_database(conn):
        raise BadRequest(f"there is something at {spoken(where)} already: name another database", found=spoken(where))


def identity_of(conn: Connection) -> tuple[str, bytes]:
    """The book's permanent identifier, and the private key with which it signs."""
    row = conn.execute(select(tables.book)).one()
    return str(row.id), bytes.fromhex(row.seal)
