"""wheelside gate: a set's sensors, as they answer, held against what is written down."""

from __future__ import annotations

from datetime import date

import click

from wheelside.cli import options
from wheelside.cli.asked import open_changes, show_asked
from wheelside.cli.output import echo
from wheelside.cli.tell import Teller
from wheelside.jobs.jsonform import document
from wheelside.jobs.wheelset.gate import check_at_gate
from wheelside.screens.gate import gate_screen


@click.command("gate")
@options.garage
@click.argument("wheel_set", metavar="SET")
@click.argument("ids", nargs=-1, metavar="[ID]...")
@options.on_day
@options.wears
@options.as_json
def command(
    where: str,
    wheel_set: str,
    ids: tuple[str, ...],
    day: date | None,
    wears: tuple[tuple[str, str], ...],
    json_out: bool,
) -> int:
    """Hold a set's sensors, as they answer when triggered, against what is written down.

    For a store or a workshop, when a set comes in and before it goes out. Without IDs: which ones to expect.
    Status 1 where a wheel is missing or one answers that does not belong.
    """
    found = check_at_gate(where, wheel_set, ids, day=day, wears=wears)
    if json_out:
        echo(
            document(
                "gate",
                garage=found.garage.title,
                open=open_changes(found.garage, found.day),
                passed=found.check.passed,
                check=found.check,
            ),
            nl=False,
        )
        return 1 if found.check.passed is False else 0
    out = Teller(found.garage.units.choice)
    show_asked(out, found.garage, found.day)
    out.screen(gate_screen(found.garage, found.check))
    return 0 if found.check.passed or not ids else 1
