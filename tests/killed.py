"""Kills a program while it keeps photos, ends jobs, or brings an older book up to date, and holds what is left against what it acknowledged.

Run by test_kills_elsewhere.py as a program of its own, so that it forks while it has one thread only: killed.py FOLDER SEED KILLS...
It kills each kind of work so many times, at a random moment of one of its writes, and prints what it counted as JSON.
"""

from __future__ import annotations

import json
import os
import random
import shutil
import signal
import sqlite3
import sys
import time
import traceback
from collections import Counter
from collections.abc import Callable
from contextlib import closing, suppress
from pathlib import Path

from books import NOON
from claiming import claim, same_again
from garages import seeded
from wheelside.book import tables
from wheelside.book.book import open_book
from wheelside.book.jobs import FINISHED, job_of
from wheelside.book.layout import NEWEST, layout_of
from wheelside.book.photos import keep_photo, photo_name, photo_names, read_photo
from wheelside.demo import household
from wheelside.jobs.book.desk import Desk, new_desk
from wheelside.jobs.book.files import take_in_text, wrong
from wheelside.jobs.work.doing import begin, doing, take_claims
from wheelside.jobs.work.finish import finish, give_up
from wheelside.proof.check import check_proof

OLDER = Path(__file__).parent / "older" / "first-open.sql"
PHOTOS = 5
JOBS = 2
Say = Callable[[str], None]


def at_desk(folder: Path) -> Desk:
    """A desk at the book of a folder, by a clock that stands still."""
    book, _ = open_book(str(folder / "house.book"), NOON, folder / "photos")
    return Desk(book, folder / "photos", lambda: NOON)


class Work:
    """One kind of work: what there is before it, how it is done, and what must hold of what is left of it."""

    def before(self, folder: Path) -> None:
        """Makes what the work begins with."""
        raise NotImplementedError

    def do(self, folder: Path, say: Say) -> None:
        """Does it, saying what is kept as soon as that has returned."""
        raise NotImplementedError

    def look(self, folder: Path, said: list[str]) -> str:
        """Fails where something that was said is lost, or something is there by half; how far it came."""
        raise NotImplementedError


class Photos(Work):
    """Photos are kept, each of some hundred kilobytes."""

    def before(self, folder: Path) -> None:
        folder.mkdir()

    def _photo(self, n: int) -> bytes:
        return random.Random(n).randbytes(400_000 + n)

    def do(self, folder: Path, say: Say) -> None:
        for n in range(PHOTOS):
            say(keep_photo(folder / "photos", self._photo(n)))

    def look(self, folder: Path, said: list[str]) -> str:
        there = photo_names(folder / "photos")
        assert set(said) <= set(there), "a photo that was acknowledged is lost"
        assert all(read_photo(folder / "photos", name) is not None for name in there), "a photo is there by half"
        sent = [photo_name(self._photo(n)) for n in range(PHOTOS)]
        assert set(there) <= set(sent[: len(said) + 1]), "a photo is there that nobody sent"
        self.do(folder, lambda _: None)
        assert set(photo_names(folder / "photos")) == set(sent), "it can't be done again"
        return f"{len(there) - len(said)} more than said"


class Jobs(Work):
    """Claims of jobs are kept; jobs are finished with their proof, or given up."""

    def before(self, folder: Path) -> None:
        folder.mkdir()
        desk = new_desk(str(folder / "house.book"), folder / "photos", lambda: NOON)
        desk.bits = seeded()
        with closing(desk):
            take_in_text(desk, household().decode(), "household.toml")
            job = begin(desk).job
            assert job is not None
            self.jobs = [job, *(same_again(desk, job, f"{n:016x}") for n in range(JOBS - 1))]
            self.claims = {
                job: [claim(job, step) for step in doing(desk, job).start.sheet.steps[:6]] for job in self.jobs
            }
            self.entries = self._entries(desk)

    def _entries(self, desk: Desk) -> int:
        with desk.book.reading() as conn:
            return len(conn.execute(tables.entry.select()).all())

    def do(self, folder: Path, say: Say) -> None:
        with closing(at_desk(folder)) as desk:
            for n, job in enumerate(self.jobs):
                take_claims(desk, job, self.claims[job])
                say(f"claims {job}")
                if n % 2:
                    give_up(desk, job, "it rains")
                else:
                    finish(desk, job, leave_open=True)
                say(f"ended {job}")

    def look(self, folder: Path, said: list[str]) -> str:
        with closing(at_desk(folder)) as desk:
            assert wrong(desk) == ()
            more = self._entries(desk) - self.entries - len(said)
            assert more in (0, 1), f"{more} writes more than were acknowledged"
            order = [f"{what} {job}" for job in self.jobs for what in ("claims", "ended")]
            done = set(order[: len(said) + more])
            with desk.book.reading() as conn:
                clients = {row.client for row in conn.execute(tables.evidence.select())}
                rows = {job: job_of(conn, job) for job in self.jobs}
        wanted = {c.client for job in self.jobs if f"claims {job}" in done for c in self.claims[job]}
        assert clients == wanted, "claims are lost, or there by half"
        for n, (job, row) in enumerate(rows.items()):
            assert row is not None
            outcome = None if f"ended {job}" not in done else "given up" if n % 2 else FINISHED
            assert row.outcome == outcome, f"{job}: {row.outcome}, not {outcome}"
            assert (row.proof is not None) == (outcome == FINISHED), "a job is finished by half"
            assert row.proof is None or check_proof(row.proof.encode(), "x").sound
        return f"{more} more than said"


