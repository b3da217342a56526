"""Which connections have to go, and when; what the log says of it."""

from __future__ import annotations

import asyncio
import logging
import math
import socket
from typing import Any

import pytest

from wheelside.web.callers import (
    ANSWERED_AT_ONCE,
    BODY_S,
    CROWD,
    CROWD_S,
    FIRST_S,
    GAP_S,
    NEXT_S,
    TAKE_S,
    Call,
    Callers,
)
from wheelside.web.repeats import EVERY_S, MOST_KINDS, Repeats

MOST = 8


class Street:
    """Callers of whom eight have room, and the clock that they go by."""

    def __init__(self) -> None:
        self.now = 0.0
        self.callers = Callers(MOST, lambda: self.now)
        self.here: list[socket.socket] = []
        self.there: dict[int, socket.socket] = {}

    def come(self, *ports: int) -> None:
        for port in ports:
            one, other = socket.socketpair()
            self.here.append(one)
            self.there[port] = other
            self.callers.came(one, ("192.0.2.7", port))

    def ask(self, port: int, *, session: bool = False) -> Call:
        call = self.callers.request({"type": "http", "client": ["192.0.2.7", port]})
        call.has_session(session)
        return call

    def closed(self) -> set[int]:
        """The connections that were closed, as their clients see it."""
        gone = set()
        for port, other in self.there.items():
            other.setblocking(False)
            try:
                gone |= {port} if other.recv(1) == b"" else set()
            except BlockingIOError:
                continue
        return gone

    def after(self, seconds: float) -> set[int]:
        self.now += seconds
        asyncio.run(self.callers.sweep())
        return self.closed()


@pytest.fixture
def street() -> Any:
    made = Street()
    yield made
    for one in [*made.here, *made.there.values()]:
        one.close()


def test_who_never_asked_goes_first_and_the_oldest_of_them(street: Street) -> None:
    street.come(*range(8))
    street.ask(0, session=True)
    street.ask(1)
    assert street.closed() == set()
    street.come(8, 9)
    assert street.closed() == {2, 3}


def test_then_who_has_no_session_the_one_first_that_was_heard_of_longest_ago(street: Street) -> None:
    street.come(*range(8))
    for port in range(7, -1, -1):
        street.ask(port, session=port % 2 == 0)
    street.come(8, 9)
    assert street.closed() == {7, 5}


def test_one_that_has_just_come_is_given_the_time_to_ask_among_many_that_did(street: Street) -> None:
    street.come(*range(8))
    for port in range(8):
        street.ask(port)
    street.come(8)
    for port in range(9, 13):
        street.come(port)
        street.ask(port)
    assert 8 not in street.closed()
    street.ask(8, session=True)
    street.come(*range(20, 60))
    assert 8 not in street.closed()


def test_one_whose_session_is_looked_up_stays_before_all_that_have_none(street: Street) -> None:
    street.come(*range(8))
    for port in range(8):
        call = street.callers.request({"type": "http", "client": ["192.0.2.7", port]})
        call.look_up() if port < 2 else call.has_session(port == 7)
    for port in range(8, 14):
        street.come(port)
        street.ask(port)
    assert street.closed() == {2, 3, 4, 5, 6, 8}
    street.ask(7)
    assert street.callers.guests == {}


def test_one_that_went_by_itself_makes_room(street: Street) -> None:
    street.come(*range(8))
    street.callers.went(street.here[3], ("192.0.2.7", 3))
    street.callers.went(street.here[3], ("192.0.2.7", 4))
    street.come(8)
    assert street.closed() == set()


def test_the_first_request_is_waited_for_and_each_later_one(street: Street) -> None:
    street.come(1, 2, 3)
    street.ask(2).over()
    street.ask(3)
    assert street.after(FIRST_S - 1) == set()
    assert street.after(1) == {1}
    assert street.after(NEXT_S - FIRST_S) == {1, 2}
    assert street.after(10_000) == {1, 2}


