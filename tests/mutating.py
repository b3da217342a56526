"""Garages whose facts are other ones, each by itself sensible: what a person may have noted, or noted wrongly. No bytes are touched."""

from __future__ import annotations

import copy
import dataclasses
import random
import tomllib
from collections.abc import Callable, Iterator
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from wheelside.declared.kinds import Kind, Ref, Rows
from wheelside.demo import household, purchases
from wheelside.garage.model import Garage

Table = dict[str, Any]
CASES = Path(__file__).parent / "cases"
FAR = (
    date(1999, 1, 1),
    date(2024, 2, 29),
    date(2026, 11, 24),
    date(2026, 11, 26),
    date(2027, 4, 1),
    date(2060, 12, 31),
)
TABLES = {f.name: f.metadata["kind"] for f in dataclasses.fields(Garage) if isinstance(f.metadata.get("kind"), Rows)}


def sources() -> tuple[Table, ...]:
    """The garages that are changed: the demo's, and those of the cases."""
    texts = [household().decode(), purchases().decode(), *(p.read_text("utf-8") for p in sorted(CASES.glob("*.toml")))]
    return tuple(tomllib.loads(text) for text in texts)


def rows_of(table: Table) -> Iterator[tuple[str, Table]]:
    """Every row with the name of its table."""
    for kind in TABLES:
        found = table.get(kind, [])
        yield from ((kind, row) for row in (found if isinstance(found, list) else (found,)))


class Mutator:
    """Draws garages. What stands under a key in any of them may stand there in another one."""

    def __init__(self, rng: random.Random) -> None:
        self.rng, self.tables = rng, sources()
        self.seen: dict[tuple[str, str], list[Any]] = {}
        for table in self.tables:
            for kind, row in rows_of(table):
                for key, value in row.items():
                    self.seen.setdefault((kind, key), []).append(value)

    def drawn(self, changes: int) -> tuple[Table, list[str]]:
        """A garage with so many changes, and what they were."""
        table = copy.deepcopy(self.rng.choice(self.tables))
        return table, [self.rng.choice(self._ways())(table) for _ in range(changes)]

    def _ways(self) -> list[Callable[[Table], str]]:
        return [
            self.another_value, self.another_value, self.another_value, self.seen_elsewhere, self.seen_elsewhere, self.take_out_key,
            self.take_out_row, self.again, self.move_day, self.swap,
        ]  # fmt: skip

    def _row(self, table: Table) -> tuple[str, Table]:
        return self.rng.choice(list(rows_of(table)))

    def _key(self, table: Table) -> tuple[str, Table, str]:
        """A row with one of its keys, '' where it has none besides its id."""
        kind, row = self._row(table)
        keys = [key for key in row if key != "id"]
        return kind, row, self.rng.choice(keys) if keys else ""

    def another_value(self, table: Table) -> str:
        """A key with any value that its kind allows."""
        kind, row = self._row(table)
        found = [f for f in dataclasses.fields(TABLES[kind].cls) if f.metadata.get("kind") is not None]
        one = self.rng.choice(found)
        value = self._value(one.metadata["kind"], table, (kind, one.name))
        if value is None or one.name == "id":
            return "nothing"
        row[one.name] = value
        return f"{kind} {one.name} = {value!r}"

    def _value(self, shape: Any, table: Table, key: tuple[str, str]) -> Any:
        if isinstance(shape, Ref):
            rows = table.get(shape.table, ())
            return self.rng.choice([r["id"] for r in rows if "id" in r] or [None])
        if not isinstance(shape, Kind):
            return copy.deepcopy(self.rng.choice(self.seen.get(key, [None])))
        schema = shape.schema()
        if "enum" in schema:
            return self.rng.choice(schema["enum"])
        if schema.get("type") == "boolean":
            return self.rng.random() < 0.5
        if schema.get("type") == "integer":
            least, most = schema.get("minimum", 0), schema.get("maximum", 100)
            return self.rng.choice([least, most, self.rng.randint(least, most)])
        if schema.get("format") == "date":
            return self.rng.choice(FAR)
        return self.rng.choice([*self.seen.get(key, ()), *schema.get("examples", ())] or [None])

    def seen_elsewhere(self, table: Table) -> str:
        """A key with what stands under it in another row, or another garage."""
        kind, row, key = self._key(table)
        if not key:
            return "nothing"
        row[key] = copy.deepcopy(self.rng.choice(self.seen.get((kind, key), [row[key]])))
        return f"{kind} {key} = {row[key]!r}"

    def take_out_key(self, table: Table) -> str:
        """A fact that nobody knows."""
        kind, row, key = self._key(table)
        if not key:
            return "nothing"
        del row[key]
        return f"{kind} without {key}"

    def take_out_row(self, table: Table) -> str:
        """A row that is not there; others may name it."""
        kind, row = self._row(table)
        if not isinstance(table[kind], list):
            del table[kind]
        else:
            table[kind].remove(row)
        return f"no {kind} {row.get('id', '')}"

    def again(self, table: Table) -> str:
        """A row a second time, under a name of its own where it has one."""
        kind, row = self._row(table)
        if not isinstance(table[kind], list):
            return "nothing"
        more = copy.deepcopy(row)
        if "id" in more:
            more["id"] = f"{more['id']} again"[:60]
        table[kind].append(more)
        return f"{kind} {row.get('id', '')} twice"

    def move_day(self, table: Table) -> str:
        """A day that is another one."""
        found = [
            (kind, row, key) for kind, row in rows_of(table) for key, value in row.items() if isinstance(value, date)
        ]
        if not found:
            return "nothing"
        kind, row, key = self.rng.choice(found)
        row[key] = row[key] + timedelta(days=self.rng.choice((-3650, -200, -30, -1, 1, 7, 90, 400)))
        return f"{kind} {key} = {row[key]}"

    def swap(self, table: Table) -> str:
        """Two rows of a table with each other's value of a key."""
        kind, row = self._row(table)
        others = [other for k, other in rows_of(table) if k == kind and other is not row]
        keys = [key for key in row if key != "id"]
        if not others or not keys:
            return "nothing"
        key, other = self.rng.choice(keys), self.rng.choice(others)
        if key not in other:
            return "nothing"
        row[key], other[key] = other[key], row[key]
        return f"{kind} {key} swapped"
