"""Asking a car: reading, saving, clearing, teaching. Reading is the default; a write is asked for, shown first, kept first."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from uuid import uuid4

from wheelside.book.cars import add_record, records_of
from wheelside.car.broadcast import decode_text, listen
from wheelside.car.card import IdList, PortCard, Speaks
from wheelside.car.codes import Changed, compared
from wheelside.car.frames import Frame, Frames
from wheelside.car.link import open_link
from wheelside.car.permit import Permit
from wheelside.car.reads import CodeRead, CodesRead, Known, ListRead, list_from, read_all, read_codes, read_list
from wheelside.car.talk import Talk
from wheelside.car.tape import Replay, Tape, read_tape
from wheelside.car.teach import Condition, Draft, Keep, Outcome, Stage, Taught, Teaching, conditions, draft
from wheelside.errors import BadRequest
from wheelside.garage.ids import sensor_readings
from wheelside.garage.joined import parts_on
from wheelside.garage.model import Car, Garage, WheelSet
from wheelside.garage.portcard import dbc_named, read_port_card
from wheelside.garage.season import set_on, spells
from wheelside.identity.inlist import InList, in_list
from wheelside.jobs.desk import Desk
from wheelside.jobs.source import read_bytes

CLEAR_ALL = bytes.fromhex("14FFFFFF")
CLEAR_J1979 = b"\x04"


LARGEST_DBC = 5_000_000
LISTEN_S = 2.0
"""How long broadcasts are listened to where nothing else is said."""


def load_port_card(file: Path) -> PortCard:
    """The port card in a file, with the DBC file beside it where it names one. Raises BadFile, BadRequest, Outside."""
    data = read_bytes(file, "the port card")
    named = dbc_named(data)
    return read_port_card(data, str(file), _dbc(file.parent / named) if named else "")


def _dbc(file: Path) -> str:
    """The text of a DBC file that a port card names."""
    what = "the DBC file that the port card names in 'dbc'; it belongs beside the card"
    if file.is_file() and file.stat().st_size > LARGEST_DBC:
        raise BadRequest(
            f"reading {what}: {file} is larger than {LARGEST_DBC // 1_000_000} MB; take out the messages that the card does not name",
            found=str(file),
            expected=f"at most {LARGEST_DBC} bytes",
        )
    return decode_text(read_bytes(file, what))


@dataclass(frozen=True, slots=True)
class Line:
    """An open link, or a recording in its place, and who is told of each frame."""

    frames: Frames
    heard: Callable[[Frame, bool], None] | None

    def talk(self, card: PortCard, permit: Permit = Permit.READ) -> Talk:
        """A conversation with the card's unit."""
        return Talk(self.frames, card.unit, permit, card.routines, card.written, heard=self.heard)


@contextmanager
def lined(card: PortCard, link: str | None, *, tape: Path | None = None, replay: Path | None = None) -> Iterator[Line]:
    """A link, or a recording; `tape`: where it is recorded. Raises BadText, BadRequest, LinkLost."""
    if (link is None) == (replay is None):
        raise BadRequest("name a link with --link, or a recording with --replay", expected="one of both")
    writes = Tape(tape) if tape else None
    frames: Frames | None = None
    try:
        frames = (
            Replay(read_tape(replay), card.unit.answer, card.unit.request if card.broadcasts else None)
            if replay
            else open_link(link or "")
        )
        yield Line(frames, writes.heard if writes else None)
    finally:
        if frames is not None:
            frames.close()
        if writes is not None:
            writes.close()


@contextmanager
def talking(
    card: PortCard,
    link: str | None,
    *,
    permit: Permit = Permit.READ,
    tape: Path | None = None,
    replay: Path | None = None,
) -> Iterator[Talk]:
    """A conversation over a link, or with a recording; `tape`: where it is recorded. Raises BadText, BadRequest, LinkLost."""
    with lined(card, link, tape=tape, replay=replay) as line, line.talk(card, permit) as talk:
        yield talk


