"""Serving a simulated adapter on TCP at the loopback, and on a pseudo-terminal."""

from __future__ import annotations

import os
import select
import socket
import time
import tty
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from threading import Event, Thread

from wheelside.demo.practice.adapter import Adapter
from wheelside.demo.practice.car import PracticeCar
from wheelside.demo.practice.habits import AdapterHabits

LOOPBACK = "127.0.0.1"
LOOK_S = 0.05
"""How often a serving thread looks whether to stop."""
LASTING_S = 600.0
"""After so long it stops by itself."""
LONGEST_LINE = 256


class Link:
    """One open link: characters in, characters out when they are due."""

    def __init__(self, handle: int, adapter: Adapter, habits: AdapterHabits, over: Callable[[], bool]) -> None:
        self._handle, self._adapter, self._habits, self._over = handle, adapter, habits, over
        self._due: list[tuple[float, bytes]] = []
        self._typed = b""
        self._sent = 0
        self._open = True
        os.set_blocking(handle, False)

    def serve(self) -> None:
        """Until the other side leaves, a habit closes the link, or it is over."""
        while self._open and not self._over():
            if self._adapter.monitors and not self._due:
                now = time.monotonic()
                self._due = [(now + after, data) for after, data in self._adapter.overheard(now)]
            wait = LOOK_S if not self._due else max(0.0, min(LOOK_S, self._due[0][0] - time.monotonic()))
            if select.select([self._handle], [], [], wait)[0]:
                self._open = self._take()
            self._give_due()

    def _take(self) -> bool:
        try:
            data = os.read(self._handle, 1024)
        except BlockingIOError:
            return True
        except OSError:
            return False
        for sign in data.replace(b"\n", b"").replace(b"\x00", b""):
            self._sign(bytes((sign,)))
        return bool(data)

    def _sign(self, sign: bytes) -> None:
        self._give_due()
        now = time.monotonic()
        if self._due or self._adapter.monitors:
            self._due = [(now, self._adapter.interrupted())]
            return
        if self._adapter.echoes:
            self._give(self._adapter.end_of_line.encode("ascii") if sign == b"\r" else sign)
        if sign != b"\r":
            self._typed = (self._typed + sign)[:LONGEST_LINE]
            return
        line, self._typed = self._typed.decode("ascii", "replace"), b""
        self._due = [(now + after, data) for after, data in self._adapter.line(line, now)]

    def _give_due(self) -> None:
        while self._open and self._due and self._due[0][0] <= time.monotonic():
            self._give(self._due.pop(0)[1])

    def _give(self, data: bytes) -> None:
        size = self._habits.chunk or len(data)
        for start in range(0, len(data), size):
            if start:
                time.sleep(self._habits.chunk_s)
            for sign in data[start : start + size]:
                self._put(bytes((sign,)))

    def _put(self, sign: bytes) -> None:
        self._sent += 1
        if self._habits.close_at and self._sent > self._habits.close_at:
            self._open = False
        if not self._open or (self._habits.drop_every and self._sent % self._habits.drop_every == 0):
            return
        try:
            os.write(self._handle, sign)
        except BlockingIOError:
            return
        except OSError:
            self._open = False


@contextmanager
def serve_tcp(
    car: PracticeCar, habits: AdapterHabits | None = None, *, lasting_s: float = LASTING_S
) -> Iterator[tuple[str, int]]:
    """An adapter on a port of its own: host and port. One client at a time; the adapter's settings outlive it."""
    habits = habits or AdapterHabits()
    with socket.create_server((LOOPBACK, 0)) as listening, _running(lasting_s) as (over, start):
        adapter = Adapter(car, habits)

        def work() -> None:
            while not over():
                if not select.select([listening], [], [], LOOK_S)[0]:
                    continue
                client, _ = listening.accept()
                with client:
                    client.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
                    Link(client.fileno(), adapter, habits, over).serve()

        start(work)
        yield LOOPBACK, listening.getsockname()[1]


@contextmanager
def serve_pty(car: PracticeCar, habits: AdapterHabits | None = None, *, lasting_s: float = LASTING_S) -> Iterator[str]:
    """An adapter on a pseudo-terminal: the path to open."""
    habits = habits or AdapterHabits()
    handle, slave = os.openpty()
    tty.setraw(slave)
    path = os.ttyname(slave)
    with (
        os.fdopen(slave, "rb", buffering=0),
        os.fdopen(handle, "rb", buffering=0) as master,
        _running(lasting_s) as (over, start),
    ):

        def work() -> None:
            with master:
                Link(master.fileno(), Adapter(car, habits), habits, over).serve()

        start(work)
        yield path


@contextmanager
def _running(lasting_s: float) -> Iterator[tuple[Callable[[], bool], Callable[[Callable[[], None]], None]]]:
    """Whether it is over, and a way to start one thread that ends when it is."""
    stop, until, threads = Event(), time.monotonic() + lasting_s, list[Thread]()

    def over() -> bool:
        return stop.is_set() or time.monotonic() > until

    def start(work: Callable[[], None]) -> None:
        threads.append(Thread(target=work, name="practice adapter", daemon=True))
        threads[-1].start()

    try:
        yield over, start
    finally:
        stop.set()
        for thread in threads:
            thread.join(2.0)
