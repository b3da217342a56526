"""Messages in frames of 8 bytes and back, ISO 15765-2: plain objects that are fed with frames and times."""

from __future__ import annotations

from dataclasses import dataclass

SINGLE, FIRST, NEXT, FLOW = range(4)
CLEAR, WAIT, OVERFLOW = range(3)
TIMEOUT_S = 1.0
"""N_Bs and N_Cr, from memory."""
RESERVED_S = 0.127
"""What a reserved gap is taken for, from memory."""

Timed = tuple[float, bytes]
"""After how many seconds, and the frame."""


@dataclass(frozen=True, slots=True)
class Manner:
    """How one side sends and asks: see Habits."""

    padding: int | None = 0xCC
    st_min: int = 0
    block_size: int = 0
    waits: int = 0
    wait_s: float = 0.1
    capacity: int = 4095


def gap_s(byte: int) -> float:
    """The gap that a byte of flow control asks for, in seconds."""
    if byte <= 0x7F:
        return byte / 1000
    return (byte - 0xF0) / 10_000 if 0xF1 <= byte <= 0xF9 else RESERVED_S


def padded(frame: bytes, padding: int | None) -> bytes:
    """A frame filled up to 8 bytes."""
    return frame if padding is None else frame + bytes((padding,)) * (8 - len(frame))


def single(message: bytes) -> bytes:
    """A message of up to 7 bytes as one frame, not filled up."""
    return bytes((len(message),)) + message


def read_single(frame: bytes) -> bytes | None:
    """The message in a single frame; None where it is none, or a malformed one."""
    if not frame or frame[0] >> 4 != SINGLE:
        return None
    length = frame[0]
    return frame[1 : 1 + length] if 1 <= length <= 7 and len(frame) > length else None


def read_first(frame: bytes) -> tuple[int, bytes] | None:
    """The length of the message that a first frame announces, and its beginning."""
    if len(frame) != 8 or frame[0] >> 4 != FIRST:
        return None
    length = int.from_bytes(frame[:2]) & 0xFFF
    if length:
        return (length, frame[2:]) if length > 7 else None
    length = int.from_bytes(frame[2:6])
    return (length, frame[6:]) if length > 4095 else None


def _announced(length: int) -> bytes:
    """How a first frame begins: 12 bits, or none of them and 32 bits."""
    return (0x1000 | length).to_bytes(2) if length <= 4095 else b"\x10\x00" + length.to_bytes(4)


class Sender:
    """Sends one message at a time and obeys flow control."""

    def __init__(self, manner: Manner) -> None:
        self._manner = manner
        self._rest = b""
        self._number = 0
        self._waits_since: float | None = None

    @property
    def busy(self) -> bool:
        """Whether a message is waiting for flow control."""
        return self._waits_since is not None

    def start(self, message: bytes, now_s: float) -> bytes:
        """The first frame of a message, or its only one; `now_s` is when it goes out. Forgets what was unfinished."""
        self.stop()
        if len(message) <= 7:
            return padded(single(message), self._manner.padding)
        head = _announced(len(message))
        cut = 8 - len(head)
        self._rest, self._number, self._waits_since = message[cut:], 1, now_s
        return head + message[:cut]

    def flow(self, frame: bytes, now_s: float) -> tuple[Timed, ...]:
        """The frames that a flow control lets go."""
        if self._waits_since is None or len(frame) < 3 or frame[0] >> 4 != FLOW:
            return ()
        status = frame[0] & 0xF
        if now_s - self._waits_since > TIMEOUT_S or status > WAIT:
            self.stop()
            return ()
        if status == WAIT:
            self._waits_since = now_s
            return ()
        return self._block(frame[1], gap_s(frame[2]), now_s)

    def stop(self) -> None:
        """Forgets the message."""
        self._rest, self._waits_since = b"", None

    def _block(self, size: int, gap: float, now_s: float) -> tuple[Timed, ...]:
        out: list[Timed] = []
        while self._rest and (not size or len(out) < size):
            frame = bytes((0x20 | self._number,)) + self._rest[:7]
            out.append((len(out) * gap, padded(frame, self._manner.padding)))
            self._rest, self._number = self._rest[7:], (self._number + 1) & 0xF
        self._waits_since = now_s + out[-1][0] if self._rest else None
        return tuple(out)


class Receiver:
    """Puts messages together and sends flow control."""

    def __init__(self, manner: Manner) -> None:
        self._manner = manner
        self._have = b""
        self._length = 0
        self._number = 0
        self._in_block = 0
        self._since = 0.0

    @property
    def busy(self) -> bool:
        """Whether a message is unfinished."""
        return self._length > 0

    def feed(self, frame: bytes, now_s: float) -> tuple[tuple[Timed, ...], bytes | None]:
        """The flow control to send, and the message where this frame completes one."""
        kind = frame[0] >> 4 if frame else FLOW
        if kind == NEXT:
            return self._next(frame, now_s)
        if kind == SINGLE and (message := read_single(frame)) is not None:
            self._length = 0
            return (), message
        if kind == FIRST and (first := read_first(frame)) is not None:
            return self._first(*first, now_s), None
        return (), None

    def _first(self, length: int, begins: bytes, now_s: float) -> tuple[Timed, ...]:
        self._length = 0
        if length > self._manner.capacity:
            return ((0.0, self._control(OVERFLOW)),)
        self._length, self._have, self._number, self._in_block = length, begins, 1, 0
        gap = self._manner.wait_s
        flow = [(n * gap, self._control(WAIT)) for n in range(self._manner.waits)]
        flow.append((self._manner.waits * gap, self._control(CLEAR)))
        self._since = now_s + flow[-1][0]
        return tuple(flow)

    def _next(self, frame: bytes, now_s: float) -> tuple[tuple[Timed, ...], bytes | None]:
        if not self.busy:
            return (), None
        if now_s - self._since > TIMEOUT_S or frame[0] & 0xF != self._number:
            self._length = 0
            return (), None
        self._have += frame[1:8]
        self._number, self._in_block, self._since = (self._number + 1) & 0xF, self._in_block + 1, now_s
        if len(self._have) >= self._length:
            message, self._length = self._have[: self._length], 0
            return (), message
        if self._in_block == self._manner.block_size:
            self._in_block = 0
            return ((0.0, self._control(CLEAR)),), None
        return (), None

    def _control(self, status: int) -> bytes:
        return padded(bytes((0x30 | status, self._manner.block_size, self._manner.st_min)), self._manner.padding)
