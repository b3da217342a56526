"""A garage file's table as single rows with keys of their own, and put together again."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields
from typing import Any

from wheelside.garage.model import Garage, Sensor

Table = dict[str, Any]
_TABLES = {f.name: f.metadata["kind"] for f in fields(Garage) if hasattr(f.metadata.get("kind"), "many")}
"""The tables that `Garage` declares, in its order, with what it says of each: the rows' class, and whether there are many."""
MANY = tuple(name for name, rows in _TABLES.items() if rows.many)
"""Tables of which there are many rows, in the order in which a file is written."""
NAMED = tuple(name for name in MANY if {"id", "label"} <= {f.name for f in fields(_TABLES[name].cls)})
"""Those whose rows are things with an id of their own."""
SINGLE = tuple(name for name, rows in _TABLES.items() if not rows.many)
"""Tables of which there is one."""
TOP = "garage"
"""The keys at the top of the file, as one row."""


def rows_of(table: Table) -> Iterator[tuple[str, str, Table]]:
    """Kind, id and body of every row; '' where a row has no id. Rows alike (`ids`) come one by one."""
    yield TOP, "", {k: v for k, v in table.items() if k not in MANY and k not in SINGLE}
    yield from ((kind, "", table[kind]) for kind in SINGLE if kind in table)
    for kind in MANY:
        for row in table.get(kind, ()):
            for one in expanded(row):
                yield kind, str(one["id"]) if kind in NAMED else "", one


def expanded(row: Table) -> list[Table]:
    """A row with `ids` as several with an `id` each; any other as it is."""
    if "ids" not in row:
        return [row]
    rest = {k: v for k, v in row.items() if k != "ids"}
    each = {k: v for k, v in rest.items() if k in Sensor.EACH and isinstance(v, list)}
    rest = {k: v for k, v in rest.items() if k not in each}
    return [
        {"id": one, **rest, **{k: v[n] for k, v in each.items() if n < len(v) and v[n] != ""}}
        for n, one in enumerate(row["ids"])
    ]
