"""wheelside car clear, teach, finish, undo: what changes something in a car, each shown first and done only when told."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import click

from wheelside.car.card import IdList, PortCard
from wheelside.car.codes import read_code
from wheelside.car.permit import Permit
from wheelside.car.reads import read_codes
from wheelside.car.talk import Talk
from wheelside.car.teach import Outcome, Taught, conditions
from wheelside.cli import options
from wheelside.cli.car_shown import (
    card_file,
    changed_text,
    linked,
    made_sure,
    refuse_replay,
    show_codes,
    show_draft,
    show_outcome,
    visit_of,
)
from wheelside.cli.tell import Teller
from wheelside.errors import BadRequest
from wheelside.jobs import car as jobs
from wheelside.jobs import carteach
from wheelside.jobs.carbook import LastTeaching, Visit, last_teaching, records


@click.command("clear")
@options.book
@card_file
@click.option("--car", metavar="CAR", help="The car; the only one if left out.")
@click.option("--code", "wanted", multiple=True, metavar="CODE", help="A code to clear; may be repeated.")
@click.option("--all", "everything", is_flag=True, help="Clear all codes of this unit.")
@click.option("--do", "really", is_flag=True, help="Clear them; without it nothing is sent but questions.")
@made_sure
@linked
def clear(
    book: str, card: Path, car: str | None, wanted: tuple[str, ...], everything: bool, really: bool, i_made_sure: bool,
    link: str | None, replay: Path | None, tape: Path | None,
) -> int:  # fmt: skip
    """Clears trouble codes of this one unit, after keeping them in the book. Only for what was repaired."""
    loaded = jobs.load_port_card(card)
    refuse_replay(replay, "changed", really=really)
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
    out.line(changed_text(done.changed), indent=2)
    for line in done.refused:
        out.line(f"? {line}", indent=2)
    return int(bool(done.refused or done.changed.new or (everything and done.changed.stayed)))


@click.command("teach")
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
@made_sure
@linked
def teach(
    book: str, card: Path, car: str | None, wheel_set: str | None, list_name: str | None, really: bool, i_made_sure: bool,
    link: str | None, replay: Path | None, tape: Path | None,
) -> int:  # fmt: skip
    """Shows what would be written into the car's list; with --do writes it, reads it back, and undoes it where it is not right."""
    loaded = jobs.load_port_card(card)
    refuse_replay(replay, "changed", really=really)
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
    chosen = carteach.set_of(garage, wheel_set) if wheel_set else jobs.fitted_set(garage, car, day)
    if chosen is None:
        raise BadRequest("which set? name it with --set", expected=", ".join(garage.sets))
    return carteach.wanted_ids(garage, chosen, day, row)


@click.command("undo")
@options.book
@card_file
@click.option("--car", metavar="CAR", help="The car; the only one if left out.")
@click.option("--do", "really", is_flag=True, help="Put the old list back; without it is only shown what would be.")
@made_sure
@linked
def undo(
    book: str, card: Path, car: str | None, really: bool, i_made_sure: bool, link: str | None, replay: Path | None, tape: Path | None
) -> int:  # fmt: skip
    """Puts back the list that was there before the last teaching."""
    return _settle(book, card, car, really, i_made_sure, link, replay, tape, carteach.undo, Outcome.AS_BEFORE)


@click.command("finish")
@options.book
@card_file
@click.option("--car", metavar="CAR", help="The car; the only one if left out.")
@click.option("--do", "really", is_flag=True, help="Write the new list; without it is only shown what would be.")
@made_sure
@linked
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
    refuse_replay(replay, "changed", really=really)
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
