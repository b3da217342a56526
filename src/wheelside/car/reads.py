"""Reading what a unit knows, by its port card: IDs, values, codes. Nothing here changes anything in the car."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, replace

from wheelside.car.card import Holds, IdList, PortCard, Speaks, Value, read_request
from wheelside.car.codes import BadAnswer, Code, CodeList, CodesTold, Status, codes_of_14229, codes_of_j1979
from wheelside.car.frames import CarTrouble, NoAnswer, UnitTrouble
from wheelside.car.negative import Refused
from wheelside.car.talk import Talk
from wheelside.car.vin import LEFT_OUT, has_vin, without_vins
from wheelside.car.vin import LENGTH as VIN_LENGTH
from wheelside.sensor.ident import SensorId

TROUBLE = Status.FAILED | Status.FAILED_THIS_CYCLE | Status.PENDING | Status.CONFIRMED | Status.WARNING_LAMP
"""Codes are asked for by these bits: one that was only not tested yet is no trouble."""
PERMANENT, BY_MASK, SNAPSHOT = b"\x19\x15", b"\x19\x02", b"\x19\x04"
ANY_RECORD = b"\xff"
VIN_AT = 0xF190
VIN_IDENTIFIER = VIN_AT.to_bytes(2, "big")
SERIAL = b"\x22\xf1\x8c"
"""ISO 14229-1: serial number of a control unit."""
_VIN = Value(VIN_AT, Holds.VIN, None)


@dataclass(frozen=True, slots=True)
class ListRead:
    """What one list holds: the IDs by corner, of no family that is told, None for an empty place; and the bytes as they came."""

    identifier: int
    name: str
    bits: int
    ids: tuple[tuple[str, SensorId | None], ...]
    raw: bytes


@dataclass(frozen=True, slots=True)
class ValueRead:
    """One value: by place (one place named '' for a whole), the figure or None, and its word where the card has one; text for text.

    `broadcast`: the car sent it by itself, and was not asked.
    """

    holds: Holds
    unit: str
    figures: tuple[tuple[str, float | None, str], ...]
    text: str = ""
    broadcast: bool = False

    @property
    def said(self) -> str:
        """In words, place by place."""
        if not self.figures:
            return self.text
        parts = [f"{place + ': ' if place else ''}{self._figure(figure, word)}" for place, figure, word in self.figures]
        return ", ".join(parts)

    def _figure(self, figure: float | None, word: str) -> str:
        if figure is None:
            return word or "not heard yet"
        return word or f"{figure:g} {self.unit}".strip()

    @property
    def places(self) -> tuple[str, ...]:
        """The places that it has figures for; none where it is one for all."""
        return tuple(place for place, _, _ in self.figures if place)

    @property
    def word(self) -> str:
        """The word of the one figure that there is; '' where there is none."""
        return self.figures[0][2] if len(self.figures) == 1 else ""


@dataclass(frozen=True, slots=True)
class CodeRead:
    """One code with what the unit noted beside it: values that the port card has, and the bytes that it does not explain."""

    code: Code
    noted: tuple[ValueRead, ...] = ()
    rest: bytes = b""


@dataclass(frozen=True, slots=True)
class CodesRead:
    """The codes of one unit, each once, and which of its lists it did not tell, and why."""

    codes: tuple[CodeRead, ...]
    not_told: tuple[tuple[CodeList, str], ...]

    @property
    def listed(self) -> CodesTold:
        """The codes alone, and the lists that were not told."""
        return CodesTold(tuple(one.code for one in self.codes), frozenset(what for what, _ in self.not_told))


def read_list(talk: Talk, row: IdList) -> ListRead:
    """What one list holds. Raises Refused, NoAnswer, BadAnswer, LinkLost."""
    return list_from(row, _numbers(talk.ask(read_request(row.identifier))[3:]))


def _numbers(raw: bytes) -> bytes:
    """Bytes that are to be read as numbers. Raises BadAnswer where a VIN is in them: as numbers it could be read, too."""
    if has_vin(raw):
        raise BadAnswer("the answer holds a VIN where the port card has numbers: it was not read")
    return raw


def list_from(row: IdList, raw: bytes) -> ListRead:
    """A list out of its bytes. Raises BadAnswer."""
    ids = tuple(
        (place, None if number is None else SensorId("", row.bits, number))
        for place, number in zip(row.layout.places, row.layout.numbers(raw), strict=True)
    )
    return ListRead(row.identifier, row.name, row.bits, ids, raw)


def id_text(one: SensorId | None) -> str:
    """What a place of a list holds, in words: hex digits, or 'empty'."""
    return "empty" if one is None else one.hex


def mark_of(talk: Talk) -> str:
    """A mark by which a unit is known again, made of its serial number; '' where it does not tell that, or a VIN. Raises LinkLost."""
    try:
        serial = talk.ask(SERIAL)[3:].rstrip(b"\0\xff ")
    except (Refused, NoAnswer):
        return ""
    return hashlib.sha256(serial).hexdigest()[:16] if serial and not has_vin(serial) else ""


def read_value(talk: Talk, value: Value) -> ValueRead:
    """One value. Raises Refused, NoAnswer, BadAnswer, LinkLost."""
    return value_from(value, talk.ask(read_request(value.identifier))[3:])


def value_from(value: Value, raw: bytes) -> ValueRead:
    """A value out of its bytes. A VIN is told by its length alone: it points at one car, and is not kept. Raises BadAnswer."""
    if value.layout is None:
        said = without_vins(raw.decode("latin-1")).strip("\0\xff ")
        if value.holds is Holds.VIN or value.identifier == VIN_AT or said == LEFT_OUT:
            whole = said == LEFT_OUT or len(raw.strip(b"\0\xff ")) == VIN_LENGTH
            return ValueRead(value.holds, "", (), "read, not kept" if whole else "not one")
        text = without_vins(raw.decode("latin-1"))
        return ValueRead(value.holds, "", (), "".join(sign if " " <= sign <= "~" else "·" for sign in text))
    words = dict(value.words)
    figures = []
    for place, number in zip(value.layout.places, value.layout.numbers(_numbers(raw)), strict=True):
        figure = None if number is None else round(number * value.scale + value.offset, 6)
        figures.append((place, figure, "" if number is None else words.get(number, "")))
    return ValueRead(value.holds, value.unit, tuple(figures))


@dataclass(frozen=True, slots=True)
class CardRead:
    """Everything that the card can have read of a unit; `missing` says what could not be, and why."""

    lists: tuple[ListRead, ...]
    values: tuple[ValueRead, ...]
    missing: tuple[tuple[str, str], ...]


def read_all(talk: Talk, card: PortCard) -> CardRead:
    """Reads all lists and values; what a unit refuses is told, and does not stop the rest. Raises LinkLost."""
    lists, values, missing = [], [], []
    for row in card.lists:
        try:
            lists.append(read_list(talk, row))
        except UnitTrouble as error:
            missing.append((f"list {row.name}", str(error)))
    for value in card.values:
        try:
            values.append(read_value(talk, value))
        except UnitTrouble as error:
            missing.append((value.holds.value, str(error)))
    return CardRead(tuple(lists), tuple(values), tuple(missing))


def read_codes(talk: Talk, card: PortCard) -> CodesRead:
    """Stored, pending and permanent codes. Raises Refused, NoAnswer or BadAnswer where it tells none of them; LinkLost."""
    if card.speaks is Speaks.J1979:
        return _by_j1979(talk)
    _, codes = codes_of_14229(talk.ask(BY_MASK + bytes([TROUBLE])))
    not_told = []
    try:
        _, permanent = codes_of_14229(talk.ask(PERMANENT))
    except UnitTrouble as error:
        permanent = ()
        not_told.append((CodeList.PERMANENT, str(error)))
    told = [_with_snapshot(talk, card, code) for code in codes]
    return CodesRead(_each_once([*told, *(CodeRead(code) for code in permanent)]), tuple(not_told))


def _each_once(told: list[CodeRead]) -> tuple[CodeRead, ...]:
    """Codes that stand in several lists, once each."""
    found: dict[bytes, CodeRead] = {}
    for one in told:
        before = found.get(one.code.number)
        found[one.code.number] = one if before is None else replace(before, code=before.code.merged(one.code))
    return tuple(found.values())


def _with_snapshot(talk: Talk, card: PortCard, code: Code) -> CodeRead:
    """A code with its snapshot records, where the unit keeps any."""
    try:
        raw = talk.ask(SNAPSHOT + code.number + ANY_RECORD)[6:]
        noted, rest = snapshot_from(card.values, raw)
    except UnitTrouble:
        return CodeRead(code)
    return CodeRead(code, noted, rest)


def snapshot_from(values: tuple[Value, ...], raw: bytes) -> tuple[tuple[ValueRead, ...], bytes]:
    """Snapshot records (number, count, then identifier and data as often) as values; and the rest, from the first unknown identifier on.

    A VIN among them is told by its length alone, and is in no rest. Raises BadAnswer.
    """
    known, hidden = {value.identifier: value for value in values}, has_vin(raw)
    noted: list[ValueRead] = []
    while len(raw) >= 2:
        count, left = raw[1], raw[2:]
        for _ in range(count):
            value = _VIN if left[:2] == VIN_IDENTIFIER else known.get(int.from_bytes(left[:2], "big"))
            length = VIN_LENGTH if value is _VIN else value.layout.length if value is not None and value.layout else 0
            if value is None or not length or len(left) < 2 + length:
                return tuple(noted), b"" if hidden or VIN_IDENTIFIER in left else left
            noted.append(value_from(value, left[2 : 2 + length]))
            left = left[2 + length :]
        raw = left
    return tuple(noted), b"" if hidden else raw


def _by_j1979(talk: Talk) -> CodesRead:
    told: list[CodeRead] = []
    not_told: list[tuple[CodeList, str]] = []
    trouble: CarTrouble | None = None
    for service, what in ((0x03, CodeList.STORED), (0x07, CodeList.PENDING), (0x0A, CodeList.PERMANENT)):
        try:
            told += [CodeRead(code) for code in codes_of_j1979(talk.ask(bytes([service])))]
        except UnitTrouble as error:
            trouble = trouble or error
            not_told.append((what, str(error)))
    if trouble is not None and len(not_told) == len(CodeList):
        raise trouble
    return CodesRead(_each_once(told), tuple(not_told))
