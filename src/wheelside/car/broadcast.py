"""What a car sends by itself, by a DBC file: frames in, values out. Nothing here sends anything.

The only place where the DBC library is used.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from wheelside.car.card import Broadcast, Holds, PortCard
from wheelside.car.frames import LONGEST, Frame, Frames, Picks
from wheelside.car.reads import ValueRead
from wheelside.errors import BadRequest

if TYPE_CHECKING:
    from cantools.database.can import Database, Message, Signal

LONGEST_MESSAGE = LONGEST
MEASURED = frozenset({Holds.PRESSURE, Holds.TEMPERATURE, Holds.WARNS_AT, Holds.SPEED, Holds.SUPPLY})
"""Of these a number that the file has a word for is no figure, nor is one outside the file's range."""
_HUGE = re.compile(
    r"(?<![\w.])[-+]?[\d.]+[eE][-+]?\d{4,}|\d{400,}|:\s*\d{6,}\s*\||\|\s*\d{6,}\s*@|\bBO_\s+\d+\s+\w+\s*:\s*\d{6,}"
)
"""Numbers, places and lengths that no signal has, and that take for ever or all memory to work out."""

MOST_SIGNALS, MOST_IN_MESSAGE = 10_000, 1_000
_SIGNAL, _MESSAGE = re.compile(r"\bSG_\b"), re.compile(r"\bBO_\b")

Turn = tuple[int, bool]
"""An identifier, and whether it has 29 bits."""


@dataclass(frozen=True, slots=True)
class Described:
    """One signal as a DBC file describes it; `length` is its message's, in bytes."""

    message: str
    signal: str
    comment: str
    unit: str
    can_id: int
    wide: bool
    length: int


@dataclass(frozen=True, slots=True)
class HeardBroadcasts:
    """What was broadcast: values, what was not heard or not understood and why, and how many frames were malformed."""

    values: tuple[ValueRead, ...]
    missing: tuple[tuple[str, str], ...]
    malformed: int


def decode_text(data: bytes) -> str:
    """The text of a DBC file: UTF-8, else the Windows code page that its editors write; unknown bytes become '?'."""
    try:
        return data.decode("utf-8-sig").replace("\0", "")
    except UnicodeDecodeError:
        return data.decode("cp1252", "replace").replace("\0", "")


def described(text: str) -> tuple[Described, ...]:
    """The signals of a DBC file. Raises BadRequest for what is none."""
    return tuple(
        Described(message.name, signal.name, signal.comment or message.comment or "", signal.unit or "",
                  message.frame_id, message.is_extended_frame, message.length)
        for message in _load(text).messages for signal in message.signals
    )  # fmt: skip


def _load(text: str) -> Database:
    import cantools.database
    from cantools.database.can import Database

    if found := _HUGE.search(text):
        raise _no_dbc(f"'{found[0][:40]}' is too large a number")
    counts = [len(_SIGNAL.findall(part)) for part in _MESSAGE.split(text)]
    if sum(counts) > MOST_SIGNALS or max(counts) > MOST_IN_MESSAGE:
        raise _no_dbc(
            f"it has more than {MOST_SIGNALS} signals, or {MOST_IN_MESSAGE} in one message: take out what you don't need"
        )
    try:
        loaded = cantools.database.load_string(text, "dbc", strict=False)
    except Exception as error:
        raise _no_dbc(" ".join(str(error).split())[:200] or type(error).__name__) from error
    assert isinstance(loaded, Database), "a DBC file describes messages"
    return loaded


def _no_dbc(why: str) -> BadRequest:
    return BadRequest(
        f"the DBC file can't be read: {why}; save it again as DBC",
        found="a file that is no DBC file, or a broken one",
        expected="a DBC file",
    )


