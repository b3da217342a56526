"""The one way into a car's list: what would be written is shown, and it is written only at the owner's word."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass

from wheelside.car.card import IdList, PortCard
from wheelside.car.conditions import Condition, conditions
from wheelside.car.draft import Draft
from wheelside.car.drive import Hurry
from wheelside.car.talk import Talk
from wheelside.car.taught import Taught
from wheelside.errors import Meanwhile
from wheelside.jobs.car.teach import drafted, refuse_conditions, teach
from wheelside.jobs.car.visit import Visit
from wheelside.sensor.ident import SensorId


@dataclass(frozen=True, slots=True)
class GoAhead:
    """The owner's word that a list is to be written.

    `sure`: for what the car does not tell; `one_id`: that it really holds one ID in all places; `seen`: the list before and after, in hex,
    to which the word was given, where that was another time than now.
    """

    sure: bool = False
    one_id: bool = False
    seen: tuple[str, str] | None = None


@dataclass(frozen=True, slots=True)
class ListWritten:
    """What was shown, and what came of writing it; `taught` is None where nothing was written."""

    draft: Draft
    conditions: tuple[Condition, ...]
    taught: Taught | None


def _not_shown(_draft: Draft, _found: tuple[Condition, ...]) -> None:
    """For whoever shows it afterwards."""


def write_list(
    visit: Visit, talk: Talk, card: PortCard, row: IdList, wanted: Mapping[str, SensorId | None], word: GoAhead | None = None, *,
    show: Callable[[Draft, tuple[Condition, ...]], None] = _not_shown,
    stoppable: Callable[[], AbstractContextManager[Hurry]] = lambda: nullcontext(Hurry()),
) -> ListWritten:  # fmt: skip
    """Shows what would be written into a list of a car; with the owner's word, and where something changes, writes it.

    Without a word only questions are asked. `show` gets it before anything is written; `stoppable` is entered for the writing.
    Raises BadRequest where a condition is not right or not vouched for, Meanwhile where it is not what was seen, and as `teach`.
    """
    draft, found = drafted(talk, row, dict(wanted)), conditions(talk, card)
    show(draft, found)
    if word is None:
        return ListWritten(draft, found, None)
    if word.seen not in (None, (draft.old.raw.hex(), draft.new.hex())):
        raise Meanwhile(
            "the car's list, or the set, has changed since this was shown: look at it again. Nothing was written"
        )
    if not draft.changes:
        return ListWritten(draft, found, None)
    refuse_conditions(found, owner_says=word.sure)
    with stoppable() as hurry:
        return ListWritten(draft, found, teach(visit, talk, card, draft, hurry, old_is_so=word.one_id))
