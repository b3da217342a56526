"""Reading what a unit knows, by its port card: IDs, values, codes. Nothing here changes anything in the car."""

from __future__ import annotations

from dataclasses import dataclass

from wheelside.car.card import Holds, IdList, PortCard, Speaks, Value, read_request
from wheelside.car.codes import BadAnswer, Code, codes_of_14229, codes_of_j1979
from wheelside.car.negative import NO_SERVICE, Refused
from wheelside.car.talk import NoAnswer, Talk
from wheelside.car.vin import LENGTH as VIN_LENGTH

ALL_STATUS = 0xFF
PERMANENT, BY_MASK, SNAPSHOT = b"\x19\x15", b"\x19\x02", b"\x19\x04"
ANY_RECORD = b"\xff"


@dataclass(frozen=True, slots=True)
class ListRead:
    """What one list holds: the numbers by corner, None for an empty place, and the bytes as they came."""

    identifier: int
    name: str
    bits: int
    ids: tuple[tuple[str, int | None], ...]
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


@dataclass(frozen=True, slots=True)
class CodeRead:
    """One code with its snapshot's bytes, empty where there is none."""

    code: Code
    snapshot: bytes = b""


@dataclass(frozen=True, slots=True)
class CodesRead:
    """The codes of one unit, and what could not be asked of it."""

    codes: tuple[CodeRead, ...]
    not_told: tuple[str, ...]


def read_list(talk: Talk, row: IdList) -> ListRead:
    """What one list holds. Raises Refused, NoAnswer, BadAnswer, LinkLost."""
    raw = talk.ask(read_request(row.identifier))[3:]
    return list_from(row, raw)


def list_from(row: IdList, raw: bytes) -> ListRead:
    """A list out of its bytes. Raises BadAnswer."""
    numbers = row.layout.numbers(raw)
    return ListRead(row.identifier, row.name, row.bits, tuple(zip(row.layout.places, numbers, strict=True)), raw)


def read_value(talk: Talk, value: Value) -> ValueRead:
    """One value. Raises Refused, NoAnswer, BadAnswer, LinkLost."""
    return value_from(value, talk.ask(read_request(value.identifier))[3:])


def value_from(value: Value, raw: bytes) -> ValueRead:
    """A value out of its bytes. A VIN is told by its length alone: it points at one car, and is not kept. Raises BadAnswer."""
    if value.layout is None:
        if value.holds is Holds.VIN:
            return ValueRead(value.holds, "", (), "read, not kept" if len(raw) == VIN_LENGTH else "not one")
        return ValueRead(value.holds, "", (), "".join(chr(b) if 32 <= b < 127 else "·" for b in raw))
    words = dict(value.words)
    figures = []
    for place, number in zip(value.layout.places, value.layout.numbers(raw), strict=True):
        figure = None if number is None else round(number * value.scale + value.offset, 6)
        figures.append((place, figure, "" if number is None else words.get(number, "")))
    return ValueRead(value.holds, value.unit, tuple(figures))


@dataclass(frozen=True, slots=True)
class Known:
    """Everything that the card can have read of a unit; `missing` says what could not be, and why."""

    lists: tuple[ListRead, ...]
    values: tuple[ValueRead, ...]
    missing: tuple[tuple[str, str], ...]


def read_all(talk: Talk, card: PortCard) -> Known:
    """Reads all lists and values; what a unit refuses is told, and does not stop the rest. Raises LinkLost."""
    lists, values, missing = [], [], []
    for row in card.lists:
        try:
            lists.append(read_list(talk, row))
        except (Refused, NoAnswer, BadAnswer) as error:
            missing.append((f"list {row.name}", str(error)))
    for value in card.values:
        try:
            values.append(read_value(talk, value))
        except (Refused, NoAnswer, BadAnswer) as error:
            missing.append((value.holds.value, str(error)))
    return Known(tuple(lists), tuple(values), tuple(missing))


def read_codes(talk: Talk, card: PortCard, *, snapshots: bool = True) -> CodesRead:
    """Stored, pending and permanent codes. Raises Refused where it tells none at all, NoAnswer, BadAnswer, LinkLost."""
    if card.speaks is Speaks.J1979:
        return _by_j1979(talk)
    _, codes = codes_of_14229(talk.ask(BY_MASK + bytes([ALL_STATUS])))
    not_told = []
    try:
        _, permanent = codes_of_14229(talk.ask(PERMANENT))
    except Refused as error:
        permanent = ()
        not_told.append(f"permanent codes: {error}")
    told = [CodeRead(code, _snapshot(talk, code) if snapshots else b"") for code in codes]
    told += [CodeRead(code) for code in permanent]
    return CodesRead(tuple(told), tuple(not_told))


def _snapshot(talk: Talk, code: Code) -> bytes:
    """The snapshot records of a code as they came; empty where the unit keeps none."""
    try:
        return talk.ask(SNAPSHOT + code.number + ANY_RECORD)[6:]
    except (Refused, NoAnswer):
        return b""


def _by_j1979(talk: Talk) -> CodesRead:
    told: list[CodeRead] = []
    not_told = []
    for service, name in ((0x03, "stored codes"), (0x07, "pending codes"), (0x0A, "permanent codes")):
        try:
            told += [CodeRead(code) for code in codes_of_j1979(talk.ask(bytes([service])))]
        except Refused as error:
            if service == 0x03 and error.code not in NO_SERVICE:
                raise
            not_told.append(f"{name}: {error}")
        except NoAnswer as error:
            if service == 0x03:
                raise
            not_told.append(f"{name}: {error}")
    return CodesRead(tuple(told), tuple(not_told))
