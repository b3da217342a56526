"""Asking a car: reading, codes, clearing. Reading is the default; clearing is asked for, shown first, kept first."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from wheelside.book.readings import add_readings
from wheelside.car.broadcast import decode_text, listen
from wheelside.car.card import PortCard, Speaks
from wheelside.car.codes import CLEARABLE, Changed, CodeList, compared
from wheelside.car.conditions import conditions
from wheelside.car.doip import IpLink
from wheelside.car.find import hands_off, name_of
from wheelside.car.frames import CarTrouble, Frame, NoAnswer
from wheelside.car.link import Link, open_link
from wheelside.car.negative import Refused
from wheelside.car.permit import Permit
from wheelside.car.portcard import dbc_named, read_port_card
from wheelside.car.reads import CardRead, CodesRead, ListRead, read_all, read_codes
from wheelside.car.talk import Talk
from wheelside.car.tape import Replay, Tape, read_tape
from wheelside.declared.text import LARGEST_BYTES
from wheelside.errors import BadRequest, Outside
from wheelside.garage.model import Car, Garage, WheelSet
from wheelside.garage.present import present
from wheelside.identity.inlist import InList, in_list
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.car.pressures import wheel_readings
from wheelside.jobs.car.visit import CODES, CODES_AFTER, CODES_BEFORE, READ, Visit, Work, last_codes, plain_codes
from wheelside.jobs.jsonform import plain
from wheelside.jobs.source import RUNNING, now, read_bytes
from wheelside.units.moment import US_PER_S

CLEAR, CLEAR_ALL, CLEAR_J1979 = b"\x14", bytes.fromhex("14FFFFFF"), b"\x04"
MAY_BE_LOST = (
    "What the unit noted beside its codes is lost in it, and a fault that is still there comes back. Permanent codes stay. "
    "Some units also start their own tests, or what they have learnt, from the start."
)


LARGEST_DBC = 1_000_000
LISTEN_S = 2.0
"""How long broadcasts are listened to where nothing else is said."""


def load_port_card(file: Path) -> PortCard:
    """The port card in a file, with the DBC file beside it where it names one. Raises BadFile, BadRequest, Outside."""
    data, dbc = card_bytes(file)
    return read_port_card(data, str(file), dbc)


def card_bytes(file: Path) -> tuple[bytes, str]:
    """A port card's bytes, and the text of the DBC file beside it where it names one. Raises BadRequest, Outside."""
    data = read_bytes(file, "the port card", LARGEST_BYTES)
    named = dbc_named(data)
    return data, _dbc(file.parent / named) if named else ""


def _dbc(file: Path) -> str:
    """The text of a DBC file that a port card names."""
    what = "the DBC file that the port card names in 'dbc'; it belongs beside the card"
    if file.is_file() and file.stat().st_size > LARGEST_DBC:
        raise BadRequest(
            f"reading {what}: {file} is larger than {LARGEST_DBC / 1_000_000:g} MB; take out the messages that the card does not name",
            found=str(file),
            expected=f"at most {LARGEST_DBC} bytes",
        )
    return decode_text(read_bytes(file, what, LARGEST_DBC))


@dataclass(frozen=True, slots=True)
class OpenLine:
    """An open link, or a recording in its place, and who is told of each frame."""

    link: Link
    heard: Callable[[Frame, bool], None] | None
    replayed: bool = False

    @contextmanager
    def talk(self, card: PortCard, permit: Permit = Permit.READ) -> Iterator[Talk]:
        """A conversation with the card's unit. Raises BadRequest, LinkLost.

        A unit that calls itself brake, airbag or steering is not talked to, unless the card says that the monitor lives there: then it is
        read, and nothing else.
        """
        _refuse_more(card, permit)
        with Talk(self.link, card.unit, permit, card.routines, card.written, heard=self.heard) as talk:
            if not self.replayed and not card.read_only:
                _refuse_others(talk, permit)
            yield talk


