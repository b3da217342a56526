"""Reading a control unit of other people's make, in another process, over text frames on the loopback."""

from __future__ import annotations

import contextlib
import socket
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from threading import Thread

import pytest

from wheelside.car.address import UnitAddress
from wheelside.car.card import read_request
from wheelside.car.codes import CodeList
from wheelside.car.frames import Frame, NoAnswer
from wheelside.car.link import CanFrames, open_link
from wheelside.car.negative import Refused
from wheelside.car.permit import NotPermitted, Permit
from wheelside.car.portcard import read_port_card
from wheelside.car.reads import read_all, read_codes, read_list
from wheelside.car.talk import Talk
from wheelside.jobs.source import RUNNING

UNIT = Path(__file__).with_name("foreign_unit.py")
ADDRESS = UnitAddress(0x740, 0x748)
WAIT_S = 15.0
CARD = b"""
port = 1
id = "foreign"

[unit]
request = "740"
answer = "748"
padding = "CC"

[[list]]
identifier = "2110"
name = "fitted"
places = ["front left", "front right", "rear left", "rear right"]
empty = "FFFFFFFF"

[[value]]
identifier = "F190"
holds = "VIN"

[[value]]
identifier = "2140"
holds = "lamp"
"""


class Hub:
    """Two clients that speak frames as text lines; each hears the other's frames."""

    def __init__(self) -> None:
        self.listening = socket.create_server(("127.0.0.1", 0))
        self.listening.settimeout(WAIT_S)
        self.clients: list[socket.socket] = []
        self.threads = [Thread(target=self._accept, daemon=True)]
        self.threads[0].start()

    @property
    def channel(self) -> str:
        return f"socket://127.0.0.1:{self.listening.getsockname()[1]}"

    def _accept(self) -> None:
        with contextlib.suppress(OSError):
            while len(self.clients) < 2:
                client, _ = self.listening.accept()
                self.clients.append(client)
                self.threads.append(Thread(target=self._relay, args=(client,), daemon=True))
                self.threads[-1].start()

    def _relay(self, client: socket.socket) -> None:
        rest = b""
        with contextlib.suppress(OSError):
            while data := client.recv(4096):
                *lines, rest = (rest + data).split(b"\r")
                for line in lines:
                    if line[:1] in b"tTrR" and line:
                        self._pass_on(client, line + b"\r")

    def _pass_on(self, sender: socket.socket, line: bytes) -> None:
        for client in self.clients:
            if client is not sender:
                client.sendall(line)

    def close(self) -> None:
        for one in (*self.clients, self.listening):
            with contextlib.suppress(OSError):
                one.shutdown(socket.SHUT_RDWR)
            one.close()
        for thread in self.threads:
            thread.join(2.0)


@pytest.fixture(scope="module")
def link() -> Iterator[CanFrames]:
    hub = Hub()
    process = subprocess.Popen(
        [sys.executable, "-W", "ignore", str(UNIT), hub.channel],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
    )  # fmt: skip
    frames: CanFrames | None = None
    said: list[str] = []
    assert process.stdout is not None
    reader = Thread(target=lambda out: said.append(out.readline()), args=(process.stdout,), daemon=True)
    reader.start()
    try:
        opened = open_link(f"slcan {hub.channel}", RUNNING)
        assert isinstance(opened, CanFrames)
        frames = opened
        reader.join(WAIT_S)
        if said != ["ready\n"]:
            process.kill()
            pytest.fail(f"the unit did not start: {process.communicate(timeout=5)[1][-2000:]}")
        yield frames
    finally:
        process.kill()
        process.communicate(timeout=5)
        if frames is not None:
            frames.close()
        hub.close()


def test_the_number_of_the_car_is_read_over_several_frames(link: CanFrames) -> None:
    heard: list[tuple[str, bool]] = []

    def keep(frame: Frame, sent: bool) -> None:
        heard.append((f"{frame.can_id:03X} {frame.data[:3].hex(' ').upper()}", sent))

    with Talk(link, ADDRESS, heard=keep) as talk:
        assert talk.once(read_request(0xF190)) == b"\x62\xf1\x901HGCM82633A004352"
    assert heard == [
        ("740 03 22 F1", True), ("748 10 14 62", False), ("740 30 00 00", True), ("748 21 43 4D", False), ("748 22 41 30", False),
    ]  # fmt: skip


def test_ids_are_read_by_a_port_card(link: CanFrames) -> None:
    card = read_port_card(CARD, "foreign.toml")
    with Talk(link, card.unit) as talk:
        ids = {place: one and one.number for place, one in read_list(talk, card.lists[0]).ids}
        known = read_all(talk, card)
    assert ids == {"front left": 0x80000001, "front right": 0x80000002, "rear left": None, "rear right": 0x80000004}
    assert [one.text for one in known.values] == ["read, not kept"]
    assert known.missing == (("lamp", "the unit refused 22: it does not know this identifier, or not this value (31)"),)


def test_codes_are_read_cleared_and_read_again(link: CanFrames) -> None:
    card = read_port_card(CARD, "foreign.toml")
    with Talk(link, card.unit) as talk:
        before = read_codes(talk, card)
        with pytest.raises(NotPermitted):
            talk.once(b"\x14\xff\xff\xff")
    with Talk(link, card.unit, Permit.CLEAR) as talk:
        assert talk.once(b"\x14\xff\xff\xff") == b"\x54"
        after = read_codes(talk, card)
    assert [(one.code.text, one.code.said) for one in before.codes] == [
        ("U0077-0B", ("failing now", "stored")),
        ("U0078-0D", ("stored",)),
    ]
    assert before.not_told == ((CodeList.PERMANENT, "the unit refused 19: it does not know this sub-function (12)"),)
    assert after.codes == ()


def test_a_refusal_is_told_as_one(link: CanFrames) -> None:
    with Talk(link, ADDRESS) as talk, pytest.raises(Refused) as caught:
        talk.once(read_request(0x9999))
    assert (caught.value.service, caught.value.code) == (0x22, 0x31)


def test_nobody_answers_at_another_address(link: CanFrames) -> None:
    with Talk(link, UnitAddress(0x741, 0x749), p2_s=0.3) as talk, pytest.raises(NoAnswer):
        talk.once(read_request(0xF190))
