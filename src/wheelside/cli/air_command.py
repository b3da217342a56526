"""wheelside air: the pressures to set now."""

from __future__ import annotations

from datetime import date
from typing import Any

import click

from wheelside.cli import options
from wheelside.cli.asked import open_changes, show_asked, show_one_more
from wheelside.cli.output import echo
from wheelside.cli.tell import Teller, exit_status
from wheelside.fill.card import AirCard
from wheelside.fill.nearest import nearest_lamp
from wheelside.garage.model import Garage
from wheelside.jobs.jsonform import document
from wheelside.jobs.work.air import card_for
from wheelside.screens.air import air_screen
from wheelside.screens.air_first import air_first


@click.command("air")
@options.garage
@options.on_day
@options.wears
@options.which_change
@options.wishes
@click.option(
    "--full", is_flag=True, help="Show the lamp's limits, what it will then read, and how sure the figures are, too."
)
@options.ask
@options.as_json
def command(
    where: str,
    day: date | None,
    wears: tuple[tuple[str, str], ...],
    car: str | None,
    wheel_set: str | None,
    hot: bool,
    load: str | None,
    full: bool,
    ask: bool,
    json_out: bool,
    **said: Any,
) -> int:
    """The pressures to set now, and from when the lamp must be lit.

    For the next change of wheels, or for the car and set asked for.
    """
    wishes = options.wishes_from(hot, load, **said)
    aired = card_for(where, day=day, car=car, wheel_set=wheel_set, wishes=wishes, wears=wears)
    if json_out:
        echo(
            document(
                "air",
                garage=aired.garage.title,
                open=open_changes(aired.garage, aired.card.day),
                change=aired.change,
                card=aired.card,
                nearest=nearest_lamp(aired.garage.cars[aired.card.car], aired.card),
            ),
            nl=False,
        )
    else:
        out = Teller(aired.garage.units.choice)
        show_asked(out, aired.garage, aired.card.day)
        show_air(out, aired.garage, aired.card, full=full)
        if ask:
            show_one_more(out, where, "pressures", car=aired.card.car, day=day)
    return exit_status(aired.card.findings) or int(not aired.card.wheels)


def show_air(out: Teller, garage: Garage, card: AirCard, *, full: bool = False, more: str = "--full") -> None:
    """The answer first, or the whole card."""
    if full:
        out.screen(air_screen(garage, card))
        return
    out.parts(air_first(garage, card).parts)
    if not more:
        return
    out.blank()
    out.line(f"More: {more} (how sure this is, when the lamp must be lit, what it will then read)", "dim")
