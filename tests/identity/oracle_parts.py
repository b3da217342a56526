"""The words that the enumeration's own rules are told in: IDs as they are compared, sensors that carry them in time, choices for a wheel."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from wheelside.garage.model import Garage
from wheelside.garage.words import Corner
from wheelside.sensor.reading import Readings

Number = tuple[int, int]
"""An ID as it is compared: its width and its number."""
Fact = tuple[str, str]
"""Something that a rule rests on: its kind and what it is about."""
DAYS_PER_YEAR = 365.25


@dataclass(frozen=True, slots=True)
class Facts:
    """Which facts hold: every one where `kept` is None, else only these."""

    kept: frozenset[Fact] | None = None

    def hold(self, kind: str, about: str) -> bool:
        return self.kept is None or (kind, about) in self.kept


EVERY_FACT = Facts()


# --- what a sensor carries, and whether two of them can be told apart ---------------------------------------------


@dataclass(frozen=True, slots=True)
class Carrier:
    """One sensor that may transmit: in a wheel of a set, lying loose, or taken out and kept.

    `set` is the one that its wheel counts for. `sensor` is its id, except where it is a new one. `then`: the day on which it is
    written later, and what it carries from that day on.
    """

    ids: frozenset[Number]
    family: str | None
    silent: bool
    set: str | None = None
    wheel: str | None = None
    sensor: str | None = None
    place: str | None = None
    taken_out: bool = False
    then: tuple[date, frozenset[Number]] | None = None

    def ids_on(self, day: date) -> frozenset[Number]:
        return self.then[1] if self.then and self.then[0] <= day else self.ids

    @property
    def ever(self) -> frozenset[Number]:
        return self.ids | self.then[1] if self.then else self.ids

    @property
    def body(self) -> tuple[str | None, bool, str | None, str | None, str | None, bool]:
        """The sensor as a thing, whatever it carries."""
        return self.family, self.silent, self.wheel, self.sensor, self.place, self.taken_out


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a sensor is at a moment: on a car, in one, or at a place; none of them where that is not known."""

    on: str | None = None
    riding_in: str | None = None
    at: str | None = None
    moves: bool = True

    @property
    def bearer(self) -> str | None:
        return self.on or self.riding_in


@dataclass(frozen=True, slots=True)
class Entry:
    """One ID in a car's list; the corner is None where the list does not say it. `set`: the one that it is held for by name."""

    corner: Corner | None
    readings: frozenset[Number]
    family: str | None
    set: str | None = None

    @property
    def only(self) -> Number | None:
        return next(iter(self.readings)) if len(self.readings) == 1 else None


@dataclass(frozen=True, slots=True)
class Option:
    """One choice for one wheel. `known` is the ID where it is known beforehand and unambiguous; `voice` the family.

    `got`: whether no writer in the file can do it, so that one is got. `at_rest`: whether it takes a blank that is noted as silent
    at rest. `on`: the day of a later writing; until then the wheel carries `before`, as far as that is known.
    """

    refit: bool
    choice: str
    known: Number | None
    carriers: tuple[Carrier, ...]
    weight: int
    voice: str
    written: bool
    got: bool = False
    at_rest: bool = False
    on: date | None = None
    before: Number | None = None

    @property
    def mute(self) -> bool:
        """Whether nothing that it leaves about can have the ID of anything else."""
        return not any(c.ever for c in self.carriers)

    @property
    def carried(self) -> tuple[Number | None, date | None, Number | None]:
        """What the wheel carries, as far as that is known, from day to day."""
        return self.known, self.on, self.before

    def known_on(self, day: date) -> Number | None:
        return self.before if self.on is not None and day < self.on else self.known


@dataclass(frozen=True, slots=True)
class Decision:
    """One wheel that is decided on, with the options that no rule refuses by themselves.

    `set` is the one that it counts for, `corner` the one that it has there; `homes` are all its sets with its corners.
    """

    wheel: str
    set: str
    corner: Corner
    options: tuple[Option, ...]
    homes: tuple[tuple[str, Corner], ...] = ()


def numbers(readings: Readings | None) -> frozenset[Number]:
    """What a text can be; nothing where one way to read it is all zeros or all ones, which stand for no sensor."""
    found = frozenset((r.id.bits, r.id.number) for r in readings.all) if readings else frozenset()
    return frozenset() if any(len(set(f"{n:0{bits}b}")) == 1 for bits, n in found) else found


def shown(number: Number) -> str:
    """An ID as it stands in a fact: '32/2C41A7F3'."""
    bits, value = number
    return f"{bits}/{value:0{bits // 4}X}"


def told_apart(garage: Garage, a: str | None, b: str | None) -> bool:
    """Whether two families are proven to be different."""
    one, two = garage.families.get(a or ""), garage.families.get(b or "")
    if one is None or two is None or one.id == two.id:
        return False
    listed = two.id in one.unlike or one.id in two.unlike
    bands = None not in (one.band, two.band) and one.band != two.band
    return listed or bands or (None not in (one.bits, two.bits) and one.bits != two.bits)


def differ(a: object, b: object) -> bool:
    return a is not None and b is not None and a != b
