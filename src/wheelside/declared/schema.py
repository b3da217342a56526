"""The JSON Schema of a file, made from the declarations of its tables.

The schema knows shapes, words and ranges. What a text must say ('2.4 bar'), and what rows must not
contradict, only the reader knows.
"""

from __future__ import annotations

import dataclasses
from typing import Any

from wheelside.corner import Corner
from wheelside.declared.kinds import ByCorner, Json, Kind, ListOf, Ref, Rows, Shape
from wheelside.declared.read import alike
from wheelside.declared.row import Thing

DIALECT = "https://json-schema.org/draft/2020-12/schema"


def schema_of(cls: type[Any], title: str) -> Json:
    """The schema of a file that is one row of a class, JSON Schema draft 2020-12."""
    definitions: Json = {}
    _collect(cls, definitions)
    return {"$schema": DIALECT, "title": title, **_table(cls), "$defs": definitions}


def _collect(cls: type[Any], into: Json) -> None:
    for f in dataclasses.fields(cls):
        shape = f.metadata.get("kind")
        if isinstance(shape, Rows) and shape.cls.__name__ not in into:
            into[shape.cls.__name__] = _table(shape.cls)
            _collect(shape.cls, into)


def _table(cls: type[Any]) -> Json:
    properties: Json = {}
    required = []
    for f in dataclasses.fields(cls):
        if "kind" not in f.metadata:
            continue
        properties[f.name] = {"description": f.metadata["doc"], **_shape(f.metadata["kind"])}
        if f.metadata["required"]:
            required.append(f.name)
    properties["from"] = {
        "type": "object",
        "additionalProperties": {"type": "string"},
        "description": "Where facts come from.",
    }
    out: Json = {"type": "object", "properties": properties, "additionalProperties": False}
    if alike(cls):
        properties["ids"] = {
            "description": "Several alike.",
            "type": "array",
            "items": properties["id"],
            "maxItems": 40,
        }
        for key in cls.EACH:
            each: Json = {"type": "array", "items": {"type": "string"}, "maxItems": 40}
            properties[key] = {"description": properties[key]["description"], "anyOf": [_bare(properties[key]), each]}
        out["oneOf"] = [{"required": ["id"]}, {"required": ["ids"]}]
        required.remove("id")
    if required:
        out["required"] = required
    if issubclass(cls, Thing):
        out["description"] = (cls.__doc__ or "").split("\n")[0]
    return out


def _shape(shape: Shape) -> Json:
    if isinstance(shape, Kind):
        return shape.schema()
    if isinstance(shape, Ref):
        return {"type": "string", "description": f"The id of a [[{shape.table}]]."}
    if isinstance(shape, ListOf):
        return {"type": "array", "items": _shape(shape.of), "maxItems": shape.most}
    if isinstance(shape, ByCorner):
        return {
            "type": "object",
            "properties": {corner.key: _shape(shape.of) for corner in Corner},
            "additionalProperties": False,
        }
    row = {"$ref": f"#/$defs/{shape.cls.__name__}"}
    return {"type": "array", "items": row} if shape.many else row


def _bare(shape: Json) -> Json:
    return {key: value for key, value in shape.items() if key != "description"}
