"""A unit's memory of trouble codes: services 14 and 19, and the life of a status byte (ISO 14229-1, Annex D)."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from wheelside.demo.practice.uds import (
    OUT_OF_RANGE,
    SUB_FUNCTION_NOT_SUPPORTED,
    WRONG_LENGTH,
    want,
    want_length,
)

FAILED = 0x01
FAILED_THIS_CYCLE = 0x02
PENDING = 0x04
CONFIRMED = 0x08
NOT_COMPLETED_SINCE_CLEAR = 0x10
FAILED_SINCE_CLEAR = 0x20
NOT_COMPLETED_THIS_CYCLE = 0x40
WARNING = 0x80

ALL = 0xFFFFFF
FRESH = NOT_COMPLETED_SINCE_CLEAR | NOT_COMPLETED_THIS_CYCLE
"""The status of a code that was just cleared."""
FORMAT = 0x00
"""Codes with a failure type, as SAE J2012 has them."""
_LENGTHS = {0x01: 3, 0x02: 3, 0x04: 6, 0x06: 6, 0x0A: 2}


class UnitCodes:
    """The codes that a unit knows, each with its status, its snapshot and how often it came.

    `status` names every code the unit supports. `availability` says which status bits it uses.
    """

    def __init__(self, status: Mapping[int, int], availability: int = 0xFF) -> None:
        self.status = dict(status)
        self.availability = availability
        self.snapshots: dict[int, bytes] = {}
        self.came = {code: int(bool(bits & CONFIRMED)) for code, bits in status.items()}

    def report(self, request: bytes) -> bytes:
        """The answer to service 19; raises Refusal."""
        want(len(request) >= 2, WRONG_LENGTH)
        sub = request[1]
        want(sub in _LENGTHS, SUB_FUNCTION_NOT_SUPPORTED)
        want_length(request, _LENGTHS[sub])
        head = bytes((0x59, sub))
        if sub == 0x01:
            return head + bytes((self.availability, FORMAT)) + len(list(self._with(request[2]))).to_bytes(2)
        if sub == 0x02:
            return head + self._listed(self._with(request[2]))
        if sub == 0x0A:
            return head + self._listed(self.status)
        code = self._known(request[2:5])
        record = self._snapshot(code, request[5]) if sub == 0x04 else self._extended(code, request[5])
        return head + request[2:5] + bytes((self.status[code] & self.availability,)) + record

    def clear(self, request: bytes) -> bytes:
        """The answer to service 14; raises Refusal. Whether it may be done now is asked before."""
        want_length(request, 4)
        group = int.from_bytes(request[1:])
        for code in tuple(self.status) if group == ALL else (self._known(request[1:]),):
            self.status[code] = FRESH & self.availability
            self.snapshots.pop(code, None)
            self.came[code] = 0
        return b"\x54"

    def begin_cycle(self) -> None:
        """A new operation cycle: nothing has been tested in it."""
        for code, bits in self.status.items():
            self.status[code] = ((bits & ~FAILED_THIS_CYCLE) | NOT_COMPLETED_THIS_CYCLE) & self.availability

    def fail(self, code: int, *, warns: bool) -> None:
        """The test of a code found the fault."""
        bits = self.status[code]
        self.came[code] = min(255, self.came[code] + (not bits & FAILED))
        bits &= ~(NOT_COMPLETED_SINCE_CLEAR | NOT_COMPLETED_THIS_CYCLE)
        bits |= FAILED | FAILED_THIS_CYCLE | PENDING | CONFIRMED | FAILED_SINCE_CLEAR | (WARNING if warns else 0)
        self.status[code] = bits & self.availability

    def settle(self, code: int) -> None:
        """The test of a code found no fault: what was confirmed stays."""
        gone = FAILED | NOT_COMPLETED_SINCE_CLEAR | NOT_COMPLETED_THIS_CYCLE | WARNING
        gone |= 0 if self.status[code] & FAILED_THIS_CYCLE else PENDING
        self.status[code] &= ~gone

    def _with(self, mask: int) -> Iterator[int]:
        return (code for code, bits in self.status.items() if bits & mask & self.availability)

    def _listed(self, codes: Iterable[int]) -> bytes:
        rows = (code.to_bytes(3) + bytes((self.status[code] & self.availability,)) for code in codes)
        return bytes((self.availability,)) + b"".join(rows)

    def _known(self, three: bytes) -> int:
        code = int.from_bytes(three)
        want(code in self.status, OUT_OF_RANGE)
        return code

    def _snapshot(self, code: int, record: int) -> bytes:
        want(record in (0x01, 0xFF), OUT_OF_RANGE)
        kept = self.snapshots.get(code)
        return b"" if kept is None else b"\x01" + kept

    def _extended(self, code: int, record: int) -> bytes:
        """Record 1 is how often the fault came."""
        want(record in (0x01, 0xFF), OUT_OF_RANGE)
        return bytes((0x01, self.came[code])) if self.came[code] else b""
