"""wheelside port: port cards."""

from __future__ import annotations

from pathlib import Path

import click

from wheelside.car.card import PortCard
from wheelside.car.reads import read_all
from wheelside.cli import options
from wheelside.cli.car_command import card_file, show_known, visit_of
from wheelside.cli.tell import Teller
from wheelside.garage.portcard import port_schema
from wheelside.jobs import car as jobs
from wheelside.jobs.carbook import keep_port_card
from wheelside.jobs.source import read_bytes


@click.group("port")
def command() -> None:
    """Port cards: how a car's unit is reached, written down by its owner from service literature."""


@command.command("check")
@card_file
@click.option("--link", metavar="LINK", help="Try it on a car: everything that it names is read.")
@click.option("--replay", type=options.FILE, help="Try it on a recording.")
def check(card: Path, link: str | None, replay: Path | None) -> int:
    """Looks a port card over, and tries it on a recording or a car where one is named."""
    loaded = jobs.load_port_card(card)
    out = Teller()
    _show(out, loaded)
    if link is None and replay is None:
        return 0
    with jobs.talking(loaded, link, replay=replay) as talk:
        known = read_all(talk, loaded)
    show_known(out, loaded.label, known)
    return int(bool(known.missing))


def _show(out: Teller, card: PortCard) -> None:
    out.heading(card.label, f"{card.speaks.value} at {card.unit.text}")
    rows = [(f"{row.identifier:04X}", f"IDs, {row.name}", f"{len(row.layout.places)} × {row.bits} bits", "can be written" if row.writable else "")
            for row in card.lists]  # fmt: skip
    rows += [(f"{one.identifier:04X}", one.holds.value, one.unit, "") for one in card.values]
    out.table(("identifier", "holds", "", ""), rows)


@command.command("keep")
@options.book
@card_file
@click.option("--car", metavar="CAR", help="The car; the only one if left out.")
def keep(book: str, card: Path, car: str | None) -> int:
    """Keeps a port card in a book, for its car: the pages and the run sheet ask the car by it."""
    with visit_of(book, car) as visit:
        assert visit is not None, "a book is always named here"
        loaded = keep_port_card(visit, read_bytes(card, "the port card"), card.name)
        Teller().line(f"{loaded.label}, {loaded.unit.text}: kept for {visit.car}.")
    return 0


@command.command("schema")
def schema() -> int:
    """The JSON Schema of port cards."""
    click.echo(port_schema(), nl=False)
    return 0
