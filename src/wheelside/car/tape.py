"""Recordings of a conversation in the usual CAN log formats, and answering from them without a car."""

from __future__ import annotations

import struct
import zlib
from collections import deque
from collections.abc import Callable, Iterable
from contextlib import ExitStack
from itertools import islice
from pathlib import Path

import can
from can.io.blf import BLFParseError

from wheelside.car.frames import LONGEST, Frame, Time
from wheelside.car.tape_size import MOST_FRAMES, refuse_large, too_large
from wheelside.errors import BadRequest, Outside

FORMATS = (".asc", ".blf", ".csv", ".log", ".trc")


class Tape:
    """Writes frames to a file as they are seen; its ending names the format. VINs are in recordings, as they were on the bus.

    `clock`: seconds since 1970 in UTC, noted with each frame.
    """

    def __init__(self, file: Path, clock: Callable[[], float]) -> None:
        if file.suffix not in FORMATS:
            raise BadRequest(
                f"{file}: recordings end with one of {', '.join(FORMATS)}", found=file.suffix, expected=FORMATS[3]
            )
        if file.exists():
            raise BadRequest(f"{file} is there already; name another file", found=str(file), expected="a new file")
        self.clock, self.broken = clock, ""
        try:
            self.log = can.Logger(file)
        except OSError as error:
            raise Outside(f"writing {file}: {error.strerror or error}; look at the folder") from error

    def heard(self, frame: Frame, sent: bool) -> None:
        """Writes one frame. A file that takes no more ends the recording, and nothing else: `broken` says why."""
        message = can.Message(
            timestamp=self.clock(),
            arbitration_id=frame.can_id,
            data=frame.data,
            is_extended_id=frame.wide,
            is_rx=not sent,
            channel=0,
        )
        if self.broken:
            return
        try:
            self.log.on_message_received(message)
        except (OSError, ValueError) as error:
            self.broken = str(error)

    def close(self) -> None:
        """Ends the recording."""
        try:
            self.log.stop()
        except (OSError, ValueError) as error:
            self.broken = self.broken or str(error)


def read_tape(file: Path) -> tuple[Frame, ...]:
    """The data frames of a recording. Raises BadRequest for what is none, Outside."""
    if file.suffix not in FORMATS:
        raise BadRequest(
            f"{file}: recordings end with one of {', '.join(FORMATS)}", found=file.suffix, expected=FORMATS[3]
        )
    try:
        refuse_large(file)
        with ExitStack() as open_files:
            frames = (_frame(m) for m in _reader(file, open_files))
            some = list(islice(frames, MOST_FRAMES + 1))
        if len(some) > MOST_FRAMES:
            raise too_large(file, f"more than {MOST_FRAMES} frames")
        found = tuple(frame for frame in some if frame is not None)
    except FileNotFoundError as error:
        raise Outside(f"there is no file {file}") from error
    except _UNREADABLE as error:
        raise BadRequest(
            f"{file} can't be read as a recording: {error}", found=str(file), expected="a CAN log"
        ) from error
    if not found:
        raise BadRequest(f"{file} holds no frames that can be read", found=str(file), expected="a CAN log with frames")
    return found


_UNREADABLE = (
    OSError, ValueError, IndexError, KeyError, TypeError, AssertionError, OverflowError, struct.error, zlib.error, can.CanError, BLFParseError,
)  # fmt: skip


def _reader(file: Path, open_files: ExitStack) -> Iterable[can.Message]:
    """What reads a recording; its file is closed whatever becomes of it."""
    if file.suffix == ".blf":
        return open_files.enter_context(can.BLFReader(open_files.enter_context(file.open("rb"))))
    return open_files.enter_context(can.LogReader(file))


def _frame(message: can.Message) -> Frame | None:
    return (
        Frame(message.arbitration_id, bytes(message.data), message.is_extended_id, message.timestamp)
        if _counts(message)
        else None
    )


def _counts(message: can.Message) -> bool:
    """Whether a line of a recording is a data frame that a bus could have carried."""
    if message.is_error_frame or message.is_remote_frame or len(message.data) > LONGEST:
        return False
    return 0 <= message.arbitration_id < 1 << (29 if message.is_extended_id else 11)


class Replay:
    """A link that answers from a recording: after a frame that was sent then, come the frames that came then.

    What belongs to a longer message is told apart by that message's first frame, whoever sent it. Frames that are neither requests nor
    answers are broadcasts: each can be received once, while its identifier is listened to.

    Nobody waits for a recording: its clock runs on by itself where nothing more comes.
    """

    def __init__(self, frames: Iterable[Frame], request: int, answer: int) -> None:
        kept = tuple(frames)
        self.script = _script(kept, request, answer)
        self.broadcasts = [one for one in kept if one.can_id not in (answer, request)]
        self.come: deque[Frame] = deque()
        self.used: dict[bytes, int] = {}
        self.within = b""
        self.at_s = 0.0
        self.time = Time(lambda: self.at_s, self._pass)

    def _pass(self, seconds: float) -> None:
        self.at_s += seconds

    def send(self, frame: Frame) -> None:
        """What came after this frame in the recording comes now; nothing where it was never sent."""
        key, self.within = _key(frame, self.within)
        turns = self.script.get(key, ())
        if not turns:
            return
        turn = min(self.used.get(key, 0), len(turns) - 1)
        self.used[key] = turn + 1
        self.come.extend(turns[turn])
        self.within = _within(turns[turn], self.within)

    def receive(self, timeout_s: float) -> Frame | None:
        """The next frame of the recording."""
        if self.come:
            return self.come.popleft()
        self._pass(timeout_s)
        return None

    def listen_to(self, answer: int, *, wide: bool) -> None:
        """A recording has what it has."""

    def monitor(self, can_id: int, *, wide: bool) -> None:
        """The broadcasts with this identifier come now, and never again."""
        wanted = [one for one in self.broadcasts if (one.can_id, one.wide) == (can_id, wide)]
        self.broadcasts = [one for one in self.broadcasts if (one.can_id, one.wide) != (can_id, wide)]
        self.come = deque(wanted)

    def over(self) -> bool:
        """Whether all that was recorded has come."""
        return not self.come

    def supply_v(self) -> float | None:
        """A recording measures none."""
        return None

    def close(self) -> None:
        """Nothing to let go of."""


_PADDING = b"\xcc\x00\xaa\x55\xff"


def _key(frame: Frame, within: bytes) -> tuple[bytes, bytes]:
    """By what a frame that was sent is found again, and the message that it is within."""
    bare = frame.data.rstrip(_PADDING)
    if frame.data[:1] and frame.data[0] >> 4 in (2, 3):
        return within + bare, within
    return bare, bare


def _within(came: Iterable[Frame], within: bytes) -> bytes:
    """The message that later frames are within: that of the newest first frame."""
    firsts = [frame.data for frame in came if frame.data[:1] and frame.data[0] >> 4 == 1]
    return firsts[-1] if firsts else within


def _script(frames: tuple[Frame, ...], request: int, answer: int) -> dict[bytes, list[list[Frame]]]:
    """For each frame that was sent to the unit: what the unit sent after it until the next one, each time that it was sent."""
    script: dict[bytes, list[list[Frame]]] = {}
    current: list[Frame] | None = None
    within = b""
    for frame in frames:
        if frame.can_id == answer and current is not None:
            current.append(frame)
            within = _within((frame,), within)
        elif frame.can_id == request:
            current = []
            key, within = _key(frame, within)
            script.setdefault(key, []).append(current)
    return script
