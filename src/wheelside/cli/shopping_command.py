"""wheelside shopping: what to buy, to try and to book before sets go on."""

from __future__ import annotations

from datetime import date

import click

from wheelside.cli import options
from wheelside.cli.output import echo
from wheelside.cli.tell import Teller
from wheelside.jobs.jsonform import document
from wheelside.jobs.work.season_ahead import shopping_at
from wheelside.screens.shopping import shopping_screen


@click.command("shopping")
@options.garage
@options.on_day
@options.as_json
def command(where: str, day: date | None, json_out: bool) -> int:
    """What to buy before sets go on, for what and by when; what to try before, and what to book.

    Prices are those that you noted in [costs]; none is made up.
    """
    found = shopping_at(where, day=day)
    if json_out:
        echo(
            document("shopping", garage=found.garage.title, day=found.day, possible=found.possible, sets=found.sets),
            nl=False,
        )
    else:
        Teller(found.garage.units.choice).screen(shopping_screen(found))
    return 0
