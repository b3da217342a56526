"""Each system call with which a write reaches the disk fails once in every way: the book stays whole, and says what to do.

The tests run this file as a program of its own under a library that makes system calls fail (faults.c); it forks for every fault.
"""

from __future__ import annotations

import ctypes
import gc
import io
import json
import os
import re
import shutil
import sqlite3
import subprocess
import sys
import traceback
import zipfile
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from books import NOON, later
from claiming import claim
from garages import seeded
from wheelside.book import tables
from wheelside.book.photos import photo_names
from wheelside.demo import household
from wheelside.errors import Outside, WheelsideError
from wheelside.jobs.book.desk import Desk, new_desk, open_desk
from wheelside.jobs.book.files import back_up, restore, take_in, wrong
from wheelside.jobs.work.doing import begin, doing, take_claims
from wheelside.jobs.work.photo import take_photo
from wheelside.sheet.claim import Claim

HERE = Path(__file__)
WAYS = ("full", "io", "short")
HELPS = re.compile(r"free some room|look after the disk|check the disk|name another place")
MOST = 400
"""More system calls than any of these writes makes."""

State = dict[str, list[list[Any]]]


@dataclass
class Ended:
    """How one write with a fault ended: 'kept' or 'refused', or anything else; and what was wrong with it or after it."""

    way: str
    once: bool
    nth: int
    ended: str
    says: str = ""
    hits: int = 0
    there: bool = False
    found: list[str] = field(default_factory=list)


@dataclass(frozen=True)
class Case:
    """A write: what is done, and whether the book's log is as a killed program leaves it, full enough to be taken over."""

    act: Callable[[Desk, Path, list[Claim]], object]
    log: bool = False


def send_claims(desk: Desk, _: Path, claims: list[Claim]) -> None:
    take_claims(desk, claims[0].job, claims)


def bring_garage(desk: Desk, folder: Path, _: list[Claim]) -> None:
    take_in(desk, folder / "changed.toml")


def send_photo(desk: Desk, _: Path, __: list[Claim]) -> None:
    take_photo(desk, picture("red"))


def put_by(desk: Desk, folder: Path, _: list[Claim]) -> None:
    back_up(desk, folder / "kept.zip")


CASES = {
    "claims": Case(send_claims),
    "claims after a kill": Case(send_claims, log=True),
    "garage file": Case(bring_garage),
    "photo": Case(send_photo),
    "back-up": Case(put_by),
}


def picture(colour: str) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (64, 48), colour).save(out, "PNG")
    return out.getvalue()


def prepare(folder: Path, *, log: bool) -> list[Claim]:
    """A book with the demo household, a job and a photo; the claims that are to be sent."""
    folder.mkdir()
    (folder / "household.toml").write_bytes(household())
    (folder / "changed.toml").write_bytes(household().replace(b'label = "', b'label = "Other ', 1))
    desk = new_desk(str(folder / "household.book"))
    desk.clock, desk.bits = (lambda: NOON), seeded()
    take_in(desk, folder / "household.toml")
    take_photo(desk, picture("blue"))
    job = begin(desk).job
    assert job is not None
    steps = {step.id: step for step in doing(desk, job).start.sheet.steps}
    take_claims(desk, job, [claim(job, steps["snapshot"])])
    desk.close()
    if log:
        leave_log(folder)
    return [claim(job, steps["fetch-w1"], at=later(5)), claim(job, steps["fit-w1"], at=later(6))]


def leave_log(folder: Path) -> None:
    """Puts a log of a thousand pages beside the book: that of a program that is killed before it takes them over."""
    path, half = folder / "household.book", folder / "half"
    half.mkdir()
    with closing(sqlite3.connect(path, isolation_level=None)) as raw:
        raw.execute("pragma wal_autocheckpoint = 0").close()
        raw.execute("pragma synchronous = off").close()
        for _ in range(1000):
            raw.execute("update book set made_at = made_at").close()
        for name in ("household.book", "household.book-wal"):
            shutil.copy(folder / name, half / name)
    for name in ("household.book", "household.book-wal"):
        (half / name).replace(folder / name)
    half.rmdir()


