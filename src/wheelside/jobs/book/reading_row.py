"""One row of a readings file as a reading, and what is odd about it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, tzinfo
from enum import StrEnum
from typing import Generic, TypeVar

from wheelside.air.plausible import AIR, KPA, Odd, Oddness, fahrenheit_kelvin, odd_air, odd_pressure, odd_temperature
from wheelside.book.mistaken import Why
from wheelside.book.reading import FIRST_US, LAST_US, Purpose, Reading, Warmth, air_keepable, keepable, pressure_of
from wheelside.book.things import ThingKey
from wheelside.garage.model import Garage
from wheelside.jobs.book.reading_cell import Asks, DayOrder, UnfitCell, figure, flag, moment, words
from wheelside.jobs.book.reading_columns import (
    AIR_PRESSURES,
    LEFT_OUT,
    OPEN_PRESSURES,
    OUTSIDE_TEMPERATURES,
    PRESSURES,
    TEMPERATURES,
    TYRE_TEMPERATURES,
    UNIT_IN_NAME,
    plain,
)
from wheelside.jobs.book.spreadsheet import Cell
from wheelside.units import AbsolutePressure, AnyPressure, Temperature
from wheelside.units.moment import Moment

AHEAD_US = 120_000_000
"""How far a clock may run ahead before a moment is asked about as one in the future."""
LONGEST_CHANNEL, LONGEST_INSTRUMENT = 40, 60


@dataclass(frozen=True, slots=True)
class AskedFigure:
    """A figure that is asked about: its line and column, as it was written, why, and the units that would explain it.

    `keepable`: whether a book can keep it, where the owner says that it really was so.
    """

    line: int
    column: str
    figure: float
    unit: str
    odd: Odd
    absolute: bool = False
    keepable: bool = True


@dataclass(frozen=True, slots=True)
class Names:
    """What rows can name, wheels, sensors, places and instruments: by id, and by what they are called where one only is called so."""

    ids: frozenset[ThingKey]
    called: dict[ThingKey, tuple[str, ...]] = field(default_factory=dict)

    def find(self, kind: str, name: str, column: str = "") -> ThingKey:
        """The thing of that id or name; `column`: where it stands, '' for one that is named as its kind. Raises Unfit."""
        if (kind, name) in self.ids:
            return kind, name
        known = self.called.get((kind, plain(name)), ())
        if len(known) == 1:
            return kind, known[0]
        at = column or kind
        if known:
            raise UnfitCell(
                at, name, f"the id of one {kind}", f"several are called so: write one of {', '.join(known)}"
            )
        article = "an" if kind[0] in "aeiou" else "a"
        raise UnfitCell(at, name, f"{article} {kind} of the book", "enter it in the book first, or mend the name")


def names_of(garage: Garage) -> Names:
    """What the rows of a file can name."""
    called: dict[ThingKey, tuple[str, ...]] = {}
    things = [("wheel", w.id, w.name) for w in garage.wheel] + [("sensor", s.id, s.name) for s in garage.sensor]
    things += [("place", p.id, p.name) for p in garage.place] + [
        ("instrument", i.id, i.name) for i in garage.instrument
    ]
    for kind, one, name in things:
        key = (kind, plain(name))
        called[key] = (*called.get(key, ()), one)
    return Names(frozenset((kind, one) for kind, one, _ in things), called)


_LATEST = Moment(LAST_US)


@dataclass(frozen=True, slots=True)
class How:
    """How the cells of a file are meant.

    `unit`: of every pressure, whatever its column says; '' leaves it to the columns. `zone`: of moments without one; None for
    UTC. `as_it_is`: odd figures are kept everywhere; `lines`: on these.
    """

    now: Moment = _LATEST
    unit: str = ""
    order: DayOrder | None = None
    zone: tzinfo | None = None
    as_it_is: bool = False
    lines: frozenset[int] = frozenset()
    decimal_comma: bool = False

    def takes(self, line: int) -> bool:
        """Whether odd figures of a line are kept."""
        return self.as_it_is or line in self.lines


Row = dict[str, Cell]


def row_of(headers: Sequence[str], targets: Sequence[str], cells: Sequence[Cell]) -> Row:
    """The cells of a row by what they say; empty ones are left out. Raises Unfit for a cell under no heading."""
    found: Row = {}
    for i, cell in enumerate(cells):
        if cell is None or cell == "":
            continue
        if i >= len(headers) or (not headers[i] and targets[i] == LEFT_OUT):
            raise UnfitCell(f"column {i + 1}", cell, "a heading above it", "write one, or empty the cell")
        if targets[i] != LEFT_OUT:
            found[targets[i]] = cell
    return found


def reading_of(row: Row, line: int, names: Names, how: How) -> tuple[Reading, tuple[AskedFigure, ...]]:
    """The reading that a row says, and what is odd about it. Raises Unfit."""
    subject = _subject(row, names)
    at = moment(row.get("at"), row.get("time"), how.zone or UTC, how.order)
    if not FIRST_US <= at.us <= LAST_US:
        raise UnfitCell("at", row.get("at"), "a moment of the years 1980 to 2199")
    pressure, air = _pressure(row, line, how), _air(row, line, how)
    temperature, tyre, outside = (_temperature(row, line, how, columns) for columns in _TEMPERATURES)
    reading = Reading(
        subject, at.us, words(row.get("channel", "typed"))[:LONGEST_CHANNEL], pressure.inside, temperature.inside,
        flag("battery_low", row.get("battery_low")),
        words(row["instrument"])[:LONGEST_INSTRUMENT] if "instrument" in row else None,
        at.offset_min, _why(row.get("mistaken")),
        _code(row, "purpose", Purpose) or Purpose.NOT_KNOWN, _code(row, "warmth", Warmth) or Warmth.NOT_KNOWN,
        tyre.inside, outside.inside, _named(row, "place", "place", names), air.inside,
        _named(row, "instrument_id", "instrument", names),
    )  # fmt: skip
    figures = (*pressure.asked, *temperature.asked, *tyre.asked, *outside.asked, *air.asked)
    if reading.mistaken or how.takes(line):
        return reading, tuple(one for one in figures if not one.keepable)
    future = [AskedFigure(line, "at", 0.0, "", Odd(Oddness.FUTURE))] if at.us > how.now.us + AHEAD_US else []
    return reading, (*figures, *future)


Quantity = TypeVar("Quantity")


@dataclass(frozen=True, slots=True)
class _Figure(Generic[Quantity]):
    """A figure as the quantity that it is, and what is odd about it."""

    inside: Quantity | None = None
    asked: tuple[AskedFigure, ...] = ()


_ALL_PRESSURES = PRESSURES | OPEN_PRESSURES
_TEMPERATURES = (TEMPERATURES, TYRE_TEMPERATURES, OUTSIDE_TEMPERATURES)


def _only(row: Row, columns: Iterable[str], expected: str, way: str) -> str | None:
    """The one column of these that the row has. Raises Unfit for two."""
    named = [column for column in row if column in columns]
    if len(named) > 1:
        raise UnfitCell(named[1], row[named[1]], expected, way)
    return named[0] if named else None


def _pressure(row: Row, line: int, how: How) -> _Figure[AnyPressure]:
    column = _only(row, _ALL_PRESSURES, "one pressure a row", "leave the others out")
    if column is None:
        return _Figure()
    unit, absolute = _ALL_PRESSURES[column]
    number, said = figure(column, row[column], decimal_comma=how.decimal_comma)
    meant = _agreed(column, row[column], said, how.unit or unit, KPA)
    odd = odd_pressure(number, meant, absolute=absolute)
    pressure = pressure_of(number * KPA[meant], absolute)
    asked = (AskedFigure(line, column, number, meant, odd, absolute, keepable(pressure, None)),) if odd else ()
    return _Figure(pressure, asked)


def _temperature(row: Row, line: int, how: How, columns: Mapping[str, str]) -> _Figure[Temperature]:
    column = _only(row, columns, "one such temperature a row", "leave the other out")
    if column is None:
        return _Figure()
    number, said = figure(column, row[column], decimal_comma=how.decimal_comma)
    unit = _agreed(column, row[column], said, columns[column], columns.values())
    odd = odd_temperature(number, unit, outside=columns is OUTSIDE_TEMPERATURES)
    found = Temperature.from_celsius(number) if unit == "°C" else Temperature(fahrenheit_kelvin(number))
    return _Figure(
        found, (AskedFigure(line, column, number, unit, odd, keepable=keepable(None, found)),) if odd else ()
    )


def _air(row: Row, line: int, how: How) -> _Figure[AbsolutePressure]:
    column = _only(row, AIR_PRESSURES, "one air pressure a row", "leave the other out")
    if column is None:
        return _Figure()
    number, said = figure(column, row[column], decimal_comma=how.decimal_comma)
    unit = _agreed(column, row[column], said, AIR_PRESSURES[column], AIR)
    odd = odd_air(number, unit)
    found = AbsolutePressure(number * AIR[unit])
    return _Figure(found, (AskedFigure(line, column, number, unit, odd, keepable=air_keepable(found)),) if odd else ())


def _named(row: Row, column: str, kind: str, names: Names) -> str | None:
    """The id of what a cell names. Raises Unfit."""
    return names.find(kind, words(row[column]), column)[1] if column in row else None


CodeOf = TypeVar("CodeOf", bound=StrEnum)


def _code(row: Row, column: str, codes: type[CodeOf]) -> CodeOf | None:
    """The code in a cell; None for an empty one. Raises Unfit."""
    if column not in row:
        return None
    try:
        return codes(words(row[column]).lower())
    except ValueError:
        raise UnfitCell(column, row[column], ", ".join(codes), "leave it empty where it is not known") from None


def _agreed(column: str, cell: Cell, said: str, unit: str, units: Iterable[str]) -> str:
    """The unit that cell and column agree on. Raises Unfit where there is none, or they differ."""
    if not (said or unit):
        raise UnfitCell(column, cell, "a unit", asks=Asks.UNIT)
    if said and (said not in units or unit not in ("", said)):
        raise UnfitCell(
            column,
            cell,
            f"a figure in {unit or 'kPa, bar or psi'}",
            "write the unit in the column's name or in the cells, not both",
        )
    return said or unit


def _subject(row: Row, names: Names) -> ThingKey:
    named = [(kind, words(row[kind])) for kind in ("wheel", "sensor") if kind in row]
    if len(named) != 1:
        raise UnfitCell("wheel", [one for _, one in named] or "nothing", "a wheel or a sensor", "name one of them")
    return names.find(*named[0])


def _why(cell: Cell) -> str:
    if cell is None:
        return ""
    try:
        return Why(words(cell)).value
    except ValueError:
        raise UnfitCell("mistaken", cell, ", ".join(Why), "leave it empty for a reading that counts") from None


def asked_of(r: Reading, now: Moment, number: int) -> tuple[AskedFigure, ...]:
    """What is odd about a reading that came in inside units; `number`: its place among those it came with."""
    asked = []
    if r.pressure is not None:
        absolute = isinstance(r.pressure, AbsolutePressure)
        if odd := odd_pressure(r.pressure.kpa, "kPa", absolute=absolute):
            asked.append(AskedFigure(number, "pressure_kpa", r.pressure.kpa, "kPa", odd, absolute))
    for column, temperature in (
        ("temperature_c", r.temperature),
        ("tyre_temperature_c", r.tyre),
        ("outside_temperature_c", r.outside),
    ):
        outside = column in OUTSIDE_TEMPERATURES
        if temperature is not None and (odd := odd_temperature(temperature.celsius, "°C", outside=outside)):
            asked.append(AskedFigure(number, column, temperature.celsius, "°C", odd))
    if r.air is not None and (odd := odd_air(r.air.kpa, "kPa")):
        asked.append(AskedFigure(number, "air_pressure_kpa", r.air.kpa, "kPa", odd))
    if r.at_us > now.us + AHEAD_US:
        asked.append(AskedFigure(number, "at", 0.0, "", Odd(Oddness.FUTURE)))
    return tuple(asked)


def said_of(asked: AskedFigure) -> tuple[str, str, str]:
    """What was found, what was expected, and what it would be: '2.4 kPa', 'a pressure of a wheel in use', '2.4 bar'."""
    if asked.odd.why is Oddness.FUTURE:
        return "a moment in the future", "one that is past", ""
    found = f"{asked.figure:g} {asked.unit}"
    if asked.column in OUTSIDE_TEMPERATURES:
        expected = "a temperature of the air outside, -50 to 60 °C"
    elif asked.column in AIR_PRESSURES:
        expected = "a pressure of the air around, 50 to 110 kPa"
    elif asked.column in UNIT_IN_NAME:
        expected = "a temperature of a wheel in use, -50 to 150 °C"
    else:
        expected = "an absolute pressure of a wheel in use" if asked.absolute else "a pressure of a wheel in use"
    return found, expected, " or ".join(f"{asked.figure:g} {unit}" for unit in asked.odd.meant)
