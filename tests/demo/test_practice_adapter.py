"""The simulated adapter: dialogues to the letter, its habits, and serving on a port, a terminal and a bus."""

from __future__ import annotations

import os
import select
import socket
import time
from collections.abc import Callable
from dataclasses import dataclass
from queue import Empty, SimpleQueue
from threading import Event

import pytest

from wheelside.demo.practice import AdapterHabits, Habits, practice_car, run_on, serve_pty, serve_tcp
from wheelside.demo.practice.adapter import RUBBISH, Adapter

READY = ("ATE0", "ATSP6", "ATSH6A3", "ATCRA6AB")


def said(adapter: Adapter, line: str, at: float = 0.0) -> str:
    """What a line is answered with, without the space that follows the last byte."""
    return exactly(adapter, line, at).replace(" \r", "\r")


def exactly(adapter: Adapter, line: str, at: float = 0.0) -> str:
    return b"".join(data for _, data in adapter.line(line, at)).decode("ascii")


def took(adapter: Adapter, line: str, at: float = 0.0) -> float:
    return adapter.line(line, at)[-1][0]


def ready(habits: AdapterHabits | None = None, unit: Habits | None = None, *more: str) -> Adapter:
    adapter = Adapter(practice_car(unit), habits)
    for line in (*READY, *more):
        assert said(adapter, line).startswith("OK")
    return adapter


@pytest.mark.parametrize(
    ("line", "answer"),
    [
        ("ATZ", "\r\rOBDI v1.5\r\r>"), ("ATWS", "OBDI v1.5\r\r>"), ("ATI", "OBDI v1.5\r\r>"), ("ATRV", "12.6V\r\r>"),
        ("ATDP", "AUTO\r\r>"), ("at sp 7", "OK\r\r>"), ("ATIGN", "ON\r\r>"), ("ATDPN", "A0\r\r>"),
        ("ATXYZ", "?\r\r>"), ("hello", "?\r\r>"), ("", "?\r\r>"), ("ATSPG", "?\r\r>"), ("ATFCSM1", "?\r\r>"),
        ("ATFCSD300005", "OK\r\r>"), ("ATST32", "OK\r\r>"), ("ATAT1", "OK\r\r>"), ("ATAL", "OK\r\r>"),
        ("ATPC", "OK\r\r>"), ("ATD", "OK\r\r>"), ("ATCRA", "OK\r\r>"), ("ATCF6AB", "OK\r\r>"),
        ("ATCM7FF", "OK\r\r>"), ("ATSH18DAF1", "OK\r\r>"), ("ATL1", "OK\r\n\r\n>"),
    ],
)  # fmt: skip
def test_commands(line: str, answer: str) -> None:
    assert said(Adapter(practice_car()), line) == answer


def test_a_dialogue_as_with_many_adapters() -> None:
    adapter = Adapter(practice_car())
    assert said(adapter, "0100") == "SEARCHING...\r41 00 88 18 00 01\r\r>"
    assert exactly(adapter, "0100") == "41 00 88 18 00 01 \r\r>"
    assert exactly(adapter, "03") == "43 00 \r\r>"
    assert said(adapter, "ATDPN") == "A6\r\r>"
    assert said(adapter, "ATDP") == "AUTO, ISO 15765-4 (CAN 11/500)\r\r>"
    assert said(adapter, "0902") == ("014\r0: 49 02 01 58 57 53\r1: 4B 45 31 36 45 58 54\r2: 41 30 30 34 32 31 37\r\r>")
    assert said(adapter, "ATH1") == "OK\r\r>"
    assert said(adapter, "010D") == "7E8 03 41 0D 00\r\r>"
    assert said(adapter, "") == "7E8 03 41 0D 00\r\r>"
    assert said(adapter, "ATS0") == "OK\r\r>"
    assert said(adapter, "0902").split("\r")[:3] == [
        "7E81014490201585753",
        "7E8214B453136455854",
        "7E82241303034323137",
    ]


def test_the_monitor_is_heard_once_it_is_asked_for() -> None:
    adapter = ready()
    assert said(adapter, "222112") == "62 21 12 01\r\r>"
    assert said(adapter, "222110").split("\r")[0] == "013"
    assert said(adapter, "222199") == "7F 22 31\r\r>"
    said(adapter, "ATCRA")
    assert said(adapter, "222112") == "NO DATA\r\r>"
    said(adapter, "ATCF6A0")
    said(adapter, "ATCM7F0")
    assert said(adapter, "222112") == "62 21 12 01\r\r>"


def test_an_odd_digit_says_how_many_frames_to_wait_for() -> None:
    adapter = ready()
    assert took(adapter, "222112") == pytest.approx(0.205)
    assert took(adapter, "2221121", 1.0) == pytest.approx(0.005)
    said(adapter, "ATST10")
    assert took(adapter, "222112", 2.0) == pytest.approx(0.069)


