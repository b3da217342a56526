"""Messages in frames, ISO 15765-2, against published frames; and each habit that shows in frames."""

from __future__ import annotations

import pytest

from wheelside.demo.practice import Habits, practice_car
from wheelside.demo.practice.brake import BrakeUnit
from wheelside.demo.practice.car import PracticeCar
from wheelside.demo.practice.engine import EngineUnit
from wheelside.demo.practice.segments import Manner, Receiver, Sender, gap_s, read_first, read_single
from wheelside.demo.practice.unit import PracticeUnit
from wheelside.demo.practice.wheels import Around

CLEAR = bytes.fromhex("30 00 00")


def sent(car: PracticeCar, can_id: int, data: str, at: float = 0.0) -> list[str]:
    return [f"{reply:03X} {frame.hex(' ').upper()}" for _, reply, frame in car.frames(can_id, bytes.fromhex(data), at)]


def bare(vin: str) -> PracticeCar:
    around = Around()
    return PracticeCar(PracticeUnit(vin, around), EngineUnit(vin, around), BrakeUnit(vin, around))


@pytest.mark.published
@pytest.mark.parametrize(
    ("vin", "frames"),
    [
        (
            "1M8GDM9AXKP042788",
            ["10 14 49 02 01 31 4D 38", "21 47 44 4D 39 41 58 4B", "22 50 30 34 32 37 38 38"],
        ),
        (
            "1HGCM82633A004352",
            ["10 14 49 02 01 31 48 47", "21 43 4D 38 32 36 33 33", "22 41 30 30 34 33 35 32"],
        ),
    ],
)
def test_a_number_in_frames_as_published(vin: str, frames: list[str]) -> None:
    """02 09 02, then 30 00 00: SAE J1979 over ISO 15765-2."""
    car = bare(vin)
    assert sent(car, 0x7E0, "02 09 02 CC CC CC CC CC") == ["7E8 " + frames[0]]
    assert sent(car, 0x7E0, "30 00 00 CC CC CC CC CC", 0.01) == ["7E8 " + frame for frame in frames[1:]]


@pytest.mark.published
def test_a_refusal_in_a_frame_as_published() -> None:
    """7E8 03 7F 22 31, filled up with CC; here from the monitor."""
    assert sent(practice_car(), 0x6A3, "03 22 99 99") == ["6AB 03 7F 22 31 CC CC CC CC"]


@pytest.mark.published
@pytest.mark.parametrize(
    ("byte", "seconds"),
    [(0x00, 0), (0x20, 0.032), (0x7F, 0.127), (0xF1, 0.0001), (0xF5, 0.0005), (0xF9, 0.0009), (0x80, 0.127), (0xF0, 0.127), (0xFA, 0.127),
     (0xFF, 0.127)],
)  # fmt: skip
def test_the_gap_between_frames(byte: int, seconds: float) -> None:
    """ISO 15765-2; that reserved values are taken for 127 ms is from memory."""
    assert gap_s(byte) == pytest.approx(seconds)


def through(message: bytes, sender: Sender, receiver: Receiver) -> tuple[bytes | None, list[bytes]]:
    """A message from one side to the other, and the flow control that it took."""
    frame, now, flows = sender.start(message, 0.0), 0.0, list[bytes]()
    flow, done = receiver.feed(frame, now)
    while done is None and flow:
        coming = [(now + after, data) for after, data in flow]
        flow, flows = (), flows + [data for _, data in coming]
        for now, data in coming:
            for after, next_frame in sender.flow(data, now):
                more, done = receiver.feed(next_frame, now + after)
                flow += more
    return done, flows


@pytest.mark.parametrize("length", [1, 7, 8, 13, 14, 62, 120, 300, 4095, 5000])
@pytest.mark.parametrize("manner", [Manner(), Manner(padding=None, block_size=3, st_min=5, waits=2, capacity=9999)])
def test_both_sides_understand_each_other(length: int, manner: Manner) -> None:
    message = bytes(n % 251 for n in range(length))
    done, flows = through(message, Sender(manner), Receiver(manner))
    if length > manner.capacity:
        assert done is None
        assert [flow[0] for flow in flows] == [0x32]
        return
    assert done == message
    if length > 7:
        assert [flow[0] for flow in flows][: manner.waits + 1] == [0x31] * manner.waits + [0x30]


def test_numbers_of_frames_go_round_and_lengths_past_12_bits_are_announced_in_32() -> None:
    sender = Sender(Manner())
    sender.start(bytes(6 + 7 * 17), 0.0)
    assert [frame[0] for _, frame in sender.flow(CLEAR, 0.0)] == [*range(0x21, 0x30), 0x20, 0x21]
    assert sender.start(bytes(4096), 0.0) == bytes.fromhex("10 00 00 00 10 00 00 00")


def test_a_sender_obeys_blocks_gaps_waiting_and_overflow() -> None:
    sender = Sender(Manner())
    sender.start(bytes(30), 0.0)
    assert sender.flow(b"\x31\x00\x00", 0.9) == ()
    assert [after for after, _ in sender.flow(b"\x30\x02\xf5", 1.8)] == pytest.approx([0, 0.0005])
    assert len(sender.flow(CLEAR, 1.9)) == 2
    assert not sender.busy
    for flow, late in ((b"\x32\x00\x00", 0.1), (b"\x35\x00\x00", 0.1), (CLEAR, 1.1)):
        sender.start(bytes(30), 0.0)
        assert sender.flow(flow, late) == ()
        assert not sender.busy


