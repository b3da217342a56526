"""Forms for the tables of a garage, drawn from the same declarations that read the garage file."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from wheelside.declared.kinds import ByCorner, Kind, ListOf, Ref, Rows, Shape, typed
from wheelside.declared.read import Complaint
from wheelside.garage.model import Garage
from wheelside.garage.rows import TOP
from wheelside.garage.words import Corner

Row = dict[str, Any]
NAMES_AND_LABEL = ("label", "placard")
"""What owners are asked for by questions of their own: what a thing is called, and the pressures on the car's label."""
_YES_NO = (("true", "yes"), ("false", "no"))


@dataclass(frozen=True, slots=True)
class Field:
    """One field of a form. `control`: 'text', 'day', 'whole', 'select', 'lines', 'corners' or 'rows'.

    `options`: value and words of each; `parts`: the fields of corners, or of each row within. `wrong`: what is wrong with it.
    `usual`: it is one that owners are asked for.
    """

    name: str
    label: str
    doc: str
    control: str
    value: str = ""
    options: tuple[tuple[str, str], ...] = ()
    required: bool = False
    example: str = ""
    wrong: tuple[str, ...] = ()
    fixed: bool = False
    parts: tuple[tuple[Field, ...], ...] = ()
    usual: bool = False


def shape_of(kind: str) -> type[Any]:
    """The class that a table's rows are read into."""
    if kind == TOP:
        return Garage
    shape = next(f.metadata["kind"] for f in dataclasses.fields(Garage) if f.name == kind)
    assert isinstance(shape, Rows), "a table has rows"
    return shape.cls


def summary_of(kind: str) -> str:
    """What a table is for, in a few words."""
    if kind == TOP:
        return "The garage's title."
    return next(str(f.metadata["doc"]) for f in dataclasses.fields(Garage) if f.name == kind)


def fields_of(
    kind: str,
    body: Row,
    ids: Mapping[str, Iterable[tuple[str, str]]],
    complaints: Iterable[Complaint] = (),
    *,
    fixed: bool = False,
) -> tuple[Field, ...]:
    """The fields for a row. `ids`: for each table the ids and names that may be referred to; `fixed`: its id stays."""
    wrong: dict[str, list[str]] = {}
    skip = 0 if kind == TOP else 1 if kind in ("units", "conditions", "costs", "odds", "plan") else 2
    for c in complaints:
        name = ".".join(str(part) for part in c.path[skip:])
        wrong.setdefault(name, []).append(
            f"found {c.found}; expected {c.expected}" + (f"; {c.suggestion}" if c.suggestion else "")
        )
    made = _Maker({t: tuple(rows) for t, rows in ids.items()}, wrong)
    fields = list(made.row(shape_of(kind), body, "", top=kind == TOP))
    if fixed:
        fields = [dataclasses.replace(f, fixed=True) if f.name == "id" else f for f in fields]
    return (*fields, made.sources(body))


@dataclass(frozen=True, slots=True)
class _Maker:
    ids: dict[str, tuple[tuple[str, str], ...]]
    wrong: dict[str, list[str]]

    def row(self, cls: type[Any], body: Row, prefix: str, *, top: bool = False) -> Iterator[Field]:
        for f in sorted(dataclasses.fields(cls), key=lambda one: one.name == "note"):
            shape = f.metadata.get("kind")
            if shape is None or (top and (isinstance(shape, Rows) or f.name == "wheelside")):
                continue
            base = Field(
                name=f"{prefix}{f.name}", label=f.name.replace("_", " "), doc=f.metadata["doc"], control="text",
                required=f.metadata["required"], wrong=self._wrong(f"{prefix}{f.name}", shape),
                usual=f.metadata["asked"] is not None or f.name in NAMES_AND_LABEL,
            )  # fmt: skip
            yield self._field(base, shape, body.get(f.name), _default(f))

    def _wrong(self, name: str, shape: Shape) -> tuple[str, ...]:
        """What is wrong with a field; of what lies within it only where it has no fields of its own."""
        own = self.wrong.get(name, [])
        if isinstance(shape, (Kind, Ref, ListOf)):
            own = [*own, *(w for key, all_of in self.wrong.items() if key.startswith(f"{name}.") for w in all_of)]
        return tuple(own)

    def _field(self, base: Field, shape: Shape, value: Any, default: str) -> Field:
        if isinstance(shape, Kind):
            return _simple(base, shape, value, default)
        if isinstance(shape, Ref):
            return self._reference(base, shape, value)
        if isinstance(shape, ListOf):
            return self._lines(base, shape, value)
        if isinstance(shape, ByCorner):
            return self._corners(base, shape, value)
        return self._rows(base, shape, value)

    def _reference(self, base: Field, shape: Ref, value: Any) -> Field:
        known = self.ids.get(shape.table, ())
        extra = ((str(value), str(value)),) if value and value not in dict(known) else ()
        return dataclasses.replace(base, control="select", value=str(value or ""), options=(*known, *extra))

    def _lines(self, base: Field, shape: ListOf, value: Any) -> Field:
        lines = "\n".join(str(one) for one in value or ())
        known = self.ids.get(shape.of.table, ()) if isinstance(shape.of, Ref) else ()
        what = shape.of.expected if isinstance(shape.of, Kind) else "one of: " + ", ".join(i for i, _ in known)
        return dataclasses.replace(base, control="lines", value=lines, example=f"one a line: {what}")

    def _corners(self, base: Field, shape: ByCorner, value: Any) -> Field:
        parts = []
        for corner in Corner:
            name = f"{base.name}.{corner.key}"
            one = Field(name, corner.value, "", "text", wrong=self._wrong(name, shape.of))
            parts.append(self._field(one, shape.of, (value or {}).get(corner.key), ""))
        return dataclasses.replace(base, control="corners", parts=(tuple(parts),))

    def _rows(self, base: Field, shape: Rows, value: Any) -> Field:
        rows = list(value or ())
        parts = [tuple(self.row(shape.cls, row, f"{base.name}.{i}.")) for i, row in enumerate([*rows, {}])]
        return dataclasses.replace(base, control="rows", parts=tuple(parts))

    def sources(self, body: Row) -> Field:
        """Where facts come from, one line a key."""
        lines = "\n".join(f"{key}: {source}" for key, source in body.get("from", {}).items())
        doc = "Where facts come from, one a line, as in: torque: handbook, page 212"
        return Field("from", "sources", doc, "lines", lines, wrong=self._wrong("from", ListOf(Ref(""))))