@pytest.mark.parametrize(("pause", "pieces"), [(GAP_S, 1), (GAP_S - 1, math.ceil(BODY_S / (GAP_S - 1)))])
def test_a_body_may_not_take_too_long(street: Street, pause: float, pieces: int) -> None:
    """Neither a piece of it nor the whole."""
    street.come(1)
    call = street.ask(1, session=True)

    async def slowly() -> dict[str, Any]:
        street.now += pause
        await street.callers.sweep()
        return {"type": "http.request", "body": b"x", "more_body": True}

    receive = call.receiving(slowly)
    for n in range(pieces):
        assert street.closed() == set(), n
        asyncio.run(receive())  # type: ignore[arg-type]
    assert street.closed() == {1}


def test_a_body_that_is_there_is_waited_for_no_more(street: Street) -> None:
    street.come(1)
    call = street.ask(1)
    messages: list[dict[str, Any]] = [{"type": "http.request", "body": b"x"}, {"type": "http.disconnect"}]

    async def at_once() -> dict[str, Any]:
        if len(messages) == 1:
            assert street.after(10_000) == set()
        return messages.pop(0)

    receive = call.receiving(at_once)
    asyncio.run(receive())  # type: ignore[arg-type]
    street.now += 10_000
    assert street.closed() == set()


def test_an_answer_that_nobody_takes_in_is_not_waited_for(street: Street) -> None:
    street.come(1, 2)
    calls = {port: street.ask(port, session=True) for port in (1, 2)}

    async def taken(message: Any) -> None:
        pass

    async def stuck(message: Any) -> None:
        street.now += TAKE_S
        await street.callers.sweep()

    start, piece, last = (
        {"type": "http.response.start"},
        {"type": "http.response.body", "more_body": True},
        {"type": "http.response.body"},
    )
    for message in (start, piece):
        asyncio.run(calls[2].sending(taken)(message))  # type: ignore[arg-type]
    asyncio.run(calls[1].sending(stuck)(piece))  # type: ignore[arg-type]
    assert street.closed() == {1}
    asyncio.run(calls[2].sending(taken)(last))  # type: ignore[arg-type]
    assert street.after(NEXT_S) == {1, 2}


def test_strangers_are_answered_a_few_at_a_time_and_none_that_has_gone(street: Street) -> None:
    """Between two of their turns others go on; whoever was closed while waiting costs nothing more."""
    street.come(*range(6))
    calls = [street.callers.request({"type": "http", "client": ["192.0.2.7", port]}) for port in range(6)]

    async def waiting() -> tuple[list[bool], int]:
        tasks = [asyncio.ensure_future(call.turn()) for call in calls]
        turns = 0
        await asyncio.sleep(0)
        street.come(*range(6, 9))
        while not all(task.done() for task in tasks):
            await asyncio.sleep(0)
            turns += 1
        return [task.result() for task in tasks], turns

    stays, turns = asyncio.run(waiting())
    assert stays == [False, True, True, True, True, True]
    assert turns >= 6 // ANSWERED_AT_ONCE


def test_a_client_that_is_not_counted_is_served_all_the_same() -> None:
    call = Callers().request({"type": "http", "client": None})
    call.look_up()
    call.has_session(True)
    call.over()


def _said(repeats: Repeats, text: str, *args: object) -> str:
    record = logging.LogRecord("uvicorn.error", logging.WARNING, "", 0, text, args, None)
    return record.getMessage() if repeats.filter(record) else ""


def test_many_requests_in_a_second_are_a_crowd_and_one_page_is_none(street: Street) -> None:
    for n in range(CROWD - 1):
        street.after(CROWD_S / CROWD)
        street.ask(1 + n % 3, session=True)
    assert not street.callers.crowded()
    street.ask(1, session=True)
    assert street.callers.crowded()
    street.after(CROWD_S)
    assert not street.callers.crowded()


def test_the_log_says_once_a_minute_what_comes_again_and_again() -> None:
    now = [0.0]
    repeats = Repeats(lambda: now[0])
    said = [_said(repeats, "accept failed on fd=%d at 0x%x\nand more", n, n * 4096) for n in range(1000)]
    assert [s for s in said if s] == ["accept failed on fd=0 at 0x0\nand more"]
    assert _said(repeats, "something else") == "something else"
    now[0] = EVERY_S
    assert "(and 999 times more since it was last said)" in _said(
        repeats, "accept failed on fd=%d at 0x%x\nand more", 7, 1
    )
    for n in range(5 * MOST_KINDS):
        assert _said(repeats, "c" + "a" * (n % 150) + "b" * (n // 150))
    assert len(repeats.said) == MOST_KINDS
