"""What the book has of a car's port, as one picture: its card, what was read last, its codes, its last teaching."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from wheelside.book.cars import CarRecord
from wheelside.car.card import Holds, PortCard
from wheelside.car.codes import Changed, Code, compared
from wheelside.car.reads import CardRead, ListRead, ValueRead, id_text, list_from
from wheelside.errors import BadFile
from wheelside.garage.model import Car, Garage
from wheelside.identity.inlist import InList
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.car.port import against
from wheelside.jobs.car.pressures import counting
from wheelside.jobs.car.visit import (
    CODES,
    CODES_AFTER,
    KeptCard,
    KeptTeaching,
    card_among,
    code_of,
    last_read,
    listed_of,
    records,
    teachings,
    way_back,
)
from wheelside.jobs.car.ways_back import list_taught
from wheelside.sensor.ident import SensorId
from wheelside.units import AbsolutePressure, GaugePressure, Speed, Temperature, UnitChoice
from wheelside.units.moment import Moment

Json = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Grid:
    """Values with a figure for each place: the places, and each value's name with its figures in words."""

    places: tuple[str, ...]
    columns: tuple[tuple[str, tuple[str, ...]], ...]


@dataclass(frozen=True, slots=True)
class ReadOnce:
    """One reading: its values in the owner's units, its lists against what is fitted now, and what could not be read.

    With each list: whether it is the one that the car goes by.
    """

    at: Moment
    whole: tuple[tuple[str, str], ...]
    grids: tuple[Grid, ...]
    lists: tuple[tuple[str, InList, bool], ...]
    missing: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class CodeTold:
    """One code as it was read last, with what was noted beside it in words."""

    code: Code
    noted: str


@dataclass(frozen=True, slots=True)
class CodesOnce:
    """The codes as they were read last, and against the time before; None where there was none. `not_told`: which lists were not, and why."""

    at: Moment
    codes: tuple[CodeTold, ...]
    not_told: tuple[tuple[str, str], ...]
    changed: Changed | None


@dataclass(frozen=True, slots=True)
class PortState:
    """A car's port as the book knows it. `unread`: why its card can't be read any more; '' where it can.

    `teaching`: the one that finishing or undoing is about; `teachings`: all, the oldest first. `places`: of that one, each place with what it
    held before and what was meant; none where the card has another list now.
    """

    kept: KeptCard | None
    unread: str
    read: ReadOnce | None
    codes: CodesOnce | None
    teaching: KeptTeaching | None
    teachings: tuple[KeptTeaching, ...]
    places: tuple[tuple[str, str, str], ...] = ()


def port_state(desk: Desk, garage: Garage, car: Car, day: date) -> PortState:
    """What the book has of a car's port."""
    rows = records(desk, car.id)
    unread = ""
    try:
        kept = card_among(rows)
    except BadFile as error:
        kept, unread = None, str(error)
    if kept is None:
        return PortState(None, unread, None, None, way_back(rows), teachings(rows))
    read, teaching = last_read(rows, kept.card.id), way_back(rows)
    return PortState(
        kept,
        unread,
        _read(desk, kept.card, garage, car, day, read) if read else None,
        _codes([r for r in rows if r.what in (CODES, CODES_AFTER) and r.body.get("card") == kept.card.id], garage),
        teaching,
        teachings(rows),
        _places(kept.card, teaching) if teaching else (),
    )


def _places(card: PortCard, teaching: KeptTeaching) -> tuple[tuple[str, str, str], ...]:
    row = list_taught(card, teaching)
    if row is None:
        return ()
    old, new = list_from(row, teaching.old).ids, list_from(row, teaching.new).ids
    return tuple((place, id_text(before), id_text(after)) for (place, before), (_, after) in zip(old, new, strict=True))


def _read(desk: Desk, card: PortCard, garage: Garage, car: Car, day: date, record: CarRecord) -> ReadOnce:
    body, units = record.body, garage.units.choice
    values = tuple(value_of(row) for row in body["values"])
    lists = tuple(list_of(row) for row in body["lists"])
    by = counting(CardRead(lists, values, ()), card)
    groups: dict[tuple[str, ...], list[ValueRead]] = {}
    for value in values:
        if value.places:
            groups.setdefault(value.places, []).append(value)
    return ReadOnce(
        record.at,
        tuple((named(v), told(v, units)[0]) for v in values if not v.places),
        tuple(Grid(places, tuple((named(v), told(v, units)) for v in group)) for places, group in groups.items()),
        tuple((row.name, against(desk, car, day, row), row is by) for row in lists),
        tuple((str(what), str(why)) for what, why in body["missing"]),
    )


def named(value: ValueRead) -> str:
    """A value's name as it stands before a figure."""
    return f"{value.holds.value[:1].upper()}{value.holds.value[1:]}{', broadcast' if value.broadcast else ''}"


def told(value: ValueRead, units: UnitChoice) -> tuple[str, ...]:
    """A value's figures in the owner's units, place by place."""
    if not value.figures:
        return (value.text or "–",)
    return tuple(_figure(figure, word, value.unit, units) for _, figure, word in value.figures)


def _figure(figure: float | None, word: str, unit: str, units: UnitChoice) -> str:
    if figure is None or word:
        return word or "not heard yet"
    if unit == "kPa gauge":
        return units.show_pressure(GaugePressure(figure))
    if unit == "kPa absolute":
        return f"{units.show_pressure(AbsolutePressure(figure))} absolute"
    if unit == "°C":
        return units.show_temperature(Temperature.from_celsius(figure))
    if unit == "km/h":
        return units.show_speed(Speed(figure))
    return f"{units.number(figure, 0 if figure == int(figure) else 2)} {unit}".strip()


def value_of(row: Json) -> ValueRead:
    """A value out of what the book keeps of it."""
    figures = tuple((str(place), figure, str(word)) for place, figure, word in row["figures"])
    return ValueRead(Holds(row["holds"]), str(row["unit"]), figures, str(row["text"]), bool(row.get("broadcast")))


def list_of(row: Json) -> ListRead:
    """A list out of what the book keeps of it."""
    bits = int(row["bits"])
    ids = tuple((str(place), _id_of(one, bits)) for place, one in row["ids"])
    return ListRead(int(row["identifier"]), str(row["name"]), bits, ids, bytes.fromhex(row["raw"]))


def _id_of(kept: Json | int | None, bits: int) -> SensorId | None:
    """What a place held, as the book has it: an ID, or its bare number in older rows."""
    if isinstance(kept, dict):
        return SensorId(str(kept["family"]), int(kept["bits"]), int(kept["hex"], 16))
    return None if kept is None else SensorId("", bits, kept)


def _codes(rows: list[CarRecord], garage: Garage) -> CodesOnce | None:
    if not rows:
        return None
    last = rows[-1]
    told = tuple(CodeTold(code_of(body), _noted(body, garage.units.choice)) for body in last.body["codes"])
    not_told = tuple((str(what), str(why)) for what, why in last.body["not_told"])
    changed = compared(listed_of(rows[-2].body), listed_of(last.body)) if len(rows) > 1 else None
    return CodesOnce(last.at, told, not_told, changed)


def _noted(body: Json, units: UnitChoice) -> str:
    values = [value_of(row) for row in body["noted"]]
    parts = [f"{value.holds.value} {', '.join(told(value, units))}" for value in values]
    rest = bytes.fromhex(body["rest"]).hex(" ").upper()
    return "; ".join([*parts, *([f"and {rest}"] if rest else [])])
