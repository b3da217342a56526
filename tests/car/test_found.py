"""Faults that were found once and mended: each test states what is true since then."""

from __future__ import annotations

import contextlib
import importlib
import socket
import time
from collections.abc import Callable
from itertools import count
from pathlib import Path
from typing import Any

import can
import pytest

from wheelside.car.address import UnitAddress
from wheelside.car.card import Layout, PortCard, read_request
from wheelside.car.codes import code_text
from wheelside.car.frames import Frame, LinkLost, NoAnswer
from wheelside.car.link import CanFrames, open_bus, open_link
from wheelside.car.permit import Permit
from wheelside.car.portcard import read_port_card
from wheelside.car.talk import Talk
from wheelside.car.tape import FORMATS, Replay, Tape, read_tape
from wheelside.demo.practice import AdapterHabits, Habits, PracticeCar, practice_car
from wheelside.demo.practice.uds import Reply
from wheelside.errors import BadFile, BadRequest, BadText
from wheelside.jobs.source import RUNNING

_link, _at = importlib.import_module("car.test_link"), importlib.import_module("car.test_at")
wire_to: Callable[..., Any] = _link.wire_to
MONITOR = UnitAddress(0x6A3, 0x6AB)
WATCHED = read_request(0x2112)
START = bytes.fromhex("31 01 03 10 01")


def asked(car: PracticeCar) -> list[bytes]:
    """The requests that the monitor hears from now on."""
    heard: list[bytes] = []
    answer = car.unit.answer

    def noted(request: bytes, now_s: float, functional: bool = False) -> tuple[Reply, ...]:
        heard.append(request)
        return answer(request, now_s, functional)

    car.unit.answer = noted  # type: ignore[method-assign]
    return heard


def test_a_recording_does_not_mix_the_segments_of_two_answers(tmp_path: Path) -> None:
    """Both lists are of one length: their flow control is the same frame."""
    car, file = practice_car(), tmp_path / "lists.log"
    car.unit.teaching.lists[2] = (1, 2, 3, 4)
    tape = Tape(file, count(1.0).__next__)
    with Talk(_link.to_car(car), MONITOR, heard=tape.heard) as talk:
        first, second = talk.ask(read_request(0x2110)), talk.ask(read_request(0x2111))
    tape.close()
    frames = read_tape(file)
    for order in ((0x2110, 0x2111), (0x2111, 0x2110), (0x2111,)):
        with Talk(Replay(frames, MONITOR.request, MONITOR.answer), MONITOR) as talk:
            came = {number: talk.ask(read_request(number)) for number in order}
        assert came == {number: {0x2110: first, 0x2111: second}[number] for number in order}


def test_waking_an_adapter_does_not_repeat_what_was_asked_last() -> None:
    """An empty line has such adapters repeat their last command: here, one that starts a routine."""
    car = practice_car()
    heard = asked(car)
    with (
        _at.linked(car, AdapterHabits(lose_prompt_at=13)) as frames,
        Talk(frames, MONITOR, Permit.TEACH, frozenset({0x0310})) as talk,
    ):
        talk.once(b"\x10\x03")
        talk.once(START)
        time.sleep(1.5)
        with contextlib.suppress(NoAnswer):
            talk.once(WATCHED)
    assert heard.count(START) == 1


def test_a_prompt_that_was_not_read_yet_does_not_repeat_what_was_asked_last() -> None:
    car = practice_car()
    heard = asked(car)
    with _at.linked(car) as frames:
        frames.send(Frame(0x6A3, bytes.fromhex("02 10 03 CC CC CC CC CC")))
        time.sleep(1.5)
        frames.send(Frame(0x6A3, bytes.fromhex("03 22 21 12 CC CC CC CC")))
        time.sleep(0.2)
    assert heard == [b"\x10\x03", WATCHED]


@pytest.mark.published
@pytest.mark.parametrize("said", [0x80, 0xF0, 0xFA, 0xFF])
def test_a_gap_that_the_standard_reserves_is_the_longest_one(said: int) -> None:
    """ISO 15765-2: reserved separation times are taken as 7F, 127 milliseconds."""
    wire, _ = _link._written(Habits(st_min=said))
    first, second = [at for at, frame in wire.sent if frame.data[0] >> 4 == 2]
    assert second - first >= 0.127 * 0.95


def test_an_answer_that_is_under_way_is_waited_for() -> None:
    """216 bytes with 50 ms between their segments take longer than an answer may take to begin."""
    data = b"\x62\x21\x10" + bytes(213)
    rest = [(bytes([0x20 | (n + 1) & 15]) + data[6 + 7 * n : 13 + 7 * n]).ljust(8, b"\xcc") for n in range(30)]

    def other_end(frame: Frame) -> list[tuple[float, Frame]]:
        if frame.data[0] >> 4 == 3:
            return [((n + 1) * 0.05, Frame(MONITOR.answer, row)) for n, row in enumerate(rest)]
        first = (0x1000 | len(data)).to_bytes(2, "big") + data[:6]
        return [(0.0, Frame(MONITOR.answer, first))] if frame.data[0] == 3 else []

    with Talk(wire_to(other_end), MONITOR) as talk:
        assert talk.once(read_request(0x2110)) == data


