"""Adapters with the common AT command set, over a serial port, Bluetooth serial, or TCP: frames in and out as text.

The adapter is told to leave segments alone (CAF0) and flow control to us (CFC0), so that one layer does ISO 15765-2 for every link. It
listens only while a command lasts: after what was sent, and in between by asking it to wait for frames again.
"""

from __future__ import annotations

import contextlib
import re
from collections import deque
from typing import Any

import serial

from wheelside.car.frames import Frame, LinkLost, Time
from wheelside.car.vin import without_vins

PROMPT = b">"
BAUD = 38400
ANSWER_S, RESET_S = 2.0, 4.0
PROMPT_S = 0.3
"""An adapter that has said OK, or was told to stop, gives its prompt at once; after so long it is taken as lost."""
SYNC_S, SYNC_TRIES = 1.0, 3
OLD_S, IDLE_S = 0.2, 0.002
LONGEST_LINE = 4096
_HEX = re.compile(rb"[0-9A-Fa-f ]+")
_TROUBLE = (
    b"CAN ERROR",
    b"BUS ERROR",
    b"BUS BUSY",
    b"UNABLE TO CONNECT",
    b"FB ERROR",
    b"LV RESET",
    b"LP ALERT",
)
_FAULT = re.compile(rb"ERR\d\d")
_NOTHING = (
    b"NO DATA",
    b"STOPPED",
    b"OK",
    b"SEARCHING...",
    b"?",
    b"BUS INIT: OK",
    b"BUFFER FULL",
)
_MARRED = (b"<RX ERROR", b"<DATA ERROR", b"DATA ERROR")