def known_of(line: Line, card: PortCard, seconds: float = LISTEN_S) -> Known:
    """All that the card names: what the unit is asked for, then what the car broadcasts within so many seconds. Raises LinkLost.

    A card that has broadcasts alone sends nothing.
    """
    known = Known((), (), ())
    if card.lists or card.values:
        with line.talk(card) as talk:
            known = read_all(talk, card)
    if not card.broadcasts:
        return known
    heard = listen(line.frames, card, seconds, line.heard)
    return Known(known.lists, known.values + heard.values, known.missing + heard.missing)


def fitted_set(garage: Garage, car: Car, day: date) -> WheelSet | None:
    """The set that is on a car on a day, where the season line says."""
    return garage.sets.get(set_on(spells(garage, day, date(day.year + 1, 12, 31)), car.id, day) or "")


def against(garage: Garage, car: Car, day: date, read: ListRead) -> InList:
    """A list as it was read against what is on the car."""
    return in_list(garage, fitted_set(garage, car, day), day, read.bits, read.ids)


@dataclass
class Visit:
    """One visit to a car: everything that is kept of it hangs together."""

    desk: Desk
    car: str
    person: str = ""
    id: str = field(default_factory=lambda: uuid4().hex)

    def keep(self, what: str, **body: object) -> None:
        """Keeps one record in a transaction of its own. Raises Outside; then nothing more may be done to the car."""
        with self.desk.writing(f"{what}: {self.car}", person=self.person, via="car") as writing:
            add_record(writing, self.car, self.id, self.desk.clock(), what, body)


def car_of(garage: Garage, name: str | None) -> Car:
    """The car that is meant. Raises BadRequest."""
    if name is None and len(garage.car) == 1:
        return garage.car[0]
    if name not in garage.cars:
        known = ", ".join(garage.cars) or "none"
        raise BadRequest(
            f"no car '{name}': there is {known}" if name else f"which car? name it with --car: there is {known}",
            expected=known,
        )
    return garage.cars[name]


def list_of(card: PortCard, name: str | None) -> IdList:
    """The list that is meant. Raises BadRequest."""
    if name is None and len(card.lists) == 1:
        return card.lists[0]
    found = next((row for row in card.lists if row.name == name), None)
    if found is None:
        known = ", ".join(f"'{row.name}'" for row in card.lists) or "none"
        raise BadRequest(f"the port card has no list '{name}': it has {known}", found=str(name), expected=known)
    return found


def read_and_keep(visit: Visit, talk: Talk, card: PortCard) -> Known:
    """Reads all that the card names, and keeps the lists. Raises LinkLost, Outside."""
    known = read_all(talk, card)
    for row in known.lists:
        visit.keep("list read", card=card.id, list=row.name, identifier=row.identifier, raw=row.raw.hex())
    return known


def plain_code(one: CodeRead) -> dict[str, object]:
    """A code as the book and JSON have it."""
    code = one.code
    return {
        "code": code.text, "family": code.family, "makers_own": code.makers_own, "permanent": code.permanent,
        "status": None if code.status is None else int(code.status), "says": list(code.said), "snapshot": one.snapshot.hex(),
    }  # fmt: skip


@dataclass(frozen=True, slots=True)
class Cleared:
    """Codes before and after clearing, and what changed."""

    before: CodesRead
    after: CodesRead
    changed: Changed


def clear_codes(visit: Visit, talk: Talk, card: PortCard) -> Cleared:
    """Clears the codes of one unit: reads and keeps them first, never while the car moves. Raises Refused, NoAnswer, BadRequest, LinkLost."""
    standing = conditions(talk, card)[0]
    if standing.right is False:
        raise BadRequest(
            f"the car moves ({standing.found}): codes are cleared only while it stands",
            found=standing.found,
            expected="0 km/h",
        )
    before = read_codes(talk, card)
    visit.keep("codes before clearing", card=card.id, codes=[plain_code(one) for one in before.codes])
    talk.once(CLEAR_J1979 if card.speaks is Speaks.J1979 else CLEAR_ALL)
    after = read_codes(talk, card)
    visit.keep("codes after clearing", card=card.id, codes=[plain_code(one) for one in after.codes])
    return Cleared(before, after, compared(tuple(c.code for c in before.codes), tuple(c.code for c in after.codes)))


