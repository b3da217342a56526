"""wheelside car: asking a car through its diagnostic port."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import click

from wheelside.car.codes import Code
from wheelside.car.find import Found, addresses, find
from wheelside.car.link import open_link
from wheelside.car.permit import Permit
from wheelside.car.reads import CodesRead, Known, ListRead, ValueRead, read_codes
from wheelside.car.teach import Draft, Outcome, Taught, conditions
from wheelside.cli import options
from wheelside.cli.tell import Teller
from wheelside.errors import BadRequest
from wheelside.identity.inlist import InList, Seen
from wheelside.jobs import car as jobs
from wheelside.jobs.desk import open_desk
from wheelside.jobs.jsonform import document

F = TypeVar("F", bound=Callable[..., Any])
card_file = click.argument("card", type=options.FILE)
CAUTION = (
    "Stand on level ground, parking brake on, engine off, nobody in front of the car. Writing to a control unit can leave it without its list: "
    "the handbook, local rules and a licensed workshop come first."
)


def _linked(command: F) -> F:
    """Adds how the car is reached, and where the conversation is recorded."""
    for option in (
        click.option(
            "--tape",
            type=options.FILE,
            help="Record the frames into this file (.log, .asc, .blf, .csv, .trc); VINs are in it.",
        ),
        click.option("--replay", type=options.FILE, help="Answer from a recording, without a car."),
        click.option(
            "--link",
            metavar="LINK",
            help="How the car is reached: 'socketcan can0', 'slcan /dev/ttyACM0', 'at /dev/ttyUSB0'.",
        ),
    ):
        command = option(command)
    return command


listening = click.option(
    "--listen",
    "seconds",
    type=click.FloatRange(0.1, 600),
    metavar="SECONDS",
    default=jobs.LISTEN_S,
    help="How long the car's broadcasts are listened to, where the card names any; 2 s if left out.",
)


@click.group("car")
def command() -> None:
    """Asks a car what it knows and what it complains about; teaches it only where that is asked for.

    A port card says how its unit is reached. 'wheelside car practise' gives you an invented car to try on.
    """


@command.command("read")
@card_file
@_linked
@listening
@options.as_json
def read(card: Path, link: str | None, replay: Path | None, tape: Path | None, seconds: float, json_out: bool) -> int:
    """Everything that the port card names: IDs, pressures, lamp, broadcasts. Changes nothing."""
    loaded = jobs.load_port_card(card)
    with jobs.lined(loaded, link, tape=tape, replay=replay) as line:
        known = jobs.known_of(line, loaded, seconds)
    if json_out:
        click.echo(document("car", card=loaded.id, known=known), nl=False)
    else:
        show_known(Teller(), loaded.label, known)
    return int(bool(known.missing))


def show_known(out: Teller, name: str, known: Known) -> None:
    """Lists and values as text."""
    out.heading(name, "as it answers")
    for row in known.lists:
        out.table(("", f"{row.name}, {row.bits} bits"), [(corner, _id(row, number)) for corner, number in row.ids])
    out.table(
        ("", ""),
        [(f"{value.holds.value}{', broadcast' if value.broadcast else ''}", _figures(value)) for value in known.values],
    )
    for what, why in known.missing:
        out.line(f"? {what}: {why}", indent=2)


def _id(row: ListRead, number: int | None) -> str:
    return "empty" if number is None else f"{number:0{row.bits // 4}X}"


def _figures(value: ValueRead) -> str:
    if not value.figures:
        return value.text
    parts = [
        f"{place + ': ' if place else ''}{_figure(figure, word, value.unit)}" for place, figure, word in value.figures
    ]
    return ", ".join(parts)


def _figure(figure: float | None, word: str, unit: str) -> str:
    if word:
        return word
    return "not heard yet" if figure is None else f"{figure:g} {unit}".strip()


@command.command("codes")
@card_file
@_linked
@options.as_json
def codes(card: Path, link: str | None, replay: Path | None, tape: Path | None, json_out: bool) -> int:
    """Stored, pending and permanent trouble codes, with what was noted beside them. Changes nothing."""
    loaded = jobs.load_port_card(card)
    with jobs.talking(loaded, link, tape=tape, replay=replay) as talk:
        told = read_codes(talk, loaded)
    if json_out:
        click.echo(
            document(
                "car-codes", card=loaded.id, codes=[jobs.plain_code(one) for one in told.codes], not_told=told.not_told
            ),
            nl=False,
        )
    else:
        show_codes(Teller(), loaded.label, told)
    return 0


def show_codes(out: Teller, name: str, told: CodesRead) -> None:
    """Codes as text."""
    out.heading(f"Trouble codes of {name}")
    if not told.codes:
        out.line("None.", indent=2)
    out.table(
        ("code", "of", "state", "noted beside it"),
        [(*_code(one.code), one.snapshot.hex(" ").upper()) for one in told.codes],
        whole=(0,),
    )
    for line in told.not_told:
        out.line(f"? {line}", indent=2)


def _code(code: Code) -> tuple[str, str, str]:
    own = ", its maker's own" if code.makers_own else ""
    state = ", ".join((*code.said, *(["permanent"] if code.permanent else [])))
    return code.text, f"{code.family}{own}", state


@command.command("ids")
@options.book
@card_file
@click.option("--car", metavar="CAR", help="The car; the only one if left out.")
@_linked
@options.as_json
def ids(
    book: str, card: Path, car: str | None, link: str | None, replay: Path | None, tape: Path | None, json_out: bool
) -> int:
    """The IDs in the car against those that are fitted and written down; the lists are kept in the book."""
    loaded = jobs.load_port_card(card)
    desk, _ = open_desk(book)
    try:
        garage, day = desk.loaded().garage, desk.clock().day
        one = jobs.car_of(garage, car)
        visit = jobs.Visit(desk, one.id)
        with jobs.talking(loaded, link, tape=tape, replay=replay) as talk:
            known = jobs.read_and_keep(visit, talk, loaded)
        compared = tuple((row.name, jobs.against(garage, one, day, row)) for row in known.lists)
    finally:
        desk.close()
    if json_out:
        click.echo(
            document("car-ids", car=one.id, lists=[{"list": name, "against": told} for name, told in compared]),
            nl=False,
        )
    else:
        out = Teller()
        for name, told in compared:
            show_in_list(out, name, told)
    return int(not any(told.same for _, told in compared))


def show_in_list(out: Teller, name: str, told: InList) -> None:
    """One list against what is on the car."""
    out.heading(f"List '{name}'", "as fitted" if told.same else "not as fitted")
    out.table(
        ("place", "ID", "is"),
        [(p.corner, p.id or "–", f"{p.seen.value}{': ' + p.whose if p.whose else ''}") for p in told.places],
    )
    for corner in told.lacking:
        out.line(f"▲ the sensor fitted {corner} is not in it", indent=2)
    if any(p.seen is Seen.STRANGER for p in told.places):
        out.line("IDs written down nowhere are shown by their last digits.", style="dim", indent=2)


@command.command("clear")
@options.book
@card_file
@click.option("--car", metavar="CAR", help="The car; the only one if left out.")
@click.option("--do", "really", is_flag=True, help="Clear them; without it nothing is sent but questions.")
@_linked
def clear(
    book: str, card: Path, car: str | None, really: bool, link: str | None, replay: Path | None, tape: Path | None
) -> int:
    """Clears the trouble codes of this one unit, after keeping them in the book. Only for what was repaired."""
    loaded = jobs.load_port_card(card)
    out = Teller()
    desk, _ = open_desk(book)
    try:
        one = jobs.car_of(desk.loaded().garage, car)
        with jobs.talking(
            loaded, link, permit=Permit.CLEAR if really else Permit.READ, tape=tape, replay=replay
        ) as talk:
            if not really:
                show_codes(out, loaded.label, read_codes(talk, loaded))
                out.line("Nothing was cleared. With --do they are kept in the book and cleared; what the unit noted beside them is lost in it, "
                         "and a fault that is still there comes back. Permanent codes stay.", indent=2)  # fmt: skip
                return 0
            done = jobs.clear_codes(jobs.Visit(desk, one.id), talk, loaded)
    finally:
        desk.close()
    show_codes(out, loaded.label, done.after)
    out.line(
        f"gone: {_texts(done.changed.gone)}; still there: {_texts(done.changed.stayed)}; new: {_texts(done.changed.new)}",
        indent=2,
    )
    return int(bool(done.changed.stayed or done.changed.new))


def _texts(told: tuple[Code, ...]) -> str:
    return ", ".join(code.text for code in told) or "none"


@command.command("teach")
@options.book
@card_file
@click.option("--car", metavar="CAR", help="The car; the only one if left out.")
@click.option(
    "--set",
    "wheel_set",
    metavar="SET",
    help="The wheel set whose IDs are to be written; the one that is on it if left out.",
)
@click.option("--list", "list_name", metavar="LIST", help="The list of the port card that is to hold them.")
@click.option(
    "--do", "really", is_flag=True, help="Write them; without it the difference is shown and nothing is written."
)
@click.option(
    "--i-made-sure", is_flag=True, help="You made sure of what the car does not tell: standing, ignition on, voltage."
)
@_linked
def teach(
    book: str, card: Path, car: str | None, wheel_set: str | None, list_name: str | None, really: bool, i_made_sure: bool,
    link: str | None, replay: Path | None, tape: Path | None,
) -> int:  # fmt: skip
    """Shows what would be written into the car's list; with --do writes it, reads it back, and undoes it where it is not right."""
    loaded = jobs.load_port_card(card)
    row = jobs.list_of(loaded, list_name)
    if not row.writable or loaded.read_only:
        raise BadRequest(f"the port card says that the list '{row.name}' can't be written", expected="writable = true")
    out = Teller()
    desk, _ = open_desk(book)
    try:
        garage, day = desk.loaded().garage, desk.clock().day
        one = jobs.car_of(garage, car)
        chosen = garage.sets.get(wheel_set) if wheel_set else jobs.fitted_set(garage, one, day)
        if chosen is None:
            raise BadRequest("which set? name it with --set", expected=", ".join(garage.sets))
        wanted = jobs.wanted_ids(garage, chosen, day, row)
        with jobs.talking(loaded, link, permit=Permit.TEACH, tape=tape, replay=replay) as talk:
            draft, _ = jobs.drafted(talk, row, wanted)
            show_draft(out, draft)
            if not really or not draft.changes:
                out.line(
                    "Nothing was written." + ("" if draft.changes else " The list holds these IDs already."), indent=2
                )
                return 0
            jobs.refuse_conditions(conditions(talk, loaded), i_made_sure)
            taught = jobs.teach(jobs.Visit(desk, one.id), talk, loaded, draft)
    finally:
        desk.close()
    return _told(out, taught)


