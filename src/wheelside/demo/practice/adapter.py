"""A simulated adapter: text in, text out, with real frames to the practising car behind it.

Whole exchanges are worked out at once, in the car's time; whoever serves it waits until each piece is due.
"""

from __future__ import annotations

import heapq
from dataclasses import dataclass

from wheelside.demo.practice.car import EVERY_S, TO_ALL, PracticeCar
from wheelside.demo.practice.chip import CAN_11_500, TICK_S, UNKNOWN, AdapterSettings, Chip
from wheelside.demo.practice.habits import AdapterHabits
from wheelside.demo.practice.segments import FIRST, FLOW, NEXT, SINGLE, padded, read_first, read_single, single

PADDING = 0x00
OBD_ANSWERS = range(0x7E8, 0x7F0)
LONGEST_S = 10.0
SEARCH_S = 0.3
RUBBISH = b"\x00\xfcO\x80BD\r?"
NO_BUS = {
    "1": "NO DATA", "2": "NO DATA", "3": "BUS INIT: ...ERROR", "4": "BUS INIT: ...ERROR", "5": "BUS INIT: ERROR", "7": "NO DATA",
    "8": "CAN ERROR", "9": "CAN ERROR", "A": "CAN ERROR", "B": "CAN ERROR", "C": "CAN ERROR",
}  # fmt: skip
"""What comes of each protocol that the car does not speak."""

Piece = tuple[float, bytes]
"""After how many seconds, and what is sent."""


@dataclass(frozen=True, slots=True)
class _Line:
    after_s: float
    text: str