def test_a_receiver_gives_up_on_gaps_and_late_frames() -> None:
    for number, late in ((0x22, 0.1), (0x21, 1.1)):
        receiver = Receiver(Manner())
        receiver.feed(bytes.fromhex("100A 010203040506"), 0.0)
        assert receiver.feed(bytes((number,)) + bytes(7), late) == ((), None)
        assert not receiver.busy
        assert receiver.feed(b"\x21" + bytes(7), late) == ((), None)


@pytest.mark.parametrize(
    "frame", ["00 01", "08 01 02 03 04 05 06 07", "03 01 02", "", "10 07 01 02 03 04 05 06", "10 14 01", "40 00"]
)
def test_malformed_frames_are_passed_over(frame: str) -> None:
    data = bytes.fromhex(frame)
    assert read_single(data) is None
    assert read_first(data) is None
    assert Receiver(Manner()).feed(data, 0.0) == ((), None)


def test_requests_to_all_units() -> None:
    car = practice_car()
    assert sent(car, 0x7DF, "02 01 0D") == ["7E8 03 41 0D 00 CC CC CC CC"]
    assert sent(car, 0x7DF, "02 3E 80") == []
    assert sent(car, 0x7DF, "02 3E 00") == ["6AB 02 7E 00 CC CC CC CC CC"]
    assert [line[:3] for line in sent(car, 0x7DF, "03 22 F1 90")] == ["6AB", "768"]
    assert sent(car, 0x7DF, "10 14 22 F1 90 00 00 00") == []
    assert sent(car, 0x123, "02 3E 00") == []


def test_keeping_the_session_alive_does_not_disturb_a_long_answer() -> None:
    car = practice_car()
    assert len(sent(car, 0x6A3, "03 22 21 10")) == 1
    assert sent(car, 0x7DF, "02 3E 80", 0.1) == []
    assert len(sent(car, 0x6A3, "30 00 00", 0.2)) == 2


def test_padding_and_flow_control_as_a_habit() -> None:
    assert sent(practice_car(Habits(padding=None)), 0x6A3, "02 3E 00") == ["6AB 02 7E 00"]
    assert sent(practice_car(Habits(padding=0x55)), 0x6A3, "02 3E 00") == ["6AB 02 7E 00 55 55 55 55 55"]
    car = practice_car(Habits(st_min=0xF3, block_size=1, waits=2, wait_s=0.2, padding=None))
    first = bytes.fromhex("10 13 2E 21 10 00 00 00")
    flow = car.frames(0x6A3, first, 0.0)
    assert [(round(after, 3), data.hex()) for after, _, data in flow] == [
        (0, "3101f3"),
        (0.2, "3101f3"),
        (0.4, "3001f3"),
    ]
    assert sent(car, 0x6A3, "21" + "00" * 7, 0.5) == ["6AB 30 01 F3"]
    assert sent(car, 0x6A3, "22" + "00" * 6, 0.6) == ["6AB 03 7F 2E 7F"]
    assert sent(practice_car(Habits(capacity=18)), 0x6A3, first.hex()) == ["6AB 32 00 00 CC CC CC CC CC"]


def test_frames_are_lost_repeated_spoiled_and_late() -> None:
    def numbers(habits: Habits) -> list[str]:
        car = practice_car(habits)
        return [line[4:6] for line in sent(car, 0x6A3, "03 22 21 10") + sent(car, 0x6A3, "30 00 00", 0.1)]

    assert numbers(Habits()) == ["10", "21", "22"]
    assert numbers(Habits(drop_frame=2)) == ["10", "22"]
    assert numbers(Habits(repeat_frame=2)) == ["10", "21", "21", "22"]
    assert numbers(Habits(corrupt_frame=3)) == ["10", "21", "23"]
    spoiled = sent(practice_car(Habits(corrupt_frame=1, corrupt_byte=4)), 0x6A3, "03 22 21 12")
    assert spoiled == ["6AB 04 62 21 12 00 CC CC CC"]
    car = practice_car(Habits(delay_frame=2, delay_s=0.4))
    sent(car, 0x6A3, "03 22 21 10")
    late = car.frames(0x6A3, CLEAR, 0.1)
    assert [after for after, _, _ in late] == pytest.approx([0.4, 0.4])


def test_long_answers_with_waiting_announced_and_sent_twice() -> None:
    car = practice_car(Habits(pending=1, pending_s=0.2, answer_twice=True))
    first = car.frames(0x6A3, bytes.fromhex("03 22 21 10"), 0.0)
    assert [(round(after, 3), data[:4].hex()) for after, _, data in first] == [(0.005, "037f2278"), (0.205, "10136221")]
    rest = car.frames(0x6A3, CLEAR, 0.21)
    assert [data[0] for _, _, data in rest] == [0x21, 0x22, 0x10]
    assert [data[0] for _, _, data in car.frames(0x6A3, CLEAR, 0.3)] == [0x21, 0x22]
