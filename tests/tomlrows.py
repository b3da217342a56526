"""Tables of a garage file as text, for garages that are drawn."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence


def toml_value(value: object) -> str:
    """A value as a garage file has it; of a table, what is None is left out."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return f'"{value}"'
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{k} = {toml_value(v)}" for k, v in value.items() if v is not None) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(toml_value(v) for v in value) + "]"
    return str(value)


def toml_rows(name: str, rows: Sequence[Mapping[str, object]]) -> Iterator[str]:
    """The lines of an array of tables."""
    for row in rows:
        yield f"[[{name}]]"
        yield from (f"{key} = {toml_value(value)}" for key, value in row.items() if value is not None)


def toml_text(arrays: Mapping[str, Sequence[Mapping[str, object]]], tables: Mapping[str, Mapping[str, object]]) -> str:
    """A whole garage file: arrays of tables, then single tables."""
    lines = ["wheelside = 1"]
    for name, rows in arrays.items():
        lines += toml_rows(name, rows)
    for name, table in tables.items():
        lines += [f"[{name}]", *(f"{key} = {toml_value(v)}" for key, v in table.items() if v is not None)]
    return "\n".join(lines) + "\n"
