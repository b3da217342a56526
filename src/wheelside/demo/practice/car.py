"""The car to practise on: its units at their addresses, and serving them on a bus."""

from __future__ import annotations

import heapq
import time
from collections.abc import Callable
from threading import Event, Thread
from typing import Protocol, TypeVar

from wheelside.demo.practice.brake import BrakeUnit
from wheelside.demo.practice.engine import EngineUnit
from wheelside.demo.practice.habits import Habits
from wheelside.demo.practice.node import Node
from wheelside.demo.practice.unit import PracticeUnit
from wheelside.demo.practice.wheels import Around, wheel_state

TO_ALL = 0x7DF
MONITOR = (0x6A3, 0x6AB)
ENGINE = (0x7E0, 0x7E8)
BRAKE = (0x760, 0x768)
WHEEL_STATE = 0x2F1
EVERY_S = 0.2
"""How often the wheels' state is broadcast while the ignition is on."""
LOOK_S = 0.05
"""How often a serving thread looks whether to stop."""

Sent = tuple[float, int, bytes]
"""After how many seconds, the identifier, the data."""
M_contra = TypeVar("M_contra", contravariant=True)


class Message(Protocol):
    """A message as a bus hands it out."""

    @property
    def arbitration_id(self) -> int: ...
    @property
    def is_extended_id(self) -> bool: ...
    @property
    def data(self) -> bytearray: ...


class Bus(Protocol[M_contra]):
    """As much of a CAN bus as is used."""

    def recv(self, timeout: float | None = None) -> Message | None: ...
    def send(self, msg: M_contra) -> None: ...


class PracticeCar:
    """Units by address. `unit` is the tyre monitor, `around` what all of them see."""

    def __init__(self, unit: PracticeUnit, engine: EngineUnit, brake: BrakeUnit, habits: Habits | None = None) -> None:
        self.unit, self.engine, self.brake = unit, engine, brake
        self.around: Around = unit.around
        plain = Habits()
        self._nodes = {
            MONITOR: Node(unit, habits or unit.habits),
            ENGINE: Node(engine, plain),
            BRAKE: Node(brake, plain),
        }

    def frames(self, can_id: int, data: bytes, now_s: float) -> tuple[Sent, ...]:
        """What the car sends because of one frame with an 11-bit identifier, in the order of time."""
        out = [
            (after, reply, frame)
            for (request, reply), node in self._nodes.items()
            if can_id in (request, TO_ALL)
            for after, frame in node.frames(bytes(data), now_s, functional=can_id == TO_ALL)
        ]
        return tuple(sorted(out, key=lambda sent: sent[0]))

    def broadcast(self) -> tuple[int, bytes] | None:
        """What the car sends by itself, every 0.2 s: identifier and data; None while the ignition is off."""
        return (WHEEL_STATE, wheel_state(self.unit.heard, self.unit.lamp)) if self.around.ignition else None


def run_on(bus: Bus[M_contra], car: PracticeCar, stop: Event, make: Callable[[int, bytes], M_contra]) -> Thread:
    """Serves the car on a bus until `stop` is set; the thread that does it is running already.

    `make` builds a message with an 11-bit identifier. The thread ends within a second after `stop`; shut the bus down after that.
    """
    thread = Thread(target=_serve, args=(bus, car, stop, make), name="practice car", daemon=True)
    thread.start()
    return thread


def _serve(bus: Bus[M_contra], car: PracticeCar, stop: Event, make: Callable[[int, bytes], M_contra]) -> None:
    due: list[tuple[float, int, int, bytes]] = []
    count, next_s = 0, time.monotonic() + EVERY_S
    while not stop.is_set():
        now = time.monotonic()
        if now >= next_s:
            next_s = now + EVERY_S
            if said := car.broadcast():
                bus.send(make(*said))
        while due and due[0][0] <= now:
            _, _, can_id, data = heapq.heappop(due)
            bus.send(make(can_id, data))
        seen = bus.recv(min(LOOK_S, max(0.0, due[0][0] - time.monotonic())) if due else LOOK_S)
        if seen is None or seen.is_extended_id:
            continue
        now = time.monotonic()
        for after, can_id, data in car.frames(seen.arbitration_id, bytes(seen.data), now):
            count += 1
            heapq.heappush(due, (now + after, count, can_id, data))
