"""One open book to work at: its garage, its plan, and every write, each in one transaction."""

from __future__ import annotations

import os
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any, TypeVar

from wheelside.book.address import is_address
from wheelside.book.book import Book, new_book, open_book
from wheelside.book.entry import View, WriteNote, Writing
from wheelside.book.facts import Row, as_table, facts_now, replace_facts, revision
from wheelside.book.journal import newest_entry
from wheelside.book.reserved import keep_reserved, reserved
from wheelside.book.visitors import change_visitor
from wheelside.errors import Outside
from wheelside.garage.file import checked
from wheelside.garage.model import Garage
from wheelside.garage.offers import without_offers
from wheelside.garage.present import Present, present
from wheelside.garage.treads_out import without_treads
from wheelside.identity.plan import IdentityPlan, Reasons
from wheelside.jobs.source import Clock, now, random_bits
from wheelside.jobs.work.audited import audited
from wheelside.sensor.fresh import RandomBits

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Loaded:
    """The garage as the book has it, the table it was read from, and the number of its last change."""

    garage: Garage
    table: Row
    revision: int


@dataclass
class Desk:
    """A book with its photos, a clock and a random source. Safe to use from several threads.

    `tyres`: by set what was said of its tyres last, with what it was worked out from.
    """

    book: Book
    photos: Path
    clock: Clock = now
    bits: RandomBits = random_bits
    seen: dict[str, int] = field(default_factory=dict, repr=False)
    tyres: dict[str, Any] = field(default_factory=dict, repr=False)
    _loaded: Loaded | None = field(default=None, repr=False)
    _present: tuple[int, Present] | None = field(default=None, repr=False)
    _made: dict[str, tuple[object, Any]] = field(default_factory=dict, repr=False)
    _turns: dict[str, threading.RLock] = field(default_factory=dict, repr=False)
    _plans: dict[tuple[int, date, Reasons, str], IdentityPlan] = field(default_factory=dict, repr=False)
    _treadless: tuple[int, int, Garage] | None = field(default=None, repr=False)
    _busy: threading.Lock = field(default_factory=threading.Lock, repr=False)
    _eyes: threading.Lock = field(default_factory=threading.Lock, repr=False)

    @property
    def name(self) -> str:
        """The book's name without a password."""
        return self.book.name

    @property
    def folder(self) -> Path | None:
        """The folder of the book's file; None for one in a database server."""
        return self.book.folder

    def told(self, what: str, *, person: str = "", via: str = "page", client: str | None = None) -> WriteNote:
        return WriteNote(self.clock(), person, via, what, client)

    @contextmanager
    def writing(self, what: str, *, person: str = "", via: str = "page") -> Iterator[Writing]:
        """One write, with its entry in the journal."""
        with self.book.writing(self.told(what, person=person, via=via)) as writing:
            noted = self._seen_so_far()
            for visitor, us in noted.items():
                change_visitor(writing.conn, visitor, seen_at=us)
            yield writing
        self._kept(noted)

    def saw(self, visitor: str, us: int) -> None:
        """Remembers when a browser was seen last, until the next write keeps it."""
        with self._eyes:
            self.seen[visitor] = us

    def _seen_so_far(self) -> dict[str, int]:
        with self._eyes:
            return dict(self.seen)

    def _kept(self, noted: dict[str, int]) -> None:
        """Forgets what the book has now; what was noted while it was written stays for the next write."""
        with self._eyes:
            self.seen = {visitor: us for visitor, us in self.seen.items() if noted.get(visitor) != us}

    def loaded(self) -> Loaded:
        """The garage as it is now."""
        with self.book.reading() as conn:
            return self.loaded_in(conn)

    def loaded_in(self, conn: View) -> Loaded:
        """The garage as one transaction sees it; read anew only where it has changed."""
        newest = self.book.asked(conn, revision)
        held = self._loaded
        if held is None or held.revision != newest:
            with self.alone("facts"):
                held = self._loaded
                if held is None or held.revision != newest:
                    table = as_table(facts_now(conn))
                    held = self._loaded = Loaded(checked(table, self.name), table, newest)
        return held

    def present(self) -> Present:
        """What is on each car now, and the season line as it really goes on."""
        loaded, day = self.loaded(), self.clock().day
        held = self._present
        if held is None or (held[0], held[1].day) != (loaded.revision, day):
            held = (loaded.revision, present(without_offers(loaded.garage), day))
            self._present = held
        return held[1]

    def once(
        self,
        what: str,
        make: Callable[[], T],
        *,
        of: tuple[object, ...] | None = None,
        since: int | None = None,
        whole: bool = True,
    ) -> T:
        """What was made of the book as it is and of this day; made anew after any write, and on another day. `whole`: it may be held.

        `of`: all that it is made of besides the facts and the day; so it outlasts writes that change neither. `since`: the change of the book
        with which those facts became so that it is made of, the last one where None.
        It is made by one at a time: who asks for it meanwhile waits.
        """
        with self.alone(what):
            at = self.clock()
            with self.book.reading() as conn:
                last = self.book.asked(conn, newest_entry) if of is None else of
                facts = self.book.asked(conn, revision) if since is None else since
                state = (facts, last, at.day, at.offset_min)
            held = self._made.get(what)
            if held is not None and held[0] == state:
                found: T = held[1]
                return found
            found = make()
            if whole:
                self._made[what] = (state, found)
        return found

    @contextmanager
    def alone(self, what: str) -> Iterator[None]:
        """Works at something while nobody else does: they wait until it is done."""
        with self._eyes:
            lock = self._turns.setdefault(what, threading.RLock())
        with lock:
            yield

    def plan(self, day: date | None = None, *, reasons: Reasons = Reasons.NONE, why: str = "") -> IdentityPlan:
        """The identity plan of the garage as it is now; its fresh IDs are set aside in the book.

        `reasons`: what it answers beside what is done; `why`: a wheel whose choices not taken are answered in any case.
        """
        on = day or self.clock().day
        loaded = self.loaded()
        since, garage = self.apart_from_treads(loaded)
        with self._busy:
            key = (since, on, reasons, why)
            held = self._plans.get(key)
            if held is None:
                held = self._planned(garage, on, reasons, why)
                self._plans = {k: v for k, v in self._plans.items() if k[0] == since} | {key: held}
        return held

    def apart_from_treads(self, loaded: Loaded) -> tuple[int, Garage]:
        """The garage with no tread in it, as plans and what is said of air see it, and the change of the book with which it became so."""
        with self.alone("treads"):
            held = self._treadless
            if held is None or held[0] != loaded.revision:
                garage = without_treads(loaded.garage)
                since = held[1] if held is not None and held[2] == garage else loaded.revision
                held = self._treadless = (loaded.revision, since, garage)
            return held[1], held[2]

    def plan_for(self, garage: Garage) -> IdentityPlan:
        """The plan of another garage than the book's, with a change asked for; its fresh IDs are set aside in the book."""
        with self._busy:
            return self._planned(garage, self.clock().day)

    def _planned(self, garage: Garage, day: date, reasons: Reasons = Reasons.NONE, why: str = "") -> IdentityPlan:
        with self.book.reading() as conn:
            earlier = reserved(conn)
        plan = audited(garage, day, earlier, (why,) if why else (), self.bits, reasons=reasons)
        if plan.reserved != earlier:
            with self.writing("fresh IDs set aside", via="plan") as writing:
                keep_reserved(writing, plan.reserved)
        return plan

    def forget_plans(self) -> None:
        """Makes the next plan be worked out anew, and what hangs on it: reservations have changed."""
        with self._busy:
            self._plans, self._made = {}, {}

    def close(self) -> None:
        self.book.close()


