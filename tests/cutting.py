"""Power cuts: what a disk may hold after one, at any moment of a program's writes, and what a book then says of it.

A recording of every system call on a book's files (record.c) is played up to a moment. What was written to a file before it was last synced
is there. Of what came after, each write may be there or not, in any order, in pieces of 512 bytes; so may new names and those taken away, until
their folder is synced. Nothing that was acknowledged by then may be lost, and the book is sound. Run by test_power.py, and on hundreds of
cuts by benchmarks/power.py; as a program of its own it is what is recorded: cutting.py FOLDER.
"""

from __future__ import annotations

import io
import json
import os
import random
import shutil
import struct
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator
from contextlib import closing, redirect_stderr, redirect_stdout
from dataclasses import dataclass, field
from pathlib import Path
from typing import NamedTuple

from PIL import Image

from books import NOON, later
from claiming import claim
from garages import seeded
from wheelside.book import tables
from wheelside.book.photos import photo_names, read_photo
from wheelside.cli.main import status
from wheelside.demo import household
from wheelside.errors import WheelsideError
from wheelside.jobs.book.desk import Desk, new_desk, open_desk
from wheelside.jobs.book.files import take_in_text, wrong
from wheelside.jobs.work.doing import begin, doing, take_claims
from wheelside.jobs.work.photo import take_photo

SECTOR = 512
HERE = Path(__file__)
ACKS = "acks"
WRITES = 14


class Call(NamedTuple):
    """One system call: what it was, on which path, where or to which length, with what."""

    what: str
    path: str
    at: int
    data: bytes


# what is recorded


def work(folder: Path) -> None:
    """Makes a book, and writes into it again and again; each write is acknowledged by a line once it has returned."""
    acks = os.open(folder / ACKS, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)

    def acknowledge(desk: Desk, photo: str = "") -> None:
        with desk.book.reading() as conn:
            entries = conn.execute(tables.entry.select()).all()
            claims = conn.execute(tables.evidence.select()).all()
        told = {"entries": len(entries), "claims": [c.client for c in claims], "photo": photo}
        os.write(acks, json.dumps(told).encode() + b"\n")

    book = str(folder / "house.book")
    desk = new_desk(book, folder / "photos", clock=lambda: NOON)
    desk.bits = seeded()
    acknowledge(desk)
    take_in_text(desk, household().decode(), "household.toml")
    acknowledge(desk)
    job = begin(desk).job
    assert job is not None
    acknowledge(desk)
    steps = doing(desk, job).start.sheet.steps
    for n in range(WRITES):
        take_claims(desk, job, [claim(job, steps[n % 8], at=later(-60 + n))])
        acknowledge(desk)
        if n % 5 == 4:
            acknowledge(desk, take_photo(desk, picture(n)))
            desk.close()
            desk, _ = open_desk(book, folder / "photos")
            desk.clock = lambda: NOON
    desk.close()


def picture(n: int) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (40 + n, 30), "red").save(out, "PNG")
    return out.getvalue()


def recording(folder: Path, library: Path) -> tuple[Call, ...]:
    """What the work does to the files of a folder."""
    folder.mkdir(parents=True)
    to = folder.parent / f"{folder.name}.calls"
    environ = {
        **os.environ, "PYTHONPATH": os.pathsep.join([str(HERE.parent), *sys.path]), "LD_PRELOAD": str(library),
        "WHEELSIDE_RECORD_AT": str(folder), "WHEELSIDE_RECORD_TO": str(to),
    }  # fmt: skip
    subprocess.run([sys.executable, "-P", str(HERE), str(folder)], env=environ, check=True, timeout=120)
    return tuple(_calls(to.read_bytes()))


def _calls(data: bytes) -> Iterator[Call]:
    at = 0
    while at < len(data):
        where, length = struct.unpack_from("<qQ", data, at + 1)
        path = data[at + 17 : at + 17 + length].decode()
        (size,) = struct.unpack_from("<Q", data, at + 17 + length)
        begins = at + 25 + length
        yield Call(chr(data[at]), path, where, data[begins : begins + size])
        at = begins + size


# what is left of it


@dataclass
class OnDisk:
    """A file: what is sure to be there, and what was done to it since it was last synced."""

    sure: bytearray = field(default_factory=bytearray)
    since: list[Call] = field(default_factory=list)


@dataclass
class Disk:
    """A disk with files by their number; the names that are sure, and what was done to names since their folder was last synced."""

    files: dict[int, OnDisk] = field(default_factory=dict)
    now: dict[str, int] = field(default_factory=dict)
    sure: dict[str, int] = field(default_factory=dict)
    since: list[tuple[str, str, int]] = field(default_factory=list)

    def play(self, call: Call) -> None:
        """One call more."""
        if call.what == "c":
            number = len(self.files)
            self.files[number] = OnDisk()
            self.now[call.path] = number
            self.since.append(("is", call.path, number))
        elif call.what == "u":
            self.now.pop(call.path, None)
            self.since.append(("gone", call.path, 0))
        elif call.what == "r":
            number, to = self.now.pop(call.path), call.data.decode()
            self.now[to] = number
            self.since.append((f"renamed {call.path}", to, number))
        elif call.what == "s" and call.path not in self.now:
            self._folder_synced(call.path)
        elif call.path in self.now:
            self._on_file(self.files[self.now[call.path]], call)

    def _folder_synced(self, folder: str) -> None:
        mine = [one for one in self.since if str(Path(one[1]).parent) == folder]
        self.since = [one for one in self.since if one not in mine]
        for one in mine:
            _name(self.sure, one)

    def _on_file(self, file: OnDisk, call: Call) -> None:
        file.since.append(call)
        if call.what == "s":
            for one in file.since:
                _apply(file.sure, one)
            file.since = []

    def cut(self, rng: random.Random) -> dict[str, bytes]:
        """What may be there after a power cut now."""
        names, keeps = dict(self.sure), rng.choice((0.0, 0.5, 1.0))
        for one in self.since:
            if rng.random() < keeps:
                _name(names, one)
        return {path: _after(self.files[number], rng) for path, number in names.items()}