@contextmanager
def at_desk(folder: Path) -> Iterator[Desk]:
    desk, _ = open_desk(str(folder / "household.book"))
    desk.clock = lambda: NOON
    try:
        yield desk
    finally:
        desk.close()


def state_of(folder: Path) -> State:
    """All that a book holds, and its photos' names."""
    with closing(sqlite3.connect(folder / "household.book")) as raw:
        names = [table.name for table in tables.metadata.sorted_tables]
        rows = {name: sorted(map(list, raw.execute(f"select * from {name}")), key=repr) for name in names}
    return {**rows, "photos": [list(photo_names(folder / "household.photos"))]}


def attempt(case: Case, folder: Path, claims: list[Claim]) -> tuple[str, str]:
    """How a write ends, in a word and in those that a person reads. One that is refused is tried once more, as people do."""
    said: list[str] = []
    try:
        with at_desk(folder) as desk:
            said += refusals(case, desk, folder, claims)
    except Outside as error:
        return "refused", str(error)
    except Exception:  # noqa: BLE001  whatever else comes is what these tests look for
        return "failed", traceback.format_exc()
    return ("kept", "kept at last", "refused")[len(said)], "\n".join(said)


def refusals(case: Case, desk: Desk, folder: Path, claims: list[Claim]) -> Iterator[str]:
    """What a write is refused with, the first and the second time."""
    for _ in range(2):
        try:
            case.act(desk, folder, claims)
        except Outside as error:
            yield str(error)
        else:
            return


@dataclass
class Trial:
    """One case, with the book as it is before the write and after it."""

    case: Case
    root: Path
    claims: list[Claim]
    before: State
    after: State
    known: dict[str, State] = field(default_factory=dict)

    @property
    def folder(self) -> Path:
        return self.root / "spoilt"

    def fresh(self) -> None:
        shutil.rmtree(self.folder, ignore_errors=True)
        shutil.copytree(self.root / "sound", self.folder)

    def spoil(self, way: str, nth: int, *, once: bool) -> Ended:
        """Makes one system call of the write fail, in a child, and looks at what is left."""
        self.fresh()
        heard, said = os.pipe()
        pid = os.fork()
        if pid == 0:
            try:
                self.child(way, nth, said, once=once)
            finally:
                os._exit(1)
        os.close(said)
        with os.fdopen(heard, "rb") as pipe:
            told = pipe.read()
        _, status = os.waitpid(pid, 0)
        if status or not told:
            return Ended(way, once, nth, "died", f"status {status}", 1, found=["the program died"])
        ended = Ended(way, once, nth, **json.loads(told))
        try:
            self.look(ended)
        except (WheelsideError, zipfile.BadZipFile) as error:
            ended.found.append(f"what is left can't be read: {error}")
        return ended

    def child(self, way: str, nth: int, said: int, *, once: bool) -> None:
        set_fault = {"AT": f"{self.folder}", "NTH": str(nth), "ONCE": "1" if once else "0"}
        os.environ.update({"WHEELSIDE_FAULT": way, **{f"WHEELSIDE_FAULT_{k}": v for k, v in set_fault.items()}})
        ended, says = attempt(self.case, self.folder, self.claims)
        hits = ctypes.c_long.in_dll(ctypes.CDLL(None), "wheelside_hits").value
        os.write(said, json.dumps({"ended": ended, "says": says, "hits": hits}).encode())
        os._exit(0)

    def look(self, ended: Ended) -> None:
        """Notes what is wrong with how it ended, and with the book after it."""
        found = ended.found
        if not all(HELPS.search(line) for line in ended.says.splitlines()):
            found.append("it doesn't say what to do")
        if ended.once and "\n" in ended.says:
            found.append("it was refused again, though the disk was well")
        if ended.ended == "failed" or re.search(r"sqlite3|sqlalchemy|Traceback", ended.says):
            found.append("it speaks of the program's inside")
        with at_desk(self.folder) as desk:
            found += wrong(desk)
            state = state_of(self.folder)
        zipped = self.folder / "kept.zip"
        ended.there = zipped.exists() if self.case.act is put_by else state == self.after
        if state not in (self.before, self.after):
            found.append("the write is there by half or twice, or something of before is lost")
        if ended.ended.startswith("kept") and not ended.there:
            found.append("it was acknowledged and is lost")
        if zipped.exists() and self.restored(zipped) != self.before:
            found.append("the back-up is not what was backed up")
        found += [f"{path.name} is left over" for path in self.folder.rglob(".*")]

    def restored(self, zipped: Path) -> State:
        """What comes of a back-up; the same each time where the same is in it."""
        with zipfile.ZipFile(zipped) as parts:
            inside = repr([(name, parts.read(name)) for name in parts.namelist()])
        if inside not in self.known:
            self.known[inside] = self.restore(zipped)
        return self.known[inside]

    def restore(self, zipped: Path) -> State:
        folder = self.root / "restored"
        shutil.rmtree(folder, ignore_errors=True)
        folder.mkdir()
        desk, _ = restore(zipped, str(folder / "household.book"))
        desk.close()
        state = state_of(folder)
        state["entry"].remove(next(row for row in state["entry"] if "calendar" in row))  # that it was restored
        return state


