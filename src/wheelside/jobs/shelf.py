"""Where the reserved IDs of a garage are kept: in the plan file beside a garage file, or in the book itself."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from wheelside.identity.plan import IdentityPlan
from wheelside.identity.reserve import Reservation
from wheelside.jobs import planfile
from wheelside.jobs.source import alone_in, is_book


@dataclass(frozen=True, slots=True)
class Shelf:
    """The reservations there are, and the file or book that they are in. `used`: whether there was anything before."""

    where: Path
    reserved: tuple[Reservation, ...]
    before: planfile.PlanFile | None

    @property
    def used(self) -> bool:
        return bool(self.before.text if self.before else self.reserved)

    def keep(self, reserved: tuple[Reservation, ...], plan: IdentityPlan | None = None) -> None:
        """Keeps reservations in place of those before, with the plan that they are of where there is one. Raises Outside."""
        if self.before is None:
            _keep_in_book(self.where, reserved)
        elif plan is not None:
            planfile.save(self.where, plan, self.before)
        else:
            planfile.save_reserved(self.where, reserved, self.before)


@contextmanager
def shelf_of(garage_file: Path, plan_file: Path | None = None) -> Iterator[Shelf]:
    """The shelf of a garage file or a book, held against other runs while it is used. Raises Mendable, Outside."""
    if is_book(garage_file):
        with alone_in(garage_file.parent):
            yield Shelf(garage_file, _in_book(garage_file), None)
        return
    path = plan_file or planfile.plan_path(garage_file)
    with alone_in(path.parent):
        before = planfile.load(path)
        yield Shelf(path, before.reserved, before)


def reserved_in(garage_file: Path, plan_file: Path | None = None) -> tuple[Reservation, ...]:
    """The reservations of a garage file or a book. Raises Mendable, Outside."""
    if is_book(garage_file):
        return _in_book(garage_file)
    return planfile.load(plan_file or planfile.plan_path(garage_file)).reserved


def _in_book(book: Path) -> tuple[Reservation, ...]:
    from wheelside.book.reserved import reserved
    from wheelside.jobs.desk import open_desk

    desk, _ = open_desk(str(book))
    try:
        with desk.book.reading() as conn:
            return reserved(conn)
    finally:
        desk.close()


def _keep_in_book(book: Path, wanted: tuple[Reservation, ...]) -> None:
    from wheelside.book.reserved import keep_reserved
    from wheelside.jobs.desk import open_desk

    desk, _ = open_desk(str(book))
    try:
        with desk.writing("fresh IDs set aside", via="command") as writing:
            keep_reserved(writing, wanted)
    finally:
        desk.close()
