"""How the monitor is taught: the routine 0310 and the writing of a list."""

from __future__ import annotations

from wheelside.demo.practice.habits import Habits
from wheelside.demo.practice.uds import (
    CONDITIONS_NOT_CORRECT,
    PROGRAMMING_FAILURE,
    SEQUENCE_ERROR,
    RefusedRequest,
    want,
)
from wheelside.demo.practice.wheels import NO_IDS, Around, Ids, ids_of

NOTHING, BEGUN, FINISHED, BROKEN_OFF = range(4)
UNTAUGHT, WRITTEN, CONFIRMED = range(3)
NEEDED_MV = 12_000
START, WRITE, STOP = 3, 4, 5


class TwoLists:
    """The two lists, which of them count, and how far teaching has come.

    `result` is what the routine reports, `state` what identifier 2150 holds, `low_supply` whether the supply fell too low.
    """

    def __init__(self, lists: dict[int, Ids], around: Around, habits: Habits) -> None:
        self.lists = lists
        self.counting = {number for number, ids in lists.items() if ids != NO_IDS}
        self.result = NOTHING
        self.state = UNTAUGHT
        self.low_supply = False
        self._number = 0
        self._around = around
        self._habits = habits

    @property
    def begun(self) -> bool:
        """Whether teaching was started and is neither finished nor broken off."""
        return self.result == BEGUN

    def start(self, number: int) -> None:
        """Empties a set's list and waits; raises Refusal."""
        self._want_rest()
        want(self._around.supply_mv >= NEEDED_MV, CONDITIONS_NOT_CORRECT)
        want(not (self._habits.begins_once and self.begun), self._habits.begins_once)
        self.lists[number] = NO_IDS
        self.counting.discard(number)
        self.result, self.state, self.low_supply, self._number = BEGUN, UNTAUGHT, False, number
        if self._habits.low_supply_mv:
            self._around.supply_mv = self._habits.low_supply_mv
        self._break_off_after(START)

    def write(self, number: int, data: bytes) -> None:
        """Keeps 16 bytes as a set's list; raises Refusal."""
        want(self.begun and number == self._number, CONDITIONS_NOT_CORRECT)
        self._want_supply()
        self._want_rest()
        want(not self._habits.refuse_write, PROGRAMMING_FAILURE)
        if self._habits.write_wrong:
            data = data[:3] + bytes((data[3] ^ 1,)) + data[4:]
        self.lists[number] = ids_of(data)
        self.state = WRITTEN
        self._break_off_after(WRITE)

    def stop(self) -> int:
        """Lets the list count; returns its number. Raises Refusal."""
        want(self.begun and self.state == WRITTEN, SEQUENCE_ERROR)
        self._want_supply()
        self._want_rest()
        self._break_off_after(STOP)
        want(self.begun, CONDITIONS_NOT_CORRECT)
        self.counting.add(self._number)
        self.result, self.state = FINISHED, CONFIRMED
        return self._number

    def break_off(self) -> None:
        """The session ended, or worse; what was written stays."""
        if self.begun:
            self.result = BROKEN_OFF

    def _break_off_after(self, step: int) -> None:
        if self._habits.break_off_at == step:
            self.break_off()

    def _want_rest(self) -> None:
        want(self._around.ignition == 1 and self._around.speed_kmh == 0, CONDITIONS_NOT_CORRECT)

    def _want_supply(self) -> None:
        if self._around.supply_mv < NEEDED_MV:
            self.low_supply = True
            self.break_off()
            raise RefusedRequest(CONDITIONS_NOT_CORRECT)
