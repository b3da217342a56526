"""Secrets in addresses can't be guessed at: keys, the shop's link and the calendar's address."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from starlette.testclient import TestClient

from visits import HOST, let_in
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.book.doors import new_key
from wheelside.jobs.work.doing import begin
from wheelside.jobs.work.shop import new_shop_link
from wheelside.web import guard
from wheelside.web.app import make_app
from wheelside.web.guard import Manners, names_with
from wheelside.web.guesses import MOST_CLIENTS, MOST_WRONG, SPAN_S, Guesses

Devices = Callable[[str], TestClient]


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """The seconds by which guesses are counted, to be set."""
    seconds = [0.0]
    monkeypatch.setattr(guard, "Guesses", lambda: Guesses(lambda: seconds[0]))
    return seconds


@pytest.fixture
def device(home: Desk, clock: list[float]) -> Devices:
    """A browser at an address; all of them ask one server."""
    app = make_app(home, Manners(names_with(())))
    return lambda host: TestClient(app, base_url=HOST, follow_redirects=False, client=(host, 50_000))


@pytest.mark.parametrize(
    ("method", "path", "wrong"),
    [("POST", "/in/{}", 400), ("GET", "/shop/{}", 401), ("POST", "/shop/{}", 401), ("GET", "/calendar/{}.ics", 404)],
)
def test_after_twenty_wrong_ones_a_client_has_to_wait(
    home: Desk, device: Devices, clock: list[float], method: str, path: str, wrong: int
) -> None:
    job = begin(home).job
    assert job is not None
    _, shop = new_shop_link(home, job)
    calendar, keys = let_in(home).calendar(), [new_key(home), new_key(home)]
    guesser, other = device("192.0.2.7"), device("192.0.2.8")
    got = [guesser.request(method, path.format(n)) for n in range(60)]
    assert [a.status_code for a in got] == [wrong] * MOST_WRONG + [429] * (60 - MOST_WRONG)
    assert (
        got[-1].text == "Too many links that lead nowhere were tried from this device: wait a minute, then try again.\n"
    )
    assert got[-1].headers["retry-after"] == "60"
    assert guesser.post(f"/in/{keys[0]}").status_code == 429
    assert guesser.get(f"/shop/{shop}").status_code == guesser.get(calendar).status_code == 429
    assert guesser.get("/things").status_code == 401
    assert [other.get(f"/shop/{shop}").status_code, other.get(calendar).status_code] == [200, 200]
    assert other.post(f"/in/{keys[0]}").status_code == 303
    assert other.get("/things").status_code == 200
    clock[0] = SPAN_S
    assert guesser.post(f"/in/{keys[1]}").status_code == 303


def test_right_ones_are_never_too_many(home: Desk, device: Devices) -> None:
    calendar, client = let_in(home).calendar(), device("192.0.2.7")
    assert {client.get(calendar).status_code for _ in range(3 * MOST_WRONG)} == {200}


def test_tries_that_are_still_looked_up_count(clock: list[float]) -> None:
    """Whoever sends a thousand at once gets no more of them answered."""
    guesses = Guesses(lambda: clock[0])
    assert sum(guesses.may_try("192.0.2.7") for _ in range(1000)) == MOST_WRONG
    for _ in range(MOST_WRONG):
        guesses.was_right("192.0.2.7")
    assert guesses.may_try("192.0.2.7")


def test_what_is_remembered_is_bounded(clock: list[float]) -> None:
    guesses = Guesses(lambda: clock[0])
    for n in range(5 * MOST_CLIENTS):
        for _ in range(3):
            guesses.may_try(f"client {n}")
    assert len(guesses.tries) == MOST_CLIENTS
    for _ in range(5 * MOST_WRONG):
        guesses.may_try("client")
    assert max(map(len, guesses.tries.values())) == MOST_WRONG
