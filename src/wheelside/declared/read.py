"""Reading tables by their declarations: the whole row, or every complaint at once."""

from __future__ import annotations

import dataclasses
import json
from dataclasses import dataclass, field
from difflib import get_close_matches
from typing import Any, Generic, TypeVar

from wheelside.corner import Corner
from wheelside.declared.kinds import ByCorner, Kind, ListOf, Ref, Rows, Shape, Unfit, shown
from wheelside.declared.lines import LineIndex, PathKey
from wheelside.declared.row import Row, Sources
from wheelside.declared.text import Table
from wheelside.errors import Problem

Reference = tuple[PathKey, str, str]
"""The path of a reference, the table that it points into, and the id."""
MOST_COMPLAINTS = 500
"""After so many a file is not read on: the rest is told when these are mended."""
_CORNER_KEYS = {corner.key: corner for corner in Corner}
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Complaint:
    """One mistake, by the path of its key; the line is looked up later."""

    path: PathKey
    found: str
    expected: str
    suggestion: str = ""

    def problem(self, line: int | None = None) -> Problem:
        """The complaint as a person reads it."""
        return Problem(line, spoken(self.path), self.found, self.expected, self.suggestion)


class _Enough(Exception):
    """So many complaints that reading on would help nobody."""


@dataclass(slots=True)
class _Reader:
    root: type[Any]
    complaints: list[Complaint] = field(default_factory=list)
    references: list[Reference] = field(default_factory=list)
    lost: set[str] = field(default_factory=set)

    def complain(self, path: PathKey, found: str, expected: str, suggestion: str = "") -> None:
        self.complaints.append(Complaint(path, found, expected, suggestion))
        if len(self.complaints) == MOST_COMPLAINTS:
            raise _Enough

    def row(self, cls: type[T], table: object, path: PathKey, skip: tuple[str, ...] = ()) -> T | None:
        """One table as an instance of `cls`; None, with complaints, where it can't be made."""
        if not isinstance(table, dict):
            self.complain(path, shown(table), "a table", f"write it as [{_dotted(path)}] with keys below")
            return None
        shapes = shapes_of(cls)
        values: dict[str, Any] = {}
        for key, value in table.items():
            if key == "from":
                values["sources"] = self.sources(value, (*path, key), tuple(shapes))
            elif key in shapes:
                taken = self.value(shapes[key][0], value, (*path, key))
                if taken is not None:
                    values[key] = taken
            elif key not in skip:
                self.unknown_key(cls, key, path)
        missing = [key for key, (_, required) in shapes.items() if required and key not in table and key not in skip]
        for key in missing:
            self.complain((*path, key), "nothing", f"a value for '{key}'", f"add {key} = … to this table")
        if any(required and key not in values and key not in skip for key, (_, required) in shapes.items()):
            return None
        return cls(**values)

    def sources(self, value: object, path: PathKey, keys: tuple[str, ...]) -> Sources:
        if not isinstance(value, dict):
            self.complain(path, shown(value), 'a table of key = "source"', 'write from = { band = "handbook" }')
            return ()
        for key, source in value.items():
            if key not in keys:
                self.complain((*path, key), f"a source for '{key}'", "a key of this table", _nearest(key, keys))
            elif not isinstance(source, str):
                self.complain((*path, key), shown(source), "text in quotes")
        return tuple((key, source) for key, source in value.items() if key in keys and isinstance(source, str))

    def unknown_key(self, cls: type[Any], key: str, path: PathKey) -> None:
        keys = (*shapes_of(cls), "from", *(("ids",) if alike(cls) else ()))
        suggestion = _nearest(key, keys)
        if not suggestion:
            homes = [table for table, shape in _tables(self.root) if key in shapes_of(shape.cls)]
            suggestion = f"'{key}' belongs in [[{homes[0]}]]" if homes else "leave it out, or use 'note'"
        self.complain(
            (*path, key), f"a key '{key}' that this table does not have", "one of: " + ", ".join(keys), suggestion
        )

    def value(self, shape: Shape, value: object, path: PathKey) -> Any:
        if isinstance(shape, Kind):
            try:
                return shape.take(value)
            except Unfit as error:
                self.complain(path, error.found, error.expected, error.suggestion)
                return None
        if isinstance(shape, Ref):
            return self.reference(shape, value, path)
        if isinstance(shape, ListOf):
            return self.list_of(shape, value, path)
        if isinstance(shape, ByCorner):
            return self.by_corner(shape, value, path)
        return self.rows(shape, value, path) if shape.many else self.row(shape.cls, value, path)

    def reference(self, shape: Ref, value: object, path: PathKey) -> str | None:
        if not isinstance(value, str):
            self.complain(path, shown(value), f"the id of a [[{shape.table}]]", "write the id in quotes")
            return None
        self.references.append((path, shape.table, value))
        return value

    def list_of(self, shape: ListOf, value: object, path: PathKey) -> tuple[Any, ...]:
        if not isinstance(value, list):
            self.complain(path, shown(value), "a list", "put it in square brackets: [ … ]")
            return ()
        if len(value) > shape.most:
            self.complain(path, f"{len(value)} values", f"at most {shape.most}")
        taken = [self.value(shape.of, item, (*path, i)) for i, item in enumerate(value[: shape.most])]
        return tuple(item for item in taken if item is not None)

    def by_corner(self, shape: ByCorner, value: object, path: PathKey) -> tuple[tuple[Corner, Any], ...]:
        if not isinstance(value, dict):
            self.complain(path, shown(value), "a table of corners", 'write { front_left = "…", front_right = "…", … }')
            return ()
        taken = []
        for key, item in value.items():
            if key not in _CORNER_KEYS:
                why = (
                    _initials(key)
                    or _nearest(key, tuple(_CORNER_KEYS))
                    or "single wheels only: two fronts, two rears, one spare"
                )
                self.complain((*path, key), f"a corner '{key}'", "one of: " + ", ".join(_CORNER_KEYS), why)
            elif (one := self.value(shape.of, item, (*path, key))) is not None:
                taken.append((_CORNER_KEYS[key], one))
        order = list(Corner)
        return tuple(sorted(taken, key=lambda pair: order.index(pair[0])))

    def rows(self, shape: Rows, value: object, path: PathKey) -> tuple[Any, ...]:
        if not isinstance(value, list):
            self.complain(path, shown(value), "a list of tables", _as_rows(shape, value, path))
            return ()
        found = []
        for i, item in enumerate(value):
            at = (*path, i)
            if not isinstance(item, dict):
                self.complain(at, shown(item), "a table", _as_rows(shape, item, path))
            elif alike(shape.cls) and "ids" in item:
                found += self.several(shape.cls, item, at)
            elif (one := self.row(shape.cls, item, at)) is not None:
                found.append(one)
            else:
                self.lost.add(str(item.get("id")))
        return tuple(found)

    def several(self, cls: type[Any], table: dict[str, Any], path: PathKey) -> list[Any]:
        """Several rows from one table with `ids`."""
        id_kind = shapes_of(cls)["id"][0]
        if "id" in table:
            self.complain((*path, "id"), "both 'id' and 'ids'", "one of them", "leave 'id' out")
        ids = self.list_of(ListOf(id_kind, 40), table["ids"], (*path, "ids")) if isinstance(id_kind, Kind) else ()
        rest = {key: value for key, value in table.items() if key != "id"}
        if table["ids"] == []:
            self.complain(
                (*path, "ids"), "an empty list", "one id for each that is alike", "name them, or leave 'ids' out"
            )
        if not ids:
            self.row(cls, {**rest, "id": "x"}, path, skip=("ids",))
            return []
        each = {key: rest.pop(key) for key in cls.EACH if isinstance(rest.get(key), list)}
        for key, values in each.items():
            if len(values) != len(ids):
                found = f"{len(values)} values for {len(ids)} ids"
                self.complain(
                    (*path, key), found, "one value for each id, in their order", 'write "" where one is not known'
                )
                return []
        if not each:
            first = self.row(cls, {**rest, "id": ids[0]}, path, skip=("ids",))
            return [] if first is None else [dataclasses.replace(first, id=one) for one in ids]
        made = [
            self.row(cls, {**rest, **{k: v[n] for k, v in each.items() if v[n] != ""}, "id": one}, path, skip=("ids",))
            for n, one in enumerate(ids)
        ]
        return [one for one in made if one is not None]


