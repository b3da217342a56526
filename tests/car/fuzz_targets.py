"""What is fuzzed of reading a car: each target takes any bytes, and lets nothing escape but what its documentation names.

`main` is run in a process of its own, with NAME FOLDER -max_total_time=8 and other limits of libFuzzer; NAME is one of TARGETS. Whoever
runs it imports this module under atheris.instrument_imports.
"""

from __future__ import annotations

import contextlib
import importlib
import sys
import tempfile
from collections import deque
from collections.abc import Callable
from datetime import date
from importlib import resources
from pathlib import Path

from wheelside.car.at import AtFrames
from wheelside.car.card import Holds, IdList, Layout, Value
from wheelside.car.codes import BadAnswer, Code, codes_of_14229, codes_of_j1979, number_of_codes
from wheelside.car.frames import LONGEST, LinkLost, Time
from wheelside.car.portcard import read_port_card
from wheelside.car.reads import list_from, value_from
from wheelside.car.tape import FORMATS, read_tape
from wheelside.car.vin import read_vin
from wheelside.errors import BadFile, BadRequest, BadText, Outside

CORNERS = ("front left", "front right", "rear right", "rear left", "spare")
TODAY = date(2026, 11, 25)


def codes_14229(data: bytes) -> None:
    """Lists of codes as ISO 14229-1 sends them."""
    with contextlib.suppress(BadAnswer):
        _, codes = codes_of_14229(data)
        _looked_at(codes)
        assert len(codes) == (len(data) - 3) // 4
    with contextlib.suppress(BadAnswer):
        assert 0 <= number_of_codes(data) <= 0xFFFF


def codes_j1979(data: bytes) -> None:
    """Lists of codes as SAE J1979 sends them, on CAN and on older buses."""
    for on_can in (True, False):
        with contextlib.suppress(BadAnswer):
            _looked_at(codes_of_j1979(data, on_can=on_can))


def _looked_at(codes: tuple[Code, ...]) -> None:
    for code in codes:
        assert code.family
        assert len(code.text) == (5 if len(code.number) == 2 else 8)
        assert isinstance(code.makers_own, bool)
        assert code.said is not None


def layouts(data: bytes) -> None:
    """Numbers of a list or a value: the first two bytes make the layout, the others are the answer."""
    if len(data) < 2:
        return
    places, each = CORNERS[: 1 + data[0] % 5], 1 + data[0] // 5 % 8
    unknown = b"\xff" * each if data[1] & 1 else None
    layout = Layout(places, each, bool(data[1] & 2), unknown, bits=bool(data[1] & 4))
    raw = data[2:]
    value = Value(0x2120, Holds.PRESSURE, layout, data[1] / 8, -data[0], "kPa gauge", ((2, "flashing"),))
    text = Value(0xF190, Holds.VIN if data[1] & 8 else Holds.SERIAL, None)
    assert value_from(text, raw).figures == ()
    with contextlib.suppress(BadAnswer):
        numbers = layout.numbers(raw)
        assert len(numbers) == len(places)
        assert layout.bits or layout.data(numbers) == raw
    with contextlib.suppress(BadAnswer):
        read = list_from(IdList(0x2110, "set", layout), raw)
        assert (read.raw, len(read.ids)) == (raw, len(places))
    with contextlib.suppress(BadAnswer):
        assert len(value_from(value, raw).figures) == len(places)


def adapters(data: bytes) -> None:
    """What an adapter says: the first byte is the width, the rest comes in two pieces."""
    if not data:
        return
    frames = object.__new__(AtFrames)
    frames.time = Time(lambda: 0.0, lambda _seconds: None)
    frames.come, frames.buffer = deque(), b""
    frames.wide, frames.waiting, frames.monitors = bool(data[0] & 1), True, True
    half = len(data) // 2
    with contextlib.suppress(LinkLost):
        for piece in (data[1:half], data[max(1, half) :]):
            frames.buffer += piece
            frames._split()
    with contextlib.suppress(LinkLost):
        frames._take(data[1:])
    assert all(len(frame.data) <= LONGEST and frame.wide == frames.wide for frame in frames.come)


