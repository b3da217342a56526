"""The JSON Schema that ships. Oracle: the library jsonschema."""

from __future__ import annotations

import json
import random
import tomllib
from typing import Any

import jsonschema
import pytest
import tomli_w

from garages import Table, demo_table, garage_of
from wheelside.errors import BadFile
from wheelside.garage.printed import garage_schema

SCHEMA = garage_schema()
VALIDATOR = jsonschema.Draft202012Validator(SCHEMA)


def as_json(table: Table) -> Any:
    """The table as a JSON instance, days as text."""
    return json.loads(json.dumps(tomllib.loads(tomli_w.dumps(table)), default=str))


def test_the_schema_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)


def test_the_demo_household_fits_it() -> None:
    assert list(VALIDATOR.iter_errors(as_json(demo_table()))) == []


@pytest.mark.parametrize("seed", range(60))
def test_what_the_schema_refuses_the_reader_refuses(seed: int) -> None:
    """One random key is renamed, dropped or given another type; where the schema minds, so does the reader."""
    rng = random.Random(seed)
    table = demo_table()
    kind = rng.choice([k for k, v in table.items() if isinstance(v, list)])
    target = rng.choice(table[kind])
    key = rng.choice(sorted(target))
    value = target.pop(key)
    fate = rng.choice(["dropped", "renamed", "number", "list", "flag"])
    changed = {"renamed": value, "number": 7, "list": ["x", 1], "flag": True}
    if fate in changed:
        target[f"{key}_x" if fate == "renamed" else key] = changed[fate]
    if list(VALIDATOR.iter_errors(as_json(table))):
        with pytest.raises(BadFile):
            garage_of(table)


def test_every_key_is_described() -> None:
    for name, definition in SCHEMA["$defs"].items():
        for key, shape in definition["properties"].items():
            assert shape["description"] or "$ref" in shape, f"{name}.{key}"
