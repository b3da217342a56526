"""wheelside car: asking a car through its diagnostic port."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, TypeVar

import click

from wheelside.car.card import IdList, PortCard
from wheelside.car.codes import Changed, Code, read_code
from wheelside.car.find import Found, Kind, addresses, find
from wheelside.car.link import open_link
from wheelside.car.permit import Permit
from wheelside.car.reads import CodeRead, CodesRead, Known, ListRead, read_codes
from wheelside.car.talk import Talk
from wheelside.car.teach import Condition, Draft, Outcome, Taught, conditions
from wheelside.cli import options
from wheelside.cli.tell import Teller
from wheelside.errors import BadRequest
from wheelside.identity.inlist import InList, Seen
from wheelside.jobs import car as jobs
from wheelside.jobs import carteach
from wheelside.jobs.carbook import LastTeaching, Visit, last_teaching, plain_code, records
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


def _made_sure(command: F) -> F:
    """Adds the owner's word for what the car does not tell."""
    text = "You made sure of what the car does not tell: standing, ignition on, voltage."
    return click.option("--i-made-sure", is_flag=True, help=text)(command)


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


def _kept(command: F) -> F:
    """Adds the book in which what was read may be kept."""
    for option in (
        click.option("--car", metavar="CAR", help="The car of that book; the only one if left out."),
        click.option("--book", metavar="BOOK", help="Keep what was read in this book."),
    ):
        command = option(command)
    return command


@contextmanager
def visit_of(book: str | None, car: str | None) -> Iterator[Visit | None]:
    """A visit to a car of a book; None where nothing is to be kept."""
    if book is None:
        yield None
        return
    desk, _ = open_desk(book)
    try:
        yield Visit(desk, jobs.car_of(desk.loaded().garage, car).id)
    finally:
        desk.close()


@command.command("read")
@card_file
@_kept
@_linked
@listening
@options.as_json
def read(
    card: Path, book: str | None, car: str | None, link: str | None, replay: Path | None, tape: Path | None, seconds: float,
    json_out: bool,
) -> int:  # fmt: skip
    """Everything that the port card names: IDs, pressures, lamp, broadcasts. Changes nothing."""
    loaded = jobs.load_port_card(card)
    with visit_of(book, car) as visit, jobs.lined(loaded, link, tape=tape, replay=replay) as line:
        known = (
            jobs.known_of(line, loaded, seconds) if visit is None else jobs.read_and_keep(visit, line, loaded, seconds)
        )
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
        [(f"{value.holds.value}{', broadcast' if value.broadcast else ''}", value.said) for value in known.values],
    )
    for what, why in known.missing:
        out.line(f"? {what}: {why}", indent=2)


def _id(row: ListRead, number: int | None) -> str:
    return "empty" if number is None else f"{number:0{row.bits // 4}X}"


@command.command("codes")
@card_file
@_kept
@_linked
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
    changed = None
    with visit_of(book, car) as visit, jobs.talking(loaded, link, tape=tape, replay=replay) as talk:
        if visit is None:
            told = read_codes(talk, loaded)
        else:
            both = jobs.codes_and_keep(visit, talk, loaded)
            told, changed = both.codes, both.changed
    if json_out:
        rows = [plain_code(one) for one in told.codes]
        click.echo(document("car-codes", card=loaded.id, codes=rows, not_told=told.not_told), nl=False)
        return 0
    out = Teller()
    show_codes(out, loaded.label, told)
    if changed is not None:
        out.line(f"since they were read last: {_changed(changed)}", indent=2)
    return 0


def show_codes(out: Teller, name: str, told: CodesRead) -> None:
    """Codes as text."""
    out.heading(f"Trouble codes of {name}")
    if not told.codes:
        out.line("None.", indent=2)
    out.table(
        ("code", "of", "state", "noted beside it"), [(*_code(one.code), _noted(one)) for one in told.codes], whole=(0,)
    )
    for line in told.not_told:
        out.line(f"? {line}", indent=2)


def _code(code: Code) -> tuple[str, str, str]:
    own = ", its maker's own" if code.makers_own else ""
    state = ", ".join((*code.said, *(["permanent"] if code.permanent else [])))
    return code.text, f"{code.family}{own}", state


def _noted(one: CodeRead) -> str:
    parts = [f"{value.holds.value} {value.said}" for value in one.noted]
    return "; ".join([*parts, *([f"and {one.rest.hex(' ').upper()}"] if one.rest else [])])


