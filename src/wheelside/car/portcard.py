"""Port cards: TOML files in which the owner writes down, from service literature, how a car's unit is reached.

Read by declarations, as a garage file is: every mistake at once, with its line.
"""

from __future__ import annotations

import json

from wheelside.car.address import UnitAddress
from wheelside.car.card import Broadcast, Holds, IdList, Layout, Needs, PortCard, Value
from wheelside.car.card_check import check_card
from wheelside.car.card_rows import ListRow, Order, PortFile, UnitRow, ValueRow, beside, word_of
from wheelside.declared.kinds import Unfit
from wheelside.declared.read import parse, problems
from wheelside.declared.schema import schema_of
from wheelside.declared.text import Sort, decode, read_toml
from wheelside.errors import BadFile

PORT_CARD = Sort(
    "a port card",
    too_large="it is far larger than any port card: look at what it is",
    spreadsheet="write the port card as text, or begin with a draft out of a DBC or ODX file",
    begin="begin with 'port = 1', or with a draft out of a DBC or ODX file",
)


def read_port_card(data: bytes, file: str, dbc: str = "") -> PortCard:
    """The port card that a file describes; `dbc` is the text of the DBC file that it names. Raises BadFile with every problem."""
    text = decode(data, file, PORT_CARD)
    parsed = parse(PortFile, read_toml(text, file))
    said, found = parsed.row, parsed.complaints
    if said is not None and not found:
        found = tuple(check_card(said, dbc))
    if said is None or found:
        raise BadFile(file, problems(text, found))
    return _card(said, dbc)


def dbc_named(data: bytes) -> str | None:
    """The DBC file that a port card names; None where it names none, or is none: reading it tells that."""
    try:
        return beside(read_toml(decode(data, "", PORT_CARD), "")["dbc"])
    except (BadFile, KeyError, Unfit):
        return None


def port_schema() -> str:
    """The JSON Schema of port cards, as text."""
    return json.dumps(schema_of(PortFile, "Wheelside port card, format 1"), indent=1, ensure_ascii=False) + "\n"


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
    words = tuple(word for w in row.words if (word := word_of(w)))
    return Value(int.from_bytes(row.identifier, "big"), row.holds, layout, row.scale, row.offset, row.unit or "", words)
