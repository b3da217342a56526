"""A teaching as frozen data: what it is to come to, how far it has come, what happened last, and what is to be done next."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

from wheelside.car.card import WRITE, IdList, read_request
from wheelside.car.frames import CarTrouble
from wheelside.car.taught import Outcome, Stage, Taught, Trouble, trouble_of

FORWARD_S, BACK_S, STOP_S, TAIL_S = 60.0, 30.0, 20.0, 4.0
"""How long the way forward may last; all that comes after the first trouble; the way back once a person has said stop twice; and the last
look at what is in the car. With EXCHANGE_S of `talk.py` no more than a minute passes from when a unit begins to put off answers to the end."""


class Intent(StrEnum):
    """What a teaching is begun for."""

    NEW = "new"
    FINISH = "finish"
    PUT_BACK = "put-back"


@dataclass(frozen=True, slots=True)
class Goal:
    """Which list is to be in the car in the end, and which one is the way back.

    `ended`: as what an earlier teaching ended; None where it was broken off, and for a new one. `end_answered`: whether the end of the last
    writing of an earlier one was answered; without that it is not known that a list counts.
    """

    way: Intent
    row: IdList
    old: bytes
    new: bytes
    ended: Outcome | None = None
    end_answered: bool = False

    @property
    def requests(self) -> tuple[bytes, ...]:
        """All that it may have sent, beside reading."""
        wanted = self.old if self.way is Intent.PUT_BACK else self.new
        both = (self.written(wanted), self.written(self.old))
        named = (EXTENDED, self.row.begin, *both, self.row.finish, self.row.result, DEFAULT)
        return tuple(one for one in named if one)

    @property
    def reading(self) -> bytes:
        """The request that reads the list."""
        return read_request(self.row.identifier)

    def written(self, data: bytes) -> bytes:
        """The request that writes the list."""
        return bytes([WRITE]) + self.row.identifier.to_bytes(2, "big") + data


EXTENDED, DEFAULT = b"\x10\x03", b"\x10\x01"


class Leg(StrEnum):
    """The legs of a teaching: looking whether there is anything to do, writing, the way back, the end."""

    LOOK = "look"
    FORWARD = "forward"
    BACK = "back"
    END = "end"


class LastDone(StrEnum):
    """What was done last, so that its event is understood."""

    CHECK = "check"
    LOOK_OLD = "look-old"
    LEFT = "left"
    SESSION = "session"
    BEGIN = "begin"
    WRITE = "write"
    WRITE_LOOK = "write-look"
    FINISH = "finish"
    FINISH_AGAIN = "finish-again"
    RESULT = "result"
    READ = "read"
    UNTOUCHED = "untouched"
    LAST_RESULT = "last-result"
    LAST_READ = "last-read"
    LEAVE = "leave"


class Closed(StrEnum):
    """How the last writing was ended, as far as the unit said."""

    NOT = "not"
    UNANSWERED = "unanswered"
    ANSWERED = "answered"


@dataclass(frozen=True, slots=True)
class Progress:
    """How far a teaching has come.

    `touched`: whether a stage was kept from which on the car may be changed; `acted`: whether anything was sent that the unit may have acted
    on, and `acted_before`: before the last request. `counted`: the list that is known to count as long as it acted on nothing, and the
    outcome that this is; None where that is not known. `changed`: whether another list was read all the same. `unread`: whether all went
    well but that the list could not be read back; then it is not written once more. `left`: so often what is being done may be done again.
    `hurry`: how often a person has said stop. `why`: what came of writing, while the list is read to see whether it was heard. `then`: what
    follows a stage or a pause.
    """

    goal: Goal
    part: Leg
    doing: LastDone
    until_s: float
    counted: tuple[bytes, Outcome] | None
    closed: Closed = Closed.NOT
    last: Stage = Stage.SAVED
    touched: bool = False
    acted: bool = False
    acted_before: bool = False
    changed: bool = False
    unread: bool = False
    tried: int = 0
    left: int = 0
    hurry: int = 0
    now_s: float = 0.0
    troubled: bool = False
    trouble: tuple[Trouble, ...] = ()
    why: CarTrouble | None = None
    then: Next | None = None
    outcome: Outcome = Outcome.NOT_KNOWN
    holds: bytes | None = None

    @property
    def data(self) -> bytes:
        """The list that is being written, or looked for."""
        back = self.part is Leg.BACK or (self.part is Leg.LOOK and self.goal.way is Intent.PUT_BACK)
        return self.goal.old if back else self.goal.new

    @property
    def late(self) -> bool:
        """Whether the time for it is over."""
        return self.now_s >= self.until_s

    @property
    def untouched(self) -> bool:
        """Whether it is known which list counts, for nothing was sent that the unit may have acted on."""
        return not self.acted and self.counted is not None

    @property
    def may_stop_here(self) -> bool:
        """Whether a person who has said stop is obeyed at once: the list that counts is not known to have changed."""
        return self.hurry > 0 and self.untouched and not self.changed

    @property
    def taught(self) -> Taught:
        """What is said in the end."""
        touched = self.touched or self.goal.way is not Intent.NEW
        return Taught(self.outcome, self.holds, self.last, self.trouble, touched)

    def told(self, *trouble: Trouble) -> Progress:
        """The same, with what went wrong; from the first trouble on the time is short. A look that fails is none yet."""
        told = replace(self, trouble=(*self.trouble, *trouble))
        return told if self.part is Leg.LOOK else told.hastened

    def failed(self, error: CarTrouble) -> Progress:
        """The same, with what the car or the way to it did wrong."""
        return self.told(trouble_of(error))

    @property
    def hastened(self) -> Progress:
        """The same, with little time left from the first trouble on."""
        return self if self.troubled else replace(self, troubled=True, until_s=self.now_s + BACK_S)


@dataclass(frozen=True, slots=True)
class StageKept:
    """A stage was kept."""

    stage: Stage


@dataclass(frozen=True, slots=True)
class NotKept:
    """A stage could not be kept after the car had been touched."""

    stage: Stage
    trouble: Trouble


@dataclass(frozen=True, slots=True)
class Answered:
    """A positive answer."""

    answer: bytes


@dataclass(frozen=True, slots=True)
class Failed:
    """A request had no positive answer: refused, silent, or the link was lost."""

    error: CarTrouble


@dataclass(frozen=True, slots=True)
class Waited:
    """A pause is over."""


Event = StageKept | NotKept | Answered | Failed | Waited


@dataclass(frozen=True, slots=True)
class Send:
    """Send a request: once, or again where no answer comes. `acts`: whether the unit may act on it. `limit_s`: until when at the latest."""

    request: bytes
    once: bool = False
    acts: bool = False
    until_s: float = 0.0
    breaks_off: bool = True
    """Whether a person who has said stop twice ends the wait."""


@dataclass(frozen=True, slots=True)
class Pause:
    """Wait for so many seconds, and do then what follows."""

    seconds: float
    then: Next


@dataclass(frozen=True, slots=True)
class End:
    """Nothing is left to do."""

    taught: Taught


@dataclass(frozen=True, slots=True)
class Raise:
    """Nothing was begun, and why."""

    error: Exception


@dataclass(frozen=True, slots=True)
class Keep:
    """Keep a stage, and do only then what follows."""

    stage: Stage
    data: str
    then: Next


Next = Send | Pause | End | Raise | Keep


def begun(goal: Goal, now_s: float) -> Progress:
    """A teaching of which nothing is done yet."""
    counted: tuple[bytes, Outcome] | None = None
    if goal.way is Intent.NEW or (goal.way is Intent.PUT_BACK and goal.ended is Outcome.AS_BEFORE):
        counted = (goal.old, Outcome.AS_BEFORE)
    elif goal.way is Intent.PUT_BACK and goal.ended is Outcome.DONE:
        counted = (goal.new, Outcome.DONE)
    return Progress(
        goal,
        Leg.LOOK,
        LastDone.CHECK,
        now_s + FORWARD_S,
        counted,
        Closed.ANSWERED if goal.end_answered else Closed.NOT,
        now_s=now_s,
    )
