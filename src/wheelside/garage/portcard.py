"""Port cards: TOML files in which the owner writes down, from service literature, how a car's unit is reached.

Read by the same declarations as a garage file: every mistake at once, with its line.
"""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from wheelside.car.address import FIRST_LOGICAL_GROUP, FOR_ALL, UnitAddress, read_can_id
from wheelside.car.broadcast import LONGEST_MESSAGE, Described, described
from wheelside.car.card import Broadcast, Holds, IdList, Layout, Needs, PortCard, Speaks, Value
from wheelside.car.permit import FIRST_RESERVED_LIST, FIRST_RESERVED_ROUTINE
from wheelside.errors import BadFile, BadRequest
from wheelside.garage.kinds import TEXT, YES_NO, ListOf, Rows, Unfit, choice, fact, reading, shown, whole
from wheelside.garage.kinds import Kind as _Kind
from wheelside.garage.read import Complaint, decode, parse_rows, problems
from wheelside.garage.row import Row
from wheelside.garage.schema import schema_of
from wheelside.garage.words import Corner


def _hex(length: int | None, example: str, what: str) -> _Kind:
    def take(value: object) -> bytes:
        text = re.sub(r"[\s_]|^0x", "", value) if isinstance(value, str) else ""
        if (
            not text
            or len(text) % 2
            or not re.fullmatch(r"[0-9A-Fa-f]+", text, re.ASCII)
            or (length and len(text) != 2 * length)
        ):
            raise Unfit(shown(value), f"{what} such as '{example}'", "write hex digits in quotes, two for each byte")
        return bytes.fromhex(text)

    return _Kind(f"{what} such as '{example}'", take, lambda: {"type": "string", "examples": [example]})


