"""What a port card must not contradict: addresses, lists, values, and the DBC file that its broadcasts are named in."""

from __future__ import annotations

from collections.abc import Iterator

from wheelside.car.address import FIRST_LOGICAL_GROUP, FOR_ALL
from wheelside.car.broadcast import LONGEST_MESSAGE, Described, described
from wheelside.car.card_rows import BroadcastRow, ListRow, PortFile, UnitRow, word_of
from wheelside.car.permit import FIRST_RESERVED_LIST, FIRST_RESERVED_ROUTINE
from wheelside.corner import Corner
from wheelside.declared.read import Complaint
from wheelside.errors import BadRequest


def check_card(said: PortFile, dbc: str) -> list[Complaint]:
    """Every complaint that the rows of a port card give cause for; `dbc` is the text of the DBC file that it names."""
    only_heard = said.broadcast and not said.list and not said.value and said.unit == UnitRow()
    return [
        *_check_texts(said),
        *(() if only_heard else _check_unit(said.unit)),
        *_check_lists(said),
        *_check_values(said),
        *_check_dbc(said, dbc),
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
            yield Complaint(path, "characters that can't be printed", "plain text", "write it again without them")


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
            wanted = (
                "nothing: a bit has no value for unknown" if one.bits else f"{one.length} bytes, as each figure has"
            )
            yield Complaint(("value", i, "unknown"), f"{len(one.unknown)} bytes", wanted, "write all of them, or none")
        if one.signed and one.bits:
            yield Complaint(("value", i, "signed"), "true", "either 'bits' or 'signed'", "take one of both out")
        for word in one.words:
            if word_of(word) is None:
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
