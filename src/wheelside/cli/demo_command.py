"""wheelside demo: the main job on an invented household."""

from __future__ import annotations

import tempfile
from datetime import date, datetime, timedelta, timezone
from pathlib import Path

import click

from wheelside.cli import options
from wheelside.cli.air_command import show_air
from wheelside.cli.demo_car import show_asking
from wheelside.cli.output import echo
from wheelside.cli.plan_command import show_first, show_plan
from wheelside.cli.sheet_command import show_made
from wheelside.cli.sheet_paper import paper_of
from wheelside.cli.sheet_text import WIDEST, overview
from wheelside.cli.tell import Teller, exit_status
from wheelside.demo import (
    DBC_FILE,
    DEMO_DAY,
    DEMO_FILE,
    PORT_FILE,
    PURCHASES_FILE,
    dbc,
    household,
    port_card,
    purchases,
)
from wheelside.errors import BadRequest
from wheelside.jobs.jsonform import document
from wheelside.jobs.source import CLOCK, clock_from, write_whole
from wheelside.jobs.work.sheet import Sheeted, sheet_for
from wheelside.screens.air import air_screen
from wheelside.units.moment import Moment


@click.command("demo")
@click.option(
    "--write",
    "folder",
    type=options.FILE,
    help="Write the household's garage file, and one with sets on offer, into this folder and stop.",
)
@click.option(
    "--on",
    "day",
    metavar="DAY",
    callback=options.day,
    help=f"Tell it for this day (year-month-day); {DEMO_DAY} by default.",
)
@click.option(
    "--all",
    "everything",
    is_flag=True,
    help="Show all of it: every wheel, every card, and a car that is asked and taught.",
)
@options.as_json
def command(folder: Path | None, day: date | None, everything: bool, json_out: bool) -> int:
    """Run the main job on an invented household: plan, air card, run sheet, and teaching an invented car.

    Nothing is kept. With --write the garage file is yours to change and to try the other commands on.
    """
    if folder is not None:
        return _write(folder)
    with tempfile.TemporaryDirectory(prefix="wheelside-demo-") as scratch:
        file = Path(scratch) / DEMO_FILE
        write_whole(file, household().decode("utf-8"), "the demo household")
        return _run(file, day or DEMO_DAY, everything=everything, json_out=json_out)


def _write(folder: Path) -> int:
    if not folder.is_dir():
        raise BadRequest(
            f"--write {folder}: there is no such folder; make it first", found=str(folder), expected="a folder"
        )
    file, offers, port = folder / DEMO_FILE, folder / PURCHASES_FILE, folder / PORT_FILE
    signals = folder / DBC_FILE
    for one in (file, offers, port, signals):
        if one.exists():
            raise BadRequest(
                f"--write {folder}: {one} is there already; move it away first", found=str(one), expected="no such file"
            )
    write_whole(file, household().decode("utf-8"), "the demo household")
    write_whole(port, port_card().decode("utf-8"), "the practising car's port card")
    write_whole(signals, dbc().decode("utf-8"), "the practising car's DBC file")
    write_whole(offers, purchases().decode("utf-8"), "the demo's sets on offer")
    echo(f"{file} is yours, told for {DEMO_DAY}. Try: wheelside plan {file} --on {DEMO_DAY}")
    echo(f"{offers} has three sets on offer. Try: wheelside fit {offers} --on {DEMO_DAY}")
    echo(f"{port} is the port card of the car to practise on, and {signals} belongs to it. Try: wheelside car practise")
    book = file.with_suffix(".book")
    echo(f"With pages for the phone, as on that day: export {CLOCK}={nine_on(DEMO_DAY).iso()}")
    echo(f"then wheelside book new {book} --from {file} and wheelside serve {book} --lan")
    return 0


def _run(file: Path, day: date, *, everything: bool, json_out: bool) -> int:
    made = sheet_for(file, day=day)
    planned = made.planned
    if json_out:
        echo(document("demo", plan=planned.plan, card=made.card, sheet=made.sheet), nl=False)
    elif everything:
        out = Teller(planned.garage.units.choice)
        out.heading(planned.garage.title or "Demo", f"as of {day}; every name and number is invented")
        show_plan(out, planned)
        out.screen(air_screen(planned.garage, made.card), more="wheelside air --full")
        show_made(out, made)
        show_asking(out, file, planned.plan, clock_from(nine_on(day)))
    else:
        _show_first(Teller(planned.garage.units.choice), made)
    return exit_status((*planned.plan.findings, *made.card.findings, *made.forbidden))


def _show_first(out: Teller, made: Sheeted) -> None:
    """The answers of plan, air card and sheet, each as its own command gives it."""
    planned = made.planned
    out.heading(planned.garage.title or "Demo", f"as of {planned.plan.day}; every name and number is invented")
    out.line("wheelside plan", "dim")
    show_first(out, planned, more=False)
    out.blank()
    out.line("wheelside air", "dim")
    show_air(out, planned.garage, made.card, more="")
    out.blank()
    out.line("wheelside sheet", "dim")
    if made.sheet is None:
        show_made(out, made)
    else:
        out.lines(overview(paper_of(planned.garage, made.sheet), min(WIDEST, out.width)))
    out.blank()
    out.line("More: wheelside demo --all   Make it yours: wheelside demo --write .", "dim")


def nine_on(day: date) -> Moment:
    """Nine in the morning of a day, in the demo household's zone."""
    return Moment.of(datetime(day.year, day.month, day.day, 9, tzinfo=timezone(timedelta(hours=1))))
