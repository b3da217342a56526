"""A unit on the bus: its answers in frames, with the habits that show in frames."""

from __future__ import annotations

from typing import Protocol

from wheelside.demo.practice.habits import Habits
from wheelside.demo.practice.segments import FLOW, Manner, Receiver, Sender, Timed, read_single
from wheelside.demo.practice.uds import Reply


class Answerer(Protocol):
    """Whatever answers requests."""

    def answer(self, request: bytes, now_s: float, functional: bool = False) -> tuple[Reply, ...]: ...


class Node:
    """Puts requests together, asks the unit, sends the answers one after another."""

    def __init__(self, unit: Answerer, habits: Habits) -> None:
        self.unit = unit
        self._habits = habits
        manner = Manner(habits.padding, habits.st_min, habits.block_size, habits.waits, habits.wait_s, habits.capacity)
        self._receiver, self._sender = Receiver(manner), Sender(manner)
        self._later: list[tuple[float, bytes]] = []
        self._sent = 0

    def frames(self, data: bytes, now_s: float, *, functional: bool = False) -> tuple[Timed, ...]:
        """What the unit sends because of one frame. Requests to all units are single frames."""
        if functional:
            message = read_single(data)
            return self._spoiled(self._asked(message, now_s, functional=True))
        if data and data[0] >> 4 == FLOW:
            return self._spoiled(self._flow(data, now_s))
        flow, message = self._receiver.feed(data, now_s)
        return self._spoiled([*flow, *self._asked(message, now_s, functional=False)])

    def _asked(self, message: bytes | None, now_s: float, *, functional: bool) -> list[Timed]:
        replies = () if message is None else self.unit.answer(message, now_s, functional)
        if not replies:
            return []
        self._sender.stop()
        self._later = [(now_s + after_s, data) for after_s, data in replies]
        return self._from_later(0.0, now_s)

    def _flow(self, data: bytes, now_s: float) -> list[Timed]:
        out = list(self._sender.flow(data, now_s))
        if out and not self._sender.busy:
            out += self._from_later(out[-1][0], now_s)
        return out

    def _from_later(self, not_before: float, now_s: float) -> list[Timed]:
        """The answers that are due, up to one that has to wait for flow control."""
        out: list[Timed] = []
        while self._later and not self._sender.busy:
            due, data = self._later.pop(0)
            after = max(not_before, due - now_s)
            out.append((after, self._sender.start(data, now_s + after)))
        return out

    def _spoiled(self, frames: list[Timed]) -> tuple[Timed, ...]:
        habits, out, late = self._habits, list[Timed](), 0.0
        for after, frame in frames:
            self._sent += 1
            late += habits.delay_s if self._sent == habits.delay_frame else 0
            kept = _turned(frame, habits.corrupt_byte) if self._sent == habits.corrupt_frame else frame
            times = 2 if self._sent == habits.repeat_frame else int(self._sent != habits.drop_frame)
            out += [(after + late, kept)] * times
        return tuple(out)


def _turned(frame: bytes, index: int) -> bytes:
    index = min(index, len(frame) - 1)
    return frame[:index] + bytes((frame[index] ^ 1,)) + frame[index + 1 :]
