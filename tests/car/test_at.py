"""The adapter link against a simulated adapter, on the loopback and on a terminal, with all that such adapters do wrong.

Either the right answer comes, or a clear error within a stated time; a wrong answer never does.
"""

from __future__ import annotations

import socket
import struct
import time
from collections.abc import Iterator
from contextlib import contextmanager

import pytest
import serial

from wheelside.car.address import UnitAddress, normal_fixed
from wheelside.car.at import ANSWER_S, RESET_S, AtFrames
from wheelside.car.card import read_request
from wheelside.car.frames import Frame, LinkLost, NoAnswer
from wheelside.car.link import open_link
from wheelside.car.negative import Refused
from wheelside.car.permit import Permit
from wheelside.car.talk import READ_TRIES, Talk
from wheelside.demo.practice import AdapterHabits, PracticeCar, practice_car, serve_pty, serve_tcp
from wheelside.demo.practice.told import SUMMER, VIN, WINTER
from wheelside.demo.practice.wheels import bytes_of
from wheelside.jobs.source import RUNNING

MONITOR = UnitAddress(0x6A3, 0x6AB)
RIGHT = {0x2112: b"\x01", 0xF190: VIN.encode(), 0x2110: bytes_of(SUMMER)}
SETTINGS = 8
OPENING_S = RESET_S + SETTINGS * ANSWER_S
P2_S = 0.6


@contextmanager
def linked(car: PracticeCar, habits: AdapterHabits | None = None, *, terminal: bool = False) -> Iterator[AtFrames]:
    if terminal:
        with serve_pty(car, habits) as path:
            frames = AtFrames(path, RUNNING)
            try:
                yield frames
            finally:
                frames.close()
        return
    with serve_tcp(car, habits) as (host, port):
        frames = AtFrames(f"socket://{host}:{port}", RUNNING)
        try:
            yield frames
        finally:
            frames.close()


def answers(habits: AdapterHabits, *, terminal: bool = False) -> dict[int, bytes | type[Exception]]:
    """What each of three questions comes to; an error of the link while it is opened counts for all."""
    out: dict[int, bytes | type[Exception]] = {}
    try:
        with linked(practice_car(), habits, terminal=terminal) as frames, Talk(frames, MONITOR, p2_s=P2_S) as talk:
            for identifier in RIGHT:
                start = time.monotonic()
                try:
                    out[identifier] = talk.ask(read_request(identifier))[3:]
                except (NoAnswer, LinkLost) as error:
                    out[identifier] = type(error)
                assert time.monotonic() - start < READ_TRIES * P2_S + ANSWER_S + 1.5
    except LinkLost as error:
        return dict.fromkeys(RIGHT, LinkLost) if str(error).startswith("the adapter") else {}
    return out


def is_right_or_clear(came: dict[int, bytes | type[Exception]]) -> bool:
    return all(came.get(n) in (RIGHT[n], NoAnswer, LinkLost) for n in RIGHT)


HARMLESS = {
    "as it should be": AdapterHabits(),
    "late": AdapterHabits(late_s=0.1),
    "echo stuck": AdapterHabits(echo_stuck=True),
    "slow reset with rubbish": AdapterHabits(slow_reset=True),
    "searching first": AdapterHabits(searching_first=True),
    "line feeds": AdapterHabits(line_feeds=True),
    "no spaces": AdapterHabits(spaces=False),
    "pieces of one": AdapterHabits(chunk=1, chunk_s=0.001),
    "pieces of five": AdapterHabits(chunk=5),
    "flow control for some only": AdapterHabits(flow_for_obd_only=True),
    "all of it": AdapterHabits(
        late_s=0.02, echo_stuck=True, slow_reset=True, searching_first=True, line_feeds=True, spaces=False, chunk=7, chunk_s=0.001
    ),
}  # fmt: skip


@pytest.mark.parametrize("terminal", [False, True], ids=["loopback", "terminal"])
@pytest.mark.parametrize("habits", HARMLESS.values(), ids=HARMLESS.keys())
def test_what_only_looks_odd_is_read_through(habits: AdapterHabits, terminal: bool) -> None:
    assert answers(habits, terminal=terminal) == RIGHT


@pytest.mark.parametrize("command", [1, 5, 10, 11, 12, 13])
def test_a_lost_prompt_costs_time_and_no_truth(command: int) -> None:
    start = time.monotonic()
    came = answers(AdapterHabits(lose_prompt_at=command))
    assert is_right_or_clear(came)
    assert time.monotonic() - start < OPENING_S + 3 * READ_TRIES * P2_S


@pytest.mark.parametrize("every", [5, 13, 53, 211])
def test_lost_characters_never_make_another_answer(every: int) -> None:
    start = time.monotonic()
    assert is_right_or_clear(answers(AdapterHabits(drop_every=every)))
    assert time.monotonic() - start < 2 * OPENING_S


