"""wheelside car clear, teach, finish, undo: what changes something in a car, each shown first and done only when told."""

from __future__ import annotations

import signal
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import partial
from pathlib import Path

import click

from wheelside.car.card import IdList
from wheelside.car.codes import read_code
from wheelside.car.conditions import conditions
from wheelside.car.drive import Hurry
from wheelside.car.permit import Permit
from wheelside.car.reads import ListRead, id_text, list_from, read_codes, read_list
from wheelside.car.taught import Outcome
from wheelside.cli import options
from wheelside.cli.car_shown import (
    F,
    card_file,
    changed_text,
    linked,
    made_sure,
    refuse_replay,
    show_codes,
    show_draft,
    show_outcome,
    stop_text,
    visit_of,
    visiting,
)
from wheelside.cli.tell import Teller
from wheelside.errors import BadRequest
from wheelside.jobs.car import port as jobs
from wheelside.jobs.car import teach as carteach
from wheelside.jobs.car import ways_back as carback
from wheelside.jobs.car.visit import KeptTeaching, Visit, records, way_back
from wheelside.jobs.car.write import GoAhead, write_list
from wheelside.sensor.ident import SensorId


@click.command("clear")
@options.book
@card_file
@click.option("--car", metavar="CAR", help="The car; the only one by default.")
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
        done = jobs.clear_codes(visit, talk, loaded, numbers, owner_says=i_made_sure)
        show_codes(out, loaded.label, done.after)
        out.line(changed_text(done.changed), indent=2)
        for line in done.refused:
            out.line(f"? {line}", indent=2)
    return int(bool(done.changed.new) or not done.whole(numbers))


@click.command("teach")
@options.book
@card_file
@click.option("--car", metavar="CAR", help="The car; the only one by default.")
@click.option(
    "--set",
    "wheel_set",
    metavar="SET",
    help="The wheel set whose IDs are to be written; the one that is on it by default.",
)
@click.option("--list", "list_name", metavar="LIST", help="The list of the port card that is to hold them.")
@click.option(
    "--do", "really", is_flag=True, help="Write them; without it the difference is shown and nothing is written."
)
@click.option("--old-list-is-so", is_flag=True, help="The car really holds one ID in all places, as it was read.")
@made_sure
@linked
def teach(
    book: str, card: Path, car: str | None, wheel_set: str | None, list_name: str | None, really: bool, old_list_is_so: bool,
    i_made_sure: bool, link: str | None, replay: Path | None, tape: Path | None,
) -> int:  # fmt: skip
    """Shows what would be written into the car's list; with --do writes it, reads it back, and undoes it where it is not right."""
    loaded = jobs.load_port_card(card)
    refuse_replay(replay, "changed", really=really)
    row = carteach.writable_list(loaded, list_name)
    out = Teller()
    permit = Permit.TEACH if really else Permit.READ
    with visiting(book, car) as visit:
        if really:
            carteach.refuse_unsettled(visit)
        wanted = _wanted(visit, wheel_set, row)
        with jobs.talking(loaded, link, permit=permit, tape=tape, replay=replay) as talk:
            word = GoAhead(i_made_sure, old_list_is_so) if really else None
            written = write_list(
                visit, talk, loaded, row, wanted, word, show=partial(show_draft, out), stoppable=partial(stoppable, out)
            )
        if written.taught is not None:
            return show_outcome(out, written.taught)
        already = "" if written.draft.changes else " The list holds these IDs already."
        out.line(f"Nothing was written.{already}", indent=2)
        return 0


@contextmanager
def stoppable(out: Teller) -> Iterator[Hurry]:
    """Ctrl-C does not leave a car without a whole list: each is counted, and what comes of it is told."""
    hurry = Hurry()

    def stop(*_: object) -> None:
        hurry.times += 1
        out.line(stop_text(hurry), indent=2)

    before = signal.signal(signal.SIGINT, stop)
    try:
        yield hurry
    finally:
        signal.signal(signal.SIGINT, before)


def _wanted(visit: Visit, wheel_set: str | None, row: IdList) -> dict[str, SensorId | None]:
    """The IDs of the set that is meant, by place."""
    garage, day = visit.desk.loaded().garage, visit.desk.clock().day
    car = garage.cars[visit.car]
    chosen = carteach.set_of(garage, wheel_set) if wheel_set else jobs.fitted_set(garage, car, day)
    if not wheel_set and any(c.car == car.id and c.assumed for c in visit.desk.present().open):
        on = chosen.name if chosen else "the set before"
        raise BadRequest(
            f"is {on} still on {car.name}? Nobody has said; name the set that is on with --set", expected="--set"
        )
    if chosen is None:
        raise BadRequest("which set? name it with --set", expected=", ".join(garage.sets))
    return carteach.wanted_ids(garage, chosen, day, row)