def _changed(changed: Changed) -> str:
    return f"gone: {_texts(changed.gone)}; still there: {_texts(changed.stayed)}; new: {_texts(changed.new)}"


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
        visit = Visit(desk, one.id)
        with jobs.lined(loaded, link, tape=tape, replay=replay) as line:
            known = jobs.read_and_keep(visit, line, loaded)
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
@click.option("--code", "wanted", multiple=True, metavar="CODE", help="A code to clear; may be repeated.")
@click.option("--all", "everything", is_flag=True, help="Clear all codes of this unit.")
@click.option("--do", "really", is_flag=True, help="Clear them; without it nothing is sent but questions.")
@_made_sure
@_linked
def clear(
    book: str, card: Path, car: str | None, wanted: tuple[str, ...], everything: bool, really: bool, i_made_sure: bool,
    link: str | None, replay: Path | None, tape: Path | None,
) -> int:  # fmt: skip
    """Clears trouble codes of this one unit, after keeping them in the book. Only for what was repaired."""
    loaded = jobs.load_port_card(card)
    numbers = tuple(read_code(one) for one in wanted)
    if really and bool(numbers) is everything:
        raise BadRequest(
            "name the codes that were repaired with --code, or clear all of them with --all", expected="one of both"
        )
    out = Teller()
    permit = Permit.CLEAR if really else Permit.READ
    with visit_of(book, car) as visit, jobs.talking(loaded, link, permit=permit, tape=tape, replay=replay) as talk:
        if not really or visit is None:
            show_codes(out, loaded.label, read_codes(talk, loaded))
            out.line(
                f"Nothing was cleared. With --do they are kept in the book and cleared. {jobs.MAY_BE_LOST}", indent=2
            )
            return 0
        done = jobs.clear_codes(visit, talk, loaded, numbers, owner_says_standing=i_made_sure)
    show_codes(out, loaded.label, done.after)
    out.line(_changed(done.changed), indent=2)
    for line in done.refused:
        out.line(f"? {line}", indent=2)
    return int(bool(done.refused or done.changed.new or (everything and done.changed.stayed)))


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
@_made_sure
@_linked
def teach(
    book: str, card: Path, car: str | None, wheel_set: str | None, list_name: str | None, really: bool, i_made_sure: bool,
    link: str | None, replay: Path | None, tape: Path | None,
) -> int:  # fmt: skip
    """Shows what would be written into the car's list; with --do writes it, reads it back, and undoes it where it is not right."""
    loaded = jobs.load_port_card(card)
    row = carteach.writable_list(loaded, list_name)
    out = Teller()
    permit = Permit.TEACH if really else Permit.READ
    with visit_of(book, car) as visit:
        assert visit is not None, "a book is always named here"
        if really:
            carteach.refuse_unsettled(visit)
        wanted = _wanted(visit, wheel_set, row)
        with jobs.talking(loaded, link, permit=permit, tape=tape, replay=replay) as talk:
            draft = carteach.drafted(talk, row, wanted)
            found = conditions(talk, loaded)
            show_draft(out, draft, found)
            if not really or not draft.changes:
                out.line(
                    "Nothing was written." + ("" if draft.changes else " The list holds these IDs already."), indent=2
                )
                return 0
            carteach.refuse_conditions(found, owner_says=i_made_sure)
            taught = carteach.teach(visit, talk, loaded, draft)
    return show_outcome(out, taught)


def _wanted(visit: Visit, wheel_set: str | None, row: IdList) -> dict[str, int | None]:
    """The IDs of the set that is meant, by place."""
    garage, day = visit.desk.loaded().garage, visit.desk.clock().day
    car = garage.cars[visit.car]
    chosen = garage.sets.get(wheel_set) if wheel_set else jobs.fitted_set(garage, car, day)
    if chosen is None:
        known = ", ".join(garage.sets)
        raise BadRequest(
            f"no set '{wheel_set}': there is {known}" if wheel_set else "which set? name it with --set", expected=known
        )
    return carteach.wanted_ids(garage, chosen, day, row)