@pytest.mark.parametrize("count", [1, 20, 60, 100, 170, 230])
@pytest.mark.parametrize("terminal", [False, True], ids=["loopback", "terminal"])
def test_a_link_that_ends_is_told_as_lost(count: int, terminal: bool) -> None:
    start = time.monotonic()
    came = answers(AdapterHabits(close_at=count), terminal=terminal)
    assert is_right_or_clear(came)
    assert came[0x2110] is LinkLost
    assert time.monotonic() - start < OPENING_S


@pytest.mark.parametrize("asked", [1, 2, 3])
def test_a_bus_error_is_told_and_no_answer(asked: int) -> None:
    came = answers(AdapterHabits(can_error_at=asked))
    assert is_right_or_clear(came)
    assert LinkLost in came.values()


@pytest.mark.parametrize("asked", [1, 2, 3])
def test_a_line_marked_as_faulty_is_no_answer(asked: int) -> None:
    assert is_right_or_clear(answers(AdapterHabits(rx_error_at=asked)))


@pytest.mark.parametrize("lines", [1, 2])
def test_a_full_memory_never_makes_another_answer(lines: int) -> None:
    assert is_right_or_clear(answers(AdapterHabits(full_after=lines)))


def test_an_adapter_that_is_slower_than_its_time_is_no_truth_either() -> None:
    start = time.monotonic()
    assert is_right_or_clear(answers(AdapterHabits(late_s=0.3)))
    assert time.monotonic() - start < 2 * OPENING_S


def test_a_list_is_written_through_an_adapter() -> None:
    car = practice_car()
    with linked(car) as frames:
        with Talk(frames, MONITOR, Permit.TEACH, frozenset({0x0310}), frozenset({0x2110})) as talk:
            for request in ("10 03", "31 01 03 10 01", "2E 21 10 " + bytes_of(WINTER).hex(), "31 02 03 10"):
                assert talk.once(bytes.fromhex(request))[0] == bytes.fromhex(request)[0] + 0x40
            assert talk.ask(read_request(0x2110))[3:] == bytes_of(WINTER)
        with Talk(frames, MONITOR) as talk, pytest.raises(Refused):
            talk.ask(read_request(0x9999))
    assert car.unit.teaching.lists[1] == WINTER


def test_an_adapter_that_was_left_while_it_listens_is_stopped_first() -> None:
    """A link that breaks leaves such an adapter waiting for frames, and the first character of what comes next only stops it."""
    with serve_tcp(practice_car()) as (host, port):
        for _ in range(2):
            frames = AtFrames(f"socket://{host}:{port}", RUNNING)
            frames.monitor(0x2F1, wide=False)
            assert frames.receive(3.0) is not None
            end = time.monotonic() + 3.0
            while not frames.port.in_waiting and time.monotonic() < end:
                time.sleep(0.01)
            frames.port._socket.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
            frames.port._socket.close()


def test_several_units_are_asked_one_after_another() -> None:
    with linked(practice_car()) as frames:
        for unit, request, begin in (
            (MONITOR, "22 F1 8C", "62 F1 8C"), (UnitAddress(0x7E0, 0x7E8), "09 02", "49 02 01"), (UnitAddress(0x760, 0x768), "22 F1 90", "62 F1 90"),
        ):  # fmt: skip
            with Talk(frames, unit) as talk:
                assert talk.ask(bytes.fromhex(request)).startswith(bytes.fromhex(begin))


@pytest.mark.parametrize("mv", [9_800, 12_600, 14_400])
def test_the_voltage_is_read_before_and_after_a_conversation(mv: int) -> None:
    car = practice_car()
    car.around.supply_mv = mv
    with linked(car) as frames:
        assert frames.supply_v() == mv / 1000
        with Talk(frames, MONITOR) as talk:
            assert talk.ask(read_request(0x2112))[3:] == b"\x01"
        assert frames.supply_v() == mv / 1000


def test_open_link_opens_an_adapter() -> None:
    with serve_tcp(practice_car()) as (host, port):
        frames = open_link(f"at socket://{host}:{port}", RUNNING)
        assert isinstance(frames, AtFrames)
        frames.close()
        frames.close()


class Port:
    """An adapter by hand: what each line is answered with, and the lines that came."""

    def __init__(self, said: dict[str, str] | None = None) -> None:
        self.said = said or {}
        self.lines: list[str] = []
        self.typed = b""
        self.out = b""

    def write(self, data: bytes) -> None:
        self.typed += data
        while b"\r" in self.typed:
            line, _, self.typed = self.typed.partition(b"\r")
            self.lines.append(line.decode("ascii").strip())
            self.out += self.said.get(self.lines[-1], "OK\r\r>").encode("ascii")

    def read(self, size: int = 1) -> bytes:
        data, self.out = self.out[:size], self.out[size:]
        if not data:
            time.sleep(0.005)
        return data

    @property
    def in_waiting(self) -> int:
        return len(self.out)

    def close(self) -> None:
        pass