def _as_rows(shape: Rows, value: object, path: PathKey) -> str:
    """How a list of tables is written, with a text that stood in its place as the first reference that its rows have."""
    first = next((f.name for f in dataclasses.fields(shape.cls) if isinstance(f.metadata.get("kind"), Ref)), "")
    if first and isinstance(value, str):
        return f"write {path[-1]} = [{{ {first} = {json.dumps(value, ensure_ascii=False)} }}]"
    return f"write [[{_dotted(path)}]] above each one"


def _initials(key: str) -> str:
    """What is meant by the initials of a corner, such as FL; '' where it is none."""
    meant = next((k for k in _CORNER_KEYS if "_" in k and "".join(p[0] for p in k.split("_")) == key.lower()), "")
    return f"write '{meant}'" if meant else ""


def alike(cls: type[Any]) -> bool:
    """Whether one table of a class may describe several rows."""
    return issubclass(cls, Row) and cls.ALIKE


def shapes_of(cls: type[Any]) -> dict[str, tuple[Shape, bool]]:
    """The keys that a table has: for each its shape and whether it is required."""
    return {
        f.name: (f.metadata["kind"], f.metadata["required"]) for f in dataclasses.fields(cls) if "kind" in f.metadata
    }


def _tables(cls: type[Any]) -> tuple[tuple[str, Rows], ...]:
    return tuple((key, shape) for key, (shape, _) in shapes_of(cls).items() if isinstance(shape, Rows) and shape.many)