def test_a_late_snapshot_of_another_code_is_passed_over() -> None:
    first, second = "5A 10 31", "5A 11 31"

    def other_end(frame: Frame) -> list[tuple[float, Frame]]:
        if frame.data[:3] != b"\x06\x19\x04":
            return []
        code, after = (first, 0.45) if frame.data[4] == 0x10 else (second, 0.3)
        return [(after, Frame(MONITOR.answer, bytes.fromhex(f"06 59 04 {code} 28 CC")))]

    with Talk(wire_to(other_end), MONITOR, p2_s=0.4) as talk:
        with pytest.raises(NoAnswer):
            talk.once(bytes.fromhex(f"19 04 {first} FF"))
        assert talk.once(bytes.fromhex(f"19 04 {second} FF")) == bytes.fromhex(f"59 04 {second} 28")


def test_an_answer_from_before_the_conversation_is_none() -> None:
    theirs, ours = open_bus("virtual found-1"), CanFrames(open_bus("virtual found-1"), RUNNING)
    old = can.Message(arbitration_id=0x6AB, data=bytes.fromhex("04 62 21 40 01 CC CC CC"), is_extended_id=False)
    try:
        for _ in range(200):
            theirs.send(old)
        with Talk(ours, MONITOR, p2_s=0.3) as talk, pytest.raises(NoAnswer):
            talk.once(read_request(0x2140))
    finally:
        ours.close()
        theirs.shutdown()


@pytest.mark.parametrize("what", [b"nonsense" * 20, b"", b"LOGG" + bytes(10)], ids=["text", "empty", "head alone"])
def test_a_broken_binary_recording_is_refused(what: bytes, tmp_path: Path) -> None:
    file = tmp_path / "drive.blf"
    file.write_bytes(what)
    with pytest.raises(BadRequest, match="can't be read as a recording"):
        read_tape(file)


@pytest.mark.parametrize("ending", [ending for ending in FORMATS if ending != ".blf"])
def test_an_empty_file_is_no_recording(ending: str, tmp_path: Path) -> None:
    file = tmp_path / f"drive{ending}"
    file.write_bytes(b"")
    with pytest.raises(BadRequest, match=r"can't be read as a recording|holds no frames"):
        read_tape(file)


def test_a_line_that_an_adapter_marks_as_faulty_costs_one_try() -> None:
    assert _at.answers(AdapterHabits(rx_error_at=1)) == _at.RIGHT


HEAD = 'port = 1\nid = "car"\n\n[unit]\nrequest = "6A3"\nanswer = "6AB"\n'
LIST = '\n[[list]]\nidentifier = "2110"\nname = "set"\nplaces = ["front left", "front right"]\n'
VALUE = '\n[[value]]\nidentifier = "2120"\nholds = "pressure"\n'


def card_of(text: str) -> PortCard:
    return read_port_card(text.encode(), "car.toml")


def test_a_card_that_only_reads_lets_no_routine_be_started() -> None:
    begin = LIST + 'begin = "31 01 03 10 01"\n'
    assert card_of(HEAD + begin).routines == frozenset({0x0310})
    assert card_of(HEAD + "read_only = true\n" + begin).routines == frozenset()


@pytest.mark.parametrize(
    ("text", "line", "key"),
    [
        (LIST + 'begin = "31 05 03 10"\n', 12, "list[1].begin"),
        (LIST.replace("front right", "front left"), 11, "list[1].places"),
        (LIST.replace('"front left", "front right"', ""), 11, "list[1].places"),
        (LIST + LIST, 15, "list[2].name"),
        (LIST + 'done = "02"\n', 12, "list[1].done"),
        (VALUE + 'length = 2\nunknown = "FF"\n', 12, "value[1].unknown"),
        (VALUE + 'places = ["front left"]\naxles = true\n', 12, "value[1].axles"),
        (VALUE.replace("pressure", "battery low") + 'bits = true\nunknown = "FF"\n', 12, "value[1].unknown"),
    ],
    ids=["sub-function 05", "place twice", "no places", "list twice", "done without result", "unknown too short", "axles and places", "unknown bits"],
)  # fmt: skip
def test_a_card_that_contradicts_itself_is_told_with_its_line(text: str, line: int, key: str) -> None:
    with pytest.raises(BadFile) as caught:
        card_of(HEAD + text)
    (problem,) = caught.value.problems
    assert (problem.line, problem.key) == (line, key)


def test_requests_and_answers_have_identifiers_of_their_own() -> None:
    with pytest.raises(BadFile, match="the same as 'request'"):
        card_of(HEAD.replace("6AB", "6A3"))


@pytest.mark.parametrize("number", [256, -1])
def test_a_number_that_does_not_fit_its_place_is_refused(number: int) -> None:
    with pytest.raises(ValueError, match=f"^{number} does not fit 1 bytes$"):
        Layout(("front left",), 1, True).data((number,))


@pytest.mark.parametrize("said", ["virtual found-2 fast=1 channel=y", "socketcan can0 interface=virtual"])
def test_a_setting_that_stands_in_front_already_is_told(said: str) -> None:
    with pytest.raises(BadText, match="stands in front already") as caught:
        open_link(said, RUNNING)
    assert caught.value.found == said.rsplit(maxsplit=1)[-1]


def test_a_setting_that_a_bus_does_not_take_is_told() -> None:
    with socket.create_server(("127.0.0.1", 0)) as listening:
        port = listening.getsockname()[1]
        with pytest.raises(LinkLost, match="can't be opened"):
            open_link(f"slcan socket://127.0.0.1:{port} sleep_after_open=x", RUNNING)


@pytest.mark.parametrize("number", [b"", b"\x01", b"\x01\x02\x03\x04"])
def test_bytes_that_are_no_code_have_no_text(number: bytes) -> None:
    with pytest.raises(ValueError, match=f"two or three bytes, not {len(number)}$"):
        code_text(number)
