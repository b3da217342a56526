"""wheelside serve: the pages of a book, for this machine or for the phones of the house."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from wheelside.cli import options
from wheelside.cli.tell import Teller
from wheelside.jobs.book.desk import open_desk, usual_book, usual_desk
from wheelside.web.serve import PORT, Ready, Wanted, serve


@click.command("serve")
@click.argument("book", required=False)
@options.photos
@click.option("--port", type=click.IntRange(1, 65535), default=PORT, show_default=True, help="The port to listen on.")
@click.option("--lan", is_flag=True, help="Let phones on the same network in, by a code with a one-time key.")
@click.option(
    "--name",
    "names",
    multiple=True,
    metavar="NAME",
    help="Another name by which this machine is reached; may be repeated.",
)
@click.option("--tls", is_flag=True, help="Use TLS with a certificate of an authority that is made here.")
@options.car_link
@click.option("--certificate", type=options.FILE, help="Use TLS with a certificate of your own (PEM, with its chain).")
@click.option("--key", type=options.FILE, help="The key of that certificate (PEM).")
def command(
    book: str | None,
    photos: Path | None,
    port: int,
    lan: bool,
    names: tuple[str, ...],
    tls: bool,
    car_link: str,
    certificate: Path | None,
    key: Path | None,
) -> int:
    """Serves the pages of a book until you stop it with Ctrl-C. Without BOOK, of the one in the usual place, or a new one there."""
    desk, kept = open_desk(book, photos) if book is not None else (usual_desk(photos), None)
    options.look_at_clock(desk)
    out = Teller()
    if kept is not None:
        out.line(f"The book was of an older Wheelside: it is backed up in {kept}, and brought up to date.")
    home = desk.folder
    folder = Path("wheelside.tls") if home is None else home / f"{Path(book or usual_book()).stem}.tls"
    wanted = Wanted(port, lan, names, tls, certificate, key, folder, car_link)
    try:
        serve(desk, wanted, lambda ready: show_ready(out, ready), example())
    finally:
        desk.close()
    return 0


def show_ready(out: Teller, ready: Ready) -> None:
    """Says how the server is reached, with a code for phones, and what plain HTTP does not protect."""
    out.heading("Wheelside is serving", ready.address)
    out.line("Open this once, in the browser that is to come in; it counts for a quarter of an hour:")
    out.line(ready.link, indent=2)
    if ready.lan:
        import segno

        out.blank()
        segno.make_qr(ready.link, error="m").terminal(compact=True)
    if ready.certified is not None:
        if ready.certified.new_authority:
            out.line(
                "A new authority was made, for the first time or because this machine has another name: install it on each phone."
            )
        out.line(f"Its authority's certificate: {ready.address}/authority.pem; SHA-256 {ready.certified.fingerprint}")
    if ready.lan and ready.certified is None and ready.address.startswith("http://"):
        out.line("Plain HTTP: whoever is on this network can read along and change what passes. --tls prevents that.")
    out.line("Stop with Ctrl-C.")


def example() -> tuple[str, date]:
    """The invented household, to look round in, and the day that it is told for."""
    from wheelside.demo import DEMO_DAY, household

    return household().decode("utf-8"), DEMO_DAY
