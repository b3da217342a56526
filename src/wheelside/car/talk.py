"""One conversation with one control unit: a request, its answer, within a stated time. Write it like this.

Every wait ends: an answer is waited for P2 long, P2* where the unit wants more time, and in all no longer than EXCHANGE_S, whatever the
unit begins anew meanwhile. Who waited in vain for PATIENCE_S in one conversation asks nothing more in it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

from wheelside.car import negative
from wheelside.car.address import UnitAddress
from wheelside.car.frames import Frame, NoAnswer, PutOff, Stopped, Time, Wire
from wheelside.car.link import Link, wire
from wheelside.car.negative import Refused
from wheelside.car.permit import Permit, check

P2_S, P2_STAR_S = 1.0, 5.5
"""How long an answer, and one after 'needs more time', is waited for: ISO 14229-2 has 50 ms and 5 s at the unit; adapters add theirs."""
EXCHANGE_S, PATIENCE_S = 20.0, 40.0
"""No request is waited for longer, with all its tries; nor all that got no answer in one conversation. Judgement: ISO 14229-2 does not say
how often a unit may want more time."""
READ_TRIES = 3
BUSY_S = 0.05


@dataclass(frozen=True, slots=True)
class Exchange:
    """One request with what came of it: the answer, or None, and how long it took."""

    request: bytes
    answer: bytes | None
    took_s: float


@dataclass(frozen=True, slots=True)
class WaitLimit:
    """Until when an answer is waited for, by the link's clock; and whether a person wants no more of it."""

    until_s: float
    stopped: Callable[[], bool] = lambda: False


@dataclass
class Talk:
    """A conversation over a link. `heard` is told of frames, `told` of exchanges.

    `routines` and `lists` are what a port card allows to be started and written while teaching. `patience_s`: for how long requests without
    a limit of their own may still be waited for in vain.
    """

    link: Link
    unit: UnitAddress
    permit: Permit = Permit.READ
    routines: frozenset[int] = frozenset()
    lists: frozenset[int] = frozenset()
    heard: Callable[[Frame, bool], None] | None = None
    told: Callable[[Exchange], None] | None = None
    p2_s: float = P2_S
    p2_star_s: float = P2_STAR_S
    patience_s: float = PATIENCE_S
    _wire: Wire = field(init=False, repr=False)

    def __post_init__(self) -> None:
        self._wire = wire(self.link, self.unit, self.heard)

    def __enter__(self) -> Talk:
        self._wire.open()
        return self

    def __exit__(self, *_: object) -> None:
        self._wire.close()

    @property
    def time(self) -> Time:
        """What its waits go by."""
        return self.link.time

    def ask(self, request: bytes, limit: WaitLimit | None = None) -> bytes:
        """The positive answer to a request that reads; asked again where none came. Raises Refused, NoAnswer, LinkLost, NotPermitted."""
        within = self._within(limit)
        with self._patient(limit):
            for _ in range(READ_TRIES - 1):
                try:
                    return self._asked(request, within)
                except Stopped:
                    raise
                except NoAnswer:
                    if self.time.seconds() >= within.until_s:
                        raise
                except Refused as error:
                    if error.code != negative.BUSY:
                        raise
                    self.time.wait(BUSY_S)
            return self._asked(request, within)

    def once(self, request: bytes, limit: WaitLimit | None = None) -> bytes:
        """The same, asked once: for what must not be done twice."""
        with self._patient(limit):
            return self._asked(request, self._within(limit))

    def _within(self, limit: WaitLimit | None) -> WaitLimit:
        """The limit of one request that begins now."""
        now = self.time.seconds()
        if limit is None:
            return WaitLimit(now + min(EXCHANGE_S, self.patience_s))
        return WaitLimit(min(now + EXCHANGE_S, limit.until_s), limit.stopped)

    @contextmanager
    def _patient(self, limit: WaitLimit | None) -> Iterator[None]:
        """Takes what was waited in vain off the patience, where a request has no limit of its own."""
        start = self.time.seconds()
        try:
            yield
        except NoAnswer:
            if limit is None:
                self.patience_s = max(0.0, self.patience_s - (self.time.seconds() - start))
            raise

    def _asked(self, request: bytes, within: WaitLimit) -> bytes:
        check(request, self.permit, self.routines, self.lists)
        start = self.time.seconds()
        if start >= within.until_s:
            raise NoAnswer(f"{_named(request)} was not sent: {self.unit.text} has let us wait for too long")
        answer: bytes | None = None
        try:
            self._wire.drop()
            self._wire.send(request)
            answer = self._answer(request, within)
            return answer
        finally:
            if self.told is not None:
                self.told(Exchange(request, answer, self.time.seconds() - start))

    def _answer(self, request: bytes, within: WaitLimit) -> bytes:
        """The answer that belongs to a request; late answers to others are passed over. P2 begins once the request is out (ISO 14229-2)."""
        now, wants_time = self.time.seconds, False
        end = now() + self.p2_s
        while (left := within.until_s - now()) > 0:
            if within.stopped():
                raise Stopped(f"the answer to {_named(request)} from {self.unit.text} was not waited for")
            if self._wire.sending:
                end = now() + self.p2_s
            elif not self._wire.receiving:
                left = min(left, end - now())
            if left <= 0:
                break
            got = self._wire.wait(min(left, 0.1))
            if got is None:
                continue
            if got[:2] == bytes([0x7F, request[0]]) and len(got) == 3:
                if got[2] != negative.PENDING:
                    raise Refused(got[1], got[2])
                end, wants_time = now() + self.p2_star_s, True
            elif _belongs(request, got):
                return got
        put_off = now() >= within.until_s and (wants_time or self._wire.sending or self._wire.receiving)
        raise self._in_vain(request, put_off=put_off)

    def _in_vain(self, request: bytes, *, put_off: bool) -> NoAnswer:
        if put_off:
            return PutOff(
                f"{self.unit.text} put its answer to {_named(request)} off, and did not give it; it was not waited for any longer"
            )
        return NoAnswer(
            f"no answer to {_named(request)} from {self.unit.text} within {self.p2_s:g} s; ignition on? the right unit?"
        )


def _named(request: bytes) -> str:
    return request[:3].hex(" ").upper()


def _belongs(request: bytes, answer: bytes) -> bool:
    """Whether an answer is to this request: its service, and what it repeats of the request."""
    if not answer or answer[0] != request[0] + 0x40:
        return False
    service = request[0]
    if service in (0x22, 0x2E):
        return answer[1:3] == request[1:3]
    if service == 0x31:
        return answer[1:4] == request[1:4]
    if service == 0x19 and request[1] in (0x04, 0x06):
        return answer[1:5] == request[1:5]
    if service in (0x10, 0x19, 0x3E):
        return len(answer) >= 2 and answer[1] == request[1] & 0x7F
    if service in (0x01, 0x09):
        return answer[1:2] == request[1:2]
    return True
