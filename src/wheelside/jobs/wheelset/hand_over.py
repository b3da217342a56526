"""Handing a set over to its buyer: the page for the buyer, what to look at before, and keeping that it is sold."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date

from wheelside.book.book import enter
from wheelside.book.entry import View, WriteNote, Writing
from wheelside.book.events import Event, Happened, add_events, last_batteries, wheel_history
from wheelside.book.facts import as_table, change_facts, facts_now
from wheelside.book.jobs import jobs_of
from wheelside.errors import BadRequest, Meanwhile
from wheelside.finding import Basis, Finding, Ground, Way, WayKind, Weight, note
from wheelside.garage.change import known_change, still_there
from wheelside.garage.file import complaints_of
from wheelside.garage.joined import loose_sensors, parts_on
from wheelside.garage.model import Garage
from wheelside.garage.offers import without_offers
from wheelside.garage.present import present
from wheelside.identity.roll import Key, Roll
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.book.files import at_day
from wheelside.jobs.garagedesk import BookDesk, GarageDesk, Where, at_desk
from wheelside.jobs.source import now, today
from wheelside.jobs.wheelset.for_buyer import GAUGE, BookSays, ForBuyer, for_buyer, goes_with
from wheelside.jobs.work.doing import start_in
from wheelside.said import Said, Table, say
from wheelside.units.moment import Moment

_LINES = 2000
"""Lines of a wheel's history that are looked at."""
_OWNER, _PLAN = Basis(Ground.OWNER, "garage file"), Basis(Ground.COMPUTED, "the season line and what was seen")


@dataclass(frozen=True, slots=True)
class HandOver:
    """A set to be handed over: the page for its buyer, and what its owner is to know first.

    `set`: by id; `gone`: since when it is not the owner's any more, None while it is. `in_book`: whether it is kept in a book,
    and `version` which version of the set was looked at there.
    """

    garage: Garage
    set: str
    day: date
    page: ForBuyer
    gone: date | None
    first: tuple[Finding, ...]
    in_book: bool
    version: int = 0


def hand_over(where: Where, wheel_set: str, *, day: date | None = None) -> HandOver:
    """The page for the buyer of a set, and what to know before it goes. Raises Mendable, Outside."""
    return at_desk(where, lambda desk: _looked(desk, wheel_set, day))


def hand_over_now(where: Where, wheel_set: str, *, day: date | None = None) -> HandOver:
    """The same of a book's set, and keeps that it is sold on that day. Raises Mendable, Outside."""

    def kept(desk: GarageDesk) -> HandOver:
        found = _looked(desk, wheel_set, day)
        if not isinstance(desk, BookDesk):
            raise BadRequest("a garage file is yours to write: put in the lines that are shown without --keep")
        at = now()
        _refuse(desk.conn, found.garage, wheel_set, found.day, at.day)
        _keep(enter(desk.conn, WriteNote(at, "", "command", _what(found.garage, wheel_set))), wheel_set, found.day)
        return found

    return at_desk(where, kept, keeps=True)


def look_at(desk: Desk, wheel_set: str, day: date | None = None) -> HandOver:
    """The page for the buyer of a set of an open book, and what to know before it goes. Raises BadRequest, Outside."""
    with desk.book.reading() as conn:
        return _look(desk.loaded_in(conn).garage, wheel_set, day, desk.clock().day, conn)


def keep_sold(desk: Desk, wheel_set: str, day: date, version: int, *, person: str = "", via: str = "page") -> None:
    """Keeps that a set of an open book is sold on a day, in one write. `version`: of the set, as it was looked at.

    Raises BadRequest, Meanwhile where the set was changed since, Outside.
    """
    garage = desk.loaded().garage
    known_change(garage, None, wheel_set)
    with desk.writing(_what(garage, wheel_set), person=person, via=via) as writing:
        if _version(writing.conn, wheel_set) != version:
            raise Meanwhile("this set was changed since you looked at it; nothing was kept: look again")
        _refuse(writing.conn, desk.loaded_in(writing.conn).garage, wheel_set, day, writing.at.day)
        _keep(writing, wheel_set, day)


def _what(garage: Garage, wheel_set: str) -> str:
    return f"{garage.sets[wheel_set].name} sold and handed over"


def _looked(desk: GarageDesk, wheel_set: str, day: date | None) -> HandOver:
    return _look(desk.load().garage, wheel_set, day, today(), desk.conn if isinstance(desk, BookDesk) else None)


def _look(garage: Garage, wheel_set: str, day: date | None, today: date, conn: View | None) -> HandOver:
    """A set as it is handed over on a day: where none is named, on the day on which it went, else today."""
    known_change(garage, None, wheel_set)
    one = garage.sets[wheel_set]
    if one.on_offer:
        raise BadRequest(f"{one.name} is on offer, and not yours to sell", found=wheel_set, expected="a set of yours")
    if one.scrapped is not None and one.gone_by(today):
        still_there(garage, wheel_set, today)
    gone = one.leaves if one.gone_by(today) else None
    on = day or gone or today
    going = goes_with(garage, wheel_set, on)
    kept = BookSays() if conn is None else _kept(conn, [wheel for _, wheel in going])
    first = () if gone else tuple(_first(garage, wheel_set, on, today))
    version = _version(conn, wheel_set) if conn is not None else 0
    return HandOver(
        garage, wheel_set, on, for_buyer(garage, wheel_set, on, kept), gone, first, conn is not None, version
    )


def _kept(conn: View, wheels: list[str]) -> BookSays:
    return BookSays({w: wheel_history(conn, w, _LINES, GAUGE) for w in wheels}, last_batteries(conn))