@contextmanager
def lined(
    card: PortCard, link: str | None, *, tape: Path | None = None, replay: Path | None = None
) -> Iterator[OpenLine]:
    """A link, or a recording; `tape`: where it is recorded. Raises BadText, BadRequest, LinkLost."""
    if (link is None) == (replay is None):
        raise BadRequest("name a link with --link, or a recording with --replay", expected="one of both")
    writes = Tape(tape, lambda: now().us / US_PER_S) if tape else None
    opened: Link | None = None
    try:
        opened = (
            Replay(read_tape(replay), card.unit.request, card.unit.answer) if replay else open_link(link or "", RUNNING)
        )
        if writes is not None and isinstance(opened, IpLink):
            raise BadRequest(
                "talk over IP is not recorded: CAN logs have no place for it; leave out --tape", expected="no --tape"
            )
        yield OpenLine(opened, writes.heard if writes else None, replay is not None)
    finally:
        if opened is not None:
            opened.close()
        if writes is not None:
            writes.close()
    if writes is not None and writes.broken:
        raise Outside(
            f"writing {tape}: {writes.broken}; the recording is not whole. What was done with the car was done all the same"
        )


@contextmanager
def talking(
    card: PortCard,
    link: str | None,
    *,
    permit: Permit = Permit.READ,
    tape: Path | None = None,
    replay: Path | None = None,
) -> Iterator[Talk]:
    """A conversation over a link, or with a recording; see `lined` and `Line.talk`. Raises BadText, BadRequest, LinkLost."""
    _refuse_more(card, permit)
    with lined(card, link, tape=tape, replay=replay) as line, line.talk(card, permit) as talk:
        yield talk


def _refuse_more(card: PortCard, permit: Permit) -> None:
    """Raises BadRequest where a unit is only read, and more is wanted."""
    if card.read_only and permit is not Permit.READ:
        raise BadRequest(
            "the port card says that this unit is read only: nothing is cleared or written in it",
            expected="read_only = false",
        )


def known_of(line: OpenLine, card: PortCard, seconds: float = LISTEN_S) -> CardRead:
    """All that the card names: what the unit is asked for, then what the car broadcasts within so many seconds. Raises LinkLost.

    A card that has broadcasts alone sends nothing.
    """
    known = CardRead((), (), ())
    if card.lists or card.values:
        with line.talk(card) as talk:
            known = read_all(talk, card)
    if not card.broadcasts:
        return known
    if isinstance(line.link, IpLink):
        why = tuple((row.holds.value, "broadcasts are not heard over IP") for row in card.broadcasts)
        return CardRead(known.lists, known.values, known.missing + why)
    heard = listen(line.link, card, seconds, line.heard)
    return CardRead(known.lists, known.values + heard.values, known.missing + heard.missing)


def _refuse_others(talk: Talk, permit: Permit) -> None:
    name = name_of(talk, asked_again=True)
    if name is None and permit is not Permit.READ:
        raise NoAnswer(f"no answer from {talk.unit.text} when asked what it is; ignition on? the right unit?")
    if name and hands_off(name):
        raise BadRequest(
            f"the unit at {talk.unit.text} calls itself '{name}': it is left alone. If the tyre monitor lives in it, say read_only = true "
            "in the port card; then it is read, and nothing else",
            found=name,
            expected="a unit that watches tyres",
        )


def fitted_set(garage: Garage, car: Car, day: date) -> WheelSet | None:
    """The set that is on a car on a day, as far as that is known or taken."""
    return garage.sets.get(present(garage, day).set_on(car.id) or "")


def against(desk: Desk, car: Car, day: date, read: ListRead, on: WheelSet | None = None) -> InList:
    """A list as it was read against what is on the car, or another set, and against what the plan wants written."""
    garage = desk.loaded().garage
    wheel_set = on or fitted_set(garage, car, day)
    planned = {
        w.id.number: f"wheel {garage.wheels[w.wheel].name}"
        for w in desk.plan().wheels
        if w.writes and w.id and w.id.bits == read.bits
    }
    return in_list(garage, wheel_set, day, read.bits, read.ids, planned)


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


def read_and_keep(visit: Visit, line: OpenLine, card: PortCard, seconds: float = LISTEN_S) -> CardRead:
    """Reads all that the card names, and keeps it, with the pressures as readings of the wheels that they are of. Raises LinkLost, Outside."""
    known = known_of(line, card, seconds)
    with visit.writing(READ) as writing:
        visit.add(writing, READ, card=card.id, **plain(known))
        garage = visit.desk.loaded_in(writing.conn).garage
        if visit.car in garage.cars:
            on = fitted_set(garage, garage.cars[visit.car], visit.desk.clock().day)
            add_readings(writing, wheel_readings(garage, on, card, known, visit.desk.clock()))
    return known


