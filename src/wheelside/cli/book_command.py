"""wheelside book: what is kept, in and out."""

from __future__ import annotations

from datetime import date, datetime, time
from pathlib import Path

import click

from wheelside.book.events import wheel_history
from wheelside.book.journal import newest
from wheelside.cli import options
from wheelside.cli.history import history_rows
from wheelside.cli.tell import Teller
from wheelside.errors import BadRequest, NotThere
from wheelside.jobs import files
from wheelside.jobs.desk import Desk, new_desk, open_desk
from wheelside.jobs.jsonform import document
from wheelside.jobs.load import load_garage
from wheelside.units.moment import Moment

READINGS = (".csv", ".jsonl", ".ndjson", ".parquet")


@click.group("book")
def command() -> None:
    """Makes a book, looks into it, and moves things in and out.

    A book is one file (SQLite), or a PostgreSQL database given as postgresql://USER@HOST/DATABASE.
    """


def _open(book: str, photos: Path | None) -> Desk:
    desk, kept = open_desk(book, photos)
    if kept is not None:
        click.echo(
            f"wheelside: the book was of an older Wheelside; it is backed up in {kept}, and brought up to date",
            err=True,
        )
    return desk


@command.command("new")
@options.book
@click.option(
    "--from", "source", type=options.FILE, help="A garage file to take in; its plan file's reserved IDs come along."
)
@options.photos
def new(book: str, source: Path | None, photos: Path | None) -> int:
    """Makes a book, empty or from a garage file."""
    if source is not None:
        load_garage(source)
    desk = new_desk(book, photos)
    taken = files.take_in(desk, source) if source else None
    out = Teller()
    out.line(f"{desk.book.name} is a book" + (f", with {taken.rows} rows of {source}." if taken else ", still empty."))
    out.line(f"Photos will lie in {desk.photos}. Try: wheelside serve {desk.book.name}")
    desk.close()
    return 0


@command.command("show")
@options.book
@options.as_json
def show(book: str, json_out: bool) -> int:
    """What a book holds, and its newest writes."""
    desk = _open(book, None)
    garage = desk.loaded().garage
    with desk.book.reading() as conn:
        journal = newest(conn, 15)
    counts = [(kind, len(getattr(garage, kind))) for kind in ("car", "set", "wheel", "tyre", "rim", "sensor", "place")]
    desk.close()
    if json_out:
        click.echo(document("book", garage=garage.title, rows=dict(counts), journal=journal), nl=False)
        return 0
    out = Teller()
    out.heading(garage.title or desk.book.name, desk.book.name)
    out.table(("", ""), [(kind, str(n)) for kind, n in counts], right=(1,))
    out.heading("Newest writes")
    rows = [(str(w.num), w.at.short(), w.what, w.person, w.via) for w in journal]
    out.table(("entry", "when", "what", "who", "by"), rows, right=(0,), whole=(1,))
    return 0


@command.command("history")
@options.book
@click.argument("wheel")
@click.option(
    "--most", type=click.IntRange(1, 100_000), default=200, show_default=True, help="At most so many lines, the newest."
)
@options.as_json
def history(book: str, wheel: str, most: int, json_out: bool) -> int:
    """Everything about one wheel, newest first."""
    desk = _open(book, None)
    garage = desk.loaded().garage
    if wheel not in garage.wheels:
        known = ", ".join(sorted(garage.wheels)[:40]) or "none"
        raise NotThere(f"no wheel '{wheel}' in the book: it has {known}", found=wheel, expected=known)
    with desk.book.reading() as conn:
        lines = wheel_history(conn, wheel, most)
    desk.close()
    if json_out:
        click.echo(document("history", wheel=wheel, lines=lines), nl=False)
        return 0
    out = Teller()
    out.heading(f"Wheel {garage.wheels[wheel].name}")
    out.table(("when", "what", "who", "by"), history_rows(lines, garage.units.choice), whole=(0,))
    return 0


