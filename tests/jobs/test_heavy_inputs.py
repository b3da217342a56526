"""No file takes all memory or for ever: what is too large, too deep or packed too densely is refused in a sentence."""

from __future__ import annotations

import io
import json
import os
import re
import struct
import subprocess
import sys
import zipfile
import zlib
from collections.abc import Callable
from pathlib import Path

import can
import pytest

from commands import run
from wheelside.car.broadcast import described
from wheelside.car.odx import read_odx
from wheelside.car.portcard import dbc_named
from wheelside.car.tape import read_tape
from wheelside.declared.read import MOST_COMPLAINTS
from wheelside.demo import household
from wheelside.errors import BadFile, BadRequest, Mendable
from wheelside.garage.file import read_garage
from wheelside.jobs.book.reading_file import grid_of, open_grid
from wheelside.proof.check import check_proof

MOST_MB, MOST_CPU_S = 500, 10


LAUNCHER = """
import json, os, subprocess, sys
child = subprocess.Popen(sys.argv[2:], stdin=subprocess.DEVNULL)
_, status, used = os.wait4(child.pid, 0)
with open(sys.argv[1], "w") as told:
    json.dump([os.waitstatus_to_exitcode(status), used.ru_utime + used.ru_stime, used.ru_maxrss / 1024], told)
"""
"""Starts a command from a small process: what a process takes at most is counted from the moment at which it was forked from another."""


def measured(tmp_path: Path, *args: object) -> tuple[int, str, float, float]:
    """Exit status, what was said, seconds of the processor and megabytes of one command, the processes that it starts included."""
    said, told = tmp_path / "said.txt", tmp_path / "told.json"
    command = [sys.executable, "-S", "-c", LAUNCHER, told, sys.executable, "-m", "wheelside", *args]
    with said.open("wb") as out:
        subprocess.run(list(map(str, command)), stdout=out, stderr=out, check=True)
    code, seconds, megabytes = json.loads(told.read_text())
    return code, said.read_text(), seconds, megabytes


GARAGES: dict[str, Callable[[], str]] = {
    "a key of many parts": lambda: "a." * 18_000 + "a = 1\n",
    "a quoted key of many parts": lambda: '"" . ' * 2000 + "a = 1\n",
    "a heading of many parts": lambda: "[" + "a." * 2000 + "a]\n",
    "arrays in arrays": lambda: "x = " + "[" * 400 + "]" * 400,
    "tables in tables": lambda: "x = " + "{a=" * 200 + "1" + "}" * 200,
    "tables in long keys": lambda: "x = " + ("{" + "a." * 25 + "a=") * 50 + "1" + "}" * 50,
    "rows without end": lambda: "wheelside = 1\n" + "[[car]]\n" * 240_000,
    "a list without end": lambda: "wheelside = 1\nx = [" + "[]," * 600_000 + "]",
    "keys without end": lambda: "wheelside = 1\n" + "".join(f"k{n} = 1\n" for n in range(100_000)),
    "one long line": lambda: "#" * 3_000_000,
    "a number without end": lambda: "wheelside = 1\nx = " + "9" * 1_900_000,
}


@pytest.mark.parametrize("kind", GARAGES)
def test_no_garage_file_takes_all_memory(tmp_path: Path, kind: str) -> None:
    file = tmp_path / "garage.toml"
    file.write_text(GARAGES[kind]())
    code, said, seconds, megabytes = measured(tmp_path, "check", file)
    assert code == 2, said[:300]
    assert "problem" in said or "more than" in said
    assert seconds < MOST_CPU_S
    assert megabytes < MOST_MB


def test_many_problems_are_told_up_to_a_number() -> None:
    with pytest.raises(BadFile) as caught:
        read_garage(b"wheelside = 1\n" + b"[[car]]\n" * 2000, "x.toml")
    assert len(caught.value.problems) == MOST_COMPLAINTS + 1
    assert "perhaps more" in str(caught.value)


def test_a_text_with_many_dots_is_no_long_key() -> None:
    note = "note = 'tyres ... front, rear, spare. And so on: 1.2.3.4.5'\n"
    assert read_garage(household().replace(b"[[place]]\n", b"[[place]]\n" + note.encode(), 1), "x.toml").place[0].note


@pytest.mark.parametrize("fact", ["a." * 2000 + "a = 1", "car.estate.label = " + "[" * 3000, "{" * 5000])
def test_a_supposed_fact_is_not_deep(capsys: pytest.CaptureFixture[str], file: Path, fact: str) -> None:
    assert run(capsys, "plan", file, "--if", fact)[0] == 2


def test_a_port_card_that_is_deep_names_no_dbc() -> None:
    assert dbc_named(b"a." * 18_000 + b"a = 1") is None


