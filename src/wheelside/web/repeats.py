"""What the server's log says again and again is said once a minute, with how often it came: a log must not fill the disk."""

from __future__ import annotations

import logging
import re
from collections.abc import Callable

from wheelside.jobs.source import RUNNING

EVERY_S = 60.0
MOST_KINDS = 100
LOGS = ("uvicorn.error", "asyncio")


class Repeats(logging.Filter):
    """Lets through the first message of each kind in a minute."""

    def __init__(self, seconds: Callable[[], float] = RUNNING.seconds) -> None:
        super().__init__()
        self.seconds = seconds
        self.said: dict[str, tuple[float, int]] = {}

    def filter(self, record: logging.LogRecord) -> bool:
        """Whether a message is said."""
        now, kind, text = self.seconds(), _kind(record), record.getMessage()
        at, left_out = self.said.get(kind, (-EVERY_S, 0))
        if now - at < EVERY_S:
            self.said[kind] = (at, left_out + 1)
            return False
        self.said.pop(kind, None)
        self.said[kind] = (now, 0)
        if len(self.said) > MOST_KINDS:
            del self.said[next(iter(self.said))]
        if left_out:
            record.msg, record.args = f"{text.rstrip()} (and {left_out} times more since it was last said)", ()
        return True


def _kind(record: logging.LogRecord) -> str:
    """What messages have in common that say the same: their first line without figures, and the error that they tell of."""
    first = record.getMessage().partition("\n")[0]
    error = record.exc_info[0] if record.exc_info else None
    return re.sub(r"0x[0-9a-f]+|\d+", "#", first)[:200] + (error.__name__ if error else "")


def say_once_a_minute() -> None:
    """Keeps the server's logs short."""
    repeats = Repeats()
    for name in LOGS:
        logging.getLogger(name).addFilter(repeats)
