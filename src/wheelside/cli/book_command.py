"""wheelside book: what is kept, in and out."""

from __future__ import annotations

import shlex
from datetime import date, datetime, time
from pathlib import Path

import click

from wheelside.air.plausible import KPA
from wheelside.cli import options
from wheelside.cli.history import history_rows
from wheelside.cli.output import echo
from wheelside.cli.tell import Teller
from wheelside.errors import NotThere
from wheelside.jobs.book import files, kept
from wheelside.jobs.book.desk import Desk, new_desk, open_desk
from wheelside.jobs.book.kept import Taken, Why
from wheelside.jobs.book.mistake import mark
from wheelside.jobs.book.reading_cell import DayOrder, zone_of
from wheelside.jobs.book.reading_columns import split_columns
from wheelside.jobs.book.reading_file import SUFFIXES, written_as
from wheelside.jobs.book.reading_row import How
from wheelside.jobs.book.readings_in import SHOWN, take_in_readings
from wheelside.jobs.garagedesk import called
from wheelside.jobs.jsonform import document
from wheelside.units.moment import Moment

_COLUMN_HELP = (
    'What a column says, by its heading: --column "Reifen=wheel"; "-" leaves it out. May be given several times.'
)


@click.group("book")
def command() -> None:
    """Makes a book, looks into it, and moves things in and out.

    A book is one file (SQLite), or a PostgreSQL database given as postgresql://USER@HOST/DATABASE.
    """


def _open(book: str, photos: Path | None) -> Desk:
    desk, kept = open_desk(book, photos)
    if kept is not None:
        echo(
            f"wheelside: the book was of an older Wheelside; it is backed up in {kept}, and brought up to date",
            err=True,
        )
    return desk


@command.command("new")
@options.book
@click.option(
    "--from",
    "source",
    metavar="GARAGE",
    help="A garage file or another book to take in; the IDs reserved there come along.",
)
@options.photos
def new(book: str, source: str | None, photos: Path | None) -> int:
    """Makes a book, empty or from a garage file or another book."""
    out = Teller()
    if source is None:
        desk = new_desk(book, photos)
        out.line(f"{desk.name} is a book, still empty.")
    else:
        desk, taken = files.new_book_from(source, book, photos)
        out.line(f"{desk.name} is a book, with {taken.rows} rows of {called(source)}.")
    out.line(f"Photos will lie in {desk.photos}. Try: wheelside serve {desk.name}")
    desk.close()
    return 0


@command.command("show")
@options.book
@options.as_json
def show(book: str, json_out: bool) -> int:
    """What a book holds, and its newest writes."""
    desk = _open(book, None)
    garage = desk.loaded().garage
    journal = kept.journal(desk, 15)
    counts = [(kind, len(getattr(garage, kind))) for kind in ("car", "set", "wheel", "tyre", "rim", "sensor", "place")]
    desk.close()
    if json_out:
        echo(document("book", garage=garage.title, rows=dict(counts), journal=journal), nl=False)
        return 0
    out = Teller()
    out.heading(garage.title or desk.name, desk.name)
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
    lines = kept.history(desk, wheel, most)
    desk.close()
    if json_out:
        echo(document("history", wheel=wheel, lines=lines), nl=False)
        return 0
    out = Teller()
    out.heading(f"Wheel {garage.wheels[wheel].name}")
    out.table(("when", "what", "who", "by"), history_rows(lines, garage.units.choice), whole=(0,))
    return 0