def _name(names: dict[str, int], one: tuple[str, str, int]) -> None:
    what, path, number = one
    if what == "gone":
        names.pop(path, None)
        return
    if what.startswith("renamed "):
        names.pop(what.removeprefix("renamed "), None)
    names[path] = number


def _apply(data: bytearray, call: Call) -> None:
    if call.what == "t":
        del data[call.at :]
        data.extend(bytes(call.at - len(data)))
    elif call.what == "w":
        if len(data) < call.at:
            data.extend(bytes(call.at - len(data)))
        data[call.at : call.at + len(call.data)] = call.data


def _after(file: OnDisk, rng: random.Random) -> bytes:
    data, how = bytearray(file.sure), rng.choice(("none", "first", "some", "torn"))
    calls = (
        [] if how == "none" else file.since[: rng.randint(0, len(file.since))] if how == "first" else list(file.since)
    )
    if how in ("some", "torn"):
        rng.shuffle(calls)
        calls = [call for call in calls if rng.random() < 0.5]
    for call in calls:
        for piece in _torn(call, rng) if how == "torn" else (call,):
            _apply(data, piece)
    return bytes(data)


def _torn(call: Call, rng: random.Random) -> Iterator[Call]:
    """Those sectors of a write that came to the disk."""
    if call.what != "w":
        yield call
        return
    first = call.at - call.at % SECTOR
    for at in range(first, call.at + len(call.data), SECTOR):
        begins, ends = max(at, call.at), min(at + SECTOR, call.at + len(call.data))
        if rng.random() < 0.5:
            yield Call("w", call.path, begins, call.data[begins - call.at : ends - call.at])


# what a book says of it


@dataclass
class Cuts:
    """Cuts of one recording, and what came of them."""

    calls: tuple[Call, ...]
    folder: Path
    rng: random.Random
    counted: Counter[str] = field(default_factory=Counter)
    faults: list[str] = field(default_factory=list)

    def cut(self, number: int) -> None:
        """So many power cuts, each at another moment; one in six before there was a book."""
        made = next(n for n, c in enumerate(self.calls) if _acknowledged(c))
        for n in range(number):
            at = self.rng.randrange(1, made) if n % 6 == 0 else self.rng.randrange(made + 1, len(self.calls))
            disk = Disk()
            for call in self.calls[:at]:
                disk.play(call)
            self._look(at, disk.cut(self.rng), [json.loads(c.data) for c in self.calls[:at] if _acknowledged(c)])

    def _look(self, at: int, left: dict[str, bytes], acked: list[dict[str, object]]) -> None:
        before = next(str(Path(c.path).parent) for c in self.calls if c.path.endswith("house.book"))
        shutil.rmtree(self.folder, ignore_errors=True)
        (self.folder / "photos").mkdir(parents=True)
        for path, data in left.items():
            if not path.endswith("-shm"):  # of shared memory nothing is left
                there = self.folder / Path(path).relative_to(before)
                there.parent.mkdir(parents=True, exist_ok=True)
                there.write_bytes(data)
        book = self.folder / "house.book"
        if not acked:
            self._none_yet(at, book)
            return
        try:
            self._all_there(at, book, acked)
        except WheelsideError as error:
            self.faults.append(f"call {at}: {len(acked)} acknowledged, and then: {error}")

    def _none_yet(self, at: int, book: Path) -> None:
        """Before a book was made: it is not there, or it is told what it is; nothing breaks."""
        self.counted["before it was made"] += 1
        with redirect_stdout(io.StringIO()), redirect_stderr(io.StringIO()):
            code = status(["book", "check", str(book)])
        if code not in (0, 2, 3):
            self.faults.append(f"call {at}: check ends with {code}")

    def _all_there(self, at: int, book: Path, acked: list[dict[str, object]]) -> None:
        desk, _ = open_desk(str(book), self.folder / "photos")
        desk.clock = lambda: NOON
        with closing(desk):
            found = wrong(desk)
            with desk.book.reading() as conn:
                entries = len(conn.execute(tables.entry.select()).all())
                clients = {row.client for row in conn.execute(tables.evidence.select())}
        last = acked[-1]
        lacking = set(last["claims"]) - clients  # type: ignore[call-overload]
        photos = {str(one["photo"]) for one in acked if one["photo"]}
        gone = {n for n in photos if n not in photo_names(desk.photos) or read_photo(desk.photos, n) is None}
        self.counted["all there"] += 1
        self.counted["more than acknowledged"] += entries > int(str(last["entries"]))
        if found or lacking or gone or entries < int(str(last["entries"])):
            self.faults.append(
                f"call {at}: {found} {len(lacking)} claims lost, photos {gone}, {entries} of {last['entries']}"
            )


def _acknowledged(call: Call) -> bool:
    return call.what == "w" and call.path.endswith(f"/{ACKS}")


if __name__ == "__main__":
    work(Path(sys.argv[1]))
