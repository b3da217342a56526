"""How what a car says is shown as text, and the options that its commands share."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, TypeVar

import click

from wheelside.car.codes import Changed, Code
from wheelside.car.conditions import Condition
from wheelside.car.draft import Draft
from wheelside.car.drive import Hurry
from wheelside.car.reads import CardRead, CodeRead, CodesRead, ValueRead, id_text
from wheelside.car.taught import Outcome, Stage, Taught
from wheelside.car.teach import STOP
from wheelside.car.teaching import STOP_S, Leg, Progress
from wheelside.cli import options
from wheelside.cli.tell import Teller
from wheelside.errors import BadRequest
from wheelside.jobs.book.desk import open_desk
from wheelside.jobs.car import port as jobs
from wheelside.jobs.car.page import named, told
from wheelside.jobs.car.visit import Visit
from wheelside.screens.port import draft_parts
from wheelside.sheet import cautions
from wheelside.units import UnitChoice

F = TypeVar("F", bound=Callable[..., Any])
DEFAULT_UNITS = UnitChoice()
card_file = click.argument("card", type=options.FILE)


def linked(command: F) -> F:
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
            help="How the car is reached: 'socketcan can0', 'slcan /dev/ttyACM0', 'at /dev/ttyUSB0', 'doip 192.0.2.10'.",
        ),
    ):
        command = option(command)
    return command


def refuse_replay(replay: Path | None, what: str, *, really: bool) -> None:
    """Raises BadRequest where a recording would stand in for the car."""
    if replay is not None and really:
        raise BadRequest(
            f"{replay}: a recording is no car, and nothing of it is {what}; name a --link", expected="--link"
        )


def made_sure(command: F) -> F:
    """Adds the owner's word for what the car does not tell."""
    text = "You made sure of what the car does not tell: standing, ignition on, voltage."
    return click.option("--i-made-sure", is_flag=True, help=text)(command)


listening = click.option(
    "--listen",
    "seconds",
    type=click.FloatRange(0.1, 600),
    metavar="SECONDS",
    default=jobs.LISTEN_S,
    help="How long the car's broadcasts are listened to, where the card names any; 2 s by default.",
)


def kept(command: F) -> F:
    """Adds the book in which what was read may be kept."""
    for option in (
        click.option("--car", metavar="CAR", help="The car of that book; the only one by default."),
        click.option("--book", metavar="BOOK", help="Keep what was read in this book."),
    ):
        command = option(command)
    return command


@contextmanager
def visiting(book: str, car: str | None) -> Iterator[Visit]:
    """A visit to a car of a book."""
    desk, _ = open_desk(book)
    try:
        yield Visit(desk, jobs.car_of(desk.loaded().garage, car).id)
    finally:
        desk.close()


@contextmanager
def visit_of(book: str | None, car: str | None) -> Iterator[Visit | None]:
    """A visit to a car of a book; None where nothing is to be kept."""
    if book is None:
        yield None
        return
    with visiting(book, car) as visit:
        yield visit


def show_known(out: Teller, name: str, known: CardRead, units: UnitChoice = DEFAULT_UNITS) -> None:
    """Lists and values as text, in the owner's units where a book says them."""
    out.heading(name, "as it answers")
    for row in known.lists:
        out.table(("", f"{row.name}, {row.bits} bits"), [(corner, id_text(one)) for corner, one in row.ids])
    out.table(("", ""), [(named(value).lower().replace("vin", "VIN"), _told(value, units)) for value in known.values])
    for what, why in known.missing:
        out.line(f"? {what}: {why}", indent=2)


def _told(value: ValueRead, units: UnitChoice) -> str:
    """A value's figures, each with its place where they have any."""
    texts = told(value, units)
    if not value.places:
        return texts[0]
    return ", ".join(f"{place}: {text}" for place, text in zip(value.places, texts, strict=True))


def show_codes(out: Teller, name: str, codes: CodesRead) -> None:
    """Codes as text."""
    out.heading(f"Trouble codes of {name}")
    rows = [(*_code(one.code), _noted(one)) for one in codes.codes]
    if rows:
        out.table(("code", "of", "state", "noted beside it"), rows, whole=(0,))
    else:
        out.line("None in what it told." if codes.not_told else "None.", indent=2)
    for what, why in codes.not_told:
        out.line(f"? {what.value}: {why}", indent=2)


def _code(code: Code) -> tuple[str, str, str]:
    own = ", its maker's own" if code.makers_own else ""
    return code.text, f"{code.family}{own}", ", ".join(code.said)


def _noted(one: CodeRead) -> str:
    parts = [f"{value.holds.value} {_told(value, DEFAULT_UNITS)}" for value in one.noted]
    return "; ".join([*parts, *([f"and {one.rest.hex(' ').upper()}"] if one.rest else [])])


def changed_text(changed: Changed) -> str:
    """Which codes went, stayed and came, in one line."""
    return f"gone: {_texts(changed.gone)}; still there: {_texts(changed.stayed)}; new: {_texts(changed.new)}"


def _texts(codes: tuple[Code, ...]) -> str:
    return ", ".join(code.text for code in codes) or "none"


def show_draft(out: Teller, draft: Draft, found: tuple[Condition, ...]) -> None:
    """What would be written, place by place, and what has to be so before."""
    out.parts(draft_parts(draft, found))
    if draft.one_id is not None:
        out.line(
            "▲ All places hold one ID, and no two wheels send the same: does the port card say right where the IDs lie? "
            "If the car really holds this, write with --old-list-is-so.",
            indent=2,
        )
    out.line(f"▲ {cautions.WRITING}", indent=2)


def stop_text(hurry: Hurry) -> str:
    """What comes of Ctrl-C while a car is taught, and from the second time on what the car holds and how to go on from there."""
    if hurry.times < STOP:
        return "This ends where the old or the new list is whole, within two minutes. Ctrl-C once more: the old list is put back now."
    on = "From there, 'wheelside car finish' or 'wheelside car undo' goes on."
    return f"{_state_text(hurry.progress)} It is put back once more, for {STOP_S:g} s at the most; then this ends. {on}"


def _state_text(progress: Progress | None) -> str:
    """What the car holds now, as far as that is known while it is being taught."""
    if progress is None or progress.untouched:
        return "The car holds the list that it held: nothing was sent that changes it."
    if progress.part is Leg.END:
        return "What the car holds is being read just now."
    if progress.part is Leg.BACK:
        return "The old list is being put back; what the car holds is not known until it is read."
    if progress.last in (Stage.SESSION, Stage.BEGUN) and progress.goal.row.begin_empties:
        return "The car's list may be empty: it was begun, and nothing was written into it yet."
    return (
        "The new list was sent, and what the car holds is not known until it is read. The old list is kept in the book."
    )


def show_outcome(out: Teller, taught: Taught) -> int:
    """How a teaching ended, as text; 0 where the new list is in the car."""
    statement, *trouble = taught.said
    out.line(statement[:1].upper() + statement[1:], style="bold", indent=2)
    for line in trouble:
        out.line(f"? {line}", indent=2)
    if taught.touched and taught.outcome not in (Outcome.DONE, Outcome.AS_BEFORE, Outcome.ACCEPTED):
        out.line(
            "The old list is kept in the book. With ignition and voltage right: 'wheelside car finish' or 'wheelside car undo'.",
            indent=2,
        )
    return int(taught.outcome is not Outcome.DONE)
