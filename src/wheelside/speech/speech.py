"""Putting what is said into words, in one person's units and language. Imported by the command line, pages and proofs only."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from wheelside import units as u
from wheelside.finding import Way
from wheelside.said import (
    Begun,
    Coded,
    Command,
    Depth,
    Distance,
    Figure,
    Key,
    Listing,
    Measure,
    Named,
    Option,
    PlusMinus,
    Said,
    Table,
)
from wheelside.speech.tongue import ENGLISH, Tongue
from wheelside.units import UnitChoice
from wheelside.units.moment import Moment


@dataclass(frozen=True, slots=True)
class Keys:
    """One key in several rows of a table, to be noted in each."""

    table: str
    key: str
    rows: tuple[str, ...]


Place = Key | Keys | Table | Named | Option | Command


def in_the_file(place: Place) -> str:
    """A place as somebody reads it who has a garage file and a command line."""
    if isinstance(place, Key):
        return f"'{place.key}' in " + (f"[[{place.table}]] {place.row}" if place.row else f"[{place.table}]")
    if isinstance(place, Keys):
        return f"'{place.key}' in [[{place.table}]] {', '.join(place.rows)}"
    if isinstance(place, Named):
        return place.name
    if isinstance(place, Table):
        return f"[[{place.table}]]" if place.many else f"[{place.table}]"
    return f", or {place.said}" if isinstance(place, Option) else f"'{place.command}'"


@dataclass(frozen=True)
class Speech:
    """How one person reads: units, decimal mark, language."""

    units: UnitChoice = field(default_factory=UnitChoice)
    tongue: Tongue = ENGLISH
    place: Callable[[Place], str] = in_the_file
    """How a fact to be noted, an option and a command are named: as on the command line, if not said otherwise."""

    def text(self, value: object) -> str:
        """A value in words. Raises TypeError for one that has no words.

        >>> from wheelside.said import say
        >>> Speech().text(say("set {p}", p=u.GaugePressure(250.0)))
        'set 2.50 bar'
        """
        if isinstance(value, Said):
            return self._said(value)
        if isinstance(value, Coded):
            return self.tongue.pattern(value.words)
        if isinstance(value, Place):
            return self.place(value)
        for kind, words in _WORDS.items():
            if isinstance(value, kind):
                return words(self, value)
        raise TypeError(f"{type(value).__name__} has no words")

    def way(self, way: Way | None) -> str:
        """A way out in words; '' where there is none."""
        return self.text(way.said) if way is not None else ""

    def _said(self, said: Said) -> str:
        values = dict(said.values)
        n = values.get("n", 1)
        pattern = self.tongue.pattern(said.pattern, said.many, n if isinstance(n, int) else 1)
        return pattern.format_map({name: self.text(value) for name, value in values.items()})

    def _listing(self, value: Listing) -> str:
        return self.tongue.join([self.text(part) for part in value.parts], value.by)

    def _measure(self, value: Measure) -> str:
        text, mark = self.units.number(value.length.mm, value.decimals), self.units.decimal_mark
        return f"{text.rstrip('0').rstrip(mark) if mark in text else text} mm"

    def _figure(self, value: Figure) -> str:
        if value.decimals is None:
            return self.units.plain(value.value)
        return self.units.number(value.value, value.decimals)


def begun(text: str) -> str:
    """A text with a capital at its head, for one that begins a line."""
    return text[:1].upper() + text[1:]


_WORDS: dict[type[Any] | tuple[type[Any], ...], Callable[[Speech, Any], str]] = {
    str: lambda _, v: v if type(v) is str else v.value,
    bool: lambda _, v: "yes" if v else "no",
    int: lambda _, v: str(v),
    date: lambda _, v: v.isoformat(),
    Begun: lambda s, v: begun(s.text(v.said)),
    Listing: Speech._listing,  # noqa: SLF001  a table of its own methods
    Figure: Speech._figure,  # noqa: SLF001
    Measure: Speech._measure,  # noqa: SLF001
    PlusMinus: lambda s, v: s.units.show_plus_minus(v.pressure, v.spread),
    Depth: lambda s, v: s.units.show_tread(v.length),
    Distance: lambda s, v: s.units.show_distance(v.length),
    Moment: lambda _, v: v.short(),
    (u.GaugePressure, u.AbsolutePressure, u.PressureSpan): lambda s, v: s.units.show_pressure(v),
    u.Temperature: lambda s, v: s.units.show_temperature(v),
    u.Length: lambda s, v: f"{s.units.number(v.mm, 0)} mm",
    u.Mass: lambda s, v: s.units.show_mass(v),
    u.Speed: lambda s, v: s.units.show_speed(v),
    u.Torque: lambda s, v: s.units.show_torque(v),
    u.Money: lambda s, v: s.units.show_money(v),
    u.Share: lambda s, v: f"{s.units.number(v.fraction * 100, 0)} %",
    u.Duration: lambda s, v: f"{s.units.plain(v.minutes)} min",
}
