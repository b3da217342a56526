"""What is said, as data: an English pattern beside the logic that says it, and the values that it names.

Nothing here makes text. The room `speech` puts what is said into words, units and a language, at the edge: on the command line, on
pages, in proofs. So nobody can compare, keep or seal a sentence by mistake.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import astuple, dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum
from typing import Annotated, Any, Self

from wheelside import units as u
from wheelside.units import Length
from wheelside.units.moment import Moment


class Coded(StrEnum):
    """A code that is compared and kept, with the words in which people read it: `NAME = "code", "words"`.

    The value is the code. `words` is a pattern, as of `Said`; without one the code is its own words.

    >>> class Light(Coded):
    ...     RED = "stop", "a red light"
    >>> Light("stop").words
    'a red light'
    """

    words: str

    def __new__(cls, code: str, words: str = "") -> Self:
        """The member of a code."""
        one = str.__new__(cls, code)
        one._value_ = code
        one.words = words or code
        return one


@dataclass(frozen=True, slots=True)
class Said:
    """A pattern with `{named}` places and the value for each, in the units that it has inside; no text of its own.

    Values: quantities, moments, days, money, IDs, numbers in one of the shapes below, codes, further `Said`, and plain `str` for names
    and texts that somebody else wrote. `many`: the pattern where the value 'n' is not one; '' where number makes no difference.
    """

    pattern: str
    values: tuple[tuple[str, object], ...] = ()
    many: str = ""

    @classmethod
    def __get_pydantic_core_schema__(cls, _: object, handler: Any) -> Any:
        """How a book keeps it: see `kept`."""
        from pydantic import PlainSerializer, PlainValidator

        return handler.generate_schema(Annotated[Any, PlainValidator(_kept_said), PlainSerializer(kept)])

    def __getitem__(self, name: str) -> object:
        """The value of a name. Raises KeyError."""
        return dict(self.values)[name]


def say(pattern: str, /, **values: object) -> Said:
    """What is said, from its pattern and its values.

    >>> say("wheel {wheel} is low", wheel="W1")["wheel"]
    'W1'
    """
    return Said(pattern, tuple(values.items()))


def count(n: int, one: str, many: str, /, **values: object) -> Said:
    """What is said of a number of things, which stands as `{n}` in both patterns."""
    return Said(one, (("n", n), *values.items()), many)


class Joined(StrEnum):
    """How the parts of a list are put together."""

    AND = "and"
    OR = "or"
    COMMA = "comma"
    SEMICOLON = "semicolon"


@dataclass(frozen=True, slots=True)
class Listing:
    """Several values in a row, which a language puts together in its own way."""

    parts: tuple[object, ...]
    by: Joined = Joined.AND


def listed(parts: Iterable[object], by: Joined = Joined.AND) -> Listing:
    """A list of values."""
    return Listing(tuple(parts), by)


@dataclass(frozen=True, slots=True)
class Begun:
    """Something said that begins a sentence, in a language that has capitals for that."""

    said: Said


@dataclass(frozen=True, slots=True)
class Figure:
    """A bare number with so many decimals; None for as many as it has, three at most."""

    value: float
    decimals: int | None = None


@dataclass(frozen=True, slots=True)
class Depth:
    """A depth of tread, which is shown in other units than a length."""

    length: Length


@dataclass(frozen=True, slots=True)
class Measure:
    """A length in millimetres with so many decimals at most, without needless noughts."""

    length: Length
    decimals: int = 1


@dataclass(frozen=True, slots=True)
class PlusMinus:
    """A pressure with its uncertainty."""

    pressure: u.GaugePressure
    spread: u.PressureSpan


@dataclass(frozen=True, slots=True)
class Distance:
    """A distance on the ground, shown in metres or feet."""

    length: Length


@dataclass(frozen=True, slots=True)
class Key:
    """A fact that can be noted: a key of a table, in the row of that id; '' for a table that is there once.

    `key` '' for such a table as a whole.

    The command line names the key, a page links to its field, JSON has it as a record.
    """

    table: str
    key: str
    row: str = ""


@dataclass(frozen=True, slots=True)
class Table:
    """A table to which a row is to be added, or that is to be looked at. `many`: whether it has several rows."""

    table: str
    many: bool = True


@dataclass(frozen=True, slots=True)
class Named:
    """Something that has a page of its own: a row of a table by its id, and what it is called."""

    table: str
    row: str
    name: str


@dataclass(frozen=True, slots=True)
class Option:
    """An option of the command line that does instead; elsewhere it is not shown. `said`: the option, after ', or '."""

    said: str


@dataclass(frozen=True, slots=True)
class Command:
    """Something that the program does: a command with its words, or the page of that address with a name."""

    command: str
    page: str
    name: str


_SHAPES: tuple[type[Any], ...] = (
    u.GaugePressure, u.AbsolutePressure, u.PressureSpan, u.Temperature, u.TemperatureSpan, u.Length, u.Mass, u.Speed, u.Torque, u.Duration,
    u.Share, Moment, Figure, Key, Table, Named, Option, Command,
)  # fmt: skip
_BY_NAME = {shape.__name__: shape for shape in _SHAPES}


def kept(value: object) -> Any:
    """A value that is said as JSON values, from which `from_kept` has it again. Raises TypeError for a kind that is not said.

    >>> from_kept(kept(say("at {p}", p=u.GaugePressure(250.0)))) == say("at {p}", p=u.GaugePressure(250.0))
    True
    """
    for kind, form in _KEPT:
        if isinstance(value, kind):
            return form(value)
    raise TypeError(f"{type(value).__name__} is not said")


def _kept_as_said(value: Said) -> Any:
    values = [[name, kept(one)] for name, one in value.values]
    return {"pattern": value.pattern, "values": values} | ({"many": value.many} if value.many else {})


_KEPT: tuple[tuple[Any, Callable[[Any], Any]], ...] = (
    (Said, _kept_as_said),
    (Coded, lambda v: {"code": type(v).__name__, "is": v.value}),
    (Begun, lambda v: {"begun": kept(v.said)}),
    (Listing, lambda v: {"listing": [kept(one) for one in v.parts], "by": v.by.value}),
    ((Depth, Distance), lambda v: {type(v).__name__.lower(): v.length.mm}),
    (Measure, lambda v: {"mm": v.length.mm, "decimals": v.decimals}),
    (u.Money, lambda v: {"money": str(v.amount), "currency": v.currency}),
    (_SHAPES, lambda v: {"kind": type(v).__name__, "is": list(astuple(v))}),
    (date, lambda v: {"day": v.isoformat()}),
    (str, str),
    (int, int),
)


def from_kept(value: Any) -> object:
    """What JSON values stand for. Raises ValueError."""
    if not isinstance(value, dict):
        return value
    if "pattern" in value:
        values = tuple((str(name), from_kept(one)) for name, one in value["values"])
        return Said(str(value["pattern"]), values, str(value.get("many", "")))
    if "code" in value:
        return _code(value["code"], value["is"])
    if "listing" in value:
        return Listing(tuple(from_kept(one) for one in value["listing"]), Joined(value["by"]))
    if "begun" in value:
        return Begun(_kept_said(value["begun"]))
    if "money" in value:
        return u.Money(Decimal(value["money"]), value["currency"])
    if "day" in value:
        return date.fromisoformat(value["day"])
    if "decimals" in value:
        return Measure(Length(value["mm"]), value["decimals"])
    if "kind" in value:
        return _BY_NAME[value["kind"]](*value["is"])
    ((name, mm),) = value.items()
    return {"depth": Depth, "distance": Distance}[name](Length(mm))


def _code(name: str, code: str) -> Coded:
    """The code of an enumeration of that name."""
    kinds = list(Coded.__subclasses__())
    return next(kind(code) for kind in kinds if kind.__name__ == name)


def _kept_said(value: Any) -> Said:
    """What a book has kept of something said. Raises ValueError."""
    found = value if isinstance(value, Said) else from_kept(value)
    if not isinstance(found, Said):
        raise ValueError("nothing that is said")  # noqa: TRY004  pydantic's way
    return found


def quoted(text: str) -> Said:
    """A text that somebody else wrote, as something said."""
    return say("{text}", text=text)