@pytest.mark.parametrize(
    "command", [("check",), ("plan",), ("air",), ("proof", "check"), ("port", "draft"), ("book", "show")]
)
@pytest.mark.parametrize("suffix", [".dbc"])
def test_a_pipe_with_a_name_keeps_nobody_waiting(tmp_path: Path, command: tuple[str, ...], suffix: str) -> None:
    fifo = tmp_path / f"fifo{suffix}"
    os.mkfifo(fifo)
    done = subprocess.run(
        [sys.executable, "-m", "wheelside", *command, str(fifo)],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert done.returncode == 2
    assert str(fifo) in done.stderr


@pytest.mark.parametrize("suffix", [".csv", ".jsonl", ".xlsx", ".parquet"])
def test_readings_come_from_ordinary_files(tmp_path: Path, suffix: str) -> None:
    fifo = tmp_path / f"fifo{suffix}"
    os.mkfifo(fifo)
    with pytest.raises(BadRequest, match="ordinary"):
        list(open_grid(fifo).rows)


@pytest.mark.parametrize("suffix", [".log", ".blf"])
def test_recordings_are_ordinary_files(tmp_path: Path, suffix: str) -> None:
    fifo = tmp_path / f"fifo{suffix}"
    os.mkfifo(fifo)
    with pytest.raises(BadRequest, match="ordinary"):
        read_tape(fifo)


def blf(tmp_path: Path, *held: bytes) -> Path:
    """A BLF file with these objects in packed containers."""
    file = tmp_path / "tape.blf"
    with can.BLFWriter(str(file)) as writer:
        writer.on_message_received(can.Message(timestamp=1.0, arbitration_id=0x6A3, data=b"12", is_extended_id=False))
    whole = file.read_bytes()
    out = whole[: int.from_bytes(whole[4:8], "little")]
    for data in held:
        body = struct.pack("<H6xL4x", 2, len(data)) + zlib.compress(data)
        out += struct.pack("<4sHHLL", b"LOBJ", 16, 1, 16 + len(body), 10) + body + bytes((16 + len(body)) % 4)
    file.write_bytes(out)
    return file


def an_object(size: int, kind: int = 99) -> bytes:
    return struct.pack("<4sHHLL", b"LOBJ", 32, 1, size, kind) + bytes(32)


def test_a_recording_that_unpacks_to_too_much_or_never_ends_is_refused(tmp_path: Path) -> None:
    for held in ((bytes(40_000_000),), (an_object(0),), (an_object(4_000_000_000) + bytes(1000),) * 3):
        with pytest.raises(BadRequest):
            read_tape(blf(tmp_path, *held))


@pytest.mark.parametrize(
    "text",
    ["(1.0) can0 123#" + "11" * 6000, "(1.0) can0 123#11\n" * 200_001, "\n" * 300_000],
    ids=["line", "frames", "lines"],
)
def test_a_recording_is_of_a_conversation(tmp_path: Path, text: str) -> None:
    file = tmp_path / "tape.log"
    file.write_text(text)
    with pytest.raises(BadRequest, match="too large"):
        read_tape(file)


def test_what_a_library_says_of_a_recording_goes_nowhere(tmp_path: Path) -> None:
    from wheelside.demo import dbc, port_card

    (tmp_path / "practice.toml").write_bytes(port_card())
    (tmp_path / re.findall(r'dbc = "(.*?)"', port_card().decode())[0]).write_bytes(dbc())
    (tmp_path / "tape.trc").write_text(";$FILEVERSION=1.1\n;\x1b[2J\n     1) \x1b[2J\n")
    _, said, _, _ = measured(tmp_path, "car", "read", tmp_path / "practice.toml", "--replay", tmp_path / "tape.trc")
    assert said.startswith("wheelside: ")
    assert "\x1b" not in said


def test_a_dbc_file_has_so_many_signals() -> None:
    signal = ' SG_ S{n} : 8|8@1+ (1,0) [0|1] "" A\n'
    text = 'VERSION ""\n\nBU_: A\n\nBO_ 1 M: 8 A\n' + "".join(signal.format(n=n) for n in range(1001))
    with pytest.raises(BadRequest, match="in one message"):
        described(text)


def pdx(text: bytes, said: int | None = None) -> bytes:
    """A .pdx file with one member; `said`: what it says of its own size."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as zipped:
        zipped.writestr("a.odx-d", text)
    data = bytearray(out.getvalue())
    if said is not None:
        for mark, at in ((b"PK\x03\x04", 22), (b"PK\x01\x02", 24)):
            place = data.index(mark) + at
            data[place : place + 4] = said.to_bytes(4, "little")
    return bytes(data)


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("many.odx-d", b"<A>" + b"<B/>" * 100_001 + b"</A>"),
        ("deep.odx-d", b"<A>" * 200 + b"</A>" * 200),
        ("attributes.odx-d", b"<A " + b"".join(b'a%d="" ' % n for n in range(100_001)) + b"/>"),
        ("bomb.pdx", pdx(b"<A>" + b"x" * 13_000_000 + b"</A>")),
        ("lie.pdx", pdx(b"<A>" + b"x" * 50_000_000 + b"</A>", said=1000)),
    ],
)
def test_a_description_that_is_too_large_or_deep_is_refused(name: str, data: bytes) -> None:
    with pytest.raises(BadRequest):
        read_odx(data, name)


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("row.csv", "at,wheel\n" + "a" * 300_000),
        ("head.csv", "a," * 300_000),
        ("columns.csv", "a," * 501 + "\n1\n"),
        ("cells.csv", "at,wheel\n" + "1," * 200_000),
        ("quoted.csv", "at,wheel\n" + '"a\n",' * 60_000),
        ("row.jsonl", '{"a": "' + "a" * 300_000 + '"}'),
        ("keys.jsonl", "{" + ",".join(f'"k{n}": 1' for n in range(501)) + "}"),
    ],
)
def test_a_row_of_readings_is_not_without_end(tmp_path: Path, name: str, text: str) -> None:
    file = tmp_path / name
    file.write_text(text)
    with pytest.raises(Mendable):
        list(open_grid(file).rows)
    if name.endswith(".csv"):
        with pytest.raises(Mendable):
            list(grid_of(text.encode(), name).rows)


def test_a_proof_is_not_without_end() -> None:
    with pytest.raises(BadFile, match="photos aside"):
        check_proof(b"[" + b"[]," * 2_000_000 + b"0]", "proof.json")


def test_a_plan_file_is_not_without_end(capsys: pytest.CaptureFixture[str], file: Path) -> None:
    file.with_suffix(".plan.json").write_text(" " * 5_000_000)
    code, _, err = run(capsys, "plan", file)
    assert code == 2
    assert "more than 4 MB" in err
