"""How what a car says is shown as text, and the options that its commands share."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, TypeVar

import click

from wheelside.car.codes import Changed, Code
from wheelside.car.reads import CodeRead, CodesRead, Known, ListRead
from wheelside.car.teach import Condition, Draft, Outcome, Taught
from wheelside.cli import options
from wheelside.cli.tell import Teller
from wheelside.errors import BadRequest
from wheelside.identity.inlist import InList, Seen
from wheelside.jobs import car as jobs
from wheelside.jobs.carbook import Visit
from wheelside.jobs.desk import open_desk
from wheelside.sheet import cautions

F = TypeVar("F", bound=Callable[..., Any])
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
    help="How long the car's broadcasts are listened to, where the card names any; 2 s if left out.",
)


def kept(command: F) -> F:
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


def changed_text(changed: Changed) -> str:
    """Which codes went, stayed and came, in one line."""
    return f"gone: {_texts(changed.gone)}; still there: {_texts(changed.stayed)}; new: {_texts(changed.new)}"


def _texts(told: tuple[Code, ...]) -> str:
    return ", ".join(code.text for code in told) or "none"


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
    out.line(f"▲ {cautions.WRITING}", indent=2)


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
