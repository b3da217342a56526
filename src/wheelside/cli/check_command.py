"""wheelside check: every problem of a garage file."""

from __future__ import annotations

import click

from wheelside.cli import options
from wheelside.cli.output import echo
from wheelside.errors import BadFile
from wheelside.jobs.garagedesk import called, load_garage
from wheelside.jobs.jsonform import document


@click.command("check")
@options.garage
@options.as_json
def command(where: str, json_out: bool) -> int:
    """Look a garage over and name every problem: line, key, found, expected, what to do."""
    try:
        garage = load_garage(where)
    except BadFile as error:
        if not json_out:
            raise
        echo(document("check", problems=error.problems), nl=False)
        return 2
    if json_out:
        echo(document("check", problems=()), nl=False)
    else:
        counts = (
            (len(garage.car), "car"),
            (len(garage.set), "wheel set"),
            (len(garage.wheel), "wheel"),
            (len(garage.sensor), "sensor"),
        )
        held = ", ".join(f"{n} {word}{'' if n == 1 else 's'}" for n, word in counts)
        echo(f"{called(where)}: no problem found; {held}.")
    return 0
