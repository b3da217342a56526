"""One conversation with one control unit: a request, its answer, within a stated time. Write it like this."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, field

from wheelside.car import negative
from wheelside.car.address import UnitAddress
from wheelside.car.frames import Frame, NoAnswer, Wire
from wheelside.car.link import ANSWER_S, Link, wire
from wheelside.car.negative import Refused
from wheelside.car.permit import Permit, check

P2_S, P2_STAR_S = 1.0, 5.5
"""How long an answer, and one after 'needs more time', is waited for: ISO 14229-2 has 50 ms and 5 s at the unit; adapters add theirs."""
PENDINGS = 12
"""So often a unit may say that it needs more time."""
READ_TRIES = 3


@dataclass(frozen=True, slots=True)
class Exchange:
    """One request with what came of it: the answer, or None, and how long it took."""

    request: bytes
    answer: bytes | None
    took_s: float


@dataclass
class Talk:
    """A conversation over a link. `heard` is told of frames, `told` of exchanges.

    `routines` and `lists` are what a port card allows to be started and written while teaching.
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
    _wire: Wire = field(init=False, repr=False)

    def __post_init__(self) -> None:
        self._wire = wire(self.link, self.unit, self.heard)

    def __enter__(self) -> Talk:
        self._wire.open()
        return self

    def __exit__(self, *_: object) -> None:
        self._wire.close()

    @property
    def longest_s(self) -> float:
        """No request lasts longer than this, with all its tries."""
        return READ_TRIES * (self.p2_s + PENDINGS * self.p2_star_s + ANSWER_S)

    def ask(self, request: bytes) -> bytes:
        """The positive answer to a request that reads; asked again where none came. Raises Refused, NoAnswer, LinkLost, NotPermitted."""
        last: NoAnswer | None = None
        for tries in range(READ_TRIES):
            try:
                return self.once(request)
            except NoAnswer as error:
                last = error
            except Refused as error:
                if error.code != negative.BUSY or tries == READ_TRIES - 1:
                    raise
                time.sleep(0.05)
        assert last is not None, "the last try ended without an answer"
        raise last

    def once(self, request: bytes) -> bytes:
        """The same, asked once: for what must not be done twice."""
        check(request, self.permit, self.routines, self.lists)
        start = time.monotonic()
        answer: bytes | None = None
        try:
            self._wire.drop()
            self._wire.send(request)
            answer = self._answer(request)
            return answer
        finally:
            if self.told is not None:
                self.told(Exchange(request, answer, time.monotonic() - start))

    def _answer(self, request: bytes) -> bytes:
        """The answer that belongs to a request; late answers to others are passed over."""
        end, pendings = time.monotonic() + self.p2_s, 0
        while (left := max(end, self._wire.busy_until) - time.monotonic()) > 0:
            got = self._wire.wait(min(left, 0.1))
            if got is None:
                continue
            if got[:2] == bytes([0x7F, request[0]]) and len(got) == 3:
                if got[2] != negative.PENDING:
                    raise Refused(got[1], got[2])
                pendings += 1
                if pendings > PENDINGS:
                    break
                end = time.monotonic() + self.p2_star_s
            elif _belongs(request, got):
                return got
        raise NoAnswer(
            f"no answer to {request[:3].hex(' ').upper()} from {self.unit.text} within {self.p2_s:g} s; ignition on? the right unit?"
        )


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