@command.command("import")
@options.book
@click.argument("file", type=options.FILE)
@click.option("--as", "person", default="", metavar="NAME", help="Who brings it in.")
@options.photos
def import_(book: str, file: Path, person: str, photos: Path | None) -> int:
    """Takes in a garage file (.toml), or readings (.csv, .jsonl, .parquet)."""
    desk = _open(book, photos)
    out = Teller()
    if file.suffix.lower() in READINGS:
        taken = files.take_in_readings(desk, file, person=person)
        out.line(f"{taken.new} new readings, {taken.known} known already.")
        for r in taken.differing[:20]:
            at = Moment(r.at_us, r.offset_min).short()
            out.line(f"not kept: {r.subject[0]} {r.subject[1]} at {at} reads otherwise in the book already", indent=2)
        status = int(bool(taken.differing))
    else:
        rows = files.take_in(desk, file, person=person)
        out.line(f"{rows.rows} rows changed, {rows.reserved} reserved IDs taken over.")
        status = 0
    desk.close()
    return status


@command.command("export")
@options.book
@click.argument("file", type=options.FILE)
@click.option("--wheel", metavar="WHEEL", help="Readings of one wheel only.")
@click.option("--sensor", metavar="SENSOR", help="Readings of one sensor only.")
@click.option(
    "--believed-on",
    "day",
    callback=options.day,
    metavar="DAY",
    help="The garage file as it was believed to be in the end of that day.",
)
def export(book: str, file: Path, wheel: str | None, sensor: str | None, day: date | None) -> int:
    """Writes the garage file (.toml), or the readings (.csv, .jsonl, .parquet)."""
    desk = _open(book, None)
    out = Teller()
    if file.suffix.lower() in READINGS:
        subject = ("wheel", wheel) if wheel else ("sensor", sensor) if sensor else None
        out.line(f"{files.give_out_readings(desk, file, subject)} readings in {file}.")
    elif file.suffix.lower() == ".toml":
        files.give_out(desk, file, day=_end_of(desk, day) if day else None)
        out.line(f"The garage file is {file}.")
    else:
        raise BadRequest(
            f"{file}: name it .toml for the garage file, or .csv, .jsonl or .parquet for readings", found=file.suffix
        )
    desk.close()
    return 0


def _end_of(desk: Desk, day: date) -> Moment:
    zone = desk.clock().local.tzinfo
    return Moment.of(datetime.combine(day, time(23, 59, 59, 999_999), tzinfo=zone))


@command.command("back-up")
@options.book
@click.argument("file", type=options.FILE)
@options.photos
def back_up(book: str, file: Path, photos: Path | None) -> int:
    """Backs a book up into one file, while others go on working with it."""
    desk = _open(book, photos)
    made = files.back_up(desk, file)
    desk.close()
    out = Teller()
    out.line(
        f"{file} holds {sum(made.rows.values())} rows and {made.photos} photos. It holds the book's signing key too: keep it to yourself."
    )
    for name in made.missing:
        out.line(f"not in it: the photo {name[:12]}…, which is damaged", indent=2)
    return int(bool(made.missing))


@command.command("check")
@options.book
@options.photos
def check(book: str, photos: Path | None) -> int:
    """Holds a book against everything that must be true of it."""
    desk = _open(book, photos)
    found = files.wrong(desk)
    desk.close()
    out = Teller()
    for line in found:
        out.line(f"✕ {line}")
    out.line(
        "Keep the book as it is, and bring back a back-up with 'wheelside book restore'."
        if found
        else f"{book} is sound."
    )
    return 3 if found else 0


@command.command("restore")
@click.argument("backup", type=options.FILE)
@options.book
@options.photos
def restore(backup: Path, book: str, photos: Path | None) -> int:
    """Makes a new book out of a back-up; a file or an empty database."""
    desk, made = files.restore(backup, book, photos)
    desk.close()
    Teller().line(f"{desk.book.name} holds {sum(made.rows.values())} rows and {made.photos} photos again.")
    return 0
