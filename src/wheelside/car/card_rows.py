"""The tables of a port card and their keys, declared once: the reader and the schema go by them."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum
from typing import ClassVar

from wheelside.car.address import read_can_id
from wheelside.car.card import Holds, Speaks
from wheelside.corner import Corner
from wheelside.declared.kinds import TEXT, YES_NO, Kind, ListOf, Rows, Unfit, choice, fact, reading, shown, whole
from wheelside.declared.row import Row


def _hex(length: int | None, example: str, what: str) -> Kind:
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

    return Kind(f"{what} such as '{example}'", take, lambda: {"type": "string", "examples": [example]})


def _figure(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not -1e9 < value < 1e9:
        raise Unfit(shown(value), "a number", "write it without quotes, as in 0.1")
    return float(value)


def _said(kind: Kind, what: str) -> Kind:
    """The kind, for keys that a draft leaves open with a '?'."""

    def take(value: object) -> object:
        if value == "?":
            raise Unfit(
                "a draft's '?'", kind.expected, f"write {what}; where you don't know it, take the whole row out"
            )
        return kind.take(value)

    return Kind(kind.expected, take, kind.schema)


HOLDS = _said(choice(Holds), "what it holds")
CORNER = _said(choice(Corner), "which corner it is")
IDENTIFIER = _hex(2, "2110", "an identifier of two bytes")
LOGICAL = _hex(2, "1001", "a logical address of two bytes")
BYTES = _hex(None, "FFFFFFFF", "bytes in hex")
ONE_BYTE = _hex(1, "CC", "one byte in hex")
FIGURE = Kind("a number", _figure, lambda: {"type": "number"})
CAN_ID = reading(read_can_id, "6A3", "a CAN identifier")


@dataclass(frozen=True, slots=True, kw_only=True)
class CardRow(Row):
    """What every table of a port card may say besides its own keys."""

    FILE: ClassVar[str] = "port card"


class Order(StrEnum):
    """Which byte of a number comes first."""

    HIGH = "high first"
    LOW = "low first"


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitRow(CardRow):
    """How the unit is reached."""

    request: tuple[int, bool] | None = fact(
        CAN_ID, "CAN identifier of requests: three hex digits for 11 bits, eight for 29."
    )
    answer: tuple[int, bool] | None = fact(CAN_ID, "CAN identifier of answers.")
    logical: bytes | None = fact(LOGICAL, "Logical address for diagnostics over IP (ISO 13400).")
    padding: bytes | None = fact(ONE_BYTE, "The byte that short frames are filled with; none by default.")
    speaks: Speaks = fact(choice(Speaks), "What it speaks.", default=Speaks.UDS)
    read_only: bool = fact(
        YES_NO, "Whether nothing is ever written to it, for it does other things, too: brakes, steering.", default=False
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class ListRow(CardRow):
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
class ValueRow(CardRow):
    """One value that the unit tells."""

    identifier: bytes = fact(IDENTIFIER, "Where it is read.", required=True)
    holds: Holds = fact(HOLDS, "What it is.", required=True)
    places: tuple[Corner, ...] = fact(ListOf(CORNER, 5), "The corners in its order; without it, one value for all.")
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


def beside(value: object) -> str:
    """The name of a file that lies beside the card. Raises Unfit."""
    if not isinstance(value, str) or not value.strip() or re.search(r"[/\\:]", value) or value.startswith("."):
        raise Unfit(
            shown(value), "the name of a file beside the card", "put the file beside the card, and write its name alone"
        )
    return value


BESIDE = Kind("the name of a file beside the card", beside, lambda: {"type": "string", "examples": ["body.dbc"]})


@dataclass(frozen=True, slots=True, kw_only=True)
class BroadcastRow(CardRow):
    """One signal that the car sends by itself, named as in the DBC file."""

    message: str = fact(TEXT, "The message's name in the DBC file.", required=True)
    signal: str = fact(TEXT, "The signal's name in it.", required=True)
    holds: Holds = fact(HOLDS, "What it is.", required=True)
    place: Corner | None = fact(choice(Corner), "The corner; without it, one value for all.")
    unit: str | None = fact(TEXT, "The unit that it gives, as for values; by default the DBC file's.")


@dataclass(frozen=True, slots=True, kw_only=True)
class NeedsRow(CardRow):
    """What has to be so before teaching, besides a standing car."""

    ignition: tuple[int, ...] = fact(ListOf(whole(0, 255), 8), "The numbers of 'ignition' with which it may be taught.")
    least_supply_v: float | None = fact(FIGURE, "The least voltage.")


@dataclass(frozen=True, slots=True, kw_only=True)
class PortFile(CardRow):
    """A whole port card."""

    port: int = fact(whole(1, 1), "Version of this file's format: 1.", required=True)
    id: str = fact(TEXT, "A short name for the card.", required=True)
    label: str | None = fact(TEXT, "What people call it.")
    unit: UnitRow = fact(
        Rows(UnitRow, many=False),
        "How the unit is reached; not needed where the car is only listened to.",
        default=UnitRow(),
    )
    list: tuple[ListRow, ...] = fact(Rows(ListRow), "Lists of IDs.")
    value: tuple[ValueRow, ...] = fact(Rows(ValueRow), "Values.")
    dbc: str | None = fact(BESIDE, "The DBC file in which the broadcasts are named.")
    broadcast: tuple[BroadcastRow, ...] = fact(Rows(BroadcastRow), "What the car sends by itself.")
    needs: NeedsRow = fact(Rows(NeedsRow, many=False), "What has to be so before teaching.", default=NeedsRow())


def word_of(text: str) -> tuple[int, str] | None:
    """A number and its meaning, as in '2: flashing'; None for another text."""
    found = re.fullmatch(r"\s*(\d{1,3})\s*:\s*(.+)", text, re.ASCII)
    return (int(found[1]), found[2].strip()) if found else None
