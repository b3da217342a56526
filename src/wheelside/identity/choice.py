"""What can be done about one wheel, and why something can't."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from wheelside.finding import Basis, Way
from wheelside.garage.words import Corner
from wheelside.identity.costs import Price, Risk
from wheelside.said import Coded, Said, say
from wheelside.sensor.ident import SensorId


class Action(Coded):
    """What becomes of the sensor."""

    STAYS = "stays"
    REFIT = "refit"


class IdChoice(Coded):
    """What becomes of the ID."""

    KEEP = "keep"
    CLONE = "clone"
    FRESH = "fresh"


class FreshFrom(Coded):
    """Where a fresh ID comes from: drawn here and written, made up by the writer, or in the sensor as bought."""

    DRAWN = "drawn", "drawn and written"
    WRITER = "writer", "made up by the writer"
    BOUGHT = "bought", "comes with the sensor"


class OldId(Coded):
    """What becomes of a wheel's own old ID in a new sensor."""

    CARRIED_ON = "carried-on", "carried on"


def id_label(choice: IdChoice, *, own: bool) -> IdChoice | OldId:
    """A choice in a word or two: 'keep', 'clone', 'fresh', 'carried on' for a wheel's own old ID in a new sensor."""
    return OldId.CARRIED_ON if own else choice


def id_words(choice: IdChoice, source: Said | None, *, own: bool) -> Said:
    """A choice with whose ID it is: 'clone of front left of Summer set', 'its own old ID, which the car knows'."""
    if own:
        return say("its own old ID, which the car knows")
    return say("{choice} of {source}", choice=choice, source=source) if source else say("{choice}", choice=choice)


def sensor_and_id(action: Action, choice: IdChoice, source: Said | None, *, own: bool) -> Said:
    """What becomes of sensor and ID: 'sensor stays, ID clone of front left of Summer set'."""
    one = id_label(choice, own=True) if own else id_words(choice, source, own=False)
    return say("sensor {action}, ID {id}", action=action, id=one)


def on_its_day(what: Said, when: date | None) -> Said:
    """What is done, with the day of a writing that waits."""
    return what if when is None else say("{what}, on {day}", what=what, day=when)


@dataclass(frozen=True, slots=True, order=True)
class PlanFact:
    """Something that the file states and that a plan is held to, by kind and by what it is about.

    Kinds are the names of rules, where the fact forbids a choice, and 'carries', 'stay', 'seen', 'unplaced',
    'stand-in', 'kept', 'taken-out', 'heard', 'parked', 'sold', 'room', 'blanks', 'not-bought', 'no-shop', 'untaught'.
    """

    kind: str
    about: str


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why something can't be done: a rule by name, in words, what it rests on, and a way out where there is one.

    `fact`: the fact behind it; None where there is none but the nature of things.
    """

    rule: str
    text: Said
    basis: Basis
    way_out: Way | None = None
    fact: PlanFact | None = None


GOT = ""
"""In place of the id of a writer: one that is bought, hired or lent for it."""


def left_as_it_is(action: Action, choice: IdChoice) -> bool:
    """Whether nothing is done to the wheel: its sensor stays, with the ID that it carries."""
    return (action, choice) == (Action.STAYS, IdChoice.KEEP)


Mark = tuple[Action, IdChoice, tuple[SensorId, ...], FreshFrom | None, date | None, int | None]
"""What tells a candidate from the others of its wheel."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """One thing that may be done about one wheel.

    `carries`: the IDs that the wheel may carry then; one where it is known, several where the print
    leaves them open, none where it is new to the world or not known. `voice`: the family in whose
    frames the sensor speaks, '' where not known. `refusals`: everything that speaks against it. `source`
    says in words whose ID a clone takes; `own`: whether that is the ID of the wheel's own old sensor, which is carried on.
    `writer` is the id of the writer used, `GOT` for one that is got for it, None where nothing is
    written. `when`: the day of a writing that waits, until which the wheel may carry the IDs `until_then`; None where it is
    done now. `silent_blank`: the row of blanks, noted as silent at rest, from which the new sensor is taken; None where it is any other.
    """

    wheel: str
    action: Action
    choice: IdChoice
    carries: tuple[SensorId, ...]
    voice: str
    price: Price
    risks: tuple[Risk, ...] = ()
    refusals: tuple[Refusal, ...] = ()
    source: Said | None = None
    writer: str | None = None
    fresh_from: FreshFrom | None = None
    rank: int = 0
    own: bool = False
    when: date | None = None
    until_then: tuple[SensorId, ...] = ()
    silent_blank: int | None = None

    def carries_on(self, day: date) -> tuple[SensorId, ...]:
        """The IDs that the wheel may carry on a day."""
        return self.until_then if self.when is not None and day < self.when else self.carries

    @property
    def mark(self) -> Mark:
        """What tells it from the others of its wheel, in every problem of a garage."""
        return self.action, self.choice, self.carries, self.fresh_from, self.when, self.silent_blank

    @property
    def refusal(self) -> Refusal | None:
        """The first thing that speaks against it; None where nothing does."""
        return self.refusals[0] if self.refusals else None

    @property
    def droppable(self) -> bool:
        """Whether only facts speak against it, so that it would be allowed without them."""
        return all(r.fact is not None for r in self.refusals)

    @property
    def definite(self) -> SensorId | None:
        """The ID that the wheel carries then, where exactly one is possible."""
        return self.carries[0] if len(self.carries) == 1 else None

    @property
    def writes(self) -> bool:
        return self.writer is not None

    @property
    def gets_writer(self) -> bool:
        """Whether a writer is bought, hired or lent for it."""
        return self.writer == GOT


@dataclass(frozen=True, slots=True)
class Member:
    """A wheel, with all that may be done about it. `serves`: the sets that it is in and that have not left, by id, with its corner there."""

    serves: tuple[tuple[str, Corner], ...]
    wheel: str
    sensor: str | None
    ids: tuple[SensorId, ...]
    candidates: tuple[Candidate, ...]

    @property
    def set(self) -> str:
        """The set that it counts for: the first."""
        return self.serves[0][0]

    @property
    def corner(self) -> Corner:
        """Its corner in that set."""
        return self.serves[0][1]

    def corner_in(self, set_id: str) -> Corner:
        """Its corner in one of its sets. Raises KeyError where it is not in it."""
        return dict(self.serves)[set_id]

    @property
    def allowed(self) -> tuple[Candidate, ...]:
        return tuple(c for c in self.candidates if not c.refusals)