def test_long_requests_are_sent_in_frames_by_hand() -> None:
    adapter = ready()
    assert said(adapter, "2E2110" + "00" * 16) == "?\r\r>"
    assert said(adapter, "1003") == "50 03 00 32 01 F4\r\r>"
    assert said(adapter, "3101031001") == "71 01 03 10\r\r>"
    said(adapter, "ATCAF0")
    assert said(adapter, "10132E211070D5A1") == "30 00 00 CC CC CC CC CC\r\r>"
    assert said(adapter, "2100000000000000", 0.1) == "NO DATA\r\r>"
    assert said(adapter, "22000000000000", 0.2) == "03 6E 21 10 CC CC CC CC\r\r>"
    assert said(adapter, "0322F190").startswith("10 14 62 F1 90")
    assert said(adapter, "112233445566778899") == "?\r\r>"
    said(adapter, "ATH1")
    assert said(adapter, "0322211255AA", 0.3) == "6AB 04 62 21 12 01 CC CC CC\r\r>"
    said(adapter, "ATH0")
    said(adapter, "ATCAF1")
    assert said(adapter, "31020310", 0.4) == "71 02 03 10\r\r>"


def test_flow_control_as_it_is_set() -> None:
    adapter = ready(AdapterHabits(flow_for_obd_only=True))
    assert said(adapter, "222110") == "013\r0: 62 21 10 2C 41 A7\r\r>"
    for line in ("ATFCSH6A3", "ATFCSD300005", "ATFCSM1"):
        assert said(adapter, line, 3.0) == "OK\r\r>"
    assert said(adapter, "222110", 4.0).count(": ") == 3
    assert took(adapter, "222110", 5.0) == pytest.approx(0.005 + 0.001 + 0.005 + 0.2)
    said(adapter, "ATCFC0")
    assert said(adapter, "222110", 6.0).count(": ") == 1


@pytest.mark.parametrize(
    ("protocol", "answer"),
    [("1", "NO DATA"), ("3", "BUS INIT: ...ERROR"), ("5", "BUS INIT: ERROR"), ("7", "NO DATA"), ("8", "CAN ERROR"), ("A6", "41 0D 00"),
     ("A7", "SEARCHING...\r41 0D 00")],
)  # fmt: skip
def test_other_protocols(protocol: str, answer: str) -> None:
    adapter = Adapter(practice_car())
    said(adapter, f"ATSP{protocol}")
    assert said(adapter, "010D") == f"{answer}\r\r>"


def test_nobody_answers_without_ignition() -> None:
    car = practice_car()
    car.around.ignition = 0
    assert said(Adapter(car), "0100") == "SEARCHING...\rUNABLE TO CONNECT\r\r>"


def test_an_answer_that_comes_too_late_is_taken_for_the_next_one() -> None:
    adapter = ready(None, Habits(answer_s=0.3))
    assert said(adapter, "222112", 0.0) == "NO DATA\r\r>"
    assert said(adapter, "222140", 0.25) == "62 21 12 01\r\r>"
    assert said(adapter, "222140", 9.0) == "NO DATA\r\r>"


@pytest.mark.parametrize(
    ("habits", "line", "answer"),
    [
        (AdapterHabits(searching_first=True), "222112", "SEARCHING...\r62 21 12 01\r\r>"),
        (AdapterHabits(can_error_at=1), "222112", "CAN ERROR\r\r>"),
        (AdapterHabits(rx_error_at=1), "222112", "62 21 12 01 <RX ERROR\r\r>"),
        (AdapterHabits(full_after=2), "222110", "013\r0: 62 21 10 2C 41 A7\rBUFFER FULL\r\r>"),
        (AdapterHabits(lose_prompt_at=5), "222112", "62 21 12 01\r\r"),
        (AdapterHabits(spaces=False), "222112", "62211201\r\r>"),
        (AdapterHabits(line_feeds=True), "222112", "62 21 12 01\r\n\r\n>"),
    ],
)
def test_habits_that_show_in_the_text(habits: AdapterHabits, line: str, answer: str) -> None:
    adapter = ready(habits)
    assert said(adapter, line) == answer
    if habits.lose_prompt_at or habits.can_error_at or habits.rx_error_at or habits.searching_first:
        assert said(adapter, line, 1.0) == "62 21 12 01\r\r>"


def test_habits_of_time_and_echo() -> None:
    assert took(Adapter(practice_car(), AdapterHabits(late_s=0.7)), "ATI") == pytest.approx(0.7)
    pieces = Adapter(practice_car(), AdapterHabits(slow_reset=True)).line("ATZ", 0.0)
    assert pieces[0] == (0.0, RUBBISH)
    assert pieces[1][0] == 1.0
    stuck = Adapter(practice_car(), AdapterHabits(echo_stuck=True))
    assert said(stuck, "ATE0") == "OK\r\r>"
    assert stuck.echoes
    assert not ready().echoes


Read = Callable[[int], bytes]


def until_prompt(read: Read) -> bytes:
    out = b""
    while not out.endswith(b">"):
        data = read(64)
        if not data:
            break
        out += data
    return out


