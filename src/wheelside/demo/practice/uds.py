"""What units that speak ISO 14229-1 have in common: replies, refusals, and when silence is wanted."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

GENERAL_REJECT = 0x10
SERVICE_NOT_SUPPORTED = 0x11
SUB_FUNCTION_NOT_SUPPORTED = 0x12
WRONG_LENGTH = 0x13
CONDITIONS_NOT_CORRECT = 0x22
SEQUENCE_ERROR = 0x24
OUT_OF_RANGE = 0x31
PROGRAMMING_FAILURE = 0x72
RESPONSE_PENDING = 0x78
SUB_FUNCTION_NOT_IN_SESSION = 0x7E
SERVICE_NOT_IN_SESSION = 0x7F

SILENT = frozenset(
    {
        SERVICE_NOT_SUPPORTED,
        SUB_FUNCTION_NOT_SUPPORTED,
        OUT_OF_RANGE,
        SUB_FUNCTION_NOT_IN_SESSION,
        SERVICE_NOT_IN_SESSION,
    }
)
"""Refusals that are not sent when the request went to all units (11, 12, 31: seen; 7E, 7F: from memory)."""

WITH_SUB_FUNCTION = frozenset({0x10, 0x19, 0x31, 0x3E})
"""Services whose second byte is a sub-function; its bit 7 suppresses the positive reply."""


class Reply(NamedTuple):
    """One answer, and how many seconds after the request it starts."""

    after_s: float
    data: bytes


class RefusedRequest(Exception):
    """A request is refused, with the response code that says why."""

    def __init__(self, code: int) -> None:
        super().__init__(f"refused with {code:02X}")
        self.code = code


def refused(service: int, code: int) -> bytes:
    """The negative reply: 7F, the service, the code."""
    return bytes((0x7F, service, code))


def want(holds: bool, code: int) -> None:
    """Raises the refusal unless something holds."""
    if not holds:
        raise RefusedRequest(code)


def want_length(request: bytes, length: int) -> None:
    """Raises incorrectMessageLengthOrInvalidFormat unless a request is that long."""
    want(len(request) == length, WRONG_LENGTH)


def without_suppression(request: bytes) -> tuple[bytes, bool]:
    """A request with bit 7 of its sub-function taken out, and whether it was there."""
    if len(request) < 2 or request[0] not in WITH_SUB_FUNCTION:
        return request, False
    return bytes((request[0], request[1] & 0x7F)) + request[2:], bool(request[1] & 0x80)


def served(
    serve: Callable[[bytes], bytes], request: bytes, *, functional: bool = False, late: bool = False
) -> bytes | None:
    """The answer that a unit gives, positive or negative; None where it keeps silent. `late`: an answer was announced."""
    plain, suppress = without_suppression(request)
    try:
        data = serve(plain)
    except RefusedRequest as refusal:
        if functional and refusal.code in SILENT:
            return None
        return refused(request[0], refusal.code)
    return None if suppress and not late else data
