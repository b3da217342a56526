"""Who is connected to the server: never too many, none that keeps it waiting too long.

A connection is closed by shutting its socket down, which the server takes for a client that went away. So it works at
every stage, while a TLS connection is still being made, too.
"""

from __future__ import annotations

import asyncio
import contextlib
import logging
import math
import socket
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from starlette.types import Message, Receive, Scope, Send

from wheelside.jobs.source import RUNNING

MOST = 256
FIRST_S, NEXT_S = 10.0, 30.0
"""So long may a client take with its first request, and with each later one."""
GAP_S, BODY_S = 15.0, 120.0
"""So long may it take with each piece of a body, and with all of it."""
TAKE_S = 60.0
"""So long may it take to take in a piece of an answer."""
QUEUE, AT_ONCE, ANSWERED_AT_ONCE = 256, 16, 2
"""How many may wait to be accepted; how many are accepted, and how many strangers answered, before others get their turn."""
CROWD, CROWD_S = 12, 1.0
"""So many requests in so short a time come of several people; one page with its style and scripts is fewer."""
_log = logging.getLogger("uvicorn.error")


@dataclass(slots=True, eq=False)
class Caller:
    """One connection. `group`: the callers of its rank; `until`: when it will have been waited for too long."""

    peer: Any
    conn: socket.socket
    group: dict[Any, Caller]
    until: float


class Callers:
    """All connections by what right they have to stay, in each group the one first that was heard of longest ago."""

    def __init__(self, most: int = MOST, seconds: Callable[[], float] = RUNNING.seconds) -> None:
        self.most, self.seconds = most, seconds
        self.silent: dict[Any, Caller] = {}
        self.strangers: dict[Any, Caller] = {}
        self.looked_up: dict[Any, Caller] = {}
        self.guests: dict[Any, Caller] = {}
        self.turnstile = Turnstile()
        self._lately: deque[float] = deque(maxlen=CROWD)

    def came(self, conn: socket.socket, peer: Any) -> None:
        """A connection was accepted; where there are too many, the one with the least right to stay is closed."""
        caller = Caller(peer, conn, self.silent, self.seconds() + FIRST_S)
        self.silent[peer] = caller
        if sum(map(len, self._groups())) > self.most:
            _log.warning("more than %d connections: those without a session are closed", self.most)
            self._close(self._least())

    def _least(self) -> Caller:
        """Who never asked for anything, then who has no session; a few that have just come are given the time to ask."""
        many = len(self.silent) > self.most // 2
        groups = (self.silent if many else {}, self.strangers, self.silent, self.looked_up, self.guests)
        return next(caller for group in groups for caller in group.values())

    def _groups(self) -> tuple[dict[Any, Caller], ...]:
        return self.silent, self.strangers, self.looked_up, self.guests

    def went(self, conn: socket.socket, peer: Any) -> None:
        """A connection was closed."""
        caller = self.of(peer)
        if caller is not None and caller.conn is conn:
            del caller.group[peer]

    def of(self, peer: Any) -> Caller | None:
        """The connection with this address at its other end."""
        return next((group[peer] for group in self._groups() if peer in group), None)

    def _close(self, caller: Caller) -> None:
        del caller.group[caller.peer]
        with contextlib.suppress(OSError):  # it has gone by itself
            caller.conn.shutdown(socket.SHUT_RDWR)

    async def sweep(self) -> None:
        """Closes the connections that were waited for too long."""
        now = self.seconds()
        for group in self._groups():
            for caller in [c for c in group.values() if c.until <= now]:
                self._close(caller)

    def request(self, scope: Scope) -> Call:
        """A request has begun."""
        self._lately.append(self.seconds())
        caller = self.of(tuple(scope.get("client") or ()))
        call = Call(self, caller, self.seconds() + BODY_S)
        if caller is not None:
            self._into(caller, self.guests if caller.group is self.guests else self.strangers)
            caller.until = math.inf
        return call

    def crowded(self) -> bool:
        """Whether many ask at once, so that nothing is worked out meanwhile that nobody waits for."""
        return len(self._lately) == CROWD and self.seconds() - self._lately[0] < CROWD_S

    def _into(self, caller: Caller, group: dict[Any, Caller]) -> None:
        if caller.group.pop(caller.peer, None) is not None:  # else it was closed meanwhile
            group[caller.peer] = caller
            caller.group = group

    def look_up(self, caller: Caller) -> None:
        """A request of this connection names a session, which is looked up now."""
        self._into(caller, self.guests if caller.group is self.guests else self.looked_up)

    def has_session(self, caller: Caller, has: bool) -> None:
        """Whether a request of this connection came with a session."""
        self._into(caller, self.guests if has else self.strangers)


