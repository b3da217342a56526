"""A word on the terminal while a command takes longer than a person waits without one."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from threading import Event, Thread

from wheelside.cli.output import echo

FIRST_S, EACH_S = 2, 10
"""After so many seconds it is said that the work goes on, and then as often."""


@contextmanager
def word_while_working(first_s: float = FIRST_S, each_s: float = EACH_S) -> Iterator[None]:
    """Says on standard error that the work goes on, a line each time; nothing where no person sees it."""
    if not sys.stderr.isatty():
        yield
        return
    done = Event()

    def say() -> None:
        seconds = first_s
        while not done.wait(first_s if seconds == first_s else each_s):
            echo(f"wheelside: working, {seconds:g} s so far; Ctrl-C stops it", err=True)
            seconds += each_s

    worker = Thread(target=say, name="waiting", daemon=True)
    worker.start()
    try:
        yield
    finally:
        done.set()
        worker.join()