def wanted_ids(garage: Garage, wheel_set: WheelSet, day: date, row: IdList) -> dict[str, int | None]:
    """The IDs of a set by the places of a list. Raises BadRequest where one is not known for certain."""
    found: dict[str, int | None] = {}
    for corner, wheel in wheel_set.wheels:
        if corner.value not in row.layout.places:
            continue
        sensor = parts_on(garage, wheel, day).sensor
        readings = sensor_readings(garage, sensor) if sensor else None
        ids = [r.id for r in readings.all if r.id.bits == row.bits] if readings else []
        if len(ids) != 1:
            why = "is not known" if not ids else "can be read in several ways"
            raise BadRequest(
                f"the ID of wheel {garage.wheels[wheel].name} {why}: trigger it, and note what it sends",
                expected="one ID",
            )
        found[corner.value] = ids[0].number
    return found


def drafted(talk: Talk, row: IdList, wanted: dict[str, int | None]) -> tuple[Draft, ListRead]:
    """What would be written, and the list as it is. Raises Refused, NoAnswer, BadAnswer, BadRequest, LinkLost."""
    old = read_list(talk, row)
    return draft(row, old, wanted), old


def refuse_conditions(found: tuple[Condition, ...], owner_says: bool) -> None:
    """Raises BadRequest where a condition is not right, or is not known and the owner does not vouch for it."""
    wrong = [one for one in found if one.right is False]
    if wrong:
        raise BadRequest(
            "; ".join(f"{one.name}: {one.found}" for one in wrong) + ". Nothing was written",
            expected="all conditions right",
        )
    unknown = [one for one in found if one.right is None]
    if unknown and not owner_says:
        names = ", ".join(one.name for one in unknown)
        raise BadRequest(
            f"the car does not tell: {names}. Make sure of it, and say so with --i-made-sure. Nothing was written",
            expected=names,
        )


def teach(visit: Visit, talk: Talk, card: PortCard, draft_: Draft) -> Taught:
    """Writes a draft, every stage kept before it is begun. Raises Outside where nothing can be kept; then nothing was written."""
    row = draft_.row
    visit.keep("teaching", card=card.id, list=row.name, old=draft_.old.raw.hex(), new=draft_.new.hex())
    return Teaching(talk, card, _stages(visit), []).run(draft_)


def undo(visit: Visit, talk: Talk, card: PortCard, row: IdList, old: bytes) -> Taught:
    """Puts an old list back, every stage kept before it is begun."""
    list_from(row, old)
    visit.keep("undoing", card=card.id, list=row.name, old=old.hex())
    return Teaching(talk, card, _stages(visit), []).undo(row, old)


def _stages(visit: Visit) -> Keep:
    def keep(stage: Stage, data: str) -> None:
        visit.keep("stage", stage=stage.value, data=data)

    return keep


@dataclass(frozen=True, slots=True)
class OpenTeaching:
    """The last teaching of a car: what was there, what was to be there, how far it came, and how it ended ('' where it was broken off)."""

    card: str
    list: str
    old: bytes
    new: bytes
    stages: tuple[str, ...]
    ended: str

    @property
    def settled(self) -> bool:
        return self.ended in (Outcome.DONE.value, Outcome.AS_BEFORE.value)


def last_teaching(desk: Desk, car: str) -> OpenTeaching | None:
    """The last teaching that the book knows of; None where there was none."""
    with desk.book.reading() as conn:
        records = records_of(conn, car)
    begun = next((r for r in reversed(records) if r.what == "teaching"), None)
    if begun is None:
        return None
    later = [r for r in records if r.num > begun.num and r.what == "stage"]
    ended = next((str(r.body["data"]) for r in reversed(later) if r.body["stage"] == Stage.ENDED.value), "")
    return OpenTeaching(
        str(begun.body["card"]), str(begun.body["list"]), bytes.fromhex(str(begun.body["old"])), bytes.fromhex(str(begun.body["new"])),
        tuple(str(r.body["stage"]) for r in later), ended,
    )  # fmt: skip