def show_draft(out: Teller, draft: Draft) -> None:
    """What would be written, place by place."""
    digits = draft.row.bits // 4
    out.heading(f"List '{draft.row.name}'", "before and after")
    rows = [
        (d.place, _hex(d.before, digits), _hex(d.after, digits), "" if d.before == d.after else "changes")
        for d in draft.differences
    ]
    out.table(("place", "holds", "would hold", ""), rows)
    if draft.row.begin_empties:
        out.line(
            "▲ Beginning empties the list: the supply must hold, and the plug stay in, until it is read back.", indent=2
        )
    out.line(f"▲ {CAUTION}", indent=2)


def _hex(number: int | None, digits: int) -> str:
    return "empty" if number is None else f"{number:0{digits}X}"


def _told(out: Teller, taught: Taught) -> int:
    out.line(taught.statement[:1].upper() + taught.statement[1:], style="bold", indent=2)
    for line in taught.trouble:
        out.line(f"? {line}", indent=2)
    if taught.outcome not in (Outcome.DONE, Outcome.AS_BEFORE):
        out.line(
            "The old list is kept in the book. With ignition and voltage right: wheelside car undo, or teach again.",
            indent=2,
        )
    return int(taught.outcome is not Outcome.DONE)


@command.command("undo")
@options.book
@card_file
@click.option("--car", metavar="CAR", help="The car; the only one if left out.")
@click.option("--do", "really", is_flag=True, help="Put the old list back; without it is only shown what would be.")
@click.option(
    "--i-made-sure", is_flag=True, help="You made sure of what the car does not tell: standing, ignition on, voltage."
)
@_linked
def undo(
    book: str,
    card: Path,
    car: str | None,
    really: bool,
    i_made_sure: bool,
    link: str | None,
    replay: Path | None,
    tape: Path | None,
) -> int:
    """Puts back the list that was there before the last teaching."""
    loaded = jobs.load_port_card(card)
    out = Teller()
    desk, _ = open_desk(book)
    try:
        one = jobs.car_of(desk.loaded().garage, car)
        last = jobs.last_teaching(desk, one.id)
        if last is None or last.card != loaded.id:
            raise BadRequest("the book knows of no teaching of this car by this port card", expected="a teaching")
        row = jobs.list_of(loaded, last.list)
        out.heading(
            f"List '{row.name}'",
            f"last teaching: {last.ended or 'broken off after ' + repr(last.stages[-1] if last.stages else 'nothing')}",
        )
        out.line(f"before it: {last.old.hex(' ').upper()}", indent=2)
        out.line(f"meant:     {last.new.hex(' ').upper()}", indent=2)
        if not really:
            out.line("Nothing was written. With --do the first is put back.", indent=2)
            return 0
        with jobs.talking(loaded, link, permit=Permit.TEACH, tape=tape, replay=replay) as talk:
            jobs.refuse_conditions(conditions(talk, loaded), i_made_sure)
            taught = jobs.undo(jobs.Visit(desk, one.id), talk, loaded, row, last.old)
    finally:
        desk.close()
    _told(out, taught)
    return int(taught.outcome is not Outcome.AS_BEFORE)