def _settling(command: F) -> F:
    """Adds what finishing and undoing ask for."""
    for option in (
        linked,
        made_sure,
        click.option(
            "--do", "really", is_flag=True, help="Do it; without it is only shown what the car holds and would hold."
        ),
        click.option(
            "--list",
            "list_name",
            metavar="LIST",
            help="The list whose last teaching is meant; by default the last that is not settled, else the last that changed the car.",
        ),
        click.option("--car", metavar="CAR", help="The car; the only one by default."),
        card_file,
        options.book,
    ):
        command = option(command)
    return command


@click.command("undo")
@_settling
def undo(
    book: str, card: Path, car: str | None, list_name: str | None, really: bool, i_made_sure: bool, link: str | None,
    replay: Path | None, tape: Path | None,
) -> int:  # fmt: skip
    """Puts back the list that was there before the last teaching. What is in the car now is kept first."""
    how = EndWith(carback.undo, Outcome.AS_BEFORE, list_name, really, i_made_sure)
    return _settle(book, card, car, how, link, replay, tape)


@click.command("finish")
@_settling
def finish(
    book: str, card: Path, car: str | None, list_name: str | None, really: bool, i_made_sure: bool, link: str | None,
    replay: Path | None, tape: Path | None,
) -> int:  # fmt: skip
    """Ends a teaching that was broken off: writes the new list once more, or else puts the old one back."""
    how = EndWith(carback.finish_teaching, Outcome.DONE, list_name, really, i_made_sure)
    return _settle(book, card, car, how, link, replay, tape)


@click.command("accept")
@_settling
def accept(
    book: str, card: Path, car: str | None, list_name: str | None, really: bool, i_made_sure: bool, link: str | None,
    replay: Path | None, tape: Path | None,
) -> int:  # fmt: skip
    """Ends a teaching that can be neither finished nor undone, with what the car holds now. Nothing is written into the car."""
    how = EndWith(carback.accept, Outcome.ACCEPTED, list_name, really, i_made_sure)
    return _settle(book, card, car, how, link, replay, tape)


@dataclass(frozen=True, slots=True)
class EndWith:
    """How the last teaching is to be ended: by which way, to which outcome, of which list, and whether really."""

    way: carback.Settles
    wanted: Outcome
    list_name: str | None
    really: bool
    sure: bool

    @property
    def writes(self) -> bool:
        """Whether the way may write into the car."""
        return self.wanted is not Outcome.ACCEPTED


def _settle(
    book: str, card: Path, car: str | None, how: EndWith, link: str | None, replay: Path | None, tape: Path | None
) -> int:
    loaded = jobs.load_port_card(card)
    refuse_replay(replay, "changed", really=how.really)
    out = Teller()
    with visiting(book, car) as visit:
        last = way_back(records(visit.desk, visit.car), how.list_name)
        if last is None:
            raise BadRequest("the book knows of no such teaching of this car", expected="a teaching")
        row = carback.row_of(loaded, last)
        permit = Permit.TEACH if how.really and how.writes else Permit.READ
        with jobs.talking(loaded, link, permit=permit, tape=tape, replay=replay) as talk:
            _show_last(out, last, row, read_list(talk, row))
            if not how.really:
                under = {Outcome.AS_BEFORE: "before it", Outcome.DONE: "meant"}.get(how.wanted, "now")
                out.line(f"Nothing was written. With --do the car is to hold what stands under '{under}'.", indent=2)
                return 0
            if how.writes:
                carteach.refuse_conditions(conditions(talk, loaded), owner_says=how.sure)
            with stoppable(out) as hurry:
                taught = how.way(visit, talk, loaded, last, owner_says=how.sure, hurry=hurry)
            show_outcome(out, taught)
    return int(taught.outcome is not how.wanted)


def _show_last(out: Teller, last: KeptTeaching, row: IdList, now: ListRead) -> None:
    ended = last.ended_so or f"broken off after '{last.came_to or 'nothing'}'"
    out.heading(f"List '{last.list}'", f"last teaching, {last.at.short()}: {ended}")
    old, new = dict(list_from(row, last.old).ids), dict(list_from(row, last.new).ids)
    rows = [(place, *(id_text(n) for n in (old[place], new[place], one))) for place, one in now.ids]
    out.table(("place", "before it", "meant", "now"), rows)