def trial_of(case: Case, root: Path) -> Trial:
    """A case made ready, with the states before and after it from a write that nothing disturbs."""
    claims = prepare(root / "sound", log=case.log)
    trial = Trial(case, root, claims, {}, {})
    trial.fresh()
    trial.before = state_of(trial.folder)
    trial.fresh()
    assert attempt(case, trial.folder, claims) == ("kept", "")
    trial.after = state_of(trial.folder)
    return trial


def main(name: str, root: Path) -> list[Ended]:
    """Each system call of a case made to fail in turn, in every way, for good and just once."""
    trial = trial_of(CASES[name], root)
    gc.collect()
    gc.freeze()
    ends = []
    for way in WAYS:
        for once in (False, True):
            for nth in range(1, MOST):
                ended = trial.spoil(way, nth, once=once)
                if not ended.hits:
                    assert ended.ended == "kept", ended
                    break
                ends.append(ended)
            else:
                raise AssertionError("no end to the system calls")
    return ends


@pytest.fixture(scope="module")
def library(tmp_path_factory: pytest.TempPathFactory) -> Path:
    compiler = shutil.which("gcc")
    assert compiler is not None, "there is no C compiler: install the package gcc"
    made = tmp_path_factory.mktemp("faults") / "faults.so"
    command = [
        compiler,
        "-Wall",
        "-Wextra",
        "-Werror",
        "-shared",
        "-fPIC",
        "-o",
        str(made),
        str(HERE.with_name("faults.c")),
        "-ldl",
    ]
    done = subprocess.run(command, capture_output=True, text=True, timeout=60, check=False)
    assert done.returncode == 0, done.stderr
    return made


@pytest.mark.parametrize("name", CASES)
def test_a_write_on_a_bad_disk_is_kept_whole_or_refused_with_what_to_do(
    name: str, library: Path, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    environ = {
        **os.environ,
        "PYTHONPATH": os.pathsep.join([str(HERE.parents[1]), *sys.path]),
        "LD_PRELOAD": str(library),
    }
    done = subprocess.run(
        [sys.executable, "-P", str(HERE), name, str(tmp_path)],
        env=environ, capture_output=True, text=True, timeout=250, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr[-4000:]
    ends = [Ended(**row) for row in json.loads(done.stdout)]
    counts = Counter(f"{e.ended}{' but there' if e.there and e.ended == 'refused' else ''}" for e in ends)
    with capfd.disabled():
        sys.stdout.write(f"\n{name}: {len(ends)} faults, {dict(counts)}\n")
    bad = [f"{e.way}{' once' if e.once else ''}, call {e.nth}: {e.found}: {e.says}" for e in ends if e.found]
    assert not bad, f"{len(bad)} of {len(ends)}:\n" + "\n".join(bad)
    assert done.stderr == ""
    assert {(e.way, e.once) for e in ends} == {(way, once) for way in WAYS for once in (False, True)}
    assert counts["refused"] > 0


if __name__ == "__main__":
    sys.stdout.write(json.dumps([asdict(ended) for ended in main(sys.argv[1], Path(sys.argv[2]))]))
