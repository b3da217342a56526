"""wheelside start: one question at a time, here or on a phone, until there is an answer."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from wheelside.cli import options
from wheelside.cli.conversation import Conversation
from wheelside.cli.serve_command import example, show_ready
from wheelside.cli.tell import Teller
from wheelside.errors import BadRequest
from wheelside.jobs.book.desk import Desk, new_desk, open_desk, usual_desk
from wheelside.jobs.work.starting import Asker
from wheelside.web.serve import PORT, Wanted, serve

HERE, PHONE, BROWSER = "1", "2", "3"


@click.command("start")
@click.argument("book", required=False)
@options.photos
@click.option("--here", is_flag=True, help="Ask in this terminal.")
@click.option(
    "--lan", is_flag=True, help="Ask on a phone in the same network; it connects by a code with a one-time key."
)
@click.option("--pages", is_flag=True, help="Ask in a browser on this machine.")
@click.option(
    "--port", type=click.IntRange(1, 65535), default=PORT, show_default=True, help="The port for phone or browser."
)
@options.car_link
def command(
    book: str | None, photos: Path | None, *, here: bool, lan: bool, pages: bool, port: int, car_link: str
) -> int:
    """Asks one question at a time: what brings you, then what the answer needs.

    Without BOOK, the one in the usual place; a new one where there is none. Stop at any time: what was answered is kept.
    """
    if here + lan + pages > 1:
        raise BadRequest("choose one of --here, --lan and --pages", expected="--here, --lan or --pages")
    desk = _desk(book, photos)
    options.look_at_clock(desk)
    out = Teller(desk.loaded().garage.units.choice)
    try:
        where = HERE if here else PHONE if lan else BROWSER if pages else _where(out)
        if where == HERE:
            Conversation(out, Asker(desk, patience_s=None), input, car_link).run()
        elif where:
            wanted = Wanted(port, lan=where == PHONE, car_link=car_link)
            serve(desk, wanted, lambda ready: show_ready(out, ready), example())
    finally:
        desk.close()
    return 0


def _desk(book: str | None, photos: Path | None) -> Desk:
    if book is None:
        return usual_desk(photos)
    if Path(book).exists() or "://" in book:
        return open_desk(book, photos)[0]
    return new_desk(book, photos)


def _where(out: Teller) -> str:
    """Where to ask: no phone is let in unless somebody says so."""
    if not sys.stdin.isatty():
        return HERE
    out.line("Where do you want to be asked?", style="bold")
    out.line("1  Here", indent=2)
    out.line("2  On my phone: it connects over this network, by a code", indent=2)
    out.line("3  In a browser on this machine", indent=2)
    while True:
        try:
            said = input("> ").strip()
        except EOFError:
            return ""
        if said in (HERE, PHONE, BROWSER, ""):
            return said or HERE
        if said == "q":
            return ""
        out.line("Type 1, 2 or 3, or q to stop.")
