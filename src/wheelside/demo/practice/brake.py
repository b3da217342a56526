"""A brake unit that says who it is and refuses everything else: a neighbour of the monitor."""

from __future__ import annotations

from wheelside.demo.practice.uds import (
    OUT_OF_RANGE,
    SERVICE_NOT_SUPPORTED,
    SUB_FUNCTION_NOT_SUPPORTED,
    WRONG_LENGTH,
    Reply,
    served,
    want,
    want_length,
)
from wheelside.demo.practice.wheels import Around

AFTER_S = 0.008
AVAILABILITY = 0x7F
NAME = b"BRAKE CONTROL"


class BrakeUnit:
    """Reads F190, F18C and F197, lists its codes, of which there are none. Silent without ignition."""

    def __init__(self, vin: str, around: Around, serial: str = "BR3P119002") -> None:
        self.around = around
        self._held = {b"\xf1\x90": vin.encode("ascii"), b"\xf1\x8c": serial.encode("ascii"), b"\xf1\x97": NAME}

    def answer(self, request: bytes, now_s: float, functional: bool = False) -> tuple[Reply, ...]:
        """The answer to one request, if any."""
        if not request or not self.around.ignition:
            return ()
        data = served(self._serve, request, functional=functional)
        return () if data is None else (Reply(AFTER_S, data),)

    def _serve(self, request: bytes) -> bytes:
        want(request[0] in (0x19, 0x22), SERVICE_NOT_SUPPORTED)
        if request[0] == 0x22:
            want_length(request, 3)
            want(request[1:] in self._held, OUT_OF_RANGE)
            return b"\x62" + request[1:] + self._held[request[1:]]
        want(len(request) >= 2, WRONG_LENGTH)
        want(request[1] == 0x02, SUB_FUNCTION_NOT_SUPPORTED)
        want_length(request, 3)
        return bytes((0x59, 0x02, AVAILABILITY))
