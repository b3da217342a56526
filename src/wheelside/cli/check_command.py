"""wheelside check: every problem of a garage file."""

from __future__ import annotations

from pathlib import Path

import click

from wheelside.cli import options
from wheelside.errors import BadFile
from wheelside.jobs.jsonform import document
from wheelside.jobs.load import load_garage


@click.command("check")
@options.garage_file
@options.as_json
def command(file: Path, json_out: bool) -> int:
    """Look a garage file over and name every problem: line, key, found, expected, what to do."""
    try:
        garage = load_garage(file)
    except BadFile as error:
        if not json_out:
            raise
        click.echo(document("check", problems=error.problems), nl=False)
        return 2
    if json_out:
        click.echo(document("check", problems=()), nl=False)
    else:
        counts = (
            (len(garage.car), "car"),
            (len(garage.set), "wheel set"),
            (len(garage.wheel), "wheel"),
            (len(garage.sensor), "sensor"),
        )
        held = ", ".join(f"{n} {word}{'' if n == 1 else 's'}" for n, word in counts)
        click.echo(f"{file}: no problem found; {held}.")
    return 0
