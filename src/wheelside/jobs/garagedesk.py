"""The desk at which a garage is worked: a garage file with its plan file, or a book. Whoever works there does not ask which.

    at_desk(where, lambda desk: earshot(desk.load().garage))

Every job that reads a garage is done so. `where` is a garage file, a book's file, or the address of a database.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import nullcontext
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, TypeAlias, TypeVar

from wheelside.book.address import is_address, is_book, spoken
from wheelside.declared.text import LARGEST_BYTES, Table
from wheelside.errors import BadRequest, Meanwhile
from wheelside.garage.file import checked, read_text, text_of
from wheelside.garage.model import Garage
from wheelside.identity.reserve import Reservation
from wheelside.jobs import planfile
from wheelside.jobs.notice import NOTICED
from wheelside.jobs.source import alone_in, now, read_bytes
from wheelside.said import Said

if TYPE_CHECKING:  # the database's library and the solver come with these: not every command needs them
    from wheelside.book.entry import View
    from wheelside.identity.plan import IdentityPlan

Where: TypeAlias = str | Path
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class OnDesk:
    """A garage, the table that describes it, and the garage file's text: of a book the one that was taken in last.

    `source`: where it comes from, as a journal notes it.
    """

    garage: Garage
    table: Table
    text: str
    source: str


@dataclass(frozen=True, slots=True)
class FileDesk:
    """A garage file, as its text was when the work began, and the plan file beside it."""

    name: str
    text: str
    plan_file: Path

    def load(self) -> OnDesk:
        """The garage as it is. Raises BadFile."""
        garage, table = read_text(self.text, self.name)
        return OnDesk(garage, table, self.text, f"garage file {Path(self.name).name}")

    def reserved(self) -> tuple[Reservation, ...]:
        """Every reservation, released ones too. Raises BadFile, Outside."""
        return planfile.load(self.plan_file).reserved

    def keep(self, reserved: tuple[Reservation, ...], plan: IdentityPlan | None = None) -> str | None:
        """Keeps reservations, with the plan that they are of where there is one; where they are now.

        None where there is nothing to keep and never was. Raises BadFile, Outside.
        """
        before = planfile.load(self.plan_file)
        if not reserved and not before.text:
            return None
        if plan is not None:
            planfile.save(self.plan_file, plan, before)
        else:
            planfile.save_reserved(self.plan_file, reserved, before)
        return str(self.plan_file)


@dataclass(frozen=True, slots=True)
class BookDesk:
    """A book, within one transaction."""

    name: str
    conn: View

    def load(self) -> OnDesk:
        """The garage as it is. Raises BadFile."""
        from wheelside.book.facts import as_table, facts_now, last_text

        table = as_table(facts_now(self.conn))
        return OnDesk(checked(table, self.name), table, last_text(self.conn), f"book {self.name}")

    def reserved(self) -> tuple[Reservation, ...]:
        """Every reservation, released ones too."""
        from wheelside.book.reserved import reserved

        return reserved(self.conn)

    def keep(self, reserved: tuple[Reservation, ...], _: IdentityPlan | None = None) -> str | None:
        """Adds what is new among reservations; where they are now, None where there are none. A plan is not kept.

        Raises Meanwhile where somebody else has written to the book since the work began.
        """
        from wheelside.book.book import enter
        from wheelside.book.entry import WriteNote
        from wheelside.book.reserved import keep_reserved

        before = self.reserved()
        if reserved != before:
            keep_reserved(enter(self.conn, WriteNote(now(), "", "command", "fresh IDs set aside")), reserved)
        return self.name if reserved or before else None


GarageDesk: TypeAlias = FileDesk | BookDesk


def at_desk(where: Where, work: Callable[[GarageDesk], T], *, keeps: bool = False, plan_file: Path | None = None) -> T:
    """What `work` comes to at the desk of a garage; at a book all of it is one transaction.

    `keeps`: it may keep something in the end. Then a plan file is held against other runs; at a book nobody waits while
    the work goes on, and where somebody has written meanwhile it is done a second time, alone.
    `plan_file`: where a garage file's reserved IDs are, beside it where None. Raises Mendable, Outside.
    """
    if in_a_book(where):
        if plan_file is not None:
            way = "a book keeps its reserved IDs itself: leave --plan-file out"
            raise BadRequest(f"--plan-file {plan_file}: {way}", found=str(plan_file))
        return _at_book(str(where), work, keeps=keeps)
    file = Path(where)
    text = text_of(read_bytes(file, "the garage file", LARGEST_BYTES), str(file))
    desk = FileDesk(str(file), text, plan_file or planfile.plan_path(file))
    with alone_in(desk.plan_file.parent) if keeps else nullcontext():
        return work(desk)


def _at_book(where: str, work: Callable[[GarageDesk], T], *, keeps: bool) -> T:
    from wheelside.book.book import Turn, at_book
    from wheelside.jobs.book.clock_back import clock_back
    from wheelside.jobs.book.desk import photos_of

    def once(turn: Turn) -> T:
        with at_book(where, now(), photos_of(where), turn) as conn:
            _notice(clock_back(conn, now()))
            return work(BookDesk(spoken(where), conn))

    try:
        return once(Turn.LATER if keeps else Turn.NEVER)
    except Meanwhile:
        return once(Turn.FIRST)


def _notice(said: Said | None) -> None:
    tell = NOTICED.get()
    if said is not None and tell is not None:
        tell(said)


def in_a_book(where: Where) -> bool:
    """Whether a garage is kept in a book rather than a file."""
    return is_address(str(where)) or is_book(Path(where))


def load_garage(where: Where) -> Garage:
    """The garage of a file or a book. Raises BadFile, BadRequest, Outside."""
    return at_desk(where, lambda desk: desk.load().garage)


def called(where: Where) -> str:
    """How a garage's place is named to people: an address without its password."""
    return spoken(str(where))
