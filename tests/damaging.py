"""Damages a book, bit by bit and cut by cut, and holds what every command then says against what it said before.

Damage is told with status 3, or nothing has changed: all else is a fault. Run by test_damage.py on a few, by benchmarks/damage.py on hundreds.
"""

from __future__ import annotations

import io
import random
import sqlite3
from collections import Counter
from collections.abc import Iterator
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass, field
from pathlib import Path

from books import NOON, later
from claiming import claim
from garages import seeded
from wheelside.cli.main import status
from wheelside.demo import household
from wheelside.jobs.book.desk import new_desk
from wheelside.jobs.book.files import take_in_text
from wheelside.jobs.work.doing import begin, doing, take_claims

COMMANDS = (
    ("book", "show", "{book}"), ("book", "history", "{book}", "W1"), ("air", "{book}"), ("gate", "{book}", "winter"),
    ("plan", "{book}", "--no-save"), ("earshot", "{book}"), ("sheet", "{book}", "--no-save"),
)  # fmt: skip
TOLD = 3
Answer = tuple[int, str, str]


def said(*args: str) -> Answer:
    """What a command says, in this process: its status, what it printed, and its errors."""
    out, err = io.StringIO(), io.StringIO()
    with redirect_stdout(out), redirect_stderr(err):
        code = status(list(args))
    return code, out.getvalue(), err.getvalue()


def rows_of(book: Path) -> dict[str, list[tuple[object, ...]]] | None:
    """Every row of every table, read past the program; None where SQLite can't."""
    conn = sqlite3.connect(f"file:{book}?mode=ro&immutable=1", uri=True)
    try:
        names = [row[0] for row in conn.execute("SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name")]
        return {name: sorted(conn.execute(f'SELECT * FROM "{name}"'), key=repr) for name in names}
    except (sqlite3.Error, UnicodeError):
        return None
    finally:
        conn.close()


@dataclass
class Damages:
    """A sound book, what commands say of it, and what came of its damaged copies."""

    book: Path
    folder: Path
    rng: random.Random
    counted: Counter[str] = field(default_factory=Counter)
    faults: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.copy = self.folder / "copy.book"
        self.sound = self.book.read_bytes()
        self.rows = rows_of(self.book)
        self._put(self.sound)
        self.before = {args: self._say(args) for args in COMMANDS}
        assert {code for code, _, _ in self.before.values()} <= {0, 1}, self.before

    def _put(self, data: bytes) -> None:
        for name in (self.copy, Path(f"{self.copy}-wal"), Path(f"{self.copy}-shm")):
            name.unlink(missing_ok=True)
        self.copy.write_bytes(data)

    def _say(self, args: tuple[str, ...]) -> Answer:
        return said(*(arg.format(book=self.copy) for arg in args))

    def flips(self, number: int) -> None:
        """So many copies with one bit flipped each."""
        for at in self._places(number):
            data = bytearray(self.sound)
            data[at // 8] ^= 1 << at % 8
            self._one(bytes(data), f"bit {at % 8} of byte {at // 8}")

    def _places(self, number: int) -> Iterator[int]:
        """Every bit of the first hundred bytes as likely as all of the others: the file's header is there."""
        for n in range(number):
            yield self.rng.randrange(800) if n % 5 == 0 else self.rng.randrange(len(self.sound) * 8)

    def cuts(self, number: int) -> None:
        """So many copies cut short: by a byte, by a page, anywhere, to nothing."""
        size = len(self.sound)
        for n in range(number):
            length = (size - 1, size - 4096 * self.rng.randint(1, 8), self.rng.randrange(size), self.rng.randrange(20))[
                n % 4
            ]
            self._one(self.sound[:length], f"cut to {length} of {size}")

    def _one(self, data: bytes, how: str) -> None:
        self._put(data)
        changed = rows_of(self.copy) != self.rows
        checked = self._say(("book", "check", "{book}"))
        self.counted["told by check" if checked[0] == TOLD else "sound by check"] += 1
        if checked[0] not in (0, TOLD) or (checked[0] == 0 and changed):
            self.faults.append(f"{how}: check ends with {checked[0]}: {checked[1]}{checked[2]}")
        for args in (self.rng.choice(COMMANDS), self.rng.choice(COMMANDS[:4])):
            self._put(data)
            answer = self._say(args)
            self.counted["told" if answer[0] == TOLD else "unchanged"] += 1
            if answer[0] == TOLD and answer[2].strip():
                continue
            if answer != self.before[args]:
                self.faults.append(f"{how}: {' '.join(args)} ends with {answer[0]}: {answer[1][:300]}{answer[2][:300]}")


def damages(folder: Path, seed: int) -> Damages:
    """Damages of a household's book with a job under way."""
    book = folder / "sound.book"
    desk = new_desk(str(book), folder / "photos", clock=lambda: NOON)
    desk.bits = seeded()
    take_in_text(desk, household().decode(), "household.toml")
    job = begin(desk).job
    assert job is not None
    steps = doing(desk, job).start.sheet.steps
    take_claims(desk, job, tuple(claim(job, step, at=later(-30 + n)) for n, step in enumerate(steps[:12])))
    desk.close()
    return Damages(book, folder, random.Random(seed))