def _default(f: dataclasses.Field[Any]) -> str:
    value = f.default
    if value is dataclasses.MISSING or value is None or value == ():
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(value)


def _simple(base: Field, kind: Kind, value: Any, default: str) -> Field:
    schema = kind.schema()
    told = f"{base.doc} If empty: {default}." if default else base.doc
    example = str(schema.get("examples", [""])[0])
    shown = "" if value is None else str(value).lower() if isinstance(value, bool) else str(value)
    more: dict[str, Any] = {"doc": told, "value": shown, "example": example}
    if "enum" in schema:
        options = tuple((str(o), str(o)) for o in schema["enum"])
        extra = ((shown, shown),) if shown and shown not in dict(options) else ()
        return dataclasses.replace(base, control="select", **{**more, "options": (*options, *extra)})
    if schema.get("type") == "boolean":
        return dataclasses.replace(base, control="select", **{**more, "options": _YES_NO})
    if schema.get("format") == "date":
        return dataclasses.replace(base, control="day" if re.fullmatch(r"|\d{4}-\d\d-\d\d", shown) else "text", **more)
    if schema.get("type") == "integer":
        return dataclasses.replace(base, control="whole", **more)
    return dataclasses.replace(base, **more)


def body_of(kind: str, fields: Iterable[tuple[str, str]]) -> Row:
    """The row that a form's fields say; what can't be taken for its kind stays as it was typed, to be complained of."""
    given = dict(fields)
    body = _row(shape_of(kind), given, "", top=kind == TOP)
    sources = _sources(given.get("from", ""))
    if sources:
        body["from"] = sources
    return body


def _row(cls: type[Any], given: Mapping[str, str], prefix: str, *, top: bool = False) -> Row:
    body: Row = {}
    for f in dataclasses.fields(cls):
        shape = f.metadata.get("kind")
        if shape is None or (top and isinstance(shape, Rows)):
            continue
        value = _value(shape, given, f"{prefix}{f.name}")
        if value not in (None, [], {}):
            body[f.name] = value
    return body


def _value(shape: Shape, given: Mapping[str, str], name: str) -> Any:
    text = given.get(name, "").strip()
    if isinstance(shape, Kind):
        return typed(shape, text) if text else None
    if isinstance(shape, Ref):
        return text or None
    if isinstance(shape, ListOf):
        of = shape.of
        lines = [line.strip() for line in text.split("\n") if line.strip()]
        return [typed(of, line) if isinstance(of, Kind) else line for line in lines]
    if isinstance(shape, ByCorner):
        pairs = {corner.key: _value(shape.of, given, f"{name}.{corner.key}") for corner in Corner}
        return {k: v for k, v in pairs.items() if v is not None}
    numbers = sorted({int(m[1]) for key in given if (m := re.match(rf"{re.escape(name)}\.(\d{{1,4}})\.", key))})
    rows = [_row(shape.cls, given, f"{name}.{n}.") for n in numbers]
    return [row for row in rows if row]


def _sources(text: str) -> dict[str, str]:
    found = {}
    for line in text.split("\n"):
        key, _, source = line.partition(":")
        if key.strip():
            found[key.strip().replace(" ", "_")] = source.strip() or "not said"
    return found


def kept_besides(kind: str, old: Row, new: Row) -> Row:
    """The new row with what a form can't say: sources of rows within it, and lists that are empty on purpose."""
    kept = dict(new)
    for f in dataclasses.fields(shape_of(kind)):
        shape = f.metadata.get("kind")
        if not (isinstance(shape, Rows) and shape.many) or f.name not in old or kind == TOP:
            continue
        was, rows = old[f.name], new.get(f.name, [])
        if not rows and was in ([], [{}]):
            kept[f.name] = was
        elif rows:
            sources = [_source_of(row, was, n, len(rows)) for n, row in enumerate(rows)]
            kept[f.name] = [{**row, "from": s} if s else row for row, s in zip(rows, sources, strict=True)]
    return kept


def _source_of(row: Row, was: list[Row], n: int, many: int) -> Any:
    """The sources of the row that this one was: one that says the same, else the one in its place where none was taken out."""
    same = next((o for o in was if {k: v for k, v in o.items() if k != "from"} == row), None)
    if same is None and many == len(was):
        same = was[n]
    return same.get("from") if same else None
