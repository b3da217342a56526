"""Kills a program in the middle of its writes, over and over, and holds the book after each kill against what it acknowledged.

Run by test_kills.py as a program of its own, so that it forks while it has one thread only:
killing.py BOOK PHOTOS KILLS OPEN SEED. It kills KILLS times and goes on until OPEN of them fell into an open write, then
prints what it counted as JSON; or ends with what it found wrong.
"""

from __future__ import annotations

import json
import os
import random
import signal
import statistics
import sys
import time
import traceback
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path
from typing import NamedTuple

from sqlalchemy import Connection, Table, func, select

from books import NOON, later
from claiming import claim
from wheelside.book import tables
from wheelside.book.book import Book, open_book
from wheelside.book.engine import engine_for, transaction
from wheelside.book.entry import WriteNote, Writing
from wheelside.book.jobs import jobs_of
from wheelside.jobs.book.desk import Desk
from wheelside.jobs.book.files import wrong
from wheelside.jobs.work.doing import doing, take_claims
from wheelside.sheet.ask import Asked
from wheelside.sheet.claim import Claim
from wheelside.sheet.step import Step

CALLS = 4
"""So many calls a child has to make; it is killed in one of the first three, or somewhere."""
SOMEWHERE = 1 / 20
"""The share of kills at any moment of the child's life, its opening of the book included."""
OPEN = ("open", "committing")
"""The last words of a child that was killed while its write was open."""
KILLS_A_JOB = 20
"""So many kills fall into one job, so that its claims stay few and most of a write is writing."""

Call = tuple[Claim, ...]


class Line(NamedTuple):
    """What a child said: 'begin' before a call, 'open', 'committing' and 'shut' of its transaction, 'done' when it was answered."""

    word: str
    call: int
    ns: int


class Telling(Book):
    """A book that says when a write's transaction has begun, when it is about to be committed, and when it was."""

    def __init__(self, plain: Book, say: Callable[[str], None]) -> None:
        super().__init__(plain.where, plain.engine)
        self.say = say

    @contextmanager
    def writing(self, told: WriteNote) -> Iterator[Writing]:
        with super().writing(told) as writing:
            self.say("open")
            yield writing
            self.say("committing")
        self.say("shut")


def child(where: str, photos: Path, calls: list[Call], pipe: int) -> None:
    """Makes its calls as a server does, says so, and waits to be killed."""
    at = 0

    def say(word: str) -> None:
        os.write(pipe, f"{word} {at} {time.monotonic_ns()}\n".encode())

    book, _ = open_book(where, NOON, photos)
    desk = Desk(Telling(book, say), photos, lambda: NOON)
    for at, claims in enumerate(calls):  # noqa: B007  say() tells it
        say("begin")
        take_claims(desk, claims[0].job, claims)
        say("done")
    signal.pause()


@dataclass
class Ledger:
    """What was sent and answered, and what the book must hold of it."""

    follows: dict[str, tuple[int, int]]
    """For each step, how many readings and events one claim of it brings."""
    entries: int
    kept: dict[str, Claim] = field(default_factory=dict)
    answered: set[str] = field(default_factory=set)
    counts: Counter[str] = field(default_factory=Counter)
    lasts: dict[str, list[float]] = field(default_factory=lambda: {word: [] for word in OPEN})
    """How long the newest writes were at it before they committed, and how long that took, in seconds."""

    def settle(self, calls: list[Call], lines: list[Line], entries: int) -> None:
        """Takes in what a killed child said, given how many entries the book has now."""
        done = [calls[line.call] for line in lines if line.word == "done"]
        for claims in done:
            self.keep(claims)
            self.answered.update(c.client for c in claims)
        last = lines[-1].word if lines else "nothing"
        more = entries - self.entries - len(done)
        allowed = {"committing": (0, 1), "shut": (1,)}.get(last, (0,))
        assert more in allowed, f"{more} writes more than were answered, where the last word was {last!r}"
        if more:
            self.keep(calls[lines[-1].call])
        self.entries = entries
        self.counts[f"last {last}"] += 1
        if last in OPEN:
            self.counts["open"] += 1
            self.counts["open and kept" if more else "open and gone"] += 1
        self.counts["answered"] += len(done)

    def keep(self, claims: Call) -> None:
        self.counts["sent again"] += sum(c.client in self.kept for c in claims)
        self.kept.update({c.client: c for c in claims})

    def time(self, lines: list[Line]) -> None:
        for line, following in pairwise(lines):
            if line.word in OPEN:
                self.lasts[line.word] = [*self.lasts[line.word], (following.ns - line.ns) / 1e9][-30:]

    def moment(self, rng: random.Random, word: str) -> float:
        """A random moment of a write, in seconds since it said a word."""
        return rng.uniform(0, statistics.median(self.lasts[word]))