def test_on_a_port() -> None:
    with serve_tcp(practice_car()) as address, socket.create_connection(address, 2) as link:
        link.sendall(b"ATE0\r")
        assert until_prompt(link.recv) == b"ATE0\rOK\r\r>"
        link.sendall(b"0100\r\n")
        assert until_prompt(link.recv) == b"SEARCHING...\r41 00 88 18 00 01 \r\r>"
        link.sendall(b"ATSTFF\r")
        assert until_prompt(link.recv) == b"OK\r\r>"
        link.sendall(b"0100\r")
        time.sleep(0.1)
        link.sendall(b"x")
        assert until_prompt(link.recv) == b"41 00 88 18 00 01 \rSTOPPED\r\r>"
        link.close()
        with socket.create_connection(address, 2) as again:
            again.sendall(b"ATI\r")
            assert until_prompt(again.recv) == b"OBDI v1.5\r\r>"
    with pytest.raises(ConnectionRefusedError):
        socket.create_connection(address, 0.2)


def test_broadcasts_are_shown_until_any_sign_comes() -> None:
    car = practice_car()
    with serve_tcp(car) as address, socket.create_connection(address, 2) as link:
        for line in ("ATE0", "ATSP6", "ATH1", "ATCAF0", "ATCRA2F1"):
            link.sendall(line.encode() + b"\r")
            until_prompt(link.recv)
        link.sendall(b"ATMA\r")
        shown = b""
        while shown.count(b"\r") < 3:
            shown += link.recv(64)
        assert shown.split(b" \r")[0] == b"2F1 FF FF FF FF FF FF 00 00"
        link.sendall(b" ")
        assert until_prompt(link.recv).endswith(b"STOPPED\r\r>")
        link.sendall(b"ATRV\r")
        assert until_prompt(link.recv) == b"12.6V\r\r>"
        for line in ("ATCRA2F2", "ATMA"):
            link.sendall(line.encode() + b"\r")
        assert until_prompt(link.recv) == b"OK\r\r>"
        assert not select.select([link], [], [], 0.5)[0]


@pytest.mark.parametrize(
    ("habits", "answer"),
    [
        (AdapterHabits(drop_every=5), b"ATI\rBDI 1.5\r>"),
        (AdapterHabits(close_at=7), b"ATI\rOBD"),
        (AdapterHabits(chunk=2), b"ATI\rOBDI v1.5\r\r>"),
    ],
)
def test_habits_of_the_link(habits: AdapterHabits, answer: bytes) -> None:
    with serve_tcp(practice_car(), habits) as address, socket.create_connection(address, 2) as link:
        link.sendall(b"ATI\r")
        assert until_prompt(link.recv) == answer


def test_on_a_terminal() -> None:
    with serve_pty(practice_car()) as path:
        handle = os.open(path, os.O_RDWR | os.O_NOCTTY)
        try:
            os.write(handle, b"ATI\r")
            assert until_prompt(lambda size: os.read(handle, size)) == b"ATI\rOBDI v1.5\r\r>"
        finally:
            os.close(handle)


def test_serving_stops_by_itself_and_within_a_second() -> None:
    with serve_tcp(practice_car(), lasting_s=0.1) as address:
        with socket.create_connection(address, 2) as link:
            assert select.select([link], [], [], 2)[0]
            assert link.recv(1) == b""
        start = time.monotonic()
    with serve_pty(practice_car()):
        pass
    assert time.monotonic() - start < 1


@dataclass
class Message:
    arbitration_id: int
    data: bytearray
    is_extended_id: bool = False


class Wire:
    """One end of a bus: what the car receives, and what it sent."""

    def __init__(self) -> None:
        self.to_car: SimpleQueue[Message] = SimpleQueue()
        self.from_car: SimpleQueue[Message] = SimpleQueue()
        self.broadcast: SimpleQueue[Message] = SimpleQueue()

    def recv(self, timeout: float | None = None) -> Message | None:
        try:
            return self.to_car.get(timeout=timeout)
        except Empty:
            return None

    def send(self, msg: Message) -> None:
        (self.broadcast if msg.arbitration_id == 0x2F1 else self.from_car).put(msg)


def test_on_a_bus_with_a_real_clock() -> None:
    wire, stop = Wire(), Event()
    thread = run_on(
        wire, practice_car(Habits(answer_s=0.05)), stop, lambda can_id, data: Message(can_id, bytearray(data))
    )
    start = time.monotonic()
    wire.to_car.put(Message(0x6A3, bytearray(b"\x02\x3e\x00"), is_extended_id=True))
    wire.to_car.put(Message(0x6A3, bytearray(b"\x03\x22\xf1\x90")))
    assert wire.from_car.get(timeout=2).data.hex() == "101462f190585753"
    assert time.monotonic() - start >= 0.05
    wire.to_car.put(Message(0x6A3, bytearray(b"\x30\x00\x32")))
    assert [wire.from_car.get(timeout=2).data[0] for _ in range(2)] == [0x21, 0x22]
    assert time.monotonic() - start >= 0.1
    assert wire.from_car.empty()
    assert wire.broadcast.get(timeout=2).data.hex() == "ffffffffffff0000"
    stop.set()
    thread.join(1)
    assert not thread.is_alive()
