"""The reference page of a file, made from the declarations of its tables."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from typing import Any

from wheelside.declared.kinds import ByCorner, Kind, ListOf, Ref, Rows, Shape
from wheelside.declared.read import alike


def page_of(cls: type[Any], head: str) -> str:
    """The page of a file that is one row of a class, in Markdown: one section a table, one line a key."""
    return "\n".join([head, *_section(cls, "At the top of the file", ""), *_sections(cls, "")])


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
    if alike(cls):
        yield "| `ids` | a list of short names | In place of `id`: several alike.{_each(cls)} |"
    yield ""


def _each(cls: type[Any]) -> str:
    """What may differ among several alike."""
    return (
        f" {' and '.join(f'`{key}`' for key in cls.EACH)} may be lists then, with a value for each." if cls.EACH else ""
    )


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
