"""Garage files and readings into a book and out of it, and back-ups."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time
from pathlib import Path
from typing import Any

from wheelside.book.backup import BackUp, write_backup
from wheelside.book.book import restore_book
from wheelside.book.check import wrong_with
from wheelside.book.events import Event, Happened, add_events
from wheelside.book.facts import (
    Row,
    as_body,
    as_table,
    facts_now,
    facts_on,
    from_body,
    keep_text,
    last_text,
    replace_facts,
    revision,
)
from wheelside.book.readings import all_readings
from wheelside.book.reserved import keep_reserved
from wheelside.book.reserved import reserved as reserved_now
from wheelside.errors import BadRequest, Meanwhile
from wheelside.garage.file import checked, read_text, text_of
from wheelside.garage.model import Garage, Joining, Wheel
from wheelside.garage.rows import SINGLE, TOP, rows_of
from wheelside.garage.write import written
from wheelside.identity.reserve import Reservation
from wheelside.jobs import planfile
from wheelside.jobs.book.desk import Desk, new_desk, photos_of
from wheelside.jobs.book.reading_file import write_readings
from wheelside.jobs.garagedesk import GarageDesk, OnDesk, Where, at_desk
from wheelside.jobs.source import now, write_whole
from wheelside.units.moment import Moment


@dataclass(frozen=True, slots=True)
class TakenIn:
    """What came of taking in a garage file: how many rows changed, and how many IDs were set aside."""

    rows: int
    reserved: int


@dataclass(frozen=True, slots=True)
class Coming:
    """What taking in a garage file would do to the book: rows by what becomes of them, and the book's last change."""

    text: str
    added: tuple[str, ...]
    changed: tuple[str, ...]
    gone: tuple[str, ...]
    revision: int


def look_at(desk: Desk, data: bytes, name: str) -> Coming:
    """What a garage file would change. Raises BadFile, Outside."""
    text = text_of(data, name)
    _, table = read_text(text, name)
    with desk.book.reading() as conn:
        now, last = as_table(facts_now(conn)), revision(conn)
    old, new = _by_name(now), _by_name(table)
    changed = [k for k in new if k in old and new[k] != old[k]]
    gone, added = [k for k in old if k not in new], [k for k in new if k not in old]
    return Coming(text, _spoken(added), _spoken(changed), _spoken(gone), last)


def _by_name(table: Row) -> dict[tuple[str, str], str]:
    """Rows by kind and id; those without an id by what they say."""
    return {
        (kind, key or ("" if kind in (TOP, *SINGLE) else as_body(body))): as_body(body)
        for kind, key, body in rows_of(table)
    }


def _spoken(keys: list[tuple[str, str]]) -> tuple[str, ...]:
    """Rows in a few words: by their id, else by what they say."""
    return tuple(f"{kind.replace('_', ' ')} {_few_words(key)}".strip() for kind, key in keys)


def _few_words(key: str) -> str:
    if not key.startswith("{"):
        return key
    body = from_body(key)
    said = [f"{k.replace('_', ' ')} {v}" for k, v in body.items() if isinstance(v, (str, int, date))]
    return ", ".join((*body.get("between", ()), *said))[:90]


def take_in(desk: Desk, where: Where, *, plan_file: Path | None = None, person: str = "") -> TakenIn:
    """Makes the book's facts those of a garage file or of another book, with the IDs reserved there. Raises Mendable, Outside."""
    there, set_aside = at_desk(where, _all_of, plan_file=plan_file)
    return _taken_in(desk, there, reserved=set_aside, person=person)


def _all_of(desk: GarageDesk) -> tuple[OnDesk, tuple[Reservation, ...]]:
    return desk.load(), desk.reserved()


def new_book_from(source: Where, where: str, photos: Path | None = None) -> tuple[Desk, TakenIn]:
    """A desk at a new book with what a garage file or another book has; none is made where that can't be read. Raises as `take_in`."""
    there, set_aside = at_desk(source, _all_of)
    desk = new_desk(where, photos)
    return desk, _taken_in(desk, there, reserved=set_aside)


def take_in_text(
    desk: Desk, text: str, name: str, *, since: int | None = None, person: str = "", via: str = "command"
) -> TakenIn:
    """Makes the book's facts those of a garage file's text. `since`: the book's last change that the person knew of.

    Raises BadFile, Meanwhile where the book has changed since, Outside.
    """
    garage, table = read_text(text_of(text.encode(), name), name)
    given = OnDesk(garage, table, text, f"garage file {name}")
    return _taken_in(desk, given, since=since, person=person, via=via)