class Layouts(Work):
    """A book of an early layout is brought up to today's when it is opened."""

    def before(self, folder: Path) -> None:
        folder.mkdir()
        with closing(sqlite3.connect(folder / "house.book")) as old:
            old.executescript(OLDER.read_text())
            self.began_at = _layout(old)

    def do(self, folder: Path, say: Say) -> None:
        book, backup = open_book(str(folder / "house.book"), NOON, folder / "photos")
        assert backup is not None
        say(str(backup))
        with closing(book), book.reading() as conn:
            self.rows = _rows(conn.connection.cursor())

    def look(self, folder: Path, said: list[str]) -> str:
        with closing(sqlite3.connect(folder / "house.book")) as raw:
            layout = _layout(raw)
        assert layout in (self.began_at, NEWEST), f"it stopped at {layout}"
        assert not said or (layout == NEWEST and Path(said[0]).exists()), "what was acknowledged is lost"
        with closing(at_desk(folder)) as desk:
            assert wrong(desk) == ()
            with desk.book.reading() as conn:
                assert layout_of(conn) == NEWEST
                assert _rows(conn.connection.cursor()) == self.rows, "the rows are others than without a kill"
        return f"at {layout}"


def _layout(raw: sqlite3.Connection) -> str:
    return str(raw.execute("select version_num from layout").fetchone()[0])


def _rows(cursor: object) -> dict[str, list[tuple[object, ...]]]:
    """Every row of every table."""
    run = cursor.execute  # type: ignore[attr-defined]
    names = [name for (name,) in run("select name from sqlite_master where type = 'table' order by name").fetchall()]
    return {name: sorted(run(f"select * from {name}").fetchall(), key=repr) for name in names}


def killed(work: Work, folder: Path, words: int, after: float) -> list[str]:
    """What a child said of its work that was killed so many seconds after it had said so many words."""
    heard, tell = os.pipe()
    pid = os.fork()
    if pid == 0:
        with suppress(BaseException):
            try:
                work.do(folder, lambda word: _tell(tell, word))
                signal.pause()
            except BaseException:
                traceback.print_exc()
                raise
        os._exit(1)
    os.close(tell)
    told = b""
    while told.count(b"\n") < words:
        more = os.read(heard, 4096)
        assert more, f"a child ended by itself after saying {told.decode()!r}"
        told += more
    time.sleep(after)
    os.kill(pid, signal.SIGKILL)
    _, status = os.waitpid(pid, 0)
    assert os.WIFSIGNALED(status), "a child ended by itself"
    with os.fdopen(heard, "rb") as rest:
        return (told + rest.read()).decode().splitlines()


def _tell(pipe: int, word: str) -> None:
    os.write(pipe, f"{word}\n".encode())


def campaign(work: Work, folder: Path, kills: int, rng: random.Random) -> dict[str, int]:
    """One kind of work, killed again and again; what was counted."""
    folder.mkdir()
    work.before(folder / "before")
    lasts, said = 0.0, list[str]()
    for whole in ("first", "whole"):  # the first one is slower, as libraries are imported
        shutil.copytree(folder / "before", folder / whole)
        began, said = time.monotonic(), list[str]()
        work.do(folder / whole, said.append)
        lasts = time.monotonic() - began
        work.look(folder / whole, said)
    counted: Counter[str] = Counter()
    for _ in range(kills):
        shutil.copytree(folder / "before", folder / "now")
        words = killed(work, folder / "now", rng.randrange(len(said)), rng.uniform(0, lasts / len(said)))
        counted["in the middle"] += len(words) < len(said)
        counted["acknowledged"] += len(words)
        counted[work.look(folder / "now", words)] += 1
        shutil.rmtree(folder / "now")
    return {"kills": kills, **counted}


def main(folder: Path, seed: int, *kills: int) -> dict[str, dict[str, int]]:
    """The counts of all kinds of work: photos, jobs, layouts."""
    rng = random.Random(seed)
    kinds = {"photos": Photos(), "jobs": Jobs(), "layouts": Layouts()}
    return {
        name: campaign(work, folder / name, many, rng) for (name, work), many in zip(kinds.items(), kills, strict=True)
    }


if __name__ == "__main__":
    sys.stdout.write(json.dumps(main(Path(sys.argv[1]), *map(int, sys.argv[2:]))))