@command.command("find")
@click.option("--link", metavar="LINK", required=True, help="How the car is reached.")
@click.option(
    "--from", "first", metavar="HEX", default="700", help="The first address that may be asked; 700 if left out."
)
@click.option("--to", "last", metavar="HEX", default="77F", help="The last one; 77F if left out.")
@click.option("--wide", is_flag=True, help="29-bit addresses: unit numbers 00 to FF.")
@click.option("--offset", metavar="HEX", default="8", help="How far the answer lies above the request; 8 if left out.")
@options.as_json
def find_units(link: str, first: str, last: str, wide: bool, offset: str, json_out: bool) -> int:
    """Which units answer in a range of addresses. Asks for a name only; no session, no access, no change."""
    units = addresses(_address(first), _address(last), wide=wide, offset=_address(offset))
    frames = open_link(link)
    try:
        found = find(frames, units)
    finally:
        frames.close()
    if json_out:
        click.echo(
            document(
                "car-find", found=[{"unit": f.unit.text, "name": f.name, "hands_off": f.hands_off} for f in found]
            ),
            nl=False,
        )
    else:
        _show_found(Teller(), found)
    return int(not found)


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
    out.table(("request/answer", "calls itself", ""), rows)
    if not found:
        out.line("None in this range. Ignition on? Another range, or --wide?", indent=2)


@command.command("practise")
@click.option("--minutes", type=int, default=30, help="How long it answers; 30 if left out.")
def practise(minutes: int) -> int:
    """Lets an invented car answer behind an adapter with AT commands on this machine, until you stop it."""
    import time

    from wheelside.demo.practice import practice_car, serve_tcp

    with serve_tcp(practice_car(), lasting_s=60.0 * minutes) as (host, port):
        click.echo(
            f"An invented car answers. In another window: wheelside car read practice.toml --link 'at socket://{host}:{port}'"
        )
        click.echo("Its port card comes with 'wheelside demo --write FOLDER'. Stop it with Ctrl-C.")
        end = time.monotonic() + 60.0 * minutes
        try:
            while time.monotonic() < end:
                time.sleep(0.2)
        except KeyboardInterrupt:
            click.echo("stopped")
    return 0
