"""An engine unit that answers SAE J1979, as far as finding a unit and comparing VINs wants it."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from wheelside.demo.practice.uds import CONDITIONS_NOT_CORRECT, SERVICE_NOT_SUPPORTED, Reply, refused
from wheelside.demo.practice.wheels import Around

AFTER_S = 0.005


class EngineUnit:
    """Services 01, 03, 04, 07, 09 and 0A. Codes are two bytes each; permanent ones are not cleared.

    What it does not support it does not answer; a service it does not know is refused when it alone was asked. Silent without ignition.
    """

    def __init__(
        self,
        vin: str,
        around: Around,
        *,
        stored: Sequence[int] = (),
        pending: Sequence[int] = (),
        permanent: Sequence[int] = (),
    ) -> None:
        self.vin, self.around = vin, around
        self.stored, self.pending, self.permanent = tuple(stored), tuple(pending), tuple(permanent)

    def answer(self, request: bytes, now_s: float, functional: bool = False) -> tuple[Reply, ...]:
        """The answer to one request, if any."""
        if not request or not self.around.ignition:
            return ()
        data = self._reply(request)
        if data is None or (functional and data == refused(request[0], SERVICE_NOT_SUPPORTED)):
            return ()
        return (Reply(AFTER_S, data),)

    def _reply(self, request: bytes) -> bytes | None:
        service, rest = request[0], request[1:]
        if service == 0x01:
            return self._current(rest)
        if service == 0x09:
            return self._information(rest)
        codes = {0x03: self.stored, 0x07: self.pending, 0x0A: self.permanent}
        if service in codes:
            return None if rest else _listed(service, codes[service])
        if service == 0x04:
            return None if rest else self._clear()
        return refused(service, SERVICE_NOT_SUPPORTED)

    def _current(self, wanted: bytes) -> bytes | None:
        if not 1 <= len(wanted) <= 6:
            return None
        held = self._held()
        found = [bytes((number,)) + held[number] for number in wanted if number in held]
        return b"\x41" + b"".join(found) if found else None

    def _held(self) -> dict[int, bytes]:
        running = self.around.ignition == 2
        held = {
            0x01: bytes((len(self.stored) | (0x80 if self.stored else 0), 0x07, 0x65, 0x00)),
            0x05: b"\x5a",
            0x0C: (3200 if running else 0).to_bytes(2),
            0x0D: bytes((min(255, self.around.speed_kmh),)),
            0x42: self.around.supply_mv.to_bytes(2),
        }
        return held | {start: supported(start, {*held, 0x20, 0x40}) for start in (0x00, 0x20, 0x40)}

    def _information(self, rest: bytes) -> bytes | None:
        if rest == b"\x00":
            return b"\x49\x00" + supported(0, {0x02})
        return b"\x49\x02\x01" + self.vin.encode("ascii") if rest == b"\x02" else None

    def _clear(self) -> bytes:
        if self.around.ignition != 1:
            return refused(0x04, CONDITIONS_NOT_CORRECT)
        self.stored = self.pending = ()
        return b"\x44"


def supported(start: int, numbers: Collection[int]) -> bytes:
    """Four bytes that say which of the 32 numbers after `start` are supported, highest bit first."""
    return sum(1 << (start + 32 - number) for number in numbers if start < number <= start + 32).to_bytes(4)


def _listed(service: int, codes: Sequence[int]) -> bytes:
    """On CAN a count goes before the codes."""
    return bytes((service + 0x40, len(codes))) + b"".join(code.to_bytes(2) for code in codes)
