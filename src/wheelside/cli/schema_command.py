"""wheelside schema: the JSON Schema of garage files."""

from __future__ import annotations

import json

import click

from wheelside.garage.schema import garage_schema


@click.command("schema")
@click.option("--json", "json_out", is_flag=True, help="The schema is JSON either way; this changes nothing.")
def command(json_out: bool) -> int:  # noqa: ARG001  accepted for the sake of sameness
    """Print the JSON Schema of garage files (draft 2020-12)."""
    click.echo(json.dumps(garage_schema(), indent=1, ensure_ascii=False))
    return 0
