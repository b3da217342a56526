"""wheelside schema: the JSON Schema of garage files."""

from __future__ import annotations

import json

import click

from wheelside.cli.output import echo
from wheelside.garage.printed import garage_page, garage_schema


@click.command("schema")
@click.option("--json", "json_out", is_flag=True, help="The schema is JSON either way; this changes nothing.")
@click.option("--markdown", is_flag=True, help="Print the same as a page to read.")
def command(json_out: bool, markdown: bool) -> int:
    """Print the JSON Schema of garage files (draft 2020-12), or a page that explains every key."""
    if markdown and not json_out:
        echo(garage_page(), nl=False)
    else:
        echo(json.dumps(garage_schema(), indent=1, ensure_ascii=False))
    return 0
