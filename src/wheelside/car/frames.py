"""What every link has to do: CAN frames come and go; and what every conversation needs of it: whole requests and answers."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol, runtime_checkable

from wheelside.errors import Outside

LONGEST = 8


class CarTrouble(Outside):
    """A car, or the way to it, misbehaves."""


class LinkLost(CarTrouble):
    """What carries the frames does not any more: unplugged, switched off, or never there."""


class UnitTrouble(CarTrouble):
    """A control unit refuses, is silent, or says what can't be; the way to it is open."""


class NoAnswer(UnitTrouble):
    """A control unit gave no answer in time. What it did with the request is not known."""


class PutOff(NoAnswer):
    """A control unit began its answer, or asked for more time, again and again, and was not waited for any longer."""


class Stopped(NoAnswer):
    """An answer was not waited for any longer because a person wanted it so."""


@dataclass(frozen=True, slots=True)
class Time:
    """What all waits with a car go by: the seconds of a clock that only runs on, and waiting for so many of them."""

    seconds: Callable[[], float]
    wait: Callable[[float], None]


@dataclass(frozen=True, slots=True)
class Frame:
    """One frame: its identifier, whether that has 29 bits, its bytes (at most 8), and when it was seen, in seconds of the link's clock."""

    can_id: int
    data: bytes
    wide: bool = False
    at_s: float = 0.0


class Frames(Protocol):
    """A link. `receive` waits no longer than it is told, by `time`; every method raises LinkLost once the link is gone."""

    time: Time

    def send(self, frame: Frame) -> None:
        """Sends one frame."""

    def receive(self, timeout_s: float) -> Frame | None:
        """The next frame; None where none came in time."""

    def listen_to(self, answer: int, *, wide: bool) -> None:
        """From now on the frames with this identifier are wanted; others may be left out."""

    def supply_v(self) -> float | None:
        """The voltage that the adapter measures; None where it can't."""

    def close(self) -> None:
        """Lets go of the link; can be called twice."""


class Wire(Protocol):
    """Whole requests to one unit, and its answers. `send` and `wait` raise LinkLost once the link is gone."""

    @property
    def sending(self) -> bool:
        """Whether a request is not out yet as a whole."""

    @property
    def receiving(self) -> bool:
        """Whether an answer has begun to come."""

    def open(self) -> None:
        """Makes ready."""

    def close(self) -> None:
        """Ends it; the link stays open."""

    def drop(self) -> None:
        """Forgets answers that came and were not taken."""

    def send(self, request: bytes) -> None:
        """Sends one request."""

    def wait(self, timeout_s: float) -> bytes | None:
        """The next answer; None where none came in time."""


@runtime_checkable
class Picks(Protocol):
    """A link that lets one identifier through at a time, and is told when to listen without anything having been sent."""

    def monitor(self, can_id: int, *, wide: bool) -> None:
        """From now on the frames with this identifier are received, whoever sends them; nothing is sent."""

    def over(self) -> bool:
        """Whether nothing more can come, as at the end of a recording."""
