"""What may stand behind a declared key: how it is read, described and put into the schema."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import MISSING, dataclass, field
from datetime import date, datetime
from difflib import get_close_matches
from enum import StrEnum
from typing import Any

from wheelside.declared.asked import AskedAs
from wheelside.errors import BadQuantity, BadText, Mendable

Json = dict[str, Any]
LONGEST_TEXT = 2000


class Unfit(Mendable):
    """A value that does not fit its key. `suggestion` says what to write."""

    def __init__(self, found: str, expected: str, suggestion: str = "") -> None:
        super().__init__(suggestion or f"expected {expected}", found=found, expected=expected)
        self.suggestion = suggestion


def shown(value: object) -> str:
    """A value from a file as a message shows it, cut where it is long."""
    try:
        text = value.isoformat() if isinstance(value, (date, datetime)) else repr(value)
    except ValueError:  # a whole number of thousands of digits
        return "a value too long to print"
    return text if len(text) <= 60 else text[:57] + "..."


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of value. `take` returns the inside value or raises Unfit."""

    expected: str
    take: Callable[[object], Any]
    schema: Callable[[], Json]


@dataclass(frozen=True, slots=True)
class Ref:
    """The id of a row in another table."""

    table: str


@dataclass(frozen=True, slots=True)
class Rows:
    """A table inside a table: one (`many` False) or an array of them."""

    cls: type[Any]
    many: bool = True


@dataclass(frozen=True, slots=True)
class ListOf:
    """An array of simple values or references."""

    of: Kind | Ref
    most: int = 5000


@dataclass(frozen=True, slots=True)
class ByCorner:
    """A table with a corner for each key."""

    of: Kind | Ref


Shape = Kind | Ref | Rows | ListOf | ByCorner


def fact(kind: Shape, doc: str, *, required: bool = False, default: Any = MISSING, asked: AskedAs | None = None) -> Any:
    """Declares one key: what it holds, what it means, and how its owner is asked for it. A fact may be missing unless `required`."""
    meta = {"kind": kind, "doc": doc, "required": required, "asked": asked}
    if default is not MISSING:
        return field(default=default, metadata=meta)
    if isinstance(kind, (ListOf, ByCorner)) or (isinstance(kind, Rows) and kind.many):
        return field(default=(), metadata=meta)
    return field(metadata=meta) if required else field(default=None, metadata=meta)


def typed(kind: Kind, text: str) -> Any:
    """What a form's or an option's text is for a kind: a yes, a number or a day where it can be one, else the text as it stands."""
    schema = kind.schema()
    if schema.get("type") == "boolean":
        return {"true": True, "false": False, "yes": True, "no": False}.get(text.lower(), text)
    if schema.get("type") == "integer":
        return int(text) if re.fullmatch(r"-?[0-9]{1,18}", text) else text
    if schema.get("format") == "date":
        try:
            return date.fromisoformat(text)
        except ValueError:
            return text
    return text


def _text(value: object) -> str:
    if not isinstance(value, str) or not value.strip():
        raise Unfit(shown(value), "text in quotes")
    if len(value) > LONGEST_TEXT:
        raise Unfit(shown(value), f"at most {LONGEST_TEXT} characters", "shorten it")
    return value.strip()


def _key(value: object) -> str:
    if not isinstance(value, str) or not re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9 ._-]{0,59}", value):
        raise Unfit(
            shown(value),
            "a short name of letters, digits, spaces, '.', '-' or '_'",
            "choose a name that stays; put anything else in 'label'",
        )
    return value


def _yes_no(value: object) -> bool:
    if not isinstance(value, bool):
        raise Unfit(shown(value), "true or false", "write true or false, without quotes")
    return value


def _day(value: object) -> date:
    if isinstance(value, datetime) or not isinstance(value, date):
        raise Unfit(shown(value), "a day", "write year-month-day without quotes, as in 2026-11-28")
    return value