@command.command("import")
@options.book
@click.argument("file")
@click.option("--column", "columns", multiple=True, metavar="HEADING=COLUMN", help=_COLUMN_HELP)
@click.option(
    "--unit",
    type=click.Choice(list(KPA), case_sensitive=False),
    help="The unit of its pressures, whatever their columns say.",
)
@click.option("--day-first", "order", flag_value="day", help="Days such as 03/04/2026 are the 3rd of April.")
@click.option("--month-first", "order", flag_value="month", help="Days such as 03/04/2026 are March the 4th.")
@click.option(
    "--zone",
    metavar="ZONE",
    help="The zone of moments that name none, as in +01:00; this machine's of now by default.",
)
@click.option(
    "--sheet",
    default="",
    metavar="NAME",
    help="Which sheet of a spreadsheet; the first with anything on it by default.",
)
@click.option("--as-it-is", is_flag=True, help="Keep figures that no wheel in use has, too: they really were so.")
@click.option(
    "--line",
    "lines",
    type=click.IntRange(1),
    multiple=True,
    help="The same, for this line only. May be given several times.",
)
@click.option("--as", "person", default="", metavar="NAME", help="Who brings it in.")
@options.photos
def import_(
    book: str, file: str, columns: tuple[str, ...], unit: str | None, order: str | None, zone: str | None, sheet: str,
    as_it_is: bool, lines: tuple[int, ...], person: str, photos: Path | None,
) -> int:  # fmt: skip
    """Takes in a garage file (.toml) or another book, or readings (.csv, .jsonl, .parquet, .xlsx, .ods).

    Odd figures are asked about, and then nothing is kept: say what they are, and run it again.
    """
    how = How(
        unit=unit or "", order=DayOrder(order) if order else None, zone=zone_of(zone) if zone else None, as_it_is=as_it_is,
        lines=frozenset(lines),
    )  # fmt: skip
    given = split_columns(columns)
    desk = _open(book, photos)
    out = Teller()
    if Path(file).suffix.lower() in SUFFIXES:
        taken = take_in_readings(desk, Path(file), columns=given, how=how, sheet=sheet, person=person)
        _tell_taken(out, taken)
        status = int(bool(taken.differing))
    else:
        rows = files.take_in(desk, file, person=person)
        out.line(f"{rows.rows} rows changed, {rows.reserved} reserved IDs taken over.")
        status = 0
    desk.close()
    return status


def _tell_taken(out: Teller, taken: Taken) -> None:
    out.line(f"{taken.new} new readings, {taken.known} known already.")
    if taken.mistaken:
        out.line(f"not kept: {taken.mistaken} that are marked as mistaken; --as-it-is keeps them again", indent=2)
    for r in taken.differing[:SHOWN]:
        at = Moment(r.at_us, r.offset_min)
        out.line(
            f"not kept: {r.subject[0]} {r.subject[1]} at {at.short()} reads otherwise in the book already", indent=2
        )
        out.line(
            f"was that one a mistake? wheelside book mistaken BOOK {shlex.quote(r.subject[1])} {at.iso()} --channel {r.channel}",
            indent=4,
        )


@command.command("mistaken")
@options.book
@click.argument("wheel")
@click.argument("at")
@click.option("--channel", default="", help="By which channel it came, where several did at that moment.")
@click.option("--why", type=click.Choice([w.value for w in Why]), required=True, help="What is wrong with it.")
@click.option("--right", metavar="PRESSURE", help="The right gauge pressure, kept in its place: '2.4 bar'.")
@click.option("--as", "person", default="", metavar="NAME", help="Who says so.")
def mistaken(book: str, wheel: str, at: str, channel: str, why: str, right: str | None, person: str) -> int:
    """Marks a reading of a wheel or a sensor as noted by mistake. It stays in the book, and is used no more.

    AT is its moment as the history shows it: '2026-11-25 12:00'.
    """
    desk = _open(book, None)
    was = mark(desk, wheel, at, channel, Why(why), right=right or "", person=person)
    desk.close()
    out = Teller()
    out.line(
        f"Marked as mistaken: {was.subject[0]} {was.subject[1]} at {Moment(was.at_us, was.offset_min).short()}, {was.channel}."
    )
    out.line("The right one is kept in its place." if right else "The right one can be noted now.")
    return 0


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
    if file.suffix.lower() != ".toml":
        written_as(file)
        subject = ("wheel", wheel) if wheel else ("sensor", sensor) if sensor else None
        out.line(f"{files.give_out_readings(desk, file, subject)} readings in {file}.")
    else:
        files.give_out(desk, file, day=_end_of(desk, day) if day else None)
        out.line(f"The garage file is {file}.")
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
    out = Teller()
    out.line(f"{desk.name} holds {sum(made.rows.values())} rows and {made.photos} photos again.")
    out.line(
        f"No browser is connected to it, and no link or calendar address of before counts: 'wheelside serve {desk.name}' prints a new link."
    )
    return 0
