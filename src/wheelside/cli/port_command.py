"""wheelside port: port cards."""

from __future__ import annotations

from pathlib import Path

import click

from wheelside.car.card import PortCard
from wheelside.car.portcard import port_schema
from wheelside.cli import options
from wheelside.cli.car_shown import card_file, listening, show_known, visit_of
from wheelside.cli.output import echo
from wheelside.cli.tell import Teller
from wheelside.jobs.car import port as jobs
from wheelside.jobs.car.card_draft import draft_port_card
from wheelside.jobs.car.visit import keep_port_card


@click.group("port")
def command() -> None:
    """Port cards: how a car's unit is reached, written down by its owner from service literature."""


@command.command("check")
@card_file
@click.option("--link", metavar="LINK", help="Try it on a car: everything that it names is read.")
@click.option("--replay", type=options.FILE, help="Try it on a recording.")
@listening
def check(card: Path, link: str | None, replay: Path | None, seconds: float) -> int:
    """Looks a port card over, and tries it on a recording or a car where one is named."""
    loaded = jobs.load_port_card(card)
    out = Teller()
    _show(out, loaded)
    if link is None and replay is None:
        return 0
    with jobs.lined(loaded, link, replay=replay) as line:
        known = jobs.known_of(line, loaded, seconds)
    show_known(out, loaded.label, known)
    return int(bool(known.missing))


def _show(out: Teller, card: PortCard) -> None:
    out.heading(card.label, f"{card.speaks.value} at {card.unit.text}" if card.asked else "only listened to")
    rows = [(f"{row.identifier:04X}", f"IDs, {row.name}", f"{len(row.layout.places)} × {row.bits} bits", "can be written" if row.writable else "")
            for row in card.lists]  # fmt: skip
    rows += [(f"{one.identifier:04X}", one.holds.value, one.unit, "") for one in card.values]
    rows += [
        (f"{one.message}.{one.signal}", f"{one.holds.value}, broadcast", one.unit, one.place) for one in card.broadcasts
    ]
    out.table(("identifier", "holds", "", ""), rows)


@command.command("keep")
@options.book
@card_file
@click.option("--car", metavar="CAR", help="The car; the only one by default.")
def keep(book: str, card: Path, car: str | None) -> int:
    """Keeps a port card in a book, for its car: the pages and the run sheet ask the car by it."""
    data, dbc = jobs.card_bytes(card)
    with visit_of(book, car) as visit:
        assert visit is not None, "a book is always named here"
        loaded = keep_port_card(visit, data, card.name, dbc)
        Teller().line(f"{loaded.label}, {loaded.unit.text}: kept for {visit.car}.")
        return 0


@command.command("draft")
@click.argument("file", type=options.FILE)
@click.option("--only", metavar="WORD", help="Only what has this word in a name or comment.")
@click.option("--layer", metavar="NAME", help="The diagnostic layer, where an ODX file has several.")
def draft(file: Path, only: str | None, layer: str | None) -> int:
    """Prints a port card to be completed, from a .dbc, .pdx or .odx-d file. Where it says "?", write what you know."""
    echo(draft_port_card(file, only, layer), nl=False)
    return 0


@command.command("schema")
def schema() -> int:
    """The JSON Schema of port cards."""
    echo(port_schema(), nl=False)
    return 0