TEXT = Kind("text in quotes", _text, lambda: {"type": "string", "minLength": 1, "maxLength": LONGEST_TEXT})
KEY = Kind("a short name", _key, lambda: {"type": "string", "pattern": r"^[A-Za-z0-9][A-Za-z0-9 ._-]{0,59}$"})
YES_NO = Kind("true or false", _yes_no, lambda: {"type": "boolean"})
DAY = Kind("a day", _day, lambda: {"type": "string", "format": "date"})


def _time_of_day(value: object) -> str:
    if not isinstance(value, str) or not re.fullmatch(r"([01]\d|2[0-3]):[0-5]\d(:[0-5]\d(\.\d{1,6})?)?", value):
        raise Unfit(shown(value), "a time of day in quotes", "write hours and minutes, as in '17:30'")
    return value


TIME_OF_DAY = Kind(
    "a time of day such as '17:30'",
    _time_of_day,
    lambda: {"type": "string", "pattern": r"^([01]\d|2[0-3]):[0-5]\d(:[0-5]\d(\.\d{1,6})?)?$", "examples": ["17:30"]},
)


def whole(least: int, most: int) -> Kind:
    """A whole number in a range, both ends included."""

    def take(value: object) -> int:
        if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= most:
            raise Unfit(shown(value), f"a whole number from {least} to {most}", "write the digits without quotes")
        return value

    return Kind(
        f"a whole number from {least} to {most}", take, lambda: {"type": "integer", "minimum": least, "maximum": most}
    )


def choice(words: type[StrEnum]) -> Kind:
    """One of a closed list of words."""
    options = ", ".join(f"'{w.value}'" for w in words)

    def take(value: object) -> StrEnum:
        try:
            return words(str(value))
        except ValueError:
            spelled = [w.value for w in words]
            begun = [w for w in spelled if len(str(value)) > 1 and w.startswith(str(value).lower())]
            initials = [w for w in spelled if " " in w and "".join(part[0] for part in w.split()) == str(value).lower()]
            near = initials or get_close_matches(str(value).lower(), spelled, 1, 0.6) or begun
            raise Unfit(shown(value), f"one of {options}", f"write '{near[0]}'" if near else "") from None

    return Kind(f"one of {options}", take, lambda: {"enum": [w.value for w in words]})


def one_of(options: tuple[str, ...]) -> Kind:
    """One of a few spellings that are no words of ours (units)."""
    listed = ", ".join(f"'{o}'" for o in options)

    def take(value: object) -> str:
        if value not in options:
            near = get_close_matches(str(value), options, 1, 0.4)
            raise Unfit(shown(value), f"one of {listed}", f"write '{near[0]}'" if near else "")
        return str(value)

    return Kind(f"one of {listed}", take, lambda: {"enum": list(options)})


def quantity(read: Callable[[str], Any], example: str, what: str) -> Kind:
    """A number with its unit, as text."""

    def take(value: object) -> Any:
        if isinstance(value, bool) or not isinstance(value, (str, int, float)):
            raise Unfit(shown(value), f"{what} in quotes", f"write it as in '{example}'")
        try:
            return read(shown(value) if isinstance(value, int) else str(value))
        except BadQuantity as error:
            raise Unfit(shown(value), f"{what} such as '{example}'", error.message) from error

    return Kind(f"{what} such as '{example}'", take, lambda: {"type": "string", "examples": [example]})


def reading(read: Callable[[str], Any], example: str, what: str) -> Kind:
    """Text that one of the readers of other rooms understands."""

    def take(value: object) -> Any:
        if not isinstance(value, str):
            raise Unfit(shown(value), f"{what} in quotes", f"write it as in '{example}', in quotes")
        try:
            return read(value)
        except BadText as error:
            raise Unfit(shown(value), f"{what} such as '{example}'", error.message) from error

    return Kind(f"{what} such as '{example}'", take, lambda: {"type": "string", "examples": [example]})
