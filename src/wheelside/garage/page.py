"""The reference page of garage files, made from the declarations in `model`."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from typing import Any

from wheelside.garage.kinds import ByCorner, Kind, ListOf, Ref, Rows, Shape
from wheelside.garage.model import Garage, Rim, Tyre

_HEAD = """\
# Garage file

One TOML file holds what you know of your cars, wheel sets and sensors. Every key may be left out unless
it says *required*: what is missing is asked for when it matters, and never guessed. Any table may carry
`note = "…"`, and `from = { key = "where this fact comes from" }` for any of its keys.

Quantities are text with a unit: `"2.4 bar"`, `"36 psi"`, `"250 kPa"`, `"-12 °C"`, `"10 F"`, `"7/32 in"`. A comma
does for a decimal point. Pressures are gauge unless the key says air pressure. Days are written without
quotes: `2026-11-28`.

`wheelside check FILE` names every problem with its line. `wheelside schema` prints the same as JSON Schema;
`wheelside demo --write FOLDER` gives you an example. This page is `wheelside schema --markdown`.
"""


def garage_page() -> str:
    """The page in Markdown: one section a table, one line a key."""
    return "\n".join([_HEAD, *_section(Garage, "At the top of the file", ""), *_sections(Garage, "")])


def _sections(cls: type[Any], prefix: str) -> Iterator[str]:
    for f in dataclasses.fields(cls):
        shape = f.metadata.get("kind")
        if isinstance(shape, Rows):
            name = f"{prefix}{f.name}"
            brackets = f"[[{name}]]" if shape.many else f"[{name}]"
            yield from _section(shape.cls, f"`{brackets}`", (shape.cls.__doc__ or "").strip())
            yield from _sections(shape.cls, f"{name}.")


def _section(cls: type[Any], title: str, text: str) -> Iterator[str]:
    yield f"## {title}\n"
    if text:
        yield f"{text}\n"
    yield "| key | what it holds | meaning |"
    yield "| --- | --- | --- |"
    for f in dataclasses.fields(cls):
        shape = f.metadata.get("kind")
        if shape is None or f.name == "note":
            continue
        if f.metadata["required"]:
            doc = f"*Required.* {f.metadata['doc']}"
        elif isinstance(f.default, (str, int)):
            value = str(f.default).lower() if isinstance(f.default, bool) else str(f.default)
            doc = f"{f.metadata['doc']} Default: `{value}`."
        else:
            doc = f.metadata["doc"]
        yield f"| `{f.name}` | {_holds(shape)} | {doc} |"
    if cls in (Rim, Tyre):
        yield "| `ids` | a list of short names | In place of `id`: several alike. |"
    yield ""


def _holds(shape: Shape) -> str:
    if isinstance(shape, Kind):
        return shape.expected
    if isinstance(shape, Ref):
        return f"the id of a `[[{shape.table}]]`"
    if isinstance(shape, ListOf):
        return f"a list: {_holds(shape.of)}"
    if isinstance(shape, ByCorner):
        return f"`{{ front_left = … }}`: {_holds(shape.of)}"
    return "tables of their own, below" if shape.many else "a table of its own, below"