class Ear:
    """What has been heard of a card's broadcasts so far. It is fed with frames, and knows neither link nor clock."""

    def __init__(self, card: PortCard) -> None:
        self.rows = card.broadcasts
        named = {row.message for row in self.rows}
        self.messages = {(m.frame_id, m.is_extended_frame): m for m in _load(card.dbc).messages if m.name in named}
        self.last: dict[Broadcast, tuple[float | None, str]] = {}
        self.malformed: dict[str, int] = {}
        self.units = {
            row: row.unit or signal.unit or ""
            for message in self.messages.values() for signal in message.signals
            for row in self._rows_of(message, signal)
        }  # fmt: skip

    def _rows_of(self, message: Message, signal: Signal) -> list[Broadcast]:
        return [row for row in self.rows if (row.message, row.signal) == (message.name, signal.name)]

    @property
    def wanted(self) -> tuple[Turn, ...]:
        """The identifiers that the card wants heard."""
        return tuple(self.messages)

    def take(self, frame: Frame) -> bool:
        """Whether a frame is one of the wanted; what it says counts from now on. Malformed ones are counted."""
        message = self.messages.get((frame.can_id, frame.wide))
        if message is None:
            return False
        raw = _raw(message, frame.data)
        if raw is None:
            self.malformed[message.name] = self.malformed.get(message.name, 0) + 1
            return True
        for signal in message.signals:
            if signal.name in raw:
                for row in self._rows_of(message, signal):
                    self.last[row] = _figure(row, signal, raw[signal.name], self.units[row])
        return True

    def told(self, seconds: float) -> HeardBroadcasts:
        """Everything that was heard, and what was not within so many seconds."""
        groups: dict[tuple[Holds, str], list[tuple[str, float | None, str]]] = {}
        for row in self.rows:
            if row in self.last:
                groups.setdefault((row.holds, self.units[row]), []).append((row.place, *self.last[row]))
        values = tuple(ValueRead(holds, unit, tuple(rows), broadcast=True) for (holds, unit), rows in groups.items())
        missing = [(f"{row.holds.value}{', ' if row.place else ''}{row.place}", f"{row.message}.{row.signal} was not heard within {seconds:g} s")
                   for row in self.rows if row not in self.last]  # fmt: skip
        missing += [(name, f"{count} of its frames were shorter than the DBC file says, or could not be taken apart")
                    for name, count in self.malformed.items()]  # fmt: skip
        return HeardBroadcasts(values, tuple(missing), sum(self.malformed.values()))


def _raw(message: Message, data: bytes) -> dict[str, float] | None:
    """The numbers in a frame by signal, of the multiplexed ones those that it carries; None for a malformed frame."""
    import cantools

    try:
        said = message.decode_simple(data, decode_choices=False, scaling=False)
    except (cantools.Error, ArithmeticError, LookupError, TypeError, ValueError):
        return None
    return {name: number for name, number in said.items() if isinstance(number, (int, float))}


def _figure(row: Broadcast, signal: Signal, raw: float, unit: str) -> tuple[float | None, str]:
    """The figure of a signal's number, and its word. A number that stands for a word is no measurement."""
    if not math.isfinite(raw):
        return None, "no number"
    said = str(signal.choices.get(int(raw), "")) if signal.choices and raw == int(raw) else ""
    word = "".join(sign for sign in said if sign.isprintable())
    figure = round(float(signal.raw_to_scaled(raw, decode_choices=False)), 6)  # type: ignore[arg-type]
    if row.holds not in MEASURED:
        return figure, word
    if not word and not _inside(signal, figure):
        word = f"{figure:g} {unit}".strip() + ", outside the range of the DBC file"
    return (None if word else figure), word


def _inside(signal: Signal, figure: float) -> bool:
    least, most = signal.minimum, signal.maximum
    return (least is None or figure >= least - 1e-6) and (most is None or figure <= most + 1e-6)


def listen(
    frames: Frames, card: PortCard, seconds: float, heard: Callable[[Frame, bool], None] | None = None
) -> HeardBroadcasts:
    """What the card's broadcasts say within so many seconds, the newest frame of each; `heard` is told of these frames.

    It only receives. A link that lets one identifier through at a time is listened to for so long with each. Raises LinkLost.
    """
    ear = Ear(card)
    if not isinstance(frames, Picks):
        _hear(frames, ear, seconds, heard)
        return ear.told(seconds)
    for can_id, wide in ear.wanted:
        frames.monitor(can_id, wide=wide)
        _hear(frames, ear, seconds, heard)
    return ear.told(seconds)


def _hear(frames: Frames, ear: Ear, seconds: float, heard: Callable[[Frame, bool], None] | None) -> None:
    now = frames.time.seconds
    end = now() + seconds
    while (left := end - now()) > 0:
        frame = frames.receive(min(left, 0.1))
        if frame is not None and ear.take(frame) and heard is not None:
            heard(frame, False)
        if isinstance(frames, Picks) and frames.over():
            return