@dataclass(frozen=True, slots=True)
class ComparedCodes:
    """Codes as they were read, and against those that were read before; None where none were."""

    codes: CodesRead
    changed: Changed | None


def codes_and_keep(visit: Visit, talk: Talk, card: PortCard) -> ComparedCodes:
    """Reads the codes, keeps them, and holds them against the last ones that were kept. Raises Refused, NoAnswer, BadAnswer, LinkLost."""
    before = last_codes(visit.desk, visit.car, card.id)
    told = read_codes(talk, card)
    visit.keep(CODES, card=card.id, **plain_codes(told))
    return ComparedCodes(told, None if before is None else compared(before, told.listed))


@dataclass(frozen=True, slots=True)
class Cleared:
    """Codes before and after clearing, what changed, and what the unit refused."""

    before: CodesRead
    after: CodesRead
    changed: Changed
    refused: tuple[str, ...]

    def whole(self, wanted: tuple[bytes, ...]) -> bool:
        """Whether the unit says that all that were to be cleared are cleared: those named, or all where none is named. Permanent ones stay."""
        there = (one.code for one in self.after.codes if one.code.clearable)
        left = any(not wanted or code.number in wanted for code in there)
        return not (self.refused or left or self.after.listed.untold & CLEARABLE)


def clear_codes(visit: Visit, talk: Talk, card: PortCard, wanted: tuple[bytes, ...], *, owner_says: bool) -> Cleared:
    """Clears codes of one unit, all where none is named: reads and keeps them first, never while the car moves.

    Raises BadRequest for a code that is not there, and where the car may be moving; Meanwhile where another program has the car; BadAnswer,
    LinkLost.
    """
    with visit.alone(Work.CLEAR):
        return _cleared(visit, talk, card, wanted, owner_says=owner_says)


def _cleared(visit: Visit, talk: Talk, card: PortCard, wanted: tuple[bytes, ...], *, owner_says: bool) -> Cleared:
    _refuse_moving(talk, card, owner_says=owner_says)
    before = read_codes(talk, card)
    there = {one.code.number for one in before.codes}
    if any(number not in there for number in wanted) or (wanted and card.speaks is Speaks.J1979):
        known = ", ".join(one.code.text for one in before.codes) or "none"
        raise BadRequest(
            f"these codes can't be cleared one by one: the unit has {known}"
            + ("; it knows only clearing them all" if card.speaks is Speaks.J1979 else ""),
            expected=known,
        )
    visit.keep(CODES_BEFORE, card=card.id, **plain_codes(before))
    refused = []
    for request in _clearing(card, wanted):
        try:
            talk.once(request)
        except (Refused, NoAnswer) as error:
            refused.append(str(error))
    after = _read_after(talk, card)
    visit.keep(CODES_AFTER, card=card.id, **plain_codes(after))
    return Cleared(before, after, compared(before.listed, after.listed), tuple(refused))


def _read_after(talk: Talk, card: PortCard) -> CodesRead:
    """The codes after clearing; where they can't be read, none are told, and why."""
    try:
        return read_codes(talk, card)
    except CarTrouble as error:
        return CodesRead((), tuple((what, str(error)) for what in CodeList))


def _clearing(card: PortCard, wanted: tuple[bytes, ...]) -> list[bytes]:
    if card.speaks is Speaks.J1979:
        return [CLEAR_J1979]
    return [CLEAR + number for number in wanted] or [CLEAR_ALL]


def _refuse_moving(talk: Talk, card: PortCard, *, owner_says: bool) -> None:
    found = conditions(talk, card)
    standing, unit = found[0], found[-1]
    if standing.right is False:
        raise BadRequest(
            f"the car moves ({standing.found}): codes are cleared only while it stands",
            found=standing.found,
            expected="0 km/h",
        )
    unknown = [f"{one.name} ({one.found})" for one in (standing, unit) if one.right is None]
    if unknown and not owner_says:
        raise BadRequest(
            f"the car does not tell: {'; '.join(unknown)}. Nothing was cleared: make sure of it, and say so "
            "(on the command line with --i-made-sure)",
            expected="a standing car",
        )
