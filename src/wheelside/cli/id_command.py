"""wheelside id: reading a sensor ID from print, and drawing fresh ones."""

from __future__ import annotations

from pathlib import Path

import click

from wheelside.cli import options
from wheelside.cli.output import echo
from wheelside.cli.tell import Teller
from wheelside.jobs.jsonform import document
from wheelside.jobs.source import write_whole
from wheelside.jobs.wheelset.ids import ReadOut, WornOut, draw_ids, give_id, give_up_id, read_text
from wheelside.said import Joined, listed, say
from wheelside.sensor.ident import PrintForm, SensorId
from wheelside.sensor.qr import qr_svg, qr_terminal


@click.group("id")
def command() -> None:
    """Read a sensor ID from print, or draw fresh ones."""


@command.command("read")
@click.argument("text")
@click.option(
    "--file", "where", metavar="GARAGE", help="A garage file or a book: its families, and its IDs to compare with."
)
@click.option("--family", help="The family in the garage file that the sensor is of.")
@click.option("--bits", type=int, help="Width of the ID: 24, 28 or 32.")
@click.option("--form", type=click.Choice([f.value for f in PrintForm]), help="How it is printed.")
@click.option("--qr", is_flag=True, help="Show a QR code, where one reading remains.")
@click.option("--svg", type=options.FILE, help="Write the QR code as SVG, where one reading remains.")
@options.as_json
def read(
    text: str,
    where: str | None,
    family: str | None,
    bits: int | None,
    form: str | None,
    qr: bool,
    svg: Path | None,
    json_out: bool,
) -> int:
    """Every way to read TEXT as a sensor ID. None is picked where two remain: the exit status is 1 then.

    Write '?' for a digit that can't be read, once or twice: with a garage file you are told which of its IDs fit.
    """
    found = read_text(text, where=where, family=family, bits=bits, form=PrintForm(form) if form else None)
    only = found.readings.only
    if json_out:
        echo(document("id-readings", readings=found.readings, matches=found.matches, worn=found.worn), nl=False)
    else:
        out = Teller()
        if found.worn:
            _show_worn(out, text, found.worn)
        else:
            _show_readings(out, text, found)
        if found.readings.settle:
            out.line(f"? {out.speech.text(found.readings.settle)}", style="cyan", indent=2)
        if qr and only:
            out.blank()
            echo(qr_terminal(only))
    if svg and only:
        write_whole(svg, qr_svg(only), "the QR code")
    return 0 if only else 1


def _show_readings(out: Teller, text: str, found: ReadOut) -> None:
    count = len(found.readings.all)
    out.heading(
        f"'{text}'", "no ID" if found.readings.empty else "one reading" if found.readings.only else f"{count} readings"
    )
    for reading, matches in zip(found.readings.all, found.matches, strict=True):
        out.line(f"{_both(reading.id)}   {reading.id.bits} bits, read as {reading.form.value}", style="bold", indent=2)
        empty = (say("{empty}, which stands for no sensor", empty=reading.id.empty),) if reading.id.empty else ()
        alike = (say("{how} {id}: {whose}", how=m.like.text, id=m.like.known.hex, whose=m.about) for m in matches)
        for note in (*empty, *reading.assumed, *alike):
            out.line(f"· {out.speech.text(note)}", indent=4)


def _show_worn(out: Teller, text: str, worn: WornOut) -> None:
    out.heading(f"'{text}'", "not every digit can be read")
    for way in worn.ways:
        out.line(
            f"{way.bits} bits, {way.form.value}: {way.count} ID{'s are' if way.count > 1 else ' is'} possible", indent=2
        )
    for note in worn.assumed:
        out.line(f"· {out.speech.text(note)}", indent=4)
    for fit in worn.fits:
        out.line(
            f"{_both(fit.id)}   can be it: {out.speech.text(listed(fit.about, Joined.COMMA))}", style="bold", indent=2
        )
    if not worn.fits:
        out.line(
            "None of the file's IDs can be it." if worn.compared else "Name a garage file to compare them with.",
            indent=2,
        )


@command.command("fresh")
@click.argument("where", metavar="[GARAGE]", required=False)
@click.option("--family", help="The family in the garage file.")
@click.option("--count", type=click.IntRange(1, 1000), default=1, show_default=True, help="How many.")
@click.option("--bits", type=int, help="Width: 24, 28 or 32, where the family does not say.")
@click.option("--prefix", help="Leading hex digits that all IDs of the family share.")
@click.option("--qr", is_flag=True, help="Show a QR code for each.")
@options.as_json
def fresh(
    where: str | None, family: str | None, count: int, bits: int | None, prefix: str | None, qr: bool, json_out: bool
) -> int:
    """Draw fresh IDs. With a GARAGE they avoid every ID in it and are set aside: in its plan file, or in the book."""
    drawn = draw_ids(count, where=where, family=family, bits=bits, prefix=prefix)
    if json_out:
        echo(document("id-fresh", fresh=drawn.fresh, saved_in=drawn.saved_in), nl=False)
        return 0
    out = Teller()
    out.heading("Fresh IDs")
    rows = [
        (f.id.aloud(), f.id.aloud(PrintForm.DECIMAL), "3 or more" if f.distance >= 3 else str(f.distance))
        for f in drawn.fresh
    ]
    out.table(("hex", "decimal", "digits from the nearest"), rows, right=(1,))
    for one in drawn.fresh if qr else ():
        out.line(one.id.aloud(), style="bold")
        echo(qr_terminal(one.id))
    if drawn.saved_in:
        out.line(f"Set aside in {drawn.saved_in}; they will not be drawn again.", indent=2)
    else:
        out.line(
            "Checked against nothing and set aside nowhere: give a garage file for that.", style="yellow", indent=2
        )
    return 0


@command.command("give")
@click.argument("where", metavar="GARAGE")
@click.argument("text", metavar="ID")
@click.argument("wheel")
def give(where: str, text: str, wheel: str) -> int:
    """Give an ID that 'id fresh' has set aside to a WHEEL: the plan takes it for that wheel."""
    Teller().line(f"Given to {wheel}, in {give_id(where, text, wheel)}.")
    return 0


@command.command("release")
@click.argument("where", metavar="GARAGE")
@click.argument("text", metavar="ID")
def release(where: str, text: str) -> int:
    """Give up an ID that 'id fresh' has set aside for no wheel; it is not drawn again."""
    Teller().line(f"Given up, in {give_up_id(where, text)}.")
    return 0


def _both(sensor_id: SensorId) -> str:
    return f"{sensor_id.aloud()}  =  {sensor_id.aloud(PrintForm.DECIMAL)}"