def _nearest(key: str, keys: tuple[str, ...]) -> str:
    near = get_close_matches(key, keys, 1, 0.6)
    return f"write '{near[0]}'" if near else ""


def _dotted(path: PathKey) -> str:
    return ".".join(str(part) for part in path if isinstance(part, str))


@dataclass(frozen=True, slots=True)
class Parsed(Generic[T]):
    """A table as far as it can be read, what is wrong with it, and the references to be followed.

    `row` is None where a required key is missing. A reference is a path, the table it points into and the id; those to rows
    that could not be read are left out.
    """

    row: T | None
    complaints: tuple[Complaint, ...]
    references: tuple[Reference, ...]


def parse(cls: type[T], table: Table) -> Parsed[T]:
    """What a file's table, or rows in the shape of one, say by the declarations of a class."""
    reader = _Reader(cls)
    try:
        row = reader.row(cls, table, ())
    except _Enough:
        more = Complaint(
            (), f"{MOST_COMPLAINTS} problems and perhaps more", "", "mend these first; the rest is told then"
        )
        return Parsed(None, (*reader.complaints, more), ())
    return Parsed(row, tuple(reader.complaints), tuple(r for r in reader.references if r[2] not in reader.lost))


def problems(text: str, complaints: tuple[Complaint, ...]) -> tuple[Problem, ...]:
    """The complaints with their lines."""
    if not complaints:
        return ()
    index = LineIndex(text)
    return tuple(c.problem(index.line(c.path)) for c in complaints)


def spoken(path: PathKey) -> str:
    """A path as a person reads it: 'car[2].placard[1].front', rows counted from 1."""
    out = ""
    for part in path:
        out += f"[{part + 1}]" if isinstance(part, int) else f".{part}" if out else part
    return out or "file"
