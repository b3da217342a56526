"""A power cut at any moment of a write loses nothing that was acknowledged, and leaves a sound book."""

from __future__ import annotations

import random
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from books import NOON
from cutting import Call, Cuts, Disk, recording
from wheelside.jobs.book.desk import new_desk, open_desk
from wheelside.jobs.book.files import wrong

CUTS = 30


@pytest.fixture(scope="module")
def library(tmp_path_factory: pytest.TempPathFactory) -> Path:
    compiler = shutil.which("gcc")
    assert compiler is not None, "there is no C compiler: install the package gcc"
    made = tmp_path_factory.mktemp("record") / "record.so"
    source = Path(__file__).parent / "record.c"
    command = [compiler, "-Wall", "-Wextra", "-Werror", "-shared", "-fPIC", "-o", str(made), str(source), "-ldl", "-lpthread"]  # fmt: skip
    subprocess.run(command, check=True, timeout=60)
    return made


def test_nothing_acknowledged_is_lost_by_a_power_cut(
    library: Path, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    cuts = Cuts(recording(tmp_path / "recorded", library), tmp_path / "left", random.Random(5))
    cuts.cut(CUTS)
    with capfd.disabled():
        sys.stdout.write(f"\n{len(cuts.calls)} calls, {CUTS} cuts: {dict(cuts.counted)}\n")
    assert cuts.faults == []
    assert cuts.counted["all there"] > CUTS / 2, cuts.counted


def test_a_disk_that_does_not_sync_is_found_out(library: Path, tmp_path: Path) -> None:
    """The same cuts of the same calls without their syncs: acknowledged writes are lost then, and that is seen."""
    calls = tuple(c for c in recording(tmp_path / "recorded", library) if c.what != "s")
    cuts = Cuts(calls, tmp_path / "left", random.Random(5))
    cuts.cut(CUTS)
    assert len(cuts.faults) > CUTS / 4


def test_what_was_not_synced_may_be_lost_torn_or_there() -> None:
    first, second = Call("w", "/f", 0, b"a" * 1024), Call("w", "/f", 0, b"b" * 1024)
    disk = Disk()
    for call in (Call("c", "/f", 0, b""), first, Call("s", "/f", 0, b""), Call("s", "/", 0, b""), second):
        disk.play(call)
    found = {disk.cut(random.Random(n))["/f"] for n in range(200)}
    assert {b"a" * 1024, b"b" * 1024, b"a" * 512 + b"b" * 512, b"b" * 512 + b"a" * 512} <= found
    assert all(len(one) == 1024 for one in found)


def test_a_page_that_was_torn_while_the_log_was_taken_over_is_no_damage(tmp_path: Path) -> None:
    desk = new_desk(str(tmp_path / "house.book"), tmp_path / "photos", clock=lambda: NOON)
    with desk.writing("a write"):
        pass
    left = tmp_path / "left"
    left.mkdir()
    for name in ("house.book", "house.book-wal"):
        shutil.copy(tmp_path / name, left / name)
    desk.close()
    assert (left / "house.book-wal").stat().st_size > 0
    with (left / "house.book").open("ab") as file:
        file.write(bytes(3 * 512))
    again, _ = open_desk(str(left / "house.book"), tmp_path / "photos")
    assert wrong(again) == ()
    again.close()