def show_draft(out: Teller, draft: Draft, found: tuple[Condition, ...]) -> None:
    """What would be written, place by place, and what has to be so before."""
    digits = draft.row.bits // 4
    out.heading(f"List '{draft.row.name}'", "before and after")
    rows = [
        (d.place, _hex(d.before, digits), _hex(d.after, digits), "" if d.before == d.after else "changes")
        for d in draft.differences
    ]
    out.table(("place", "holds", "would hold", ""), rows)
    signs = {True: "✓", False: "▲ not so", None: "? make sure of it"}
    out.table(("before writing", "found", ""), [(one.name, one.found, signs[one.right]) for one in found])
    if draft.row.begin_empties:
        out.line(
            "▲ Beginning empties the list: the supply must hold, and the plug stay in, until it is read back.", indent=2
        )
    out.line(f"▲ {CAUTION}", indent=2)


def _hex(number: int | None, digits: int) -> str:
    return "empty" if number is None else f"{number:0{digits}X}"


def show_outcome(out: Teller, taught: Taught) -> int:
    """How a teaching ended, as text; 0 where the new list is in the car."""
    out.line(taught.statement[:1].upper() + taught.statement[1:], style="bold", indent=2)
    for line in taught.trouble:
        out.line(f"? {line}", indent=2)
    if taught.outcome not in (Outcome.DONE, Outcome.AS_BEFORE):
        out.line(
            "The old list is kept in the book. With ignition and voltage right: 'wheelside car finish' or 'wheelside car undo'.",
            indent=2,
        )
    return int(taught.outcome is not Outcome.DONE)


@command.command("undo")
@options.book
@card_file
@click.option("--car", metavar="CAR", help="The car; the only one if left out.")
@click.option("--do", "really", is_flag=True, help="Put the old list back; without it is only shown what would be.")
@_made_sure
@_linked
def undo(
    book: str, card: Path, car: str | None, really: bool, i_made_sure: bool, link: str | None, replay: Path | None, tape: Path | None
) -> int:  # fmt: skip
    """Puts back the list that was there before the last teaching."""
    return _settle(book, card, car, really, i_made_sure, link, replay, tape, carteach.undo, Outcome.AS_BEFORE)


@command.command("finish")
@options.book
@card_file
@click.option("--car", metavar="CAR", help="The car; the only one if left out.")
@click.option("--do", "really", is_flag=True, help="Write the new list; without it is only shown what would be.")
@_made_sure
@_linked
def finish(
    book: str, card: Path, car: str | None, really: bool, i_made_sure: bool, link: str | None, replay: Path | None, tape: Path | None
) -> int:  # fmt: skip
    """Ends a teaching that was broken off: writes the new list once more, or else puts the old one back."""
    return _settle(book, card, car, really, i_made_sure, link, replay, tape, carteach.finish_teaching, Outcome.DONE)


def _settle(
    book: str, card: Path, car: str | None, really: bool, sure: bool, link: str | None, replay: Path | None, tape: Path | None,
    way: Callable[[Visit, Talk, PortCard, LastTeaching], Taught], wanted: Outcome,
) -> int:  # fmt: skip
    loaded = jobs.load_port_card(card)
    out = Teller()
    with visit_of(book, car) as visit:
        assert visit is not None, "a book is always named here"
        last = last_teaching(records(visit.desk, visit.car), loaded.id)
        if last is None:
            raise BadRequest("the book knows of no teaching of this car by this port card", expected="a teaching")
        _show_last(out, last)
        if not really:
            first = "first" if wanted is Outcome.AS_BEFORE else "second"
            out.line(f"Nothing was written. With --do the car is to hold the {first}.", indent=2)
            return 0
        with jobs.talking(loaded, link, permit=Permit.TEACH, tape=tape, replay=replay) as talk:
            carteach.refuse_conditions(conditions(talk, loaded), owner_says=sure)
            taught = way(visit, talk, loaded, last)
    show_outcome(out, taught)
    return int(taught.outcome is not wanted)


def _show_last(out: Teller, last: LastTeaching) -> None:
    how = last.ended or f"broken off after '{last.stages[-1] if last.stages else 'nothing'}'"
    out.heading(f"List '{last.list}'", f"last teaching, {last.at.short()}: {how}")
    out.line(f"before it: {last.old.hex(' ').upper()}", indent=2)
    out.line(f"meant:     {last.new.hex(' ').upper()}", indent=2)


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
    """Which units answer in a range of addresses. Asks for a name only; no session, no access, no change.

    Over 'doip' the range is one of logical addresses, such as 1000 to 10FF.
    """
    kind = Kind.LOGICAL if link.split()[:1] == ["doip"] else Kind.WIDE if wide else Kind.NARROW
    units = addresses(_address(first), _address(last), kind, _address(offset))
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