class Adapter:
    """One adapter in front of one car."""

    def __init__(self, car: PracticeCar, habits: AdapterHabits | None = None) -> None:
        self._habits = habits or AdapterHabits()
        self._car = car
        self._chip = Chip(
            car.around, lambda: AdapterSettings(line_feeds=self._habits.line_feeds, spaces=self._habits.spaces)
        )
        self._last = ""
        self._commands = 0
        self._asked = 0
        self._answered = False
        self._coming: list[tuple[float, int, int, bytes]] = []
        self._count = 0
        self._monitors = False

    @property
    def echoes(self) -> bool:
        """Whether characters are sent back as they come."""
        return self._chip.settings.echo or self._habits.echo_stuck

    @property
    def end_of_line(self) -> str:
        """What follows each line."""
        return "\r\n" if self._chip.settings.line_feeds else "\r"

    def line(self, text: str, now_s: float) -> tuple[Piece, ...]:
        """What a line is answered with, the prompt last. An empty line repeats the one before."""
        self._commands += 1
        asked = "".join(text.split()).upper() or self._last
        self._last = asked
        if asked == "ATZ":
            lines = [_Line(1.0 if self._habits.slow_reset else 0.3, self.end_of_line * 2 + self._chip.command("Z"))]
        elif asked == "ATMA":
            self._monitors = True
            return ()
        elif asked.startswith("AT"):
            lines = [_Line(0.0, self._chip.command(asked[2:]))]
        else:
            lines = self._request(asked, now_s)
        return self._pieces(lines, rubbish=asked == "ATZ" and self._habits.slow_reset)

    @property
    def monitors(self) -> bool:
        """Whether frames are shown as they come (ATMA), until any character comes."""
        return self._monitors

    def overheard(self, now_s: float) -> tuple[Piece, ...]:
        """While it monitors: the next frame that gets through the filter, if one is to come within one turn of the broadcast."""
        settings = self._chip.settings
        wait = EVERY_S - now_s % EVERY_S
        said = self._car.broadcast()
        while self._coming and self._coming[0][0] <= now_s + wait:
            at, _, can_id, data = heapq.heappop(self._coming)
            if at >= now_s and settings.hears(can_id):
                return self._overheard(at - now_s, can_id, data)
        if said is None or settings.now != CAN_11_500 or not settings.hears(said[0]):
            return ()
        return self._overheard(wait, *said)

    def _overheard(self, after_s: float, can_id: int, data: bytes) -> tuple[Piece, ...]:
        return tuple((after_s, (text + self.end_of_line).encode("ascii")) for text in self._shown(can_id, data))

    def interrupted(self) -> bytes:
        """What is sent when a character comes before an answer is complete."""
        self._monitors = False
        return f"STOPPED{self.end_of_line}{self.end_of_line}>".encode("ascii")

    def _pieces(self, lines: list[_Line], *, rubbish: bool) -> tuple[Piece, ...]:
        late, end = self._habits.late_s, self.end_of_line
        out = [(late, RUBBISH)] if rubbish else []
        out += [(late + line.after_s, (line.text + end).encode("ascii")) for line in lines if line.text]
        lost = self._commands == self._habits.lose_prompt_at
        return (*out, (late + lines[-1].after_s, (end + ("" if lost else ">")).encode("ascii")))

    def _request(self, asked: str, now_s: float) -> list[_Line]:
        data, answers = _read(asked)
        if not data or len(data) > (7 if self._chip.settings.formatting else 8):
            return [_Line(0.0, UNKNOWN)]
        self._asked += 1
        if self._asked == self._habits.can_error_at:
            return [_Line(TICK_S, "CAN ERROR")]
        before = self._connect(now_s)
        if self._chip.settings.now != CAN_11_500:
            return before
        start = before[-1].after_s if before else 0.0
        frame = single(data) if self._chip.settings.formatting else data
        lines, end = self._exchange(padded(frame, PADDING), now_s + start, answers)
        told = [_Line(line.after_s - now_s, line.text) for line in lines] or [_Line(end - now_s, "NO DATA")]
        return [*before, *self._marred(told), _Line(end - now_s, "")]

    def _connect(self, now_s: float) -> list[_Line]:
        """What is said before the request goes out: the search, or why it can't."""
        settings = self._chip.settings
        first, self._answered = not self._answered, True
        if settings.now == CAN_11_500:
            return [_Line(0.0, "SEARCHING...")] if first and self._habits.searching_first else []
        if not settings.auto:
            return [_Line(settings.ticks * TICK_S, NO_BUS[settings.now])]
        found = any(can_id in OBD_ANSWERS for _, can_id, _ in self._car.frames(TO_ALL, b"\x02\x01\x00", now_s))
        if found:
            settings.found = CAN_11_500
            return [_Line(0.0, "SEARCHING..."), _Line(SEARCH_S, "")]
        return [_Line(0.0, "SEARCHING..."), _Line(3 * SEARCH_S, "UNABLE TO CONNECT")]

    def _marred(self, lines: list[_Line]) -> list[_Line]:
        habits = self._habits
        if self._asked == habits.rx_error_at:
            lines = [_Line(lines[0].after_s, lines[0].text + "<RX ERROR"), *lines[1:]]
        if habits.full_after and len(lines) > habits.full_after:
            return [*lines[: habits.full_after], _Line(lines[habits.full_after].after_s, "BUFFER FULL")]
        return lines

    def _exchange(self, frame: bytes, now_s: float, answers: int) -> tuple[list[_Line], float]:
        """The lines that answer a frame, and when the wait is over; what comes later is for the next request."""
        settings, lines, heard = self._chip.settings, list[_Line](), 0
        wait = settings.ticks * TICK_S
        self._coming = [coming for coming in self._coming if coming[0] >= now_s]
        self._send(settings.header, frame, now_s)
        end = now_s + wait
        while self._coming and self._coming[0][0] <= min(end, now_s + LONGEST_S):
            at, _, can_id, data = heapq.heappop(self._coming)
            if not settings.hears(can_id):
                continue
            lines += [_Line(at, text) for text in self._shown(can_id, data)]
            heard, end = heard + 1, at + wait
            if heard == answers:
                return lines, at
            self._control(can_id, data, at)
        return lines, end

    def _send(self, can_id: int, data: bytes, now_s: float) -> None:
        for after, answer_id, answer in self._car.frames(can_id, data, now_s):
            self._count += 1
            heapq.heappush(self._coming, (now_s + after, self._count, answer_id, answer))

    def _control(self, can_id: int, data: bytes, at_s: float) -> None:
        """The adapter answers first frames itself."""
        settings = self._chip.settings
        if not settings.flow_control or read_first(data) is None:
            return
        if settings.flow_mode == 0 and self._habits.flow_for_obd_only and can_id not in OBD_ANSWERS:
            return
        header = settings.flow_header if settings.flow_mode == 1 else can_id - 8
        content = settings.flow_data if settings.flow_mode else b"\x30\x00\x00"
        self._send(header or 0, padded(content, PADDING), at_s + 0.001)

    def _shown(self, can_id: int, data: bytes) -> list[str]:
        settings = self._chip.settings
        kind = data[0] >> 4 if data else FLOW
        message = read_single(data)
        if settings.formatting and (kind > NEXT or (kind == SINGLE and message is None)):
            return []
        if settings.headers or not settings.formatting:
            shown = data[: data[0] + 1] if settings.formatting and kind == SINGLE else data
            head = [f"{can_id:03X}"] if settings.headers else []
            return [self._joined([*head, *(f"{byte:02X}" for byte in shown)])]
        if kind == SINGLE:
            return [self._hex(message or b"")]
        first = read_first(data) if kind == FIRST else None
        if first is not None:
            return [f"{first[0]:03X}", self._numbered(0, first[1])]
        return [self._numbered(data[0] & 0xF, data[1:])]

    def _numbered(self, number: int, data: bytes) -> str:
        return f"{number:X}:{' ' if self._chip.settings.spaces else ''}{self._hex(data)}"

    def _hex(self, data: bytes) -> str:
        return self._joined([f"{byte:02X}" for byte in data])

    def _joined(self, words: list[str]) -> str:
        """With spaces on, one follows each byte, the last one too."""
        return "".join(word + (" " if self._chip.settings.spaces else "") for word in words)


def _read(asked: str) -> tuple[bytes, int]:
    """The bytes of a request, and after how many frames not to wait longer: an odd last digit; 0 waits."""
    if not asked or any(sign not in "0123456789ABCDEF" for sign in asked):
        return b"", 0
    if len(asked) % 2:
        return bytes.fromhex(asked[:-1]), int(asked[-1], 16)
    return bytes.fromhex(asked), 0