def through(port: Port, monkeypatch: pytest.MonkeyPatch) -> AtFrames:
    monkeypatch.setattr(serial, "serial_for_url", lambda *_args, **_named: port)
    return AtFrames("by hand", RUNNING)


def test_the_adapter_is_told_to_leave_segments_to_us(monkeypatch: pytest.MonkeyPatch) -> None:
    port = Port()
    through(port, monkeypatch)
    assert port.lines == ["ATZ", "ATE0", "ATL0", "ATS1", "ATH1", "ATSP6", "ATCAF0", "ATCFC0", "ATSTFF"]


def test_a_narrow_address_is_set_and_asked(monkeypatch: pytest.MonkeyPatch) -> None:
    port = Port({"0322211299999999": "?\r\r>", "0322F18CCCCCCCCC": "6AB 04 62 F1 8C 41 CC CC CC \r\r>"})
    with Talk(through(port, monkeypatch), MONITOR) as talk:
        assert talk.once(read_request(0xF18C)) == bytes.fromhex("62 F1 8C 41")
    assert port.lines[9:12] == ["ATCRA6AB", "ATSH6A3", "0322F18CCCCCCCCC"]


@pytest.mark.published
def test_a_wide_address_is_set_and_asked(monkeypatch: pytest.MonkeyPatch) -> None:
    """ISO 15765-4: 18DA10F1 and 18DAF110; the answer is the printed example, its length byte as the data are long."""
    port = Port({"02010CCCCCCCCCCC": "18 DA F1 10 04 41 0C 41 C2 CC CC CC \r\r>"})
    with Talk(through(port, monkeypatch), normal_fixed(0x10)) as talk:
        assert talk.once(b"\x01\x0c") == bytes.fromhex("41 0C 41 C2")
    assert "ATSP7" in port.lines
    assert "ATCRA18DAF110" in port.lines
    asked = port.lines.index("02010CCCCCCCCCCC")
    assert port.lines[asked - 2 : asked] == ["ATCP18", "ATSHDA10F1"]


@pytest.mark.parametrize(
    "line",
    [
        "6AB 04 62 21 12 0", "6A 04 62 21 12 02 CC CC CC", "6AB04 62 21 12 02 CC CC CC", "6AB 0462 21 12 02 CC CC CC", "04 62 21 12 02 CC CC CC",
        "6AB 04 62 21 12 02 CC CC CC CC", "6AB 04 62 21 1 02 CC CC CC", "6AB 04 62 21 12 0? CC CC CC", "6AB 04 62 21 12 02 CC CC 6AB 04",
        "7E8 04 62 21 12 02 CC CC CC", "16AB 04 62 21 12 02 CC CC CC", "SEARCHING", "0: 04 62 21 12 02", "OK", "?", "NO DATA", "STOPPED", "",
    ],
)  # fmt: skip
def test_a_broken_line_is_no_frame(line: str, monkeypatch: pytest.MonkeyPatch) -> None:
    right = "6AB 04 62 21 12 01 CC CC CC "
    port = Port({"03222112CCCCCCCC": f"{line}\r{right}\r\r>"})
    with Talk(through(port, monkeypatch), MONITOR, p2_s=P2_S) as talk:
        assert talk.once(read_request(0x2112))[3:] == b"\x01"


@pytest.mark.parametrize(
    "trouble", ["CAN ERROR", "BUS ERROR", "BUS BUSY", "UNABLE TO CONNECT", "FB ERROR", "ERR94", "LV RESET"]
)
def test_what_an_adapter_says_of_its_bus_is_handed_on(trouble: str, monkeypatch: pytest.MonkeyPatch) -> None:
    port = Port({"03222112CCCCCCCC": f"{trouble}\r\r>"})
    with (
        Talk(through(port, monkeypatch), MONITOR, p2_s=P2_S) as talk,
        pytest.raises(LinkLost, match=f"{trouble}.*ignition on"),
    ):
        talk.once(read_request(0x2112))


def test_what_is_no_adapter_is_refused_within_three_tries(monkeypatch: pytest.MonkeyPatch) -> None:
    port = Port({"ATE0": "ERROR\r\r>"})
    with pytest.raises(LinkLost, match="does not acknowledge ATE0: it is none with the common AT commands"):
        through(port, monkeypatch)
    assert port.lines == ["ATZ", "ATE0", "ATE0", "ATE0"]


def test_frames_that_came_are_handed_out_in_order(monkeypatch: pytest.MonkeyPatch) -> None:
    port = Port({"02010CCCCCCCCCCC": "7E8 01 01 \r7E8 01 02 \r7E9 01 03 \r\r>"})
    frames = through(port, monkeypatch)
    frames.send(Frame(0x7DF, bytes.fromhex("02010CCCCCCCCCCC")))
    came = [frame for _ in range(3) if (frame := frames.receive(0.3)) is not None]
    assert [(f.can_id, f.data) for f in came] == [(0x7E8, b"\x01\x01"), (0x7E8, b"\x01\x02"), (0x7E9, b"\x01\x03")]
