"""Recordings answer as the car did, broken ones are refused; looking for units changes nothing in them."""

from __future__ import annotations

import random
from collections.abc import Iterator
from itertools import count
from pathlib import Path

import pytest

from stepped import Stepped, to_car
from wheelside.car.address import UnitAddress
from wheelside.car.card import PortCard
from wheelside.car.find import Found, RangeKind, addresses, find
from wheelside.car.frames import Frame, LinkLost
from wheelside.car.portcard import read_port_card
from wheelside.car.reads import read_all, read_codes
from wheelside.car.talk import Talk
from wheelside.car.tape import FORMATS, Replay, Tape, read_tape
from wheelside.demo import dbc, practice
from wheelside.demo.practice import practice_car
from wheelside.errors import BadRequest, Outside, WheelsideError
from wheelside.jobs.source import now
from wheelside.units.moment import US_PER_S

MONITOR = UnitAddress(0x6A3, 0x6AB)
TOML = Path(practice.__file__).parents[1] / "practice.toml"


@pytest.fixture(scope="module")
def card() -> PortCard:
    return read_port_card(TOML.read_bytes(), TOML.name, dbc().decode())


def seconds() -> float:
    return now().us / US_PER_S


def record(file: Path, card: PortCard) -> tuple[object, object]:
    tape = Tape(file, seconds)
    try:
        with Talk(to_car(practice_car()), card.unit, heard=tape.heard) as talk:
            return read_all(talk, card), read_codes(talk, card)
    finally:
        tape.close()


@pytest.mark.parametrize("ending", FORMATS)
def test_a_recording_gives_the_answers_of_the_car(ending: str, tmp_path: Path, card: PortCard) -> None:
    file = tmp_path / f"drive{ending}"
    was = record(file, card)
    replay = Replay(read_tape(file), card.unit.request, card.unit.answer)
    assert replay.supply_v() is None
    with Talk(replay, card.unit) as talk:
        assert (read_all(talk, card), read_codes(talk, card)) == was


@pytest.mark.parametrize("ending", FORMATS)
def test_frames_come_back_as_they_were(ending: str, tmp_path: Path) -> None:
    frames = [Frame(0x6A3, b"\x02\x10\x01"), Frame(0x6AB, bytes(range(8))), Frame(0x18DAF110, b"\x01\x3e", True)]
    tape = Tape(tmp_path / f"drive{ending}", count(1e9, 0.25).__next__)
    for number, frame in enumerate(frames):
        tape.heard(frame, number == 0)
    tape.close()
    back = read_tape(tmp_path / f"drive{ending}")
    assert [(f.can_id, f.data, f.wide) for f in back] == [(f.can_id, f.data, f.wide) for f in frames]
    assert [f.at_s - back[0].at_s for f in back] == pytest.approx([0.0, 0.25, 0.5], abs=1e-3)


def test_a_question_that_is_not_on_the_recording_has_no_answer() -> None:
    replay = Replay([Frame(0x6A3, b"\x03\x22\x21\x12"), Frame(0x6AB, b"\x04\x62\x21\x12\x01")], 0x6A3, 0x6AB)
    replay.send(Frame(0x6A3, b"\x03\x22\x21\x40"))
    assert replay.receive(0.01) is None
    replay.send(Frame(0x6A3, b"\x03\x22\x21\x12\xcc\xcc\xcc\xcc"))
    got = replay.receive(0.01)
    assert got is not None
    assert got.data == b"\x04\x62\x21\x12\x01"
    replay.close()


def test_a_question_asked_again_gets_the_answers_in_turn_and_then_the_last() -> None:
    asked = Frame(0x6A3, b"\x03\x22\x21\x40")
    told = [Frame(0x6AB, b"\x04\x62\x21\x40" + bytes([n])) for n in range(3)]
    replay = Replay([f for answer in told for f in (asked, answer)], 0x6A3, 0x6AB)
    came = []
    for _ in range(5):
        replay.send(asked)
        got = replay.receive(0.01)
        assert got is not None
        came.append(got.data[-1])
    assert came == [0, 1, 2, 2, 2]


@pytest.mark.parametrize("name", ["drive", "drive.txt", "drive.LOG", "drive.mf4", "drive.log.gz", "drive.py"])
def test_other_endings_are_refused_with_those_there_are(name: str, tmp_path: Path) -> None:
    for use in (lambda file: Tape(file, seconds), read_tape):
        with pytest.raises(BadRequest, match=r"recordings end with one of \.asc, \.blf, \.csv, \.log, \.trc"):
            use(tmp_path / name)
    assert list(tmp_path.iterdir()) == []


def test_a_file_that_is_there_is_not_written_over(tmp_path: Path) -> None:
    file = tmp_path / "drive.log"
    file.write_text("mine")
    with pytest.raises(BadRequest, match="is there already; name another file"):
        Tape(file, seconds)
    assert file.read_text() == "mine"


def test_a_folder_that_is_not_there_is_told(tmp_path: Path) -> None:
    with pytest.raises(Outside, match="look at the folder"):
        Tape(tmp_path / "none" / "drive.log", seconds)
    with pytest.raises(Outside, match="there is no file"):
        read_tape(tmp_path / "none.log")


