"""A port card as data: how one unit is reached, and what its identifiers hold."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

from wheelside.car.address import UnitAddress
from wheelside.car.codes import BadAnswer

READ, WRITE, ROUTINE = 0x22, 0x2E, 0x31


class Holds(StrEnum):
    """What a value is."""

    PRESSURE = "pressure"
    TEMPERATURE = "temperature"
    BATTERY_LOW = "battery low"
    WARNS_AT = "warns at"
    LAMP = "lamp"
    TAUGHT = "teaching"
    WATCHED = "watched set"
    SPEED = "speed"
    SUPPLY = "supply"
    IGNITION = "ignition"
    SERIAL = "serial number"
    VIN = "VIN"


class Speaks(StrEnum):
    """What a unit speaks."""

    UDS = "ISO 14229-1"
    J1979 = "SAE J1979"


@dataclass(frozen=True, slots=True)
class Layout:
    """How numbers lie in an answer: for each place so many bytes, the highest or the lowest first; `unknown` stands for none.

    `signed`: the highest bit counts below zero (two's complement).
    """

    places: tuple[str, ...]
    each: int
    high_first: bool
    unknown: bytes | None = None
    bits: bool = False
    signed: bool = False

    @property
    def length(self) -> int:
        """How many bytes all places take."""
        return (len(self.places) + 7) // 8 if self.bits else len(self.places) * self.each

    @property
    def _order(self) -> Literal["big", "little"]:
        return "big" if self.high_first else "little"

    def numbers(self, data: bytes) -> tuple[int | None, ...]:
        """The numbers by place; None where none is there. Raises BadAnswer for another length."""
        if len(data) != self.length:
            raise BadAnswer(
                f"the unit sent {len(data)} bytes where the port card has {self.length}; look at 'length' and 'places' of the card"
            )
        if self.bits:
            whole = int.from_bytes(data, self._order)
            return tuple(whole >> n & 1 for n in range(len(self.places)))
        parts = [data[i : i + self.each] for i in range(0, len(data), self.each)]
        return tuple(
            None if part == self.unknown else int.from_bytes(part, self._order, signed=self.signed) for part in parts
        )

    def data(self, numbers: tuple[int | None, ...]) -> bytes:
        """The bytes of numbers by place. Raises ValueError where a number does not fit or an empty place can't be said."""
        out = b""
        for number in numbers:
            if number is None and self.unknown is None:
                raise ValueError("the port card does not say how an empty place is written ('empty')")
            try:
                out += (
                    self.unknown
                    if number is None and self.unknown
                    else (number or 0).to_bytes(self.each, self._order, signed=self.signed)
                )
            except OverflowError as error:
                raise ValueError(f"{number} does not fit {self.each} bytes") from error
        return out


@dataclass(frozen=True, slots=True)
class IdList:
    """One list of IDs: where it is read and written, and how teaching is begun, ended and asked about; None where there is no such thing.

    `watched_as`: the number by which the value 'watched set' means this list.
    """

    identifier: int
    name: str
    layout: Layout
    begin: bytes | None = None
    finish: bytes | None = None
    result: bytes | None = None
    done: bytes | None = None
    writable: bool = False
    begin_empties: bool = True
    watched_as: int | None = None

    @property
    def bits(self) -> int:
        return 8 * self.layout.each


@dataclass(frozen=True, slots=True)
class Value:
    """One value: what it is, how it lies, and how its number becomes a figure: number * scale + offset, in `unit`."""

    identifier: int
    holds: Holds
    layout: Layout | None
    scale: float = 1.0
    offset: float = 0.0
    unit: str = ""
    words: tuple[tuple[int, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Broadcast:
    """One signal that the car sends by itself: its names in the DBC file, what it is, where ('' for a whole); unit '' for the file's."""

    message: str
    signal: str
    holds: Holds
    place: str = ""
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Needs:
    """What has to be so before teaching."""

    ignition: tuple[int, ...] = ()
    least_supply_v: float | None = None


@dataclass(frozen=True, slots=True)
class PortCard:
    """One car's unit, and what the car broadcasts; `dbc` is the text of the DBC file that the broadcasts are named in."""

    id: str
    label: str
    unit: UnitAddress
    speaks: Speaks = Speaks.UDS
    lists: tuple[IdList, ...] = ()
    values: tuple[Value, ...] = ()
    needs: Needs = Needs()
    read_only: bool = False
    broadcasts: tuple[Broadcast, ...] = ()
    dbc: str = ""

    @property
    def asked(self) -> bool:
        """Whether its unit has an address at all; a car that only broadcasts is listened to."""
        return self.unit.on_can or self.unit.logical is not None

    def value(self, holds: Holds) -> Value | None:
        """The value of a kind; None where the card has none."""
        return next((one for one in self.values if one.holds is holds), None)

    @property
    def routines(self) -> frozenset[int]:
        """The routines that teaching may start, stop or ask about; none where the unit is read only."""
        if self.read_only:
            return frozenset()
        named = [one for row in self.lists for one in (row.begin, row.finish, row.result) if one]
        return frozenset(int.from_bytes(one[2:4], "big") for one in named if one[0] == ROUTINE and len(one) >= 4)

    @property
    def written(self) -> frozenset[int]:
        """The identifiers that teaching may write."""
        return frozenset() if self.read_only else frozenset(row.identifier for row in self.lists if row.writable)


def read_request(identifier: int) -> bytes:
    """Service 22 for one identifier."""
    return bytes([READ]) + identifier.to_bytes(2, "big")