@dataclass
class Campaign:
    """One book, killed again and again."""

    where: str
    photos: Path
    rng: random.Random
    jobs: list[str]
    steps: dict[str, tuple[Step, ...]]
    ledger: Ledger
    made: int = 0

    def round(self, n: int) -> None:
        """One child's life and death, and a look at the book after it."""
        job = self.jobs[n // KILLS_A_JOB % len(self.jobs)]
        calls = self.calls(job)
        lines = self.killed(calls)
        self.ledger.counts["kills"] += 1
        self.ledger.time(lines)
        with opened(self.where, self.photos) as desk:
            with desk.book.quietly():  # a server may still be at the last write: it has ended when our turn comes
                pass
            with desk.book.reading() as conn:
                self.ledger.settle(calls, lines, count(conn, tables.entry))
                look(conn, self.ledger)
            assert wrong(desk) == ()

    def calls(self, job: str) -> list[Call]:
        """Calls of one to three claims, new ones and such as were sent before, be it in vain."""
        before = [c for c in self.ledger.kept.values() if c.job == job]
        calls: list[Call] = []
        for _ in range(CALLS):
            claims = []
            for _ in range(self.rng.randint(1, 3)):
                again = before and self.rng.random() < 1 / 3
                claims.append(self.rng.choice(before) if again else self.new(job))
            calls.append(tuple(claims))
            before += claims
        return calls

    def new(self, job: str) -> Claim:
        self.made += 1
        return claim(job, self.rng.choice(self.steps[job]), at=later(self.made / 100))

    def killed(self, calls: list[Call]) -> list[Line]:
        """What a child said until it was killed."""
        word = self.rng.choice(OPEN)
        until, wait = f"{word} {self.rng.randrange(CALLS - 1)} ".encode(), self.ledger.moment(self.rng, word)
        if self.rng.random() < SOMEWHERE:
            until, wait = b"", self.rng.uniform(0, 0.04)
        heard, said = os.pipe()
        pid = os.fork()
        if pid == 0:
            with suppress(BaseException):
                try:
                    child(self.where, self.photos, calls, said)
                except BaseException:
                    traceback.print_exc()
                    raise
            os._exit(1)
        os.close(said)
        told = b""
        while until not in told:
            more = os.read(heard, 4096)
            assert more, f"a child ended by itself after saying {told.decode()!r}"
            told += more
        time.sleep(wait)
        os.kill(pid, signal.SIGKILL)
        _, status = os.waitpid(pid, 0)
        assert os.WIFSIGNALED(status), "a child ended by itself"
        assert os.WTERMSIG(status) == signal.SIGKILL
        while more := os.read(heard, 4096):
            told += more
        os.close(heard)
        parts = [line.split() for line in told.decode().splitlines()]
        return [Line(word, int(call), int(ns)) for word, call, ns in parts]


@contextmanager
def opened(where: str, photos: Path) -> Iterator[Desk]:
    book, _ = open_book(where, NOON, photos)
    try:
        yield Desk(book, photos, lambda: NOON)
    finally:
        book.close()


def count(conn: Connection, table: Table) -> int:
    return int(conn.execute(select(func.count()).select_from(table)).scalar_one())


def by_entry(conn: Connection, table: Table) -> dict[int, int]:
    """How many rows of a table each entry brought."""
    return {row[0]: row[1] for row in conn.execute(select(table.c.entry, func.count()).group_by(table.c.entry))}


def look(conn: Connection, ledger: Ledger) -> None:
    """Fails where the book is not just what the ledger says."""
    e = tables.evidence.c
    rows = conn.execute(select(e.num, e.client, e.entry, e.step).order_by(e.num)).all()
    clients = [row.client for row in rows]
    assert [row.num for row in rows] == list(range(1, len(rows) + 1)), "the numbers of evidence have gaps"
    assert len(set(clients)) == len(clients), "a claim is there twice"
    assert ledger.answered <= set(clients), "an answered claim is lost"
    assert set(clients) == set(ledger.kept), "a write is there by half, or one that nobody sent"
    entries = {row.entry for row in rows}
    for n, (what, table) in enumerate((("readings", tables.reading), ("events", tables.event))):
        wanted: Counter[int] = Counter()
        for row in rows:
            wanted[row.entry] += ledger.follows[row.step][n]
        found = {entry: many for entry, many in by_entry(conn, table).items() if entry in entries}
        assert found == {entry: many for entry, many in wanted.items() if many}, f"{what} don't follow from the claims"
    gauged = select(func.count()).where(tables.reading.c.channel.in_(("gauge", "dash")))
    claimed = sum(ledger.follows[c.step][0] for c in ledger.kept.values())
    assert conn.execute(gauged).scalar_one() == claimed, "readings are not one for each pressure that was claimed"


def measured(desk: Desk, job: str, steps: tuple[Step, ...]) -> tuple[Ledger, int]:
    """A ledger that knows what a claim of each step brings, from writes that nobody kills; and how many those were."""
    follows: dict[str, tuple[int, int]] = {}
    lines: list[Line] = []
    kept: dict[str, Claim] = {}
    telling = Telling(desk.book, lambda word: lines.append(Line(word, len(kept), time.monotonic_ns())))
    for step in steps:
        one = claim(job, step, at=later(-1 - len(kept)))
        take_claims(Desk(telling, desk.photos, desk.clock), job, [one])
        kept[one.client] = one
        with desk.book.reading() as conn:
            entry = count(conn, tables.entry)
            follows[step.id] = (
                by_entry(conn, tables.reading).get(entry, 0),
                by_entry(conn, tables.event).get(entry, 0),
            )
        pressures = sum(a.kind is Asked.PRESSURE and bool(a.wheel) for a in step.asks)
        assert follows[step.id][0] == pressures, f"step {step.id} brings readings that it doesn't ask for, or too few"
    assert any(events for _, events in follows.values())
    with desk.book.reading() as conn:
        ledger = Ledger(follows, count(conn, tables.entry), kept, set(kept))
    ledger.time(lines)
    return ledger, len(kept)


def main(where: str, photos: Path, kills: int, bar: int, seed: int) -> dict[str, int]:
    """The counts of a whole campaign."""
    with transaction(engine_for(where), where, writes=False) as conn:
        jobs = [row.id for row in jobs_of(conn)]
    with opened(where, photos) as desk:
        steps = {job: doing(desk, job).start.sheet.steps for job in jobs}
        ledger, made = measured(desk, jobs[0], steps[jobs[0]])
    campaign = Campaign(where, photos, random.Random(seed), jobs[1:], steps, ledger, made)
    while (n := ledger.counts["kills"]) < kills or (ledger.counts["open"] < bar and n < 2 * kills):
        campaign.round(n)
    return {**ledger.counts, "claims kept": len(ledger.kept)}


if __name__ == "__main__":
    sys.stdout.write(json.dumps(main(sys.argv[1], Path(sys.argv[2]), *map(int, sys.argv[3:]))))