def port_cards(data: bytes) -> None:
    """Port cards."""
    with contextlib.suppress(BadFile):
        card = read_port_card(data, "card.toml")
        assert card.routines is not None
        assert not (card.read_only and card.written)


def tapes(data: bytes) -> None:
    """Recordings: the first byte is the format."""
    if not data:
        return
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / f"tape{FORMATS[data[0] % len(FORMATS)]}"
        file.write_bytes(data[1:])
        with contextlib.suppress(BadRequest, Outside):
            assert all(len(frame.data) <= LONGEST for frame in read_tape(file))


def vins(data: bytes) -> None:
    """Vehicle identification numbers."""
    text = data.decode("utf-8", "replace")
    with contextlib.suppress(BadText):
        assert text not in repr(read_vin(text, TODAY))


TARGETS: dict[str, Callable[[bytes], None]] = {
    one.__name__: one for one in (codes_14229, codes_j1979, layouts, adapters, port_cards, tapes, vins)
}
_LOG = b"(1700000000.000000) can0 6AB#1013622110112233\n(1700000000.010000) can0 6A3#3000000000000000\n"
_ASC = (
    b"date Sat Sep 30 15:06:13.191 2017\nbase hex  timestamps absolute\ninternal events logged\nBegin Triggerblock\n"
    b" 0.000000 Start of measurement\n 1.000000 1  6AB             Rx   d 8 10 13 62 21 10 11 22 33\nEnd TriggerBlock\n"
)
_TRC = (
    b";$FILEVERSION=1.1\n;$STARTTIME=43008.9\n;\n;   Start time: 30.09.2017 22:04:00.0\n;\n"
    b"     1)        17.7  Rx         06AB  8  10 13 62 21 10 11 22 33\n"
)
_CSV = b"timestamp,arbitration_id,extended,remote,error,dlc,data\n1.0,0x6ab,0,0,0,8,EBNiIRARIjM=\n"


def seeds() -> dict[str, tuple[bytes, ...]]:
    """What each target begins with."""
    card = (resources.files("wheelside.demo") / "practice.toml").read_bytes()
    return {
        "codes_14229": (
            bytes.fromhex("5902FF5A1031285A20162F"),
            bytes.fromhex("5915FF"),
            bytes.fromhex("590100010002"),
        ),
        "codes_j1979": (bytes.fromhex("430201020113"), bytes.fromhex("4A00"), bytes.fromhex("4701020000")),
        "layouts": (bytes((18, 3)) + bytes(range(16)), bytes((3, 4, 0x0F)), bytes((8, 9)) + b"XWSKE16EXTA004217"),
        "adapters": (
            b"\0ATZ\r\r\rOBDI v1.5\r\r>OK\r\r>6AB 10 13 62 21 10 11 22 33 \r\r>",
            b"\x0118 DA F1 10 03 7F 22 78 \r>NO DATA\r>STOPPED\r\r>",
            b"\0CAN ERROR\r>6AB 02<RX ERROR\r?\r>BUFFER FULL\r",
        ),
        "port_cards": (card, b"port = 1\n", b'port = 1\nid = "a"\n[unit]\nrequest = "6A3"\nanswer = "6AB"\n'),
        "tapes": (b"\0" + _ASC, b"\x02" + _CSV, b"\x03" + _LOG, b"\x04" + _TRC, b"\x01" + b"LOGG" + bytes(140)),
        "vins": (b"1M8GDM9AXKP042788", b"XX0ZZZZZZ8X000001", b" xx0-zzz zzz 8x0-00001\n"),
    }


def main() -> None:
    """Fuzzes one target up to libFuzzer's limits."""
    atheris = importlib.import_module("atheris")
    name, folder, *limits = sys.argv[1:]
    for number, seed in enumerate(seeds()[name]):
        (Path(folder) / f"seed{number}").write_bytes(seed)
    target = TARGETS[name]
    atheris.Setup([sys.argv[0], *limits, folder], target)
    atheris.Fuzz()
