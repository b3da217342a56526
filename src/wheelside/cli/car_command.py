"""wheelside car: asking a car through its diagnostic port."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

import click

from wheelside.car.address import UnitAddress
from wheelside.car.find import Found, RangeKind, addresses, find
from wheelside.car.link import open_link
from wheelside.car.reads import read_codes
from wheelside.cli import options
from wheelside.cli.asked import show_asked
from wheelside.cli.car_practise import practise
from wheelside.cli.car_shown import (
    DEFAULT_UNITS,
    card_file,
    changed_text,
    kept,
    linked,
    listening,
    refuse_replay,
    show_codes,
    show_known,
    visit_of,
)
from wheelside.cli.car_write import accept, clear, finish, teach, undo
from wheelside.cli.output import echo
from wheelside.cli.tell import Teller
from wheelside.errors import BadRequest
from wheelside.jobs.book.desk import open_desk
from wheelside.jobs.car import port as jobs
from wheelside.jobs.car import teach as carteach
from wheelside.jobs.car.pressures import counting
from wheelside.jobs.car.visit import Visit, plain_codes
from wheelside.jobs.jsonform import document
from wheelside.jobs.source import RUNNING
from wheelside.screens.port import list_part


@click.group("car")
def command() -> None:
    """Asks a car what it knows and what it complains about; teaches it only where that is asked for.

    A port card says how its unit is reached. 'wheelside car practise' gives you an invented car to try on.
    """


@command.command("read")
@card_file
@kept
@linked
@listening
@options.as_json
def read(
    card: Path, book: str | None, car: str | None, link: str | None, replay: Path | None, tape: Path | None, seconds: float,
    json_out: bool,
) -> int:  # fmt: skip
    """Everything that the port card names: IDs, pressures, lamp, broadcasts. Changes nothing."""
    loaded = jobs.load_port_card(card)
    refuse_replay(replay, "kept", really=book is not None)
    with visit_of(book, car) as visit, jobs.lined(loaded, link, tape=tape, replay=replay) as line:
        known = (
            jobs.known_of(line, loaded, seconds) if visit is None else jobs.read_and_keep(visit, line, loaded, seconds)
        )
        units = visit.desk.loaded().garage.units.choice if visit else DEFAULT_UNITS
        if json_out:
            echo(document("car", card=loaded.id, known=known), nl=False)
        else:
            show_known(Teller(), loaded.label, known, units)
    return int(bool(known.missing))


@command.command("codes")
@card_file
@kept
@linked
@options.as_json
def codes(
    card: Path,
    book: str | None,
    car: str | None,
    link: str | None,
    replay: Path | None,
    tape: Path | None,
    json_out: bool,
) -> int:
    """Stored, pending and permanent trouble codes, with what was noted beside them. Changes nothing.

    With a book they are kept, and held against those that were read before.
    """
    loaded = jobs.load_port_card(card)
    refuse_replay(replay, "kept", really=book is not None)
    with visit_of(book, car) as visit, jobs.talking(loaded, link, tape=tape, replay=replay) as talk:
        if visit is None:
            told, changed = read_codes(talk, loaded), None
        else:
            both = jobs.codes_and_keep(visit, talk, loaded)
            told, changed = both.codes, both.changed
        if json_out:
            since = (
                {name: [c.text for c in getattr(changed, name)] for name in ("gone", "new", "stayed")}
                if changed
                else None
            )
            echo(document("car-codes", card=loaded.id, **plain_codes(told), since=since), nl=False)
            return 0
        out = Teller()
        show_codes(out, loaded.label, told)
        if changed is not None:
            out.line(f"since they were read last: {changed_text(changed)}", indent=2)
    return 0


@command.command("ids")
@options.book
@card_file
@click.option("--car", metavar="CAR", help="The car; the only one by default.")
@click.option(
    "--set", "wheel_set", metavar="SET", help="The wheel set to compare them with; the one that is on it by default."
)
@linked
@options.as_json
def ids(
    book: str, card: Path, car: str | None, wheel_set: str | None, link: str | None, replay: Path | None, tape: Path | None,
    json_out: bool,
) -> int:  # fmt: skip
    """The IDs in the car against those that are fitted, planned and written down. What a car says is kept in the book; a recording is not."""
    loaded = jobs.load_port_card(card)
    desk, _ = open_desk(book)
    try:
        garage, day = desk.loaded().garage, desk.clock().day
        one = jobs.car_of(garage, car)
        chosen = carteach.set_of(garage, wheel_set) if wheel_set else None
        with jobs.lined(loaded, link, tape=tape, replay=replay) as line:
            known = jobs.known_of(line, loaded) if replay else jobs.read_and_keep(Visit(desk, one.id), line, loaded)
        compared = tuple((row, jobs.against(desk, one, day, row, chosen)) for row in known.lists)
    finally:
        desk.close()
    by = counting(known, loaded)
    right = any(told.same for row, told in compared if by is None or row is by)
    if json_out:
        lists = [{"list": row.name, "goes_by": row is by, "against": told} for row, told in compared]
        echo(document("car-ids", car=one.id, lists=lists, missing=known.missing), nl=False)
        return int(not right)
    out = Teller()
    show_asked(out, garage, day)
    for row, told in compared:
        out.parts((list_part(row.name, told, goes_by=row is by),))
    for what, why in known.missing:
        out.line(f"? {what}: {why}", indent=2)
    return int(not right)


@command.command("find")
@click.option("--link", metavar="LINK", required=True, help="How the car is reached.")
@click.option(
    "--from", "first", metavar="HEX", default="700", help="The first address that may be asked; 700 by default."
)
@click.option("--to", "last", metavar="HEX", default="77F", help="The last one; 77F by default.")
@click.option("--wide", is_flag=True, help="29-bit addresses: unit numbers 00 to FF.")
@click.option("--offset", metavar="HEX", default="8", help="How far the answer lies above the request; 8 by default.")
@options.as_json
def find_units(link: str, first: str, last: str, wide: bool, offset: str, json_out: bool) -> int:
    """Which units answer in a range of addresses. Asks for a name only; no session, no access, no change.

    Over 'doip' the range is one of logical addresses, such as 1000 to 10FF.
    """
    kind = RangeKind.LOGICAL if link.split()[:1] == ["doip"] else RangeKind.WIDE if wide else RangeKind.NARROW
    units = addresses(_address(first), _address(last), kind, _address(offset))
    frames = open_link(link, RUNNING)
    try:
        found = find(frames, units, _progress(units))
    finally:
        frames.close()
    if json_out:
        echo(
            document(
                "car-find", found=[{"unit": f.unit.text, "name": f.name, "hands_off": f.hands_off} for f in found]
            ),
            nl=False,
        )
    else:
        _show_found(Teller(), found)
    return int(not found)


def _progress(units: tuple[UnitAddress, ...]) -> Callable[[UnitAddress], None] | None:
    """Tells on a terminal how far the search has come."""
    if not sys.stderr.isatty():
        return None
    numbers = {unit: n for n, unit in enumerate(units, start=1)}

    def told(unit: UnitAddress) -> None:
        text = f"asking {unit.text}, {numbers[unit]} of {len(units)} "
        echo(text, nl=numbers[unit] == len(units), err=True, anew=True)

    return told


def _address(text: str) -> int:
    try:
        return int(text, 16)
    except ValueError as error:
        raise BadRequest(f"{text}: write an address in hex digits, as in 720", found=text, expected="720") from error


def _show_found(out: Teller, found: tuple[Found, ...]) -> None:
    out.heading("Units that answer")
    rows = [
        (
            one.unit.text,
            one.name or "says no name",
            "leave it alone: brakes, airbag or steering" if one.hands_off else "",
        )
        for one in found
    ]
    if rows:
        out.table(("request/answer", "calls itself", ""), rows, whole=(0, 1))
    else:
        out.line("None in this range. Ignition on?", indent=2)
    out.line(
        "Not the tyre monitor? Name another range with --from and --to, or --wide for 29 bits: the monitor may answer on any address, "
        "and only service literature says which.",
        indent=2,
    )


for one in (clear, teach, finish, undo, accept, practise):
    command.add_command(one)