def photos_of(where: str) -> Path:
    """The folder beside a book in which its photos lie; for one in a server, in the folder where the program runs."""
    return Path("wheelside.photos") if is_address(where) else Path(where).with_suffix(".photos")


def open_desk(where: str, photos: Path | None = None) -> tuple[Desk, Path | None]:
    """A desk at a book, and the back-up that was made where its tables had to be brought up to date. Raises Mendable, Outside."""
    folder = photos or photos_of(where)
    book, backup = open_book(where, now(), folder)
    return Desk(book, folder), backup


def usual_book() -> Path:
    """Where the book is that nobody named: in the folder that a system has for a person's data."""
    data = os.environ.get("XDG_DATA_HOME", "")
    return (Path(data) if data else Path.home() / ".local" / "share") / "wheelside" / "garage.book"


def usual_desk(photos: Path | None = None) -> Desk:
    """A desk at the book that nobody named; a new one where there is none. Raises Mendable, Outside."""
    where = usual_book()
    if where.exists():
        return open_desk(str(where), photos)[0]
    try:
        where.parent.mkdir(parents=True, exist_ok=True)
        made = where.with_suffix(".new")
        for left in where.parent.glob(f"{made.name}*"):  # of a start that was broken off
            left.unlink()
        new_desk(str(made), photos).close()
        made.replace(where)
    except OSError as error:
        raise Outside(
            f"making a book in {where.parent}: {error.strerror or error}; name one elsewhere: wheelside start my.book"
        ) from error
    return open_desk(str(where), photos)[0]


def new_desk(where: str, photos: Path | None = None, clock: Clock = now) -> Desk:
    """A desk at a new, empty book. Raises Mendable, Outside."""
    folder = photos or photos_of(where)
    if folder.is_dir() and any(folder.iterdir()):
        raise Outside(
            f"making the book {where}: the folder {folder} holds photos of another one; move it away, or name another book"
        )
    desk = Desk(new_book(where, clock()), folder, clock)
    with desk.writing("an empty book", via="command") as writing:
        replace_facts(writing, {"wheelside": 1})
    return desk