class Turnstile:
    """Lets through a few in each turn of the event loop, so that others come in between."""

    def __init__(self) -> None:
        self.waiting: deque[asyncio.Future[None]] = deque()

    async def through(self) -> None:
        """Waits for one's turn."""
        loop = asyncio.get_running_loop()
        mine = loop.create_future()
        self.waiting.append(mine)
        if len(self.waiting) == 1:
            loop.call_soon(self._next, loop)
        await mine

    def _next(self, loop: asyncio.AbstractEventLoop) -> None:
        for one in [self.waiting.popleft() for _ in range(min(ANSWERED_AT_ONCE, len(self.waiting)))]:
            if not one.done():
                one.set_result(None)
        if self.waiting:
            loop.call_soon(self._next, loop)


class Call:
    """One request, as far as its client can keep the server waiting."""

    def __init__(self, callers: Callers, caller: Caller | None, body_until: float) -> None:
        self.callers, self.caller, self.body_until = callers, caller, body_until
        self.whole = False

    async def turn(self) -> bool:
        """Waits until a request without a session may be answered; whether its client is still there then."""
        if self.caller is None:
            return True
        await self.callers.turnstile.through()
        return self.caller.group.get(self.caller.peer) is self.caller

    def look_up(self) -> None:
        """It names a session, which is looked up now."""
        if self.caller is not None:
            self.callers.look_up(self.caller)

    def has_session(self, has: bool) -> None:
        """Whether it came with a session."""
        if self.caller is not None:
            self.callers.has_session(self.caller, has)

    def over(self) -> None:
        """It is answered: the next one is waited for."""
        self._wait(NEXT_S)

    def _wait(self, seconds: float, at_last: float = math.inf) -> None:
        if self.caller is not None:
            self.caller.until = min(self.callers.seconds() + seconds, at_last)

    def receiving(self, receive: Receive) -> Receive:
        """`receive`, waiting for a body so long and no longer."""

        async def timed() -> Message:
            if self.whole:
                return await receive()
            self._wait(GAP_S, self.body_until)
            message = await receive()
            self._wait(math.inf)
            self.whole = not message.get("more_body", False)
            return message

        return timed

    def sending(self, send: Send) -> Send:
        """`send`, waiting so long for what is sent to be taken in, and no longer."""

        async def timed(message: Message) -> None:
            self._wait(TAKE_S)
            await send(message)
            last = message["type"] == "http.response.body" and not message.get("more_body", False)
            self._wait(NEXT_S if last else math.inf)

        return timed


class Counted(socket.socket):
    """A connection that says when it is closed."""

    callers: Callers
    peer: Any

    def close(self) -> None:
        """Closes it."""
        self.callers.went(self, self.peer)
        super().close()


class FrontDoor(socket.socket):
    """A socket that listens, and counts what it accepts."""

    callers: Callers

    def listen(self, backlog: int = QUEUE, /) -> None:
        """Many may wait, however few are accepted at once."""
        super().listen(max(backlog, QUEUE))

    def accept(self) -> tuple[socket.socket, Any]:
        """A new connection, which is counted."""
        plain, peer = super().accept()
        conn = Counted(plain.family, plain.type, plain.proto, fileno=plain.detach())
        conn.callers, conn.peer = self.callers, peer
        self.callers.came(conn, peer)
        return conn, peer


def most_callers() -> int:
    """How many connections there may be: a quarter of the files that this process may open, and never more than `MOST`."""
    try:
        import resource
    except ImportError:  # a system without such a limit
        return MOST
    soft, _ = resource.getrlimit(resource.RLIMIT_NOFILE)
    return MOST if soft == resource.RLIM_INFINITY else max(8, min(MOST, soft // 4))
