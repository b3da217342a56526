"""What an owner typed, as the garage writes it: bare numbers get the unit that they must have been meant in."""

from __future__ import annotations

import re
from typing import Any

from wheelside.declared.kinds import Kind, Unfit
from wheelside.units import Temperature, UnitChoice

_BARE = re.compile(r"[-+−]?\s*\d+(?:[.,]\d+)?")
BAR, PSI, KPA = (0.8, 5.5), (28.0, 80.0), (90.0, 550.0)
"""How high a tyre's pressure is, in each unit: no figure is in two of these. Judgement; the ranges are those of car and van tyres."""


def with_unit(text: str, unit: str, choice: UnitChoice) -> str:
    """A figure with its unit: as typed where it has one; a pressure in the one unit in which it can be one. Raises Unfit where there is none.

    >>> with_unit("2,3", "bar", UnitChoice()), with_unit("36", "bar", UnitChoice()), with_unit("-5", "°C", UnitChoice())
    ('2,3 bar', '36 psi', '-5 °C')
    """
    said = " ".join(text.split()).replace("−", "-")
    if unit == "mm" and said.upper().startswith("ET"):
        return said
    if not unit or not _BARE.fullmatch(said):
        return said
    number = float(said.replace(",", ".").replace(" ", ""))
    if unit == "bar":
        meant = [name for name, (least, most) in (("bar", BAR), ("psi", PSI), ("kPa", KPA)) if least <= number <= most]
        if not meant:
            raise Unfit(said, "a pressure", f"{said} what? Write it with its unit, as in 2.3 bar or 33 psi")
        return f"{said} {meant[0]}"
    if unit == "°C":
        return f"{said} {choice.temperature}"
    return f"{said} {unit}"


def shown_as(unit: str, example: str, choice: UnitChoice) -> tuple[str, str]:
    """The unit of a gap and what is typed there for example, in an owner's units: a bare figure is read in the unit that stands there.

    >>> shown_as("°C", "12", UnitChoice(temperature="°F")), shown_as("mm", "6.5", UnitChoice())
    (('°F', '54'), ('mm', '6.5'))
    """
    if unit != "°C":
        return unit, example
    return choice.temperature, degrees_like(float(example), choice)


def degrees_like(celsius: float, choice: UnitChoice) -> str:
    """A temperature for example, as a bare figure of an owner's scale."""
    return choice.number(choice.degrees(Temperature.from_celsius(celsius)), 0)


def value_of(kind: Kind, text: str, unit: str, choice: UnitChoice) -> Any:
    """What a text is for a kind. Raises Unfit."""
    said: Any = with_unit(text, unit, choice)
    form = kind.schema().get("type")
    if form == "integer" and re.fullmatch(r"\d{1,9}", said):
        said = int(said)
    elif form == "boolean":
        said = {"true": True, "false": False}.get(said, said)
    kind.take(said)
    return said


def told(error: Unfit) -> str:
    """What is wrong with a text, in words for whoever typed it."""
    return error.suggestion or f"{error.found}: expected {error.expected}"
