"""Writing a new list of IDs into a car, with a way back.

    old list read and kept -> conditions -> extended session -> begin -> write -> finish -> result -> read back
                                                     \\___________ anything wrong: the old list, the same way ___________/

Nothing is written while the old list can't be read and kept. Writing is never repeated blindly: after a step without an answer the
list is read, and what is there decides. Where a unit has refused to begin, it is left alone. What can't be found out is said to be so.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from enum import StrEnum

from wheelside.car.card import WRITE, IdList
from wheelside.car.draft import Draft
from wheelside.car.frames import CarTrouble, LinkLost, NoAnswer, UnitTrouble
from wheelside.car.negative import BUSY, MAY_HAVE_ACTED, OTHER_STEPS, Refused
from wheelside.car.permit import check
from wheelside.car.reads import read_list
from wheelside.car.talk import READ_TRIES, Talk
from wheelside.errors import BadRequest, Outside

EXTENDED, DEFAULT = b"\x10\x03", b"\x10\x01"
RESULT_TRIES, RESULT_PAUSE_S = 10, 0.2
UNDO_TRIES = 3
UNDO_PAUSES = 5
"""So many pauses more there are before each further try."""


class Stage(StrEnum):
    """How far a teaching has come; each is kept before it is begun."""

    SAVED = "old list kept"
    SESSION = "extended session"
    BEGUN = "begun"
    WRITTEN = "written"
    FINISHED = "finished"
    READ_BACK = "read back"
    UNDO = "undoing"
    ENDED = "ended"


class Outcome(StrEnum):
    """What a teaching came to."""

    DONE = "the new list is in the car"
    AS_BEFORE = "the old list is in the car"
    NOT_KNOWN = "what the car holds is not known"
    OTHERWISE = "the car holds neither the old list nor the new one"
    NOT_CONFIRMED = "the old list is in the car, and the car does not say that it counts"
    NEW_NOT_CONFIRMED = "the new list is in the car, and the car does not say that it counts"
    ACCEPTED = "the car's list was left as it is, on the owner's word"


@dataclass(frozen=True, slots=True)
class Taught:
    """The end of a teaching: what it came to, what the list holds as far as that could be read, and what went wrong on the way.

    `touched`: whether anything was sent that changes a car, now or before; a unit may have refused it.
    """

    outcome: Outcome
    holds: bytes | None
    last: Stage
    trouble: tuple[str, ...]
    touched: bool = True

    @property
    def statement(self) -> str:
        """What is true of the car now, in a sentence or two."""
        if self.holds is None:
            why = f"{self.outcome.value}: it could not be read after the step '{self.last.value}'."
            return why if self.touched else f"{why} Nothing was written into it."
        return f"{self.outcome.value}: {self.holds.hex(' ').upper()} was read from it."


Keep = Callable[[Stage, str], None]


def _write_request(row: IdList, data: bytes) -> bytes:
    return bytes([WRITE]) + row.identifier.to_bytes(2, "big") + data


class _Ended(StrEnum):
    """How the last writing ended, as far as the unit said."""

    NOT = "it was not ended"
    UNANSWERED = "its end was sent, and not answered"
    ANSWERED = "its end was answered"


@dataclass
class Teaching:
    """One teaching. `keep` is told of each stage before it is begun, and must not return before that is kept.

    `touched`: whether a stage was kept from which on the car may be changed; `earlier`: whether an earlier run has. `acted`: whether anything
    was sent that the unit may have acted on; a request that it refused at once was not. `counted`: the list that is known to count as long as
    it acted on nothing, and the outcome that this is; None where that is not known. `unread`: whether all went well but that the list could not
    be read back; then it is not written once more.
    """

    talk: Talk
    keep: Keep
    trouble: list[str]
    last: Stage = Stage.SAVED
    touched: bool = False
    earlier: bool = False
    acted: bool = False
    counted: tuple[bytes, Outcome] | None = None
    new: bytes = b""
    ended: _Ended = _Ended.NOT
    unread: bool = False

    def run(self, draft_: Draft) -> Taught:
        """Writes the draft, or ends with the old list, or says what is not known. Raises whatever `keep` raises before anything is written."""
        self.counted = (draft_.old.raw, Outcome.AS_BEFORE)
        self._permitted(draft_.row, draft_.new)
        self.keep(Stage.SAVED, draft_.old.raw.hex())
        if read_list(self.talk, draft_.row).raw != draft_.old.raw:
            raise BadRequest(
                f"the list '{draft_.row.name}' has changed since it was read: read it again",
                expected="the list as it was shown",
            )
        return self._through(draft_)

    def finish(self, draft_: Draft, *, end_answered: bool) -> Taught:
        """The same for a teaching that was broken off, whatever the list holds now; nothing is written where the new list counts already.

        `end_answered`: whether the end of its last writing was answered; without that it is not known that a list counts.
        """
        self._goes_on(end_answered=end_answered)
        self._permitted(draft_.row, draft_.new)
        self.keep(Stage.SAVED, draft_.old.raw.hex())
        if self._holds(draft_.row, draft_.new):
            return self._end(Outcome.DONE, draft_.new)
        return self._through(draft_)

    def put_back(self, row: IdList, old: bytes, new: bytes, *, ended: str, end_answered: bool) -> Taught:
        """Has an old list in the car in place of the new one; nothing is written where it counts already. `ended`: as what the teaching ended."""
        self._goes_on(end_answered=end_answered)
        self.new = new
        self.counted = {Outcome.DONE.value: (new, Outcome.DONE), Outcome.AS_BEFORE.value: (old, Outcome.AS_BEFORE)}.get(
            ended
        )
        self._permitted(row, old)
        if self.counted is None and self._holds(row, old):
            return self._end(Outcome.AS_BEFORE, old)
        if self.counted == (old, Outcome.AS_BEFORE) and read_list(self.talk, row).raw == old:
            return self._end(Outcome.AS_BEFORE, old)
        return self.undo(row, old)

    def _goes_on(self, *, end_answered: bool) -> None:
        """What an earlier teaching has left."""
        self.earlier = True
        self.ended = _Ended.ANSWERED if end_answered else _Ended.NOT

    def _permitted(self, row: IdList, data: bytes) -> None:
        """Raises NotPermitted where any request that this would take may not be sent, before the first one is."""
        for request in (EXTENDED, row.begin, _write_request(row, data), row.finish, row.result, DEFAULT):
            if request:
                check(request, self.talk.permit, self.talk.routines, self.talk.lists)

    def _through(self, draft_: Draft) -> Taught:
        row, self.new = draft_.row, draft_.new
        try:
            try:
                self._write(row, draft_.new)
            except UnitTrouble as error:
                self.trouble.append(str(error))
            return self._settle(draft_)
        except LinkLost as error:
            return self._not_known(error)

    def undo(self, row: IdList, old: bytes) -> Taught:
        """Puts an old list back. Raises whatever `keep` raises."""
        self._stage(Stage.UNDO, old)
        try:
            for tried in range(UNDO_TRIES):
                time.sleep(tried * UNDO_PAUSES * RESULT_PAUSE_S)
                try:
                    self._write_again(row, old, tried)
                except UnitTrouble as error:
                    self.trouble.append(str(error))
                if self._holds(row, old):
                    return self._end(Outcome.AS_BEFORE, old)
                if self.unread:
                    break
            return self._end_as_read(row, old)
        except LinkLost as error:
            return self._not_known(error)

    def _settle(self, draft_: Draft) -> Taught:
        """What is in the car decides: the new list stays, anything else is undone; a unit that acted on nothing is left alone. Raises LinkLost."""
        row, old = draft_.row, draft_.old.raw
        if not self.acted and self.counted is not None:
            try:
                raw = read_list(self.talk, row).raw
            except UnitTrouble as error:
                return self._not_known(error)
            if raw == old:
                return self._end(Outcome.AS_BEFORE, raw)
        elif self._holds(row, draft_.new):
            return self._end(Outcome.DONE, draft_.new)
        if self.unread:
            return self._end(Outcome.NOT_KNOWN, None)
        return self.undo(row, old)

    def _write(self, row: IdList, data: bytes) -> None:
        """One whole writing, no step of it twice. Raises Refused, NoAnswer, BadAnswer, LinkLost."""
        self.ended = _Ended.NOT
        self._stage(Stage.SESSION, b"")
        self.talk.ask(EXTENDED)
        self._begin(row, 1)
        self._stage(Stage.WRITTEN, data)
        self.acted = True
        self.talk.once(_write_request(row, data))
        self._finish(row)

    def _write_again(self, row: IdList, data: bytes, tried: int) -> None:
        """The same, with steps repeated that harm nothing when they are; `tried`: how often before. Raises Refused, NoAnswer, BadAnswer, LinkLost.

        From the second time on the session is left first, which ends what was begun in it. A unit that has begun already, and in the end one
        whose list is not known to count, is written to though it does not begin.
        """
        self.ended = _Ended.NOT
        self._stage(Stage.SESSION, b"")
        if tried:
            with suppress(UnitTrouble):
                self.talk.ask(DEFAULT)
        self.talk.ask(EXTENDED)
        try:
            self._begin(row, READ_TRIES)
        except UnitTrouble as error:
            begun = isinstance(error, Refused) and error.code == OTHER_STEPS
            if not begun and (tried < UNDO_TRIES - 1 or (self.counted is not None and not self.acted)):
                raise
            self.trouble.append(str(error))
        self._stage(Stage.WRITTEN, data)
        self.acted = True
        try:
            self.talk.ask(_write_request(row, data))
        except NoAnswer as error:
            if read_list(self.talk, row).raw != data:
                raise
            self.trouble.append(str(error))
        self._finish(row)

    def _begin(self, row: IdList, tries: int) -> None:
        """Begins, if the list wants that. Raises Refused, NoAnswer, BadAnswer, LinkLost."""
        if not row.begin:
            return
        self._stage(Stage.BEGUN, row.begin)
        for left in reversed(range(tries)):
            before, self.acted = self.acted, True
            try:
                self.talk.once(row.begin)
            except Refused as error:
                self.acted = before or error.code in MAY_HAVE_ACTED
                if error.code != BUSY or not left:
                    raise
                time.sleep(RESULT_PAUSE_S)
            except NoAnswer:
                if not left:
                    raise
            else:
                return

    def _finish(self, row: IdList) -> None:
        """Ends the writing, if the list wants that; said twice where no answer comes. Raises Refused, BadAnswer, LinkLost."""
        if row.finish:
            self._stage(Stage.FINISHED, row.finish)
            try:
                self.talk.once(row.finish)
            except NoAnswer as error:
                self.trouble.append(str(error))
                if not self._finished_again(row.finish):
                    self.ended = _Ended.UNANSWERED if row.begin else _Ended.NOT  # the result says whether it was heard
                    return
        self.ended = _Ended.ANSWERED
        self._stage(Stage.READ_BACK, b"")

    def _finished_again(self, request: bytes) -> bool:
        """Whether the unit takes the end of the writing when it is sent once more; one that heard it before may refuse it."""
        try:
            self.talk.once(request)
        except UnitTrouble as error:
            self.trouble.append(str(error))
            return False
        return True

    def _holds(self, row: IdList, data: bytes) -> bool:
        """Whether the last writing was ended, the unit says that teaching is done, and the list reads back as this. Raises LinkLost."""
        self.unread = False
        try:
            if not self._confirmed(row):
                return False
            self.unread = True
            for left in reversed(range(READ_TRIES)):
                raw, self.unread = read_list(self.talk, row).raw, False
                if raw == data:
                    return True
                time.sleep(RESULT_PAUSE_S if left else 0)
        except UnitTrouble as error:
            self.trouble.append(str(error))
        return False

    def _confirmed(self, row: IdList) -> bool:
        """Whether the last writing was ended, and the unit says so where it can be asked."""
        if row.result is None or self.ended is _Ended.NOT:
            return self.ended is _Ended.ANSWERED
        return self._says_done(row)

    def _says_done(self, row: IdList) -> bool:
        if row.result is None or row.done is None:
            return False
        for _ in range(RESULT_TRIES):
            if self.talk.ask(row.result)[4:].startswith(row.done):
                return True
            time.sleep(RESULT_PAUSE_S)
        self.trouble.append("the unit does not say that teaching is finished")
        return False

    def _stage(self, stage: Stage, data: bytes) -> None:
        self._keep(stage, data.hex())
        self.last = stage

    def _keep(self, stage: Stage, data: str) -> None:
        """Keeps a stage. Once the car has been touched, a book that can't keep any more does not stop the way to the end: the old list is in it."""
        try:
            self.keep(stage, data)
        except Outside as error:
            if not self.touched:
                raise
            self.trouble.append(f"the book did not keep the stage '{stage.value}': {error}")
        self.touched = self.touched or stage in (Stage.BEGUN, Stage.WRITTEN)

    def _not_known(self, error: CarTrouble) -> Taught:
        self.trouble.append(str(error))
        return self._end(Outcome.NOT_KNOWN, None)

    def _end_as_read(self, row: IdList, old: bytes) -> Taught:
        """The end after all tries: what is in the car. Raises LinkLost."""
        if self.acted and self.ended is _Ended.NOT:
            with suppress(UnitTrouble):
                self._says_done(row)  # a unit that is still storing is waited for
        try:
            raw = read_list(self.talk, row).raw
        except UnitTrouble as error:
            return self._not_known(error)
        if not self.acted and self.counted is not None and raw == self.counted[0]:
            return self._end(self.counted[1], raw)
        known = {old: Outcome.NOT_CONFIRMED, self.new: Outcome.NEW_NOT_CONFIRMED}
        return self._end(known.get(raw, Outcome.OTHERWISE), raw)

    def _end(self, outcome: Outcome, holds: bytes | None) -> Taught:
        with suppress(CarTrouble):
            self.talk.ask(DEFAULT)
        self._keep(Stage.ENDED, outcome.value)
        return Taught(outcome, holds, self.last, tuple(self.trouble), self.touched or self.earlier)