class AtFrames:
    """Frames through an AT adapter. Raises LinkLost where it does not answer as such a one does."""

    def __init__(self, port: str, time: Time) -> None:
        self.time = time
        try:
            self.port: Any = serial.serial_for_url(port, baudrate=BAUD, timeout=0.02, write_timeout=1.0, exclusive=True)
        except (OSError, ValueError) as error:
            raise LinkLost(
                f"the adapter at {port} can't be opened: {error}; look at plug, pairing and permissions"
            ) from error
        self.buffer = b""
        self.come: deque[Frame] = deque()
        self.header: int | None = None
        self.wide = False
        self.waiting = False
        self.prompted = True
        self.monitors = True
        self.only_listens = False
        try:
            self._set_up()
        except BaseException:
            self.close()
            raise

    def _set_up(self) -> None:
        self._reset()
        for command in ("ATE0", "ATL0", "ATS1", "ATH1", "ATSP6", "ATCAF0", "ATCFC0", "ATSTFF"):
            self._certain(command)

    def _reset(self) -> None:
        """Resets the adapter. One that somebody left while it waited for frames is stopped first, or it would take the A of ATZ for the stop."""
        self._write(b" ")
        if b"STOPPED" in self._talk("ATZ", RESET_S, wanted=False):
            self._until_prompt(RESET_S, wanted=False)
        self.come.clear()
        self.monitors = True

    def _certain(self, command: str) -> None:
        """Sends a setting until it is acknowledged, three times at most."""
        for _ in range(3):
            if b"OK" in self._talk(command, ANSWER_S, wanted=False):
                return
        raise LinkLost(
            f"the adapter does not acknowledge {command}: it is none with the common AT commands, or the wrong speed was set"
        )

    def _talk(self, command: str, limit_s: float, *, wanted: bool = True) -> bytes:
        """What came between a command and its prompt. Without a prompt in time: '' where it is not `wanted`, else LinkLost."""
        self._interrupt()
        self._write(command.encode("ascii") + b"\r")
        return self._until_prompt(limit_s, wanted=wanted)

    def _write(self, data: bytes) -> None:
        try:
            self.port.write(data)
        except (OSError, serial.SerialException) as error:
            raise LinkLost(f"the adapter takes nothing any more: {error}; look at plug and pairing") from error

    def _read(self) -> bytes:
        try:
            data: bytes = self.port.read(1)
            while data and len(data) < LONGEST_LINE and (more := self.port.in_waiting):
                data += self.port.read(more)
        except (OSError, serial.SerialException, TypeError) as error:
            raise LinkLost(f"the adapter says nothing any more: {error}; look at plug and pairing") from error
        return data.replace(b"\0", b"")

    def _in_waiting(self) -> bool:
        try:
            return bool(self.port.in_waiting)
        except (OSError, serial.SerialException, TypeError) as error:
            raise LinkLost(f"the adapter says nothing any more: {error}; look at plug and pairing") from error

    def _until_prompt(self, limit_s: float, *, wanted: bool) -> bytes:
        """What comes before the next prompt; `prompted` says whether one came. Raises LinkLost where one is wanted and none comes in time."""
        end, acknowledged = self.time.seconds() + limit_s, False
        while PROMPT not in self.buffer:
            if not acknowledged and b"OK\r" in self.buffer:
                acknowledged, end = True, min(end, self.time.seconds() + PROMPT_S)
            if self.time.seconds() > end:
                said, self.buffer, self.prompted = self.buffer, b"", False
                if wanted:
                    raise LinkLost("the adapter gave no prompt in time; unplug it, wait a few seconds, try again")
                return said
            self.buffer += self._read()
            if len(self.buffer) > 64 * LONGEST_LINE:
                self.buffer = self.buffer[-LONGEST_LINE:]
        said, _, self.buffer = self.buffer.partition(PROMPT)
        self.prompted = True
        return said

    def _interrupt(self) -> None:
        """Ends the wait that is going on, so that a command can be given; frames that came meanwhile are kept.

        By a blank: any character ends a wait, and at a prompt blanks count for nothing, where an empty line would repeat the last command.
        """
        self._take_in()
        if not self.waiting:
            return
        self._write(b" ")
        self._take(self._until_prompt(PROMPT_S, wanted=False))
        if not self.prompted:
            self._find_prompt()
        self.waiting = False

    def _find_prompt(self) -> None:
        """Has the adapter give a prompt by asking what it is, which harms nothing. Raises LinkLost where none comes."""
        for _ in range(SYNC_TRIES):
            self._write(b"ATI\r")
            self._take(self._until_prompt(SYNC_S, wanted=False))
            if self.prompted:
                return
        raise LinkLost("the adapter gives no prompt any more; unplug it, wait a few seconds, try again")

    def _take(self, said: bytes) -> None:
        """Keeps the frames among lines that came."""
        for line in re.split(rb"[\r\n]+", said):
            frame = self._frame(line.strip())
            if frame is not None:
                self.come.append(frame)

    def _frame(self, line: bytes) -> Frame | None:
        if not line or any(line.startswith(word) for word in _NOTHING):
            return None
        if any(word in line for word in _MARRED):
            return None
        if any(word in line for word in _TROUBLE) or _FAULT.search(line):
            raise LinkLost(
                f"the adapter says {without_vins(line.decode('ascii', 'replace'))!r}: it does not reach the bus; is the ignition on?"
            )
        parts = line.split()
        if not _HEX.fullmatch(line) or not parts:
            return None
        if self.wide:
            head, rest = parts[:4], parts[4:]
        else:
            head, rest = parts[:1], parts[1:]
        digits = b"".join(head)
        if len(digits) != (8 if self.wide else 3) or any(len(p) != 2 for p in rest) or len(rest) > 8:
            return None
        return Frame(int(digits, 16), bytes(int(p, 16) for p in rest), self.wide, self.time.seconds())

    def send(self, frame: Frame) -> None:
        """Sends one frame, and goes on listening."""
        if self.header != frame.can_id or self.wide != frame.wide:
            self._address(frame)
        self._interrupt()
        self._write(frame.data.hex().upper().encode() + b"\r")
        self.waiting = True

    def _address(self, frame: Frame) -> None:
        if self.wide != frame.wide:
            self._certain("ATSP7" if frame.wide else "ATSP6")
            self._certain("ATCAF0")
        self.wide = frame.wide
        if frame.wide:
            self._certain(f"ATCP{frame.can_id >> 24:02X}")
        self._certain(f"ATSH{frame.can_id & 0xFFFFFF:06X}" if frame.wide else f"ATSH{frame.can_id:03X}")
        self.header = frame.can_id

    def listen_to(self, answer: int, *, wide: bool) -> None:
        """Lets only frames with this identifier through."""
        if self.wide != wide:
            self._certain("ATSP7" if wide else "ATSP6")
            self._certain("ATCAF0")
            self.wide, self.header = wide, None
        self._certain(f"ATCRA{answer:08X}" if wide else f"ATCRA{answer:03X}")

    def monitor(self, can_id: int, *, wide: bool) -> None:
        """Lets only frames with this identifier through, and has the adapter wait for them; what came before is dropped."""
        self.listen_to(can_id, wide=wide)
        self.come.clear()
        self.only_listens = True
        if not self._listen_again():
            raise LinkLost("the adapter does not take ATMA, by which broadcasts are listened to; try another one")

    def over(self) -> bool:
        """More can always come."""
        return False

    def receive(self, timeout_s: float) -> Frame | None:
        """The next frame that came, or comes while the adapter still listens. With no time to wait it is not told to listen again."""
        if timeout_s <= 0:
            self._take_in()
            return self.come.popleft() if self.come else None
        end = self.time.seconds() + timeout_s
        while not self.come:
            left = end - self.time.seconds()
            if left <= 0:
                return None
            if self.waiting or self._listen_again():
                self.buffer += self._read()
                self._split()
            else:
                self.time.wait(min(left, IDLE_S))
        return self.come.popleft()

    def _take_in(self) -> None:
        """Takes what has come already; for no longer than OLD_S."""
        end = self.time.seconds() + OLD_S
        while self._in_waiting() and self.time.seconds() < end:
            self.buffer += self._read()
        self._split()

    def _listen_again(self) -> bool:
        """Has the adapter wait for frames once more, where it can and something was asked before."""
        if not self.monitors or (self.header is None and not self.only_listens):
            return False
        self._write(b"ATMA\r")
        self.waiting = True
        return True

    def _split(self) -> None:
        """Takes whole lines off the buffer; a prompt ends the wait."""
        while True:
            cut = re.search(rb"[\r\n>]", self.buffer)
            if cut is None:
                return
            line, sign, self.buffer = self.buffer[: cut.start()], cut.group(), self.buffer[cut.end() :]
            if line.strip() == b"?" and sign != PROMPT:
                self.monitors = False
            self._take(line)
            if sign == PROMPT:
                self.waiting = False

    def supply_v(self) -> float | None:
        """The voltage at the port, ATRV."""
        said = self._talk("ATRV", ANSWER_S, wanted=False)
        found = re.search(rb"(\d{1,2}\.\d)\s*V", said)
        return float(found[1]) if found else None

    def close(self) -> None:
        """Ends the wait that is going on, by a sign that repeats no command, and closes the port."""
        with contextlib.suppress(Exception):
            if self.waiting:
                self.port.write(b" ")
        socket = getattr(self.port, "_socket", None)
        with contextlib.suppress(Exception):
            self.port.close()
        if socket is not None:
            socket.close()  # pyserial leaves it open where the other side has gone first
