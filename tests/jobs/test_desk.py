"""A desk loses nothing that is noted beside a write."""

from __future__ import annotations

import threading

import pytest

from books import NOON, later
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.book.doors import come_in, everyone, new_key, who_is


def let_in(desk: Desk) -> str:
    return come_in(desk, new_key(desk), "phone", "").token


def kept_of(desk: Desk) -> int:
    """When the book says that its one browser was seen last."""
    noted, desk.seen = desk.seen, {}
    (visitor,) = everyone(desk)
    desk.seen = noted
    return visitor.seen_us


def seen_by_another_thread(desk: Desk, token: str, minutes: float) -> None:
    desk.clock = lambda: later(minutes)
    thread = threading.Thread(target=who_is, args=(desk, token))
    thread.start()
    thread.join()


def test_what_is_seen_while_a_book_is_written_is_kept_with_the_next_write(home: Desk) -> None:
    token = let_in(home)
    who_is(home, token)
    with home.writing("one"):
        seen_by_another_thread(home, token, 5)
    assert kept_of(home) == NOON.us
    with home.writing("two"):
        pass
    assert kept_of(home) == later(5).us
    assert home.seen == {}


def test_a_write_that_fails_forgets_nothing(home: Desk) -> None:
    token = let_in(home)
    seen_by_another_thread(home, token, 3)

    def half() -> None:
        with home.writing("one"):
            raise KeyError("midway")

    with pytest.raises(KeyError):
        half()
    assert list(home.seen.values()) == [later(3).us]
