"""wheelside hand-over: one page about a wheel set for its buyer."""

from __future__ import annotations

from datetime import date

import click

from wheelside.cli import options
from wheelside.cli.output import echo
from wheelside.cli.screen_markdown import screen_markdown
from wheelside.cli.tell import Teller, exit_status
from wheelside.jobs.jsonform import document
from wheelside.jobs.wheelset.hand_over import hand_over, hand_over_now
from wheelside.screens.hand_over import hand_over_screen, owner_screen


@click.command("hand-over")
@options.garage
@click.argument("wheel_set", metavar="SET")
@click.option(
    "--on", "day", metavar="DAY", callback=options.day, help="The day on which it is handed over; today by default."
)
@click.option("--keep", is_flag=True, help="It is sold: keep that in the book, after a look without this.")
@click.option("--markdown", is_flag=True, help="Print the buyer's page alone, as Markdown.")
@options.as_json
def command(where: str, wheel_set: str, day: date | None, keep: bool, markdown: bool, json_out: bool) -> int:
    """One page about a wheel set for its buyer: tyres, rims, sensors with their IDs, pressures; what is not known as not known.

    It names no person, no place, no car and no wheel that stays. Below it stands, for you, what to know first, and what is kept in a
    book or put into a garage file once it is sold. Status 1 where an ID that goes is carried by something that stays.
    """
    found = (hand_over_now if keep else hand_over)(where, wheel_set, day=day)
    if json_out:
        echo(document("hand-over", kept=keep, page=found.page), nl=False)
    elif markdown:
        echo(screen_markdown(hand_over_screen(found.page), found.garage.units.choice), nl=False)
    else:
        out = Teller(found.garage.units.choice)
        out.screen(hand_over_screen(found.page))
        out.screen(owner_screen(found))
        if keep:
            out.line("Kept.", style="bold", indent=2)
    return exit_status(found.first)