def _version(conn: View, wheel_set: str) -> int:
    """The entry that a set's row is of. 0 where there is none."""
    return next((r.since for r in facts_now(conn) if (r.kind, r.key) == ("set", wheel_set)), 0)


def _refuse(conn: View, garage: Garage, wheel_set: str, day: date, today: date) -> None:
    """Raises BadRequest where a set can't be noted as sold on a day: it is gone already, the day is yet to come, or a job moves it."""
    one = garage.sets[wheel_set]
    still_there(garage, wheel_set, today)
    if one.on_offer:
        raise BadRequest(f"{one.name} is on offer, and not yours to sell", found=wheel_set, expected="a set of yours")
    if day > today:
        way = "keep it on the day itself, and note a sale that is planned as a fact of the set"
        raise BadRequest(f"{day} is yet to come: {way}", found=str(day), expected=f"a day up to {today}")
    for row in jobs_of(conn):
        if row.outcome is None:
            start = start_in(conn, row.id)
            if wheel_set in (start.coming, start.going):
                raise BadRequest(f"a job with {one.name} is under way: finish it or give it up first", found=row.id)


def _keep(writing: Writing, wheel_set: str, day: date) -> None:
    """Notes that a set is sold: its day, by which its IDs are retired, and a line in the history of each wheel that goes."""
    rows = facts_now(writing.conn)
    row = next(r for r in rows if (r.kind, r.key) == ("set", wheel_set))
    changed = {**row.body, "sold": day}
    garage, found = complaints_of(as_table(replace(r, body=changed) if r is row else r for r in rows))
    if found:
        first = found[0]
        raise BadRequest(f"nothing was kept: {first.expected}", found=first.found, expected=first.expected)
    change_facts(writing, {("set", wheel_set): (row.place, changed)})
    add_events(writing, _events(garage, wheel_set, day, at_day(day, writing.at)))


def _events(garage: Garage, wheel_set: str, day: date, at: Moment) -> Iterator[Event]:
    roll = Roll(garage, day)
    for corner, wheel in goes_with(garage, wheel_set, day):
        parts = parts_on(garage, wheel, day)
        ids = roll.carried_by(parts.sensor)
        yield Event(
            Happened.HANDED_OVER, at, wheel=wheel, sensor=parts.sensor.id if parts.sensor else None, set=wheel_set,
            tyre=parts.tyre.id if parts.tyre else None, rim=parts.rim.id if parts.rim else None, corner=corner.value,
            hex=ids[0].hex if len(ids) == 1 else None,
        )  # fmt: skip


def _first(garage: Garage, wheel_set: str, day: date, today: date) -> Iterator[Finding]:
    """What the owner is to know before a set goes: IDs that stay behind, and cars that count on it."""
    roll = Roll(garage, day)
    going = {wheel for _, wheel in goes_with(garage, wheel_set, day)}
    ids = {one.key for wheel in going for one in roll.carried_by(parts_on(garage, wheel, day).sensor)}
    yield from _alike(garage, wheel_set, day, roll, going, ids)
    now = present(without_offers(garage), today)
    name = garage.sets[wheel_set].name
    car = now.car_of.get(wheel_set)
    if car is not None:
        way = Way(WayKind.WORK, say("take it off first, or say what is on the car now"))
        yield _care(
            "sold-on-car", name, say("It is on {car}, as far as is known.", car=garage.cars[car].name), way, _PLAN
        )
    ahead = next((s for s in now.line if s.set == wheel_set and s.on is not None and s.since > day), None)
    if ahead is not None:
        text = say("The season line has it on {car} from {day}.", car=garage.cars[ahead.on or ""].name, day=ahead.since)
        yield _care(
            "sold-in-line",
            name,
            text,
            note(say("say which set goes on instead, in {table}", table=Table("stay"))),
            _PLAN,
        )
    for one in garage.car:
        if ids & {held.id.key for group in roll.held(one) for held in group}:
            text = say(
                "The list of {car} still holds its IDs, and would take its wheels near by for its own.", car=one.name
            )
            way = Way(WayKind.WORK, say("teach the car the set that it has now"))
            yield Finding(Weight.NOTE, "sold-in-list", name, text, (_OWNER,), way)


def _alike(garage: Garage, wheel_set: str, day: date, roll: Roll, going: set[str], ids: set[Key]) -> Iterator[Finding]:
    """Wheels and loose sensors that stay, and carry an ID that goes: two speak with one ID then."""
    name = garage.sets[wheel_set].name
    staying = [w for w in garage.wheel if w.id not in going and not garage.wheel_gone_by(w.id, day)]
    carried = [(w.name, parts_on(garage, w.id, day).sensor) for w in staying if w.id in garage.sets_of]
    carried += [(s.name, s) for s in loose_sensors(garage, day)]
    for whose, sensor in carried:
        if ids & {one.key for one in roll.carried_by(sensor)}:
            text = say("{whose} stays here and carries an ID that goes with this set.", whose=whose)
            way = Way(WayKind.WORK, say("write it another ID before this set goes"))
            yield Finding(Weight.FORBIDDEN, "sold-alike", name, text, (_OWNER,), way)


def _care(code: str, about: str, text: Said, way: Way, basis: Basis) -> Finding:
    return Finding(Weight.WARNING, code, about, text, (basis,), way)


def line_for_file(found: HandOver) -> tuple[Table, str, str]:
    """What is to be put into a garage file: the table, the row by its id, and the line as TOML has it."""
    return Table("set"), found.set, f"sold = {found.day}"
