"""The ways out of a teaching after the fact: finishing it, putting the old list back, or taking what the car holds as it is."""

from __future__ import annotations

import json
from typing import Protocol

from wheelside.car.card import IdList, PortCard
from wheelside.car.draft import draft
from wheelside.car.drive import Hurry, carry_out
from wheelside.car.frames import UnitTrouble
from wheelside.car.reads import list_from, mark_of, read_list
from wheelside.car.talk import Talk
from wheelside.car.taught import Outcome, Stage, Taught, Trouble, trouble_of
from wheelside.car.teaching import Goal, Intent
from wheelside.errors import BadRequest, Meanwhile
from wheelside.jobs.car.teach import keep_told, row_text, stages, told, watched
from wheelside.jobs.car.visit import FOUND, STAGE, KeptTeaching, Visit, Work

_MAY_CHANGE = ("name", "result", "done", "watched_as", "begin_empties")
"""What a port card may say anew of a list that was taught: none of it is written, or needed for the way back."""


class Settles(Protocol):
    """How a teaching is ended after the fact: by `finish_teaching`, `undo` or `accept`."""

    def __call__(
        self,
        visit: Visit,
        talk: Talk,
        card: PortCard,
        last: KeptTeaching,
        *,
        owner_says: bool = False,
        hurry: Hurry | None = None,
    ) -> Taught: ...


def list_taught(card: PortCard, last: KeptTeaching) -> IdList | None:
    """The list of a teaching in a port card; None where the card says something else of it now."""
    return next((row for row in card.lists if _lasting(row_text(row)) == _lasting(last.row)), None)


def _lasting(text: str) -> dict[str, object]:
    return {key: value for key, value in json.loads(text).items() if key not in _MAY_CHANGE}


def row_of(card: PortCard, last: KeptTeaching) -> IdList:
    """The list of a teaching in a port card. Raises BadRequest where the card says something else of it now, or lets it be written no more."""
    row = list_taught(card, last)
    if row is None or not row.writable or card.read_only:
        raise BadRequest(
            f"this port card does not say of the list '{last.list}' what '{last.card}' said when it was taught ({last.at.short()}): use that "
            "card again; nothing was written",
            found=card.id,
            expected=last.card,
        )
    return row


def undo(
    visit: Visit,
    talk: Talk,
    card: PortCard,
    last: KeptTeaching,
    *,
    owner_says: bool = False,
    hurry: Hurry | None = None,
) -> Taught:
    """Puts the list back that was there before a teaching, every stage kept before it is begun. What is in the car now is kept first.

    `owner_says`: the owner vouches that it is the same car where its unit does not tell by its serial number that it is.
    Raises BadRequest where the car was not touched, or it is another car; Meanwhile where somebody else has changed the list since.
    """
    if not last.touched:
        raise BadRequest(
            "the last teaching did not touch the car: there is nothing to undo", found=last.ended_so or "broken off"
        )
    with visit.alone(Work.UNDO):
        row, goes_by = _found(visit, talk, card, last, owner_says=owner_says), watched(talk, card)
        goal = Goal(Intent.PUT_BACK, row, last.old, last.new, last.outcome, last.end_answered)
        taught = carry_out(talk, stages(visit, last.num), goal, hurry)
        return told(visit, last.num, talk, card, goes_by, taught)


def finish_teaching(
    visit: Visit,
    talk: Talk,
    card: PortCard,
    last: KeptTeaching,
    *,
    owner_says: bool = False,
    hurry: Hurry | None = None,
) -> Taught:
    """Ends a teaching that was broken off: the new list, or else the old one, in the car. Raises as `undo` does."""
    _refuse_settled(last, "finish")
    with visit.alone(Work.FINISH):
        row, goes_by = _found(visit, talk, card, last, owner_says=owner_says), watched(talk, card)
        wanted = draft(row, list_from(row, last.old), dict(list_from(row, last.new).ids))
        goal = Goal(Intent.FINISH, row, last.old, wanted.new, end_answered=last.end_answered)
        taught = carry_out(talk, stages(visit, last.num), goal, hurry)
        return told(visit, last.num, talk, card, goes_by, taught)


def accept(
    visit: Visit,
    talk: Talk,
    card: PortCard,
    last: KeptTeaching,
    *,
    owner_says: bool = False,
    hurry: Hurry | None = None,
) -> Taught:
    """Ends a teaching on the owner's word, with whatever the car holds now; that is read and kept, where it can be. Nothing is written.

    For what can be neither finished nor undone: another unit was built in, or service literature has shown that the list is right.
    Raises BadRequest, LinkLost, Outside.
    """
    del hurry  # nothing here waits for long
    _refuse_settled(last, "accept")
    if not owner_says:
        raise BadRequest(
            "whether the car is right as it is nobody knows but you: look at its list and its lamp, and say so (on the command line with "
            "--i-made-sure)",
            expected="your word",
        )
    with visit.alone(Work.ACCEPT):
        return _accepted(visit, talk, list_taught(card, last), last)


def _accepted(visit: Visit, talk: Talk, row: IdList | None, last: KeptTeaching) -> Taught:
    holds: bytes | None = None
    trouble: tuple[Trouble, ...] = ()
    try:
        holds = read_list(talk, row).raw if row is not None else None
    except UnitTrouble as error:
        trouble = (trouble_of(error),)
    if holds is not None:
        visit.keep(FOUND, of=last.num, data=holds.hex())
    visit.keep(STAGE, of=last.num, stage=Stage.ENDED.value, data=Outcome.ACCEPTED.value)
    taught = Taught(Outcome.ACCEPTED, holds, last.last_stage, trouble)
    keep_told(visit, last.num, taught)
    return taught


def _refuse_settled(last: KeptTeaching, what: str) -> None:
    if last.settled:
        raise BadRequest(
            f"the last teaching has ended: there is nothing to {what}", found=last.ended_so or "the car was not touched"
        )


def _found(visit: Visit, talk: Talk, card: PortCard, last: KeptTeaching, *, owner_says: bool) -> IdList:
    """The list of a teaching, after what it holds now was read and kept."""
    row, mark = row_of(card, last), mark_of(talk)
    if mark and last.mark and mark != last.mark:
        raise BadRequest(
            "this is another control unit than the one that was taught: its serial number differs; nothing was written. If it was built in "
            "since, accept what the car holds",
            expected="the car that was taught",
        )
    if not (mark and last.mark) and not owner_says:
        raise BadRequest(
            "the unit does not tell by its serial number that it is the one that was taught: make sure that it is that car, and say so (on the "
            "command line with --i-made-sure). Nothing was written",
            expected="the car that was taught",
        )
    now = read_list(talk, row).raw
    visit.keep(FOUND, of=last.num, data=now.hex())
    if last.settled and now not in (last.old, last.new):
        raise Meanwhile(
            f"the list '{row.name}' was changed by somebody else since: it holds {now.hex(' ').upper()}. Teach it again if that is wrong; nothing "
            "was written",
            found=now.hex(),
            expected=last.new.hex(),
        )
    return row
