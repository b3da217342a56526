"""A crowd of connections without a session: whoever has one still gets pages, the log stays short, the server lives."""

from __future__ import annotations

import http.client
import re
import resource
import socket
import ssl
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest

from browsing import NAME, Serving, serving
from wheelside.jobs.book.desk import open_desk
from wheelside.web.guard import cookie_of

FILES = 1024
FEW_FILES = f"import resource, runpy; resource.setrlimit(resource.RLIMIT_NOFILE, ({FILES}, {FILES})); "
SHORT_TIMES = "import wheelside.web.callers as c; c.FIRST_S = c.NEXT_S = c.GAP_S = 1.0; c.BODY_S = 4.0; "
RUN = 'import runpy; runpy.run_module("wheelside", run_name="__main__", alter_sys=True)'
PAGE_S = 1.0
ASKS = f"GET /things HTTP/1.1\r\nhost: {NAME}\r\n"
SENDS = f"POST /in/none HTTP/1.1\r\nhost: {NAME}\r\ncontent-type: application/x-www-form-urlencoded\r\ncontent-length: 900\r\n\r\n"
CROWDS = {
    "silent": b"",
    "headers by half": ASKS.encode(),
    "a body by half": SENDS.encode() + b"label=",
    "asked, and stays": f"{ASKS}\r\n".encode(),
    "asked wrongly": b"\x16\x03\x01\x02 no HTTP\r\n\r\n",
}


@pytest.fixture(autouse=True)
def many_files() -> Iterator[None]:
    """This process may hold the crowd's other ends."""
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    resource.setrlimit(resource.RLIMIT_NOFILE, (min(hard, max(soft, 4096)), hard))
    yield
    resource.setrlimit(resource.RLIMIT_NOFILE, (soft, hard))


class Device:
    """A browser with a session; each page by a connection of its own, or by one that stays."""

    def __init__(self, server: Serving) -> None:
        self.server, self.secure = server, "--tls" in server.options
        self.stays, self.cookie = self._connection(), ""
        self.cookie = self._come_in()
        self.slowest = 0.0

    def _connection(self) -> http.client.HTTPConnection:
        port = self.server.port
        if not self.secure:
            return http.client.HTTPConnection("127.0.0.1", port, timeout=30)
        return http.client.HTTPSConnection("127.0.0.1", port, timeout=30, context=trusting())

    def _come_in(self) -> str:
        desk, _ = open_desk(str(self.server.book))
        name = cookie_of(desk)
        desk.close()
        headers = {"host": NAME, "content-type": "application/x-www-form-urlencoded"}
        self.stays.request("POST", self.server.link().removeprefix(self.server.address), "label=phone", headers)
        answer = self.stays.getresponse()
        answer.read()
        found = re.match(rf"{name}=[^;]+", answer.headers["set-cookie"])
        assert found is not None
        return found[0]

    def close(self) -> None:
        self.stays.close()

    def page(self, connection: http.client.HTTPConnection | None = None) -> None:
        """Gets a page, and notes how long that took."""
        began = time.monotonic()
        by = connection or self._connection()
        by.request("GET", "/things", headers={"host": NAME, "cookie": self.cookie})
        answer = by.getresponse()
        assert (answer.status, b"Winter" in answer.read()) == (200, True)
        self.slowest = max(self.slowest, time.monotonic() - began)
        if connection is None:
            by.close()


def trusting() -> ssl.SSLContext:
    made = ssl.create_default_context()
    made.check_hostname, made.verify_mode = False, ssl.CERT_NONE
    return made


@contextmanager
def connections(server: Serving) -> Iterator[list[socket.socket]]:
    made: list[socket.socket] = []
    try:
        yield made
    finally:
        for one in made:
            one.close()


def join(server: Serving, crowd: list[socket.socket], first: bytes) -> None:
    """One more connection of the crowd, which waits for nothing."""
    one = socket.create_connection(("127.0.0.1", server.port), timeout=10)
    crowd.append(one)
    one.setblocking(False)
    if first:
        one.send(first)


def end(server: Serving) -> str:
    """Kills the server; all that it said after it was ready."""
    assert server.process is not None
    assert server.process.stdout is not None
    server.process.kill()
    return server.process.stdout.read()


def open_files(server: Serving) -> int:
    assert server.process is not None
    return sum(1 for _ in Path(f"/proc/{server.process.pid}/fd").iterdir())


@pytest.mark.parametrize(("options", "many"), [((), 1100), (("--tls",), 400)], ids=["plain", "tls"])
def test_a_device_gets_its_pages_whatever_a_crowd_does(book_file: Path, options: tuple[str, ...], many: int) -> None:
    with serving(book_file, *options, program=("-c", FEW_FILES + RUN)) as server, closing(Device(server)) as device:
        device.page(device.stays)
        device.slowest = 0.0
        for first in CROWDS.values():
            with connections(server) as crowd:
                for n in range(many):
                    join(server, crowd, first)
                    if n == many // 2:
                        device.page(device.stays)
                for _ in range(5):
                    device.page()
                    device.page(device.stays)
                assert open_files(server) < FILES // 2
                device.page()
        assert device.slowest < PAGE_S
        device.page(device.stays)
        assert open_files(server) < FILES // 2
        said = end(server)
    assert len(said) < 6_000, said[:6_000]
    assert said.count("more than 256 connections") == 1


def closed_after(one: socket.socket, most: float, sends: bytes = b"") -> float:
    """After how many seconds the server closes a connection, whose client sends a byte now and then."""
    began = time.monotonic()
    one.settimeout(0.3)
    while time.monotonic() - began < most:
        try:
            if sends:
                one.send(sends)
            if not one.recv(65_536):
                return time.monotonic() - began
        except TimeoutError:
            continue
        except OSError:
            return time.monotonic() - began
    raise AssertionError(f"still open after {most} s")


def test_small_packets_go_at_once(book_file: Path) -> None:
    """A page on a connection that stays waits for no acknowledgement, which takes a client 40 ms."""
    with serving(book_file) as server, closing(Device(server)) as device:
        took = []
        for _ in range(30):
            device.slowest = 0.0
            device.page(device.stays)
            took.append(device.slowest)
        assert min(took) < 0.035


@pytest.mark.parametrize("options", [(), ("--tls",)], ids=["plain", "tls"])
def test_connections_that_keep_the_server_waiting_are_closed(book_file: Path, options: tuple[str, ...]) -> None:
    with (
        serving(book_file, *options, program=("-c", SHORT_TIMES + RUN)) as server,
        connections(server) as crowd,
        closing(Device(server)) as device,
    ):
        cases = [
            (b"", b""),
            (ASKS.encode(), b"x"),
            (SENDS.encode(), b""),
            (SENDS.encode(), b"x"),
            (f"{ASKS}\r\n".encode(), b"x"),
        ]
        for first, more in cases:
            join(server, crowd, b"")
            if options:
                crowd[-1].setblocking(True)
                crowd[-1] = trusting().wrap_socket(crowd[-1])
            crowd[-1].settimeout(10)
            if first:
                crowd[-1].send(first)
            assert 0.5 < closed_after(crowd[-1], 8.0, more) < 8.0
        join(server, crowd, b"")  # over TLS: one that does not even begin
        assert closed_after(crowd[-1], 5.0) > 0.5
        device.page()