def _taken_in(
    desk: Desk, given: OnDesk, *, reserved: tuple[Reservation, ...] = (), since: int | None = None, person: str = "",
    via: str = "command",
) -> TakenIn:  # fmt: skip
    with desk.writing(given.source, person=person, via=via) as writing:
        if since is not None and revision(writing.conn) != since:
            raise Meanwhile("the book has changed since you looked at that garage file: send it again and look again")
        before = checked(as_table(facts_now(writing.conn)) or {"wheelside": 1}, desk.book.name)
        rows = replace_facts(writing, given.table)
        keep_text(writing, given.text)
        after = checked(as_table(facts_now(writing.conn)), desk.book.name)
        add_events(writing, joinings_between(before, after, desk.clock()))
        kept = keep_reserved(writing, reserved)
    desk.forget_plans()
    return TakenIn(rows, kept)


def joinings_between(before: Garage, after: Garage, at: Moment) -> list[Event]:
    """The joinings that one garage has and the other had not, and those that ended, as events."""
    events = []
    old = {wheel.id: wheel.joined for wheel in before.wheel}
    for wheel in after.wheel:
        known = old.get(wheel.id, ())
        new = [j for j in wheel.joined if j not in known]
        events += [e for j in new for e in _joining_events(wheel, j, known, at)]
    return events


def _joining_events(wheel: Wheel, j: Joining, known: tuple[Joining, ...], at: Moment) -> list[Event]:
    parts: dict[str, Any] = {"wheel": wheel.id, "rim": j.rim, "tyre": j.tyre, "sensor": j.sensor}
    same = [k for k in known if (k.rim, k.tyre, k.sensor) == (j.rim, j.tyre, j.sensor)]
    events = [] if same else [Event(Happened.JOINED, at_day(j.since, at), **parts)]
    if j.until is not None and not any(k.until == j.until for k in same):
        events.append(Event(Happened.PARTED, at_day(j.until, at), **parts))
    return events


def at_day(day: date | None, at: Moment) -> Moment:
    """The beginning of a day where the person is; `at` where it is that day, or not known."""
    if day is None or day == at.day or not 1980 <= day.year <= 2199:
        return at
    zone = at.local.tzinfo
    return Moment.of(datetime.combine(day, time(), tzinfo=zone))


def garage_text(desk: Desk, *, day: Moment | None = None) -> str:
    """The book's facts as a garage file, with the comments and order of the one that was taken in; as of a moment where given."""
    with desk.book.reading() as conn:
        rows = facts_on(conn, day.us) if day else facts_now(conn)
        return written(_with_version(as_table(rows)), last_text(conn))


def _with_version(table: Row) -> Row:
    return {"wheelside": 1, **table}


def give_out(desk: Desk, file: Path, *, day: Moment | None = None) -> None:
    """Writes the garage file, and the reserved IDs as a plan file beside it. Raises BadRequest where a file is there, Outside."""
    plan_path = planfile.plan_path(file)
    for path in (file, plan_path):
        if path.exists():
            raise BadRequest(f"there is something at {path} already: name another file", found=str(path))
    text = garage_text(desk, day=day)
    with desk.book.reading() as conn:
        kept = reserved_now(conn)
    write_whole(file, text, "the garage file")
    if kept:
        planfile.save_reserved(plan_path, kept, planfile.PlanFile((), ""))


def give_out_readings(desk: Desk, file: Path, subject: tuple[str, str] | None = None) -> int:
    """Writes readings into a CSV, JSON Lines or Parquet file; how many. Raises Mendable, Outside."""
    with desk.book.reading() as conn:
        return write_readings(file, all_readings(conn, *(subject or (None, None))))


def back_up(desk: Desk, to: Path) -> BackUp:
    """Writes a back-up while others go on working. Raises Mendable, Outside."""
    with desk.book.reading() as conn:
        return write_backup(conn, desk.photos, to, desk.clock())


def restore(backup: Path, where: str, photos: Path | None = None) -> tuple[Desk, BackUp]:
    """A new book from a back-up; no visit, link or calendar's address of before counts in it. Raises Mendable, Outside."""
    folder = photos or photos_of(where)
    book, made = restore_book(backup, where, folder, now())
    return Desk(book, folder, now), made


def wrong(desk: Desk) -> tuple[str, ...]:
    """Everything that is wrong with the book, its garage included; empty where nothing is."""
    with desk.book.reading() as conn:
        found = wrong_with(conn, desk.photos)
        if found:
            return found
        checked(as_table(facts_now(conn)), desk.book.name)
    return ()