@pytest.mark.parametrize("ending", [e for e in FORMATS if e != ".blf"])
@pytest.mark.parametrize(
    "what",
    [b"nonsense\n" * 3, b"\xff\xfe\x80" * 40, bytes(200), b"1,2,3\n4,5,6\n"],
    ids=["text", "no text", "zeros", "commas"],
)
def test_what_is_no_recording_is_refused(ending: str, what: bytes, tmp_path: Path) -> None:
    file = tmp_path / f"drive{ending}"
    file.write_bytes(what)
    with pytest.raises(BadRequest, match=r"can't be read as a recording|holds no frames"):
        read_tape(file)


@pytest.mark.parametrize("ending", [e for e in FORMATS if e != ".blf"])
def test_a_spoilt_recording_is_read_or_refused_and_nothing_else(ending: str, tmp_path: Path, card: PortCard) -> None:
    good, spoilt = tmp_path / f"good{ending}", tmp_path / f"spoilt{ending}"
    record(good, card)
    data, rng = good.read_bytes(), random.Random(15765)
    for number in range(100):
        cut = bytearray(data[: rng.randrange(len(data))] if number % 2 else data)
        for _ in range(number % 4):
            if cut:
                cut[rng.randrange(len(cut))] = rng.randrange(256)
        spoilt.write_bytes(cut)
        try:
            frames = read_tape(spoilt)
        except WheelsideError:
            continue
        assert all(len(frame.data) <= 8 for frame in frames)


def asked(wire: Stepped) -> Iterator[str]:
    """The requests that went out, without flow control."""
    for _, frame in wire.sent:
        if frame.data[0] >> 4 == 0:
            yield frame.data[1 : 1 + frame.data[0]].hex().upper()


def test_a_search_finds_monitor_engine_and_brake() -> None:
    wire, told = to_car(practice_car()), list[UnitAddress]()
    around = (
        *addresses(0x6A2, 0x6A4, RangeKind.NARROW),
        *addresses(0x75F, 0x761, RangeKind.NARROW),
        *addresses(0x7E0, 0x7E1, RangeKind.NARROW),
    )
    found = find(wire, around, told.append)
    assert found == (
        Found(MONITOR, "TYRE MONITOR"), Found(UnitAddress(0x760, 0x768), "BRAKE CONTROL"), Found(UnitAddress(0x7E0, 0x7E8), ""),
    )  # fmt: skip
    assert told == list(around)
    assert [one.hands_off for one in found] == [False, True, False]


def test_a_search_asks_one_question_and_changes_nothing() -> None:
    car = practice_car()
    wire = to_car(car)
    find(wire, addresses(0x6A0, 0x6A5, RangeKind.NARROW))
    assert list(asked(wire)) == ["22F197"] * 6
    assert [f.can_id for _, f in wire.sent if f.data[0] >> 4 == 0] == list(range(0x6A0, 0x6A6))
    assert car.unit.session == 1


def test_a_unit_that_says_what_it_is_is_named() -> None:
    car = practice_car()
    car.brake._held[b"\xf1\x97"] = b"ABS/ESC left \x00 "
    found = find(to_car(car), [UnitAddress(0x760, 0x768), MONITOR])
    assert [(one.name, one.hands_off) for one in found] == [("ABS/ESC left", True), ("TYRE MONITOR", False)]


@pytest.mark.parametrize(
    ("name", "hands_off"),
    [("Airbag", True), ("SRS 2", True), ("Brake control", True), ("steering", True), ("EPS", True), ("ESP 9", True),
     ("", False), ("Tyre monitor", False), ("TPMS", False), ("Body", False)],
)  # fmt: skip
def test_hands_off_is_known_by_name_alone(name: str, hands_off: bool) -> None:
    assert Found(MONITOR, name).hands_off is hands_off
    assert Found(UnitAddress(0x760, 0x768), name).hands_off is hands_off


def test_a_search_ends_with_its_link() -> None:
    wire = to_car(practice_car())
    wire.gone = True
    with pytest.raises(LinkLost, match="unplugged"):
        find(wire, [MONITOR])


def test_a_range_is_addresses_of_one_kind() -> None:
    few = addresses(0x720, 0x727, RangeKind.NARROW)
    assert [(u.request, u.answer, u.wide) for u in few] == [(n, n + 8, False) for n in range(0x720, 0x728)]
    assert addresses(0x720, 0x720, RangeKind.NARROW, offset=0x6A) == (UnitAddress(0x720, 0x78A),)
    wide = addresses(0x00, 0xFF, RangeKind.WIDE)
    assert [u.text for u in (wide[0], wide[-1])] == ["18DA00F1/18DAF100", "18DAFFF1/18DAF1FF"]


@pytest.mark.parametrize(
    ("first", "last", "kind"),
    [
        (0x728, 0x720, RangeKind.NARROW),
        (0x100, 0x300, RangeKind.NARROW),
        (0x700, 0x7F8, RangeKind.NARROW),
        (-5, 2, RangeKind.NARROW),
        (0, 0x100, RangeKind.WIDE),
    ],
)
def test_a_range_that_can_not_be_searched_is_refused(first: int, last: int, kind: RangeKind) -> None:
    with pytest.raises(BadRequest, match="can't be searched: name at most 512 addresses, the lower one first"):
        addresses(first, last, kind)
