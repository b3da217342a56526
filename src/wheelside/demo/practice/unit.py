"""The tyre monitor's control unit, as its service sheet tells it: a plain state machine without threads and clock."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from wheelside.demo.practice.codes import WARNING, UnitCodes
from wheelside.demo.practice.habits import Habits
from wheelside.demo.practice.teaching import NEEDED_MV, TwoLists
from wheelside.demo.practice.uds import (
    CONDITIONS_NOT_CORRECT,
    OUT_OF_RANGE,
    SERVICE_NOT_IN_SESSION,
    SERVICE_NOT_SUPPORTED,
    SUB_FUNCTION_NOT_IN_SESSION,
    SUB_FUNCTION_NOT_SUPPORTED,
    WRONG_LENGTH,
    Reply,
    served,
    want,
    want_length,
)
from wheelside.demo.practice.wheels import (
    NO_IDS,
    NO_WHEELS,
    SEA_LEVEL_KPA,
    Around,
    Ids,
    Wheels,
    batteries,
    bytes_of,
    heard_by,
    pressures,
    temperatures,
)

DEFAULT, EXTENDED = 0x01, 0x03
SESSION_S = 5.0
NO_SIGNAL = (0x5A1031, 0x5A1131, 0x5A1231, 0x5A1331)
"""C1A10-31 to C1A13-31, by corner."""
SUPPLY_LOW = 0x5A2016
NO_BODY_UNIT = 0xC14000
UNTROUBLED: Mapping[int, int] = dict.fromkeys((*NO_SIGNAL, NO_BODY_UNIT), 0x00) | {SUPPLY_LOW: 0x50}
"""All tests passed, but for the one that only teaching makes."""
ROUTINE = b"\x03\x10"
LISTS = {0x2110: 1, 0x2111: 2}
MOST_AT_ONCE = 8
NAME = b"TYRE MONITOR"
"""What it calls itself: system name, identifier F197."""


class PracticeUnit:
    """The monitor. `fitted` is what is on the car, `heard` what it has received at each place of the watched list.

    Attributes may be changed by hand: `around` for speed, ignition and supply, `watched`, `codes`, `teaching`.
    """

    def __init__(
        self,
        vin: str,
        around: Around,
        *,
        serial: str = "TM7K004213",
        lists: Mapping[int, Ids] | None = None,
        fitted: Wheels = NO_WHEELS,
        codes: Mapping[int, int] = UNTROUBLED,
        warns_at_kpa: tuple[float, float] = (172.5, 165.0),
        habits: Habits | None = None,
    ) -> None:
        self.vin, self.serial = vin, serial
        self.around = around
        self.habits = habits or Habits()
        self.teaching = TwoLists({1: NO_IDS, 2: NO_IDS} | dict(lists or {}), around, self.habits)
        self.watched = 1
        self.fitted, self.heard = fitted, NO_WHEELS
        self.codes = UnitCodes(codes)
        self.warns_at_kpa = warns_at_kpa
        self.session = DEFAULT
        self._minutes = 0.0
        self._requests = 0
        self._quiet_since = 0.0

    @property
    def lamp(self) -> int:
        """0 off, 1 steady, 2 flashing."""
        if any(bits & WARNING for bits in self.codes.status.values()):
            return 2
        front, rear = self.warns_at_kpa
        limits = (front, front, rear, rear)
        low = (w is not None and w.kpa - SEA_LEVEL_KPA < limit for w, limit in zip(self.heard, limits, strict=True))
        return int(any(low))

    def fit(self, wheels: Wheels) -> None:
        """Other wheels are put on: nothing is heard of them yet."""
        self.fitted = wheels
        self._forget()

    def drive(self, minutes: float, km_h: float) -> None:
        """A drive at one speed, after which the car stands as before; a session ends. Minutes above 25 km/h add up."""
        self.end_session()
        ignition, self.around.ignition, self.around.speed_kmh = self.around.ignition, 2, round(km_h)
        self.codes.begin_cycle()
        if km_h > 25:
            self._minutes += minutes
        if self._minutes >= 10:
            self._judge()
        self.around.ignition, self.around.speed_kmh = ignition, 0

    def end_session(self) -> None:
        """Back to the default session; teaching that was begun is broken off."""
        self.session = DEFAULT
        if not self.habits.keeps_begun:
            self.teaching.break_off()

    def answer(self, request: bytes, now_s: float, functional: bool = False) -> tuple[Reply, ...]:
        """The answers to one request; none where silence is right, or a habit."""
        habits = self.habits
        self._requests += 1
        if not request or (habits.ignore_every and self._requests % habits.ignore_every == 0):
            return ()
        if now_s - self._quiet_since > SESSION_S or self._requests == habits.reset_at:
            self.end_session()
        if self._requests == habits.reset_at:
            self._forget()
            return ()
        late = habits.hesitates(request[0])
        replies = habits.timed(request[0], served(self._serve, request, functional=functional, late=late))
        self._quiet_since = now_s + (replies[-1].after_s if replies else 0)
        return replies

    def _serve(self, request: bytes) -> bytes:
        services: dict[int, Callable[[bytes], bytes]] = {
            0x10: self._control,
            0x14: self._clear,
            0x19: self.codes.report,
            0x22: self._read,
            0x2E: self._write,
            0x31: self._routine,
            0x3E: self._present,
        }
        want(request[0] in services, SERVICE_NOT_SUPPORTED)
        return services[request[0]](request)

    def _control(self, request: bytes) -> bytes:
        want(len(request) >= 2, WRONG_LENGTH)
        want(request[1] in (DEFAULT, EXTENDED), SUB_FUNCTION_NOT_SUPPORTED)
        want_length(request, 2)
        if request[1] == DEFAULT:
            self.end_session()
        self.session = request[1]
        return bytes((0x50, request[1])) + bytes.fromhex("0032 01F4")

    def _present(self, request: bytes) -> bytes:
        want(len(request) >= 2, WRONG_LENGTH)
        want(request[1] == 0, SUB_FUNCTION_NOT_SUPPORTED)
        want_length(request, 2)
        return b"\x7e\x00"

    def _clear(self, request: bytes) -> bytes:
        want_length(request, 4)
        want(self.around.speed_kmh <= 5, CONDITIONS_NOT_CORRECT)
        return self.codes.clear(request)

    def _read(self, request: bytes) -> bytes:
        want(len(request) % 2 == 1 and 3 <= len(request) <= 1 + 2 * MOST_AT_ONCE, WRONG_LENGTH)
        held = self._held()
        wanted = [int.from_bytes(request[n : n + 2]) for n in range(1, len(request), 2)]
        found = [number.to_bytes(2) + held[number] for number in wanted if number in held]
        want(bool(found), OUT_OF_RANGE)
        return b"\x62" + b"".join(found)

    def _held(self) -> dict[int, bytes]:
        limits = b"".join(round(kpa * 10).to_bytes(2) for kpa in self.warns_at_kpa)
        return {
            0xF190: self.vin.encode("ascii"),
            0xF18C: self.serial.encode("ascii"),
            0xF197: NAME,
            0x2110: bytes_of(self.teaching.lists[1]),
            0x2111: bytes_of(self.teaching.lists[2]),
            0x2112: bytes((self.watched,)),
            0x2120: pressures(self.heard),
            0x2121: temperatures(self.heard),
            0x2122: batteries(self.heard),
            0x2130: limits,
            0x2140: bytes((self.lamp,)),
            0x2150: bytes((self.teaching.state,)),
            0x2160: bytes((self.around.ignition,)),
            0xF40D: bytes((min(255, self.around.speed_kmh),)),
            0xF442: self.around.supply_mv.to_bytes(2),
        }

    def _write(self, request: bytes) -> bytes:
        want(self.session == EXTENDED, SERVICE_NOT_IN_SESSION)
        want(len(request) >= 4, WRONG_LENGTH)
        number = int.from_bytes(request[1:3])
        want(number in LISTS, OUT_OF_RANGE)
        want_length(request, 19)
        self._taught(lambda: self.teaching.write(LISTS[number], request[3:]))
        return b"\x6e" + request[1:3]

    def _routine(self, request: bytes) -> bytes:
        want(len(request) >= 4, WRONG_LENGTH)
        sub = request[1]
        want(sub in (0x01, 0x02, 0x03), SUB_FUNCTION_NOT_SUPPORTED)
        want(sub == 0x03 or self.session == EXTENDED, SUB_FUNCTION_NOT_IN_SESSION)
        want(request[2:4] == ROUTINE, OUT_OF_RANGE)
        want_length(request, 5 if sub == 0x01 else 4)
        if sub == 0x03:
            return bytes((0x71, sub)) + ROUTINE + bytes((self.teaching.result,))
        if sub == 0x01:
            want(request[4] in self.teaching.lists, OUT_OF_RANGE)
            self._taught(lambda: self.teaching.start(request[4]))
        else:
            self._taught(self._stop)
        return bytes((0x71, sub)) + ROUTINE

    def _stop(self) -> None:
        self.watched = self.teaching.stop()
        if self.around.supply_mv >= NEEDED_MV:
            self.codes.settle(SUPPLY_LOW)

    def _taught(self, step: Callable[[], None]) -> None:
        """One step of teaching; what was heard belongs to the list before it."""
        before = dict(self.teaching.lists)
        try:
            step()
        finally:
            if self.teaching.low_supply:
                self.teaching.low_supply = False
                self._note(SUPPLY_LOW, warns=False)
            if self.teaching.lists != before:
                self._forget()

    def _judge(self) -> None:
        ids = self.teaching.lists[self.watched] if self.watched in self.teaching.counting else NO_IDS
        self.heard = heard_by(ids, self.fitted)
        missing = [code for code, wheel in zip(NO_SIGNAL, self.heard, strict=True) if wheel is None]
        for code in NO_SIGNAL:
            if code not in missing:
                self.codes.settle(code)
        self.codes.settle(NO_BODY_UNIT)
        for code in missing:
            self._note(code, warns=True)

    def _note(self, code: int, *, warns: bool) -> None:
        self.codes.fail(code, warns=warns)
        held = self._held()
        rows = b"".join(number.to_bytes(2) + held[number] for number in (0xF40D, 0xF442, 0x2140))
        self.codes.snapshots[code] = b"\x03" + rows

    def _forget(self) -> None:
        self.heard = NO_WHEELS
        self._minutes = 0.0
