"""Secrets in addresses can't be guessed at: whoever tried too many wrong ones has to wait."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable

from wheelside.jobs.source import RUNNING

MOST_WRONG, SPAN_S = 20, 60.0
"""So many wrong ones in so many seconds, by one client's address."""
MOST_CLIENTS = 1000
"""Of so many clients it is remembered; of the one that was forgotten first it is not any more."""


class Guesses:
    """When each client tried what was wrong, or is still being looked up."""

    def __init__(self, seconds: Callable[[], float] = RUNNING.seconds) -> None:
        self.seconds = seconds
        self.tries: dict[str, deque[float]] = {}

    def may_try(self, client: str) -> bool:
        """Whether a client may try now; the try counts as wrong until it is said to be right."""
        now = self.seconds()
        tries = self.tries.pop(client, deque())
        while tries and now - tries[0] >= SPAN_S:
            tries.popleft()
        self.tries[client] = tries
        if len(self.tries) > MOST_CLIENTS:
            del self.tries[next(iter(self.tries))]
        if len(tries) >= MOST_WRONG:
            return False
        tries.append(now)
        return True

    def was_right(self, client: str) -> None:
        """Takes a try back: what it named is there."""
        tries = self.tries.get(client)
        if tries:
            tries.pop()
        if not tries:
            self.tries.pop(client, None)
