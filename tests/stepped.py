"""A link on which time passes only where somebody waits: nobody waits for a real clock."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from heapq import heappop, heappush

from wheelside.car.frames import Frame, LinkLost, Time
from wheelside.demo.practice import PracticeCar

Answers = Iterable[tuple[float, Frame]]
"""Frames, each after so many seconds."""


class Clock:
    """Seconds that run on by waiting alone."""

    def __init__(self) -> None:
        self.now_s = 1000.0

    @property
    def time(self) -> Time:
        return Time(lambda: self.now_s, self.wait)

    def wait(self, seconds: float) -> None:
        assert seconds >= 0
        self.now_s += seconds


class Stepped:
    """A link whose other end is a function: from a frame that was sent, and when, to frames, each after a while."""

    def __init__(self, other_end: Callable[[Frame, float], Answers], clock: Clock | None = None) -> None:
        self.other_end = other_end
        self.clock = clock or Clock()
        self.time = self.clock.time
        self.sent: list[tuple[float, Frame]] = []
        self.listened: list[tuple[int, bool]] = []
        self.coming: list[tuple[float, int, Frame]] = []
        self.count = 0
        self.gone = False

    def send(self, frame: Frame) -> None:
        if self.gone:
            raise LinkLost("unplugged")
        self.sent.append((self.clock.now_s, frame))
        for after, answer in self.other_end(frame, self.clock.now_s):
            self.put(after, answer)

    def put(self, after: float, frame: Frame) -> None:
        self.count += 1
        heappush(self.coming, (self.clock.now_s + after, self.count, frame))

    def receive(self, timeout_s: float) -> Frame | None:
        if self.gone:
            raise LinkLost("unplugged")
        end = self.clock.now_s + max(0.0, timeout_s)
        if self.coming and self.coming[0][0] <= end:
            due, _, frame = heappop(self.coming)
            self.clock.now_s = max(self.clock.now_s, due)
            return frame
        self.clock.now_s = end
        return None

    def listen_to(self, answer: int, *, wide: bool) -> None:
        self.listened.append((answer, wide))

    def supply_v(self) -> float | None:
        return None

    def close(self) -> None:
        pass

    @property
    def hex(self) -> list[str]:
        return [frame.data.hex(" ").upper() for _, frame in self.sent]


def to_car(car: PracticeCar, clock: Clock | None = None) -> Stepped:
    """A link to the practising car."""

    def other_end(frame: Frame, now_s: float) -> Answers:
        if frame.wide:
            return []
        return [(after, Frame(can_id, data)) for after, can_id, data in car.frames(frame.can_id, frame.data, now_s)]

    return Stepped(other_end, clock)
