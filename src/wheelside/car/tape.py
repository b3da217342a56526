"""Recordings of a conversation in the usual CAN log formats, and answering from them without a car."""

from __future__ import annotations

import time
from collections import deque
from collections.abc import Iterable
from pathlib import Path

import can

from wheelside.car.frames import Frame
from wheelside.errors import BadRequest, Outside

FORMATS = (".asc", ".blf", ".csv", ".log", ".trc")


class Tape:
    """Writes frames to a file as they are seen; its ending names the format. VINs are in recordings, as they were on the bus."""

    def __init__(self, file: Path) -> None:
        if file.suffix not in FORMATS:
            raise BadRequest(
                f"{file}: recordings end with one of {', '.join(FORMATS)}", found=file.suffix, expected=FORMATS[3]
            )
        if file.exists():
            raise BadRequest(f"{file} is there already; name another file", found=str(file), expected="a new file")
        try:
            self.log = can.Logger(file)
        except OSError as error:
            raise Outside(f"writing {file}: {error.strerror or error}; look at the folder") from error

    def heard(self, frame: Frame, sent: bool) -> None:
        """Writes one frame."""
        message = can.Message(
            timestamp=time.time(),
            arbitration_id=frame.can_id,
            data=frame.data,
            is_extended_id=frame.wide,
            is_rx=not sent,
            channel=0,
        )
        self.log.on_message_received(message)

    def close(self) -> None:
        """Ends the recording."""
        self.log.stop()


def read_tape(file: Path) -> tuple[Frame, ...]:
    """The data frames of a recording. Raises BadRequest for what is none, Outside."""
    if file.suffix not in FORMATS:
        raise BadRequest(
            f"{file}: recordings end with one of {', '.join(FORMATS)}", found=file.suffix, expected=FORMATS[3]
        )
    try:
        with can.LogReader(file) as reader:
            return tuple(
                Frame(m.arbitration_id, bytes(m.data), m.is_extended_id, m.timestamp)
                for m in reader
                if not m.is_error_frame and not m.is_remote_frame and len(m.data) <= 8
            )
    except FileNotFoundError as error:
        raise Outside(f"there is no file {file}") from error
    except (
        OSError,
        ValueError,
        IndexError,
        KeyError,
        TypeError,
        AssertionError,
        UnicodeDecodeError,
        can.CanError,
    ) as error:
        raise BadRequest(
            f"{file} can't be read as a recording: {error}", found=str(file), expected="a CAN log"
        ) from error


class Replay:
    """A link that answers from a recording: after a frame that was sent then, come the frames that came then.

    With `request`, the identifier of requests, frames that are neither requests nor answers are broadcasts: each can be received once,
    while its identifier is listened to. Without it all frames that are no answers count as requests.
    """

    def __init__(self, frames: Iterable[Frame], answer: int, request: int | None = None) -> None:
        self.answer = answer
        kept = tuple(frames)
        talked = tuple(one for one in kept if request is None or one.can_id in (answer, request))
        self.script = _script(talked, answer)
        self.broadcasts = [one for one in kept if request is not None and one.can_id not in (answer, request)]
        self.come: deque[Frame] = deque()
        self.used: dict[bytes, int] = {}

    def send(self, frame: Frame) -> None:
        """What came after this frame in the recording comes now; nothing where it was never sent."""
        turns = self.script.get(frame.data.rstrip(b"\xcc\x00\xaa\x55"), ())
        if not turns:
            return
        key = frame.data.rstrip(b"\xcc\x00\xaa\x55")
        turn = min(self.used.get(key, 0), len(turns) - 1)
        self.used[key] = turn + 1
        self.come.extend(turns[turn])

    def receive(self, timeout_s: float) -> Frame | None:
        """The next frame of the recording."""
        if self.come:
            return self.come.popleft()
        time.sleep(min(timeout_s, 0.002))
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


def _script(frames: tuple[Frame, ...], answer: int) -> dict[bytes, list[list[Frame]]]:
    """For each frame that is no answer: what came after it until the next one, each time that it was sent."""
    script: dict[bytes, list[list[Frame]]] = {}
    current: list[Frame] | None = None
    for frame in frames:
        if frame.can_id == answer:
            if current is not None:
                current.append(frame)
        else:
            current = []
            script.setdefault(frame.data.rstrip(b"\xcc\x00\xaa\x55"), []).append(current)
    return script
