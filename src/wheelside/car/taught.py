"""What came of a teaching, as codes that are kept and compared, and the words in which people read them.

No decision goes by the words. What an older book has and no code is known for stays as it was said, and settles nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from wheelside.car import negative
from wheelside.car.frames import CarTrouble, LinkLost, NoAnswer
from wheelside.car.negative import Refused
from wheelside.errors import WheelsideError


class Stage(StrEnum):
    """How far a teaching has come; each is kept before it is begun."""

    SAVED = "saved"
    SESSION = "session"
    BEGUN = "begun"
    WRITTEN = "written"
    FINISHED = "finished"
    READ_BACK = "read-back"
    UNDO = "undo"
    ENDED = "ended"

    @property
    def words(self) -> str:
        """As a person reads it."""
        return _STAGES[self]


class Outcome(StrEnum):
    """What a teaching came to."""

    DONE = "new-list"
    AS_BEFORE = "old-list"
    NOT_KNOWN = "not-known"
    OTHERWISE = "neither-list"
    NOT_CONFIRMED = "old-list-not-confirmed"
    NEW_NOT_CONFIRMED = "new-list-not-confirmed"
    ACCEPTED = "accepted"
    NOTHING = "nothing-written"

    @property
    def words(self) -> str:
        """As a person reads it, in the midst of a sentence."""
        return _OUTCOMES[self]


class What(StrEnum):
    """What went wrong on the way."""

    REFUSED = "refused"
    NO_ANSWER = "no-answer"
    BAD_ANSWER = "bad-answer"
    LINK_LOST = "link-lost"
    NOT_SAID_DONE = "not-said-done"
    NOT_KEPT = "not-kept"
    GOES_BY = "goes-by-another-set"
    STOPPED = "stopped"
    AS_SAID = "as-said"
    """A line of an older book, for which no code is known."""


_STAGES: dict[Stage, str] = {
    Stage.SAVED: "old list kept",
    Stage.SESSION: "extended session",
    Stage.BEGUN: "begun",
    Stage.WRITTEN: "written",
    Stage.FINISHED: "finished",
    Stage.READ_BACK: "read back",
    Stage.UNDO: "undoing",
    Stage.ENDED: "ended",
}
_OUTCOMES: dict[Outcome, str] = {
    Outcome.DONE: "the new list is in the car",
    Outcome.AS_BEFORE: "the old list is in the car",
    Outcome.NOT_KNOWN: "what the car holds is not known",
    Outcome.OTHERWISE: "the car holds neither the old list nor the new one",
    Outcome.NOT_CONFIRMED: "the old list is in the car, and the car does not say that it counts",
    Outcome.NEW_NOT_CONFIRMED: "the new list is in the car, and the car does not say that it counts",
    Outcome.ACCEPTED: "the car's list was left as it is, on the owner's word",
    Outcome.NOTHING: "nothing was written",
}


@dataclass(frozen=True, slots=True)
class Trouble:
    """One thing that went wrong: what, and what has to be said of it. A trouble of the link or of the unit brings the text that says it."""

    what: What
    text: str = ""
    service: int = 0
    code: int = 0
    stage: Stage | None = None
    before: str = ""
    after: str = ""

    @property
    def words(self) -> str:
        """As a person reads it."""
        if self.what is What.REFUSED:
            return negative.refusal(self.service, self.code)
        if self.what is What.NOT_SAID_DONE:
            return "the unit does not say that teaching is finished"
        if self.what is What.STOPPED:
            return "it was stopped before the new list was known to be in the car"
        if self.what is What.NOT_KEPT:
            return f"the book did not keep the stage '{self.stage.words if self.stage else ''}': {self.text}"
        if self.what is What.GOES_BY:
            return f"the car goes by set {self.after} now, and went by set {self.before} before: choose the fitted one in its menu"
        return self.text


def trouble_of(error: CarTrouble) -> Trouble:
    """What went wrong, as it is kept."""
    if isinstance(error, Refused):
        return Trouble(What.REFUSED, service=error.service, code=error.code)
    kinds = ((NoAnswer, What.NO_ANSWER), (LinkLost, What.LINK_LOST))
    what = next((what for kind, what in kinds if isinstance(error, kind)), What.BAD_ANSWER)
    return Trouble(what, str(error))


def not_kept(stage: Stage, error: WheelsideError) -> Trouble:
    """That the book did not keep a stage, and why."""
    return Trouble(What.NOT_KEPT, str(error), stage=stage)


@dataclass(frozen=True, slots=True)
class Taught:
    """The end of a teaching: what it came to, what the list holds as far as that could be read, and what went wrong on the way.

    `last`: the stage that it came to; None where an older book names one that is not known. `touched`: whether anything was sent that changes
    a car, now or before; a unit may have refused it.
    """

    outcome: Outcome
    holds: bytes | None
    last: Stage | None
    trouble: tuple[Trouble, ...]
    touched: bool = True

    @property
    def statement(self) -> str:
        """What is true of the car now, in a sentence or two."""
        if self.holds is None:
            why = (
                f"{self.outcome.words}: it could not be read after the step '{self.last.words if self.last else '?'}'."
            )
            return why if self.touched else f"{why} Nothing was written into it."
        return f"{self.outcome.words}: {self.holds.hex(' ').upper()} was read from it."

    @property
    def said(self) -> tuple[str, ...]:
        """The statement, and a line for each thing that went wrong."""
        return (self.statement, *(one.words for one in self.trouble))