def _figure(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not -1e9 < value < 1e9:
        raise Unfit(shown(value), "a number", "write it without quotes, as in 0.1")
    return float(value)


def _said(kind: _Kind, what: str) -> _Kind:
    """The kind, for keys that a draft leaves open with a '?'."""

    def take(value: object) -> object:
        if value == "?":
            raise Unfit(
                "a draft's '?'", kind.expected, f"write {what}; where you don't know it, take the whole row out"
            )
        return kind.take(value)

    return _Kind(kind.expected, take, kind.schema)


HOLDS = _said(choice(Holds), "what it holds")
CORNER = _said(choice(Corner), "which corner it is")
IDENTIFIER = _hex(2, "2110", "an identifier of two bytes")
LOGICAL = _hex(2, "1001", "a logical address of two bytes")
BYTES = _hex(None, "FFFFFFFF", "bytes in hex")
ONE_BYTE = _hex(1, "CC", "one byte in hex")
FIGURE = _Kind("a number", _figure, lambda: {"type": "number"})
CAN_ID = reading(read_can_id, "6A3", "a CAN identifier")


class Order(StrEnum):
    """Which byte of a number comes first."""

    HIGH = "high first"
    LOW = "low first"


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitRow(Row):
    """How the unit is reached."""

    request: tuple[int, bool] | None = fact(
        CAN_ID, "CAN identifier of requests: three hex digits for 11 bits, eight for 29."
    )
    answer: tuple[int, bool] | None = fact(CAN_ID, "CAN identifier of answers.")
    logical: bytes | None = fact(LOGICAL, "Logical address for diagnostics over IP (ISO 13400).")
    padding: bytes | None = fact(ONE_BYTE, "The byte that short frames are filled with; left out for none.")
    speaks: Speaks = fact(choice(Speaks), "What it speaks.", default=Speaks.UDS)
    read_only: bool = fact(
        YES_NO, "Whether nothing is ever written to it, for it does other things, too: brakes, steering.", default=False
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class ListRow(Row):
    """One list of IDs that the unit holds."""

    identifier: bytes = fact(IDENTIFIER, "Where it is read.", required=True)
    name: str = fact(TEXT, "What the car calls it.", required=True)
    places: tuple[Corner, ...] = fact(
        ListOf(choice(Corner), 5), "The corners in the order of its places.", required=True
    )
    length: int = fact(whole(2, 8), "How many bytes an ID takes.", default=4)
    order: Order = fact(choice(Order), "Which byte comes first.", default=Order.HIGH)
    empty: bytes | None = fact(BYTES, "What stands in an empty place.")
    writable: bool = fact(YES_NO, "Whether it can be written for teaching.", default=False)
    begin: bytes | None = fact(BYTES, "The request that begins teaching this list, such as 31 01 03 10 01.")
    watched_as: int | None = fact(whole(0, 255), "The number by which the value 'watched set' means this list.")
    begin_empties: bool = fact(YES_NO, "Whether that request empties the list.", default=True)
    finish: bytes | None = fact(BYTES, "The request that ends it.")
    result: bytes | None = fact(BYTES, "The request that asks what came of it.")
    done: bytes | None = fact(BYTES, "What stands behind the repeated request in an answer that says: finished.")


@dataclass(frozen=True, slots=True, kw_only=True)
class ValueRow(Row):
    """One value that the unit tells."""

    identifier: bytes = fact(IDENTIFIER, "Where it is read.", required=True)
    holds: Holds = fact(HOLDS, "What it is.", required=True)
    places: tuple[Corner, ...] = fact(ListOf(CORNER, 5), "The corners in its order; left out for one value for all.")
    axles: bool = fact(YES_NO, "Whether it has one figure for the front and one for the rear.", default=False)
    length: int = fact(whole(1, 4), "How many bytes each takes.", default=1)
    bits: bool = fact(YES_NO, "Whether each place is one bit, the first the lowest.", default=False)
    signed: bool = fact(YES_NO, "Whether numbers go below zero (two's complement).", default=False)
    order: Order = fact(choice(Order), "Which byte comes first.", default=Order.HIGH)
    unknown: bytes | None = fact(BYTES, "What stands where there is no figure yet.")
    scale: float = fact(FIGURE, "What the number is multiplied by.", default=1.0)
    offset: float = fact(FIGURE, "What is added then.", default=0.0)
    unit: str | None = fact(TEXT, "The unit that this gives: kPa gauge, kPa absolute, °C, km/h, V.")
    words: tuple[str, ...] = fact(ListOf(TEXT, 50), "What numbers mean, as in '2: flashing'.")


def _beside(value: object) -> str:
    if not isinstance(value, str) or not value.strip() or re.search(r"[/\\:]", value) or value.startswith("."):
        raise Unfit(
            shown(value), "the name of a file beside the card", "put the file beside the card, and write its name alone"
        )
    return value


BESIDE = _Kind("the name of a file beside the card", _beside, lambda: {"type": "string", "examples": ["body.dbc"]})


@dataclass(frozen=True, slots=True, kw_only=True)
class BroadcastRow(Row):
    """One signal that the car sends by itself, named as in the DBC file."""

    message: str = fact(TEXT, "The message's name in the DBC file.", required=True)
    signal: str = fact(TEXT, "The signal's name in it.", required=True)
    holds: Holds = fact(HOLDS, "What it is.", required=True)
    place: Corner | None = fact(choice(Corner), "The corner; left out for one value for all.")
    unit: str | None = fact(TEXT, "The unit that it gives, as for values; left out for the DBC file's.")


@dataclass(frozen=True, slots=True, kw_only=True)
class NeedsRow(Row):
    """What has to be so before teaching, besides a standing car."""

    ignition: tuple[int, ...] = fact(ListOf(whole(0, 255), 8), "The numbers of 'ignition' with which it may be taught.")
    least_supply_v: float | None = fact(FIGURE, "The least voltage.")


@dataclass(frozen=True, slots=True, kw_only=True)
class PortFile(Row):
    """A whole port card."""

    port: int = fact(whole(1, 1), "Version of this file's format: 1.", required=True)
    id: str = fact(TEXT, "A short name for the card.", required=True)
    label: str | None = fact(TEXT, "What people call it.")
    unit: UnitRow = fact(
        Rows(UnitRow, many=False),
        "How the unit is reached; left out where the car is only listened to.",
        default=UnitRow(),
    )
    list: tuple[ListRow, ...] = fact(Rows(ListRow), "Lists of IDs.")
    value: tuple[ValueRow, ...] = fact(Rows(ValueRow), "Values.")
    dbc: str | None = fact(BESIDE, "The DBC file in which the broadcasts are named.")
    broadcast: tuple[BroadcastRow, ...] = fact(Rows(BroadcastRow), "What the car sends by itself.")
    needs: NeedsRow = fact(Rows(NeedsRow, many=False), "What has to be so before teaching.", default=NeedsRow())


def read_port_card(data: bytes, file: str, dbc: str = "") -> PortCard:
    """The port card that a file describes; `dbc` is the text of the DBC file that it names. Raises BadFile with every problem."""
    text = decode(data, file)
    said, complaints = parse_rows(text, file, PortFile)
    complaints = [
        *complaints,
        *((*_check(said), *_check_dbc(said, dbc)) if said is not None and not complaints else ()),
    ]
    if complaints or said is None:
        raise BadFile(file, problems(text, tuple(complaints)))
    return _card(said, dbc)


def dbc_named(data: bytes) -> str | None:
    """The DBC file that a port card names; None where it names none, or is none: reading it tells that."""
    try:
        said = tomllib.loads(data.decode("utf-8-sig"))
        return _beside(said["dbc"])
    except (ValueError, RecursionError, KeyError, Unfit):
        return None


def port_schema() -> str:
    """The JSON Schema of port cards, as text."""
    return json.dumps(schema_of(PortFile, "Wheelside port card, format 1"), indent=1, ensure_ascii=False) + "\n"


def _check(said: PortFile) -> list[Complaint]:
    only_heard = said.broadcast and not said.list and not said.value and said.unit == UnitRow()
    return [
        *_check_texts(said),
        *(() if only_heard else _check_unit(said.unit)),
        *_check_lists(said),
        *_check_values(said),
    ]


def _check_texts(said: PortFile) -> Iterator[Complaint]:
    """Names that would do something to a screen rather than stand on it."""
    texts: list[tuple[tuple[str | int, ...], str | None]] = [(("id",), said.id), (("label",), said.label)]
    texts += [(("list", i, "name"), row.name) for i, row in enumerate(said.list)]
    texts += [(("value", i, "unit"), row.unit) for i, row in enumerate(said.value)]
    texts += [(("value", i, "words"), word) for i, row in enumerate(said.value) for word in row.words]
    texts += [(("broadcast", i, "unit"), row.unit) for i, row in enumerate(said.broadcast)]
    for path, text in texts:
        if text is not None and not text.isprintable():
            yield Complaint(path, "signs that can't be printed", "plain text", "write it again without them")


def _check_lists(said: PortFile) -> Iterator[Complaint]:
    for i, row in enumerate(said.list):
        earlier = said.list[:i]
        if any(row.name == other.name or row.identifier == other.identifier for other in earlier):
            yield Complaint(
                ("list", i, "name"),
                "a list that was named before",
                "each list once, with a name of its own",
                "take one out",
            )
        yield from _check_places(("list", i, "places"), row.places)
        if row.empty is not None and len(row.empty) != row.length:
            yield Complaint(
                ("list", i, "empty"), f"{len(row.empty)} bytes", f"{row.length}, as an ID has", "write all of them"
            )
        yield from _check_routines(i, row)
        if row.writable and said.unit.read_only:
            yield Complaint(("list", i, "writable"), "true", "false: the unit is read only", "take one of both out")
        if row.writable and int.from_bytes(row.identifier, "big") >= FIRST_RESERVED_LIST:
            found, wanted = row.identifier.hex().upper(), "an identifier below F000: those above are no lists of IDs"
            yield Complaint(("list", i, "identifier"), found, wanted, "look it up again")


_ROUTINES = {
    "begin": ((1,), "the start of a routine: 31 01, and its identifier"),
    "finish": ((1, 2), "a routine's start or end: 31 01 or 31 02, and its identifier"),
    "result": ((3,), "the question for a routine's result: 31 03, and its identifier"),
}
"""ISO 14229-1: 01 starts a routine, 02 stops it, 03 asks for its result; only the question may be sent again and again."""


def _check_routines(i: int, row: ListRow) -> Iterator[Complaint]:
    for key, (allowed, wanted) in _ROUTINES.items():
        request: bytes | None = getattr(row, key)
        if request is None:
            continue
        if request[0] != 0x31 or len(request) < 4 or request[1] not in allowed:
            yield Complaint(("list", i, key), request.hex(" "), wanted, "look it up again")
        elif int.from_bytes(request[2:4], "big") >= FIRST_RESERVED_ROUTINE:
            below = "a routine below E000: those above deploy, erase or check memory"
            yield Complaint(("list", i, key), request.hex(" "), below, "look it up again")
    if row.result is not None and row.done is None:
        wanted = "'done' beside it: what an answer says that means finished"
        yield Complaint(("list", i, "result"), row.result.hex(" "), wanted, "add it, or take 'result' out")
    if row.done is not None and row.result is None:
        yield Complaint(
            ("list", i, "done"), row.done.hex(" "), "'result' beside it: the request that is answered so", "add it"
        )


def _check_values(said: PortFile) -> Iterator[Complaint]:
    for i, one in enumerate(said.value):
        if one.places:
            yield from _check_places(("value", i, "places"), one.places)
        if one.places and one.axles:
            yield Complaint(("value", i, "axles"), "true", "either 'places' or 'axles'", "take one of both out")
        if one.unknown is not None and (one.bits or len(one.unknown) != one.length):
            wanted = "nothing: a bit has no sign for unknown" if one.bits else f"{one.length} bytes, as each figure has"
            yield Complaint(("value", i, "unknown"), f"{len(one.unknown)} bytes", wanted, "write all of them, or none")
        if one.signed and one.bits:
            yield Complaint(("value", i, "signed"), "true", "either 'bits' or 'signed'", "take one of both out")
        for word in one.words:
            if _word(word) is None:
                yield Complaint(("value", i, "words"), word, "a number, ':' and its meaning", "as in '2: flashing'")


def _check_places(path: tuple[str | int, ...], places: tuple[Corner, ...]) -> Iterator[Complaint]:
    if not places or len(set(places)) < len(places):
        yield Complaint(
            path, ", ".join(places) or "no place", "each corner once, in the order of the bytes", "look it up again"
        )


def _check_unit(unit: UnitRow) -> Iterator[Complaint]:
    if (unit.request is None) is not (unit.answer is None):
        key = "request" if unit.request is None else "answer"
        yield Complaint(("unit", key), "nothing", "both CAN identifiers, of requests and of answers", "add it")
    elif unit.request is None and unit.logical is None:
        yield Complaint(
            ("unit", "request"), "nothing", "'request' and 'answer', or 'logical'", "look it up in service literature"
        )
    elif unit.request is not None and unit.request[0] in FOR_ALL:
        yield Complaint(
            ("unit", "request"),
            "the identifier of requests to all units",
            "the identifier of one unit",
            "look it up again",
        )
    elif unit.logical is not None and int.from_bytes(unit.logical, "big") >= FIRST_LOGICAL_GROUP:
        yield Complaint(
            ("unit", "logical"),
            "an address of several units",
            "the address of one unit, below E400",
            "look it up again",
        )
    elif unit.request is not None and unit.request == unit.answer:
        yield Complaint(("unit", "answer"), "the same as 'request'", "an identifier of its own", "look it up again")
    elif unit.request is not None and unit.answer is not None and unit.request[1] != unit.answer[1]:
        yield Complaint(
            ("unit", "answer"), "another width than 'request'", "both of 11 or both of 29 bits", "read them again"
        )


def _check_dbc(said: PortFile, dbc: str) -> list[Complaint]:
    if not said.broadcast:
        return []
    if not said.dbc or not dbc.strip():
        found = f"nothing of the file {said.dbc}" if said.dbc else "nothing"
        what = "choose that file, too" if said.dbc else 'write dbc = "body.dbc"'
        return [Complaint(("dbc",), found, "the DBC file that the broadcasts are named in", what)]
    try:
        signals = described(dbc)
    except BadRequest as error:
        return [Complaint(("dbc",), error.found, error.expected, error.message)]
    twice = [
        Complaint(
            ("broadcast", i, "place"),
            f"{row.holds.value}, {row.place or 'for all'}, a second time",
            "each place once",
            "take one out",
        )
        for i, row in enumerate(said.broadcast)
        if any((row.holds, row.place) == (other.holds, other.place) for other in said.broadcast[:i])
    ]
    return twice + [one for i, row in enumerate(said.broadcast) if (one := _check_broadcast(i, row, signals))]


def _check_broadcast(i: int, row: BroadcastRow, signals: tuple[Described, ...]) -> Complaint | None:
    """What is wrong with one broadcast; None where its message and signal are in the DBC file."""
    path = ("broadcast", i, "message")
    inside = [one for one in signals if one.message == row.message]
    if not inside:
        options = _one_of({one.message for one in signals})
        return Complaint(path, repr(row.message), options, "name a message of the DBC file")
    if row.signal not in [one.signal for one in inside]:
        options = _one_of({one.signal for one in inside})
        return Complaint(("broadcast", i, "signal"), repr(row.signal), options, f"name a signal of {row.message}")
    if inside[0].length > LONGEST_MESSAGE:
        most = f"a message of at most {LONGEST_MESSAGE} bytes"
        return Complaint(path, f"{inside[0].length} bytes", most, "longer ones can't be heard")
    return None


def _one_of(names: set[str]) -> str:
    listed = sorted(names)
    more = f" and {len(listed) - 12} more" if len(listed) > 12 else ""
    return f"one of {', '.join(listed[:12])}{more}" if listed else "a DBC file with messages"


def _word(text: str) -> tuple[int, str] | None:
    found = re.fullmatch(r"\s*(\d{1,3})\s*:\s*(.+)", text, re.ASCII)
    return (int(found[1]), found[2].strip()) if found else None


def _card(said: PortFile, dbc: str) -> PortCard:
    unit = said.unit
    padding = unit.padding[0] if unit.padding else None
    return PortCard(
        id=said.id,
        label=said.label or said.id,
        unit=UnitAddress(*_ids(unit), padding, int.from_bytes(unit.logical, "big") if unit.logical else None),
        speaks=unit.speaks,
        lists=tuple(_list(row) for row in said.list),
        values=tuple(_value(row) for row in said.value),
        needs=Needs(said.needs.ignition, said.needs.least_supply_v),
        read_only=unit.read_only,
        broadcasts=tuple(
            Broadcast(row.message, row.signal, row.holds, row.place.value if row.place else "", row.unit or "")
            for row in said.broadcast
        ),
        dbc=dbc if said.broadcast else "",
    )


def _ids(unit: UnitRow) -> tuple[int, int, bool]:
    if unit.request is None or unit.answer is None:
        return 0, 0, False
    return unit.request[0], unit.answer[0], unit.request[1]


def _list(row: ListRow) -> IdList:
    layout = Layout(tuple(c.value for c in row.places), row.length, row.order is Order.HIGH, row.empty)
    return IdList(
        int.from_bytes(row.identifier, "big"),
        row.name,
        layout,
        row.begin,
        row.finish,
        row.result,
        row.done,
        row.writable,
        row.begin_empties,
        row.watched_as,
    )


def _value(row: ValueRow) -> Value:
    places = ("front", "rear") if row.axles else tuple(c.value for c in row.places)
    text = row.holds in (Holds.VIN, Holds.SERIAL)
    layout = (
        None
        if text
        else Layout(places or ("",), row.length, row.order is Order.HIGH, row.unknown, row.bits, row.signed)
    )
    words = tuple(word for w in row.words if (word := _word(w)))
    return Value(int.from_bytes(row.identifier, "big"), row.holds, layout, row.scale, row.offset, row.unit or "", words)
